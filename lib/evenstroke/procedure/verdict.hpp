#pragma once
#include "evenstroke/procedure/run.hpp"

namespace evenstroke {

/// Decides `bled` and `parallel` as the strokes come in.
///   reached      this stroke and the three after it are inside the tolerance
///   never        a complete pass of the repeated steps, compared with the pass before, has left the free gas of every place
///                and the middle of every line's slugs where they were, to 1 % of the gas that costs the tolerance, and the
///                pass was not inside all through; `parallel` also when the rods without air are outside
///   not_defined  the air's part of a tee whose rods are not coupled; both when the rods without air do not get through
class VerdictKeeper {
 public:
  explicit VerdictKeeper(const Network&);
  void update(Run&, const Contents&, bool pass_complete);   ///< after each stroke
  void close(Run&, int limit) const;                        ///< after the last
  void warmed(Run&);                                        ///< the rods without air are others now: what they settled is open again

 private:
  std::vector<double> snapshot(const Contents&, double costs_m3) const;
  void judge(Verdict&, const Run&, bool air_part) const;

  const Network& net_;
  std::vector<double> last_pass_;
  int last_stroke_ = 0;
  bool still_ = false;
  std::array<bool, 2> by_twin_{};                           // bled, parallel: settled by the rods without air
};

}  // namespace evenstroke
