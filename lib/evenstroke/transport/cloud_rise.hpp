#pragma once
#include <algorithm>
#include <array>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// How far bubbles rise in one quantum along a run of two straight parts, in shares of the run towards the far end.
/// Past the bend they go on at the other part's speed; they stop at a high point, where a part is level, and at the
/// ends, and gather there in a pile; a low point parts them.   tests: tests/transport/swarm_rise_test.cpp
class Rise {
 public:
  Rise(const Profile&, double length_m, double rise);      ///< `rise`: U dt/length on a vertical run

  /// Gives the pieces of a risen cloud to `lay`, in order from the near end; some may be empty.
  template <class Lay>
  void operator()(const Cloud& c, Lay&& lay) const {
    if (!any_) return lay(c);
    const bool before = c.to <= bend_, behind = c.from >= bend_;
    if (before || behind) return part(c, way_[before ? 0 : 1], lay);
    const double kg = c.kg * ((bend_ - c.from) / (c.to - c.from));
    part(Cloud{c.from, bend_, kg}, way_[0], lay);
    part(Cloud{bend_, c.to, c.kg - kg}, way_[1], lay);
  }

 private:
  /// Way of a point of one part: to the part's end, and on into the other part unless that does not rise the same way.
  struct Way {
    double by = 0, end = 1;                               // speed, where this part ends
    double beyond = 0, room = 0;                          // speed behind it (0: stops), how far that goes
    double until_end(double x) const { return (end - x) / by; }          // in quanta
    double until_stop(double x) const;
    double stop() const;
    double operator()(double x) const;
    std::array<Cloud, 2> stopping(const Cloud&) const;                   // what arrives where it stops is a pile
  };
  template <class Lay>
  static void part(const Cloud& c, const Way& w, Lay&& lay) {
    const bool free = w.by > 0 ? c.to + w.by <= w.end : w.by == 0 || c.from + w.by >= w.end;
    if (free) return lay(Cloud{c.from + w.by, c.to + w.by, c.kg});
    for (const Cloud& piece : w.stopping(c)) lay(piece);
  }
  double bend_ = 1;                                       // where the parts meet
  std::array<Way, 2> way_;
  bool any_ = false;
};

}  // namespace evenstroke
