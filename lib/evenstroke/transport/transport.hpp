#pragma once
#include <vector>

#include "evenstroke/transport/queue.hpp"

namespace evenstroke {

/// Moves the volumes that flow has sent through every edge: each transfer is one pair of minus and plus, so the
/// books close to round-off. Chambers are donors first; passages and lines give once they have got.
///   drawn from a line      first in, first out                          transport/queue.hpp
///   drawn from a chamber   gas first while the pocket reaches below the port's mouth, else oil with its bubbles; it
///                          enters the line in this order
///   drawn from a passage   everything in proportion to volume: what it has beyond its own volume; a pocket that enters
///                          a passage is dispersed there
///   leaks                  oil without gas
///   reservoir              gas that arrives is vented; the pump draws air once the level is at the intake
/// Volumes are taken at the donor's pressure at the end of the quantum.   tests: tests/transport/transport_test.cpp
class Transport {
 public:
  explicit Transport(const Network&);
  /// `volume_m3` per edge, signed; contents' pressures are those at the end of the quantum.
  void move(Contents&, const std::vector<double>& volume_m3, double duration_s);
  /// Volume that arrives at `to` per volume that leaves `from` through each edge, if flow goes on as in `volume_m3` and
  /// meets the mixture that is next to leave; pressures as in the contents. What is steady then re-closes without a jump.
  void arrival_ratios(const Contents&, const std::vector<double>& volume_m3, std::vector<double>& ratio) const;
  double gas_moved_by_merging_kg() const { return merged_kg_; }

 private:
  struct Shares { double oil, dispersed, pocket; };   // of what a place holds, given to one edge
  Shares shares(const Contents&, int place, int edge, double volume_m3) const;
  Bundle draw(Contents&, int place, int edge, double volume_m3);
  Bundle peek(const Contents&, int place, int edge, double volume_m3) const;
  Bundle draw_reservoir(Contents&, double volume_m3) const;
  double passage_scale(const Contents&, int place, const std::vector<double>& volume_m3) const;
  void pass(Contents&, int from, int to, int edge, double volume_m3);
  void slide(Contents&, int line, const std::vector<double>& volume_m3, double duration_s);
  void give(Contents&, int place, int edge, const Bundle&);
  LineState line_state(const Contents&, std::size_t place) const;

  struct LineEnds { std::size_t place, near, far; bool slid; };   // a line and its two edges

  const Network& net_;
  std::vector<LineEnds> lines_;
  std::vector<int> waiting_;     // per place: inflows still to come
  std::vector<char> done_;
  std::vector<double> scale_;    // per passage: what it gives over what flow has asked; negative: not known yet
  double merged_kg_ = 0;
};

/// Gas volume of a chamber that its port cannot reach, above the port's mouth [m3].
double trap_m3(const Network&, const Contents&, int place);

}  // namespace evenstroke
