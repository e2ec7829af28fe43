#pragma once
#include "evenstroke/procedure/run.hpp"

namespace evenstroke {

/// Decides `bled` and `parallel` as the strokes come in.
///   reached      a stroke and the next three are inside the tolerance
///   never        over one whole pass of the repeated block no place's free gas and no slug's position changed by more than
///                1 % of the gas that costs the tolerance (from the second pass on); `parallel` also when the twin is outside
///   not_defined  the air's part of a tee with free rods, whose bled twin moves one rod after the other
class VerdictKeeper {
 public:
  explicit VerdictKeeper(const Network&);
  void update(Run&, const Contents&, bool pass_complete);   ///< after each stroke
  void close(Run&, int limit) const;                        ///< after the last

 private:
  std::vector<double> snapshot(const Contents&) const;
  void judge(Verdict&, const Run&, bool air_part) const;

  const Network& net_;
  std::vector<double> last_pass_;
};

}  // namespace evenstroke
