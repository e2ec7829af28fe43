#pragma once
#include <array>
#include <vector>

#include "evenstroke/flow/model.hpp"
#include "evenstroke/transport/line_tubes.hpp"
#include "evenstroke/transport/swarm.hpp"
#include "evenstroke/transport/tank.hpp"

namespace evenstroke {

/// Moves the volumes that flow has sent through every edge: each transfer is one pair of minus and plus, so the
/// books close to round-off. Chambers are donors first; passages and lines give once they have got.
///   drawn from a line      oil and slugs first in, first out; bubbles by their streamtubes     transport/queue.hpp, swarm.hpp
///   drawn from a chamber   gas first while the pocket reaches below the port's mouth, else oil with its bubbles, gas again when
///                          the oil is used up; it enters the line in this order
///   drawn from a passage   oil and bubbles in proportion to volume: what it has beyond its own volume; a slug that enters a
///                          passage breaks into coarse bubbles; gas in a high point stays
///   leaks                  oil with the air dissolved in it
///   pump, narrow openings  tear slugs and coarse bubbles into fine ones
///   reservoir, container   transport/tank.hpp
///   slugs cut off          that are smaller, at p0, than the sphere that fits the bore are coarse bubbles from then on;
///                          bubbles without oil around them are a slug
///   slugs at the ends      rise into a chamber above, or from a chamber below, against the oil that takes their place
/// Volumes are taken at the donor's pressure at the end of the quantum.   tests: tests/transport/transport_test.cpp
class Transport {
 public:
  /// `parcels`: a line's oil and slugs beyond it are merged, its clouds beyond half of it per tube.
  Transport(const Network&, int streamtubes, int parcels = Queue::capacity);
  /// Lays the bubbles of lines into this transport's own number of tubes.
  void prepare(Contents&) const;
  /// As a phase begins: what gas stands at the ports of chambers. From then on that is what the last quantum left there,
  /// without what rises to them afterwards, so that the length of a quantum does not count.
  void begin(const Contents&);
  /// `volume_m3` per edge, signed; contents' pressures are those at the end of the quantum.
  void move(Contents&, const std::vector<double>& volume_m3, double duration_s);
  /// What flow must know of the mixture on every edge, if flow goes on as in `volume_m3` and meets what is next to leave;
  /// pressures as in the contents. What is steady then re-closes without a jump.
  void edge_states(const Contents&, const std::vector<double>& volume_m3, double duration_s,
                   std::vector<EdgeState<double>>&) const;
  double air_moved_by_merging_kg() const { return merged_kg_; }
  const Bundle& arrived() const { return arrived_; }   ///< in the reservoir and the container, in the last move

 private:
  struct Shares { double liquid, dissolved, bubbles, pocket; };   // of what a place holds, given to one edge
  struct LineEnds {                                               // a line, its two edges, and what passes in one quantum
    std::size_t place, near, far;
    bool far_in;                                                  // what flows along the far edge comes in there: the end is joined
    double length_m;
    bool slid;
    double in_near_m3, in_far_m3;
    std::array<double, 2> in_near_kg, in_far_kg;
    std::array<Passed, 2> out;
  };
  Shares shares(const Contents&, int place, int edge, double volume_m3, double duration_s) const;
  const Masses& lot(const Contents&, std::size_t place) const;
  Bundle draw(Contents&, int place, int edge, double volume_m3, double duration_s);
  Bundle draw_line(Contents&, std::size_t place, int edge, double volume_m3);
  Bundle peek(const Contents&, int place, int edge, double volume_m3, double duration_s) const;
  double passage_scale(const Contents&, int place, const std::vector<double>& volume_m3) const;
  void pass(Contents&, int from, int to, int edge, double volume_m3, double duration_s);
  bool as_slug(const Contents&, int chamber, int line_place, int edge) const;
  void tear(Bundle&, const Edge&, double flow_m3_per_s, double p_pa_abs) const;
  void slide(Contents&, int line, const std::vector<double>& volume_m3, double duration_s);
  void rise_through(Contents&, LineEnds&, End, const std::vector<double>& volume_m3, double duration_s);
  void crumble(Contents&, const LineEnds&);
  double sin_outward(const LineEnds&, End) const;
  double creep_m_per_s(const LineEnds&, End) const;
  void open_surface(const Contents&, const LineEnds&, End, EdgeState<double>&) const;
  Bundle collapsed(Bundle, const LineState&) const;
  Bundle oil_for(Contents&, int place, double volume_m3);
  void give(Contents&, int place, int edge, const Bundle&, double duration_s);
  LineState line_state(const Contents& c, std::size_t place) const { return evenstroke::line_state(net_, c, place); }
  LineEnds& line(std::size_t place);
  /// Of what an edge has moved: what ran out at that end of the line; negative: in.
  static double outward_m3(const LineEnds& l, End end, const std::vector<double>& volume_m3) {
    const std::size_t e = end == End::near ? l.near : l.far;
    if (e >= volume_m3.size()) return 0;
    return end == End::near || l.far_in ? -volume_m3[e] : volume_m3[e];
  }
  const LineEnds& line(std::size_t place) const { return const_cast<Transport*>(this)->line(place); }
  double volume_at(const Contents&, int place, const Bundle&) const;
  double head_pa(const Contents&, const Edge&, double density, double flow_m3_per_s) const;
  SwarmMotion motion(const Contents&, const LineEnds&, BubbleClass, double near_m3, double far_m3, double duration_s) const;
  double reach_m3(const Contents&, int place, double flow_m3_per_s, int edge = -1) const;
  double past_piston_m3(const Contents&, int place) const;

  const Network& net_;
  LineTubes tubes_;
  int parcels_;
  Vessel vessel_;
  std::vector<LineEnds> lines_;
  std::vector<int> waiting_;     // per place: inflows still to come
  std::vector<char> done_;
  std::vector<std::size_t> past_pistons_;   // edges
  std::vector<double> scale_;    // per passage: what it gives over what flow has asked; negative: not known yet
  std::vector<double> waits_kg_; // per chamber: gas that its port could draw as the quantum began
  std::vector<Masses> lot_;      // per place common to all branches: what it held when the first of them drew from it
  std::vector<char> begun_;
  Tank reservoir_lot_, container_lot_;
  std::vector<double> mouths_;   // per place: ends of lines that open into it
  double merged_kg_ = 0;
  Bundle arrived_;
};

/// Gas volume of a chamber that its port cannot reach, above the port's mouth [m3].
double trap_m3(const Network&, const Contents&, int place);

}  // namespace evenstroke
