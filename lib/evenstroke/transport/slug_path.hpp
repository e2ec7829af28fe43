#pragma once
#include <array>

#include "evenstroke/transport/queue.hpp"

namespace evenstroke {

/// What a line's slugs do to its bubbles in one quantum. The line's volume changes where its slugs are: between them
/// everything moves alike. Along a slug stands its film, and the bubbles in it: a nose that comes stops them, a tail that
/// has passed lets them go on. No bubble passes a slug from behind.   tests: tests/transport/slug_path_test.cpp
class SlugPath {
 public:
  SlugPath() = default;
  /// Of a queue that has got `in_near_m3` and `in_far_m3` and not yet given; near and far: what passed its ends, signed.
  SlugPath(const Queue&, double in_near_m3, double in_far_m3, double near_m3, double far_m3, const LineState&);
  void arrive(const Queue&, const LineState&);       ///< once slugs have overtaken their oil and risen
  bool straight() const { return points_ < 2; }      ///< no slug to speak of
  /// Where a bubble is then that stood at x (shares of the line) and runs at `speed` times the mean flow.
  double operator()(double x, double speed) const;

 private:
  static constexpr std::size_t most = Queue::capacity / 2 + 4;
  struct Edge {
    double was = 0, is = 0, oil = 0;                 // its place before and after; what moved the oil beside it
    double moved() const { return is - was; }
  };
  struct Slug {
    Edge near, far;
  };
  double mean_flow(double x) const;
  int points_ = 0, slugs_ = 0, first_ = 0, last_ = 0;   // first_, last_: slugs that have come in meanwhile, at either end
  double near_out_m3_ = 0, line_m3_ = 0;
  std::array<double, 2 * most> at_{}, by_{};         // mean flow, linear between
  std::array<Slug, most> slug_{};
};

}  // namespace evenstroke
