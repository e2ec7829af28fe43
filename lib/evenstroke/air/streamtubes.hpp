#pragma once
#include <vector>

namespace evenstroke {

/// Laminar line cut into tubes by speed. The centre of a bubble d in a bore D gets to 1 - d/D of the radius, so its
/// speed is u = 2 U s with s = s_min + (1 - s_min) w, s_min = 1 - (1 - d/D)^2; w = 0 at the wall, 1 on the
/// axis. Equal steps of w have equal areas. The slowest tube takes longest and decides what stays, so tubes are graded:
/// edges 0, then 1/(4K), then growing by one factor up to 1.              tests: tests/air/streamtubes_test.cpp
struct Streamtubes {
  std::vector<double> edge;    ///< w, K + 1 values from the wall to the axis
  std::vector<double> share;   ///< of the section open to the bubble, K values, together 1
};
Streamtubes make_streamtubes(int tubes);   ///< 1 to 512; 1 is plug flow
/// Mean u/U of bubbles between two edges. 1 once d >= D: then it is a plug, see air/slug.hpp for its lead.
double tube_speed_ratio(double w_low, double w_high, double d_over_bore);
/// The same for many tubes and one size of bubble.
class SpeedProfile {
 public:
  explicit SpeedProfile(double d_over_bore);
  double mean(double w_low, double w_high) const { return wall_ + (axis_ - wall_) * (w_low + w_high) / 2; }

 private:
  double wall_, axis_;   // u/U at the wall and on the axis
};

/// Wash-out of a line full of the old by `theta` line volumes of the new: share of the old in what comes out, and
/// share of the first content still inside. Laminar without mixing (Levenspiel 1999): 1/(4 theta^2) and 1/(4 theta)
/// from theta = 1/2 on; n equal stirred tanks in series, a grid of n upwind cells alike: Q(n, n theta), and the mean of
/// Q(i, n theta), i = 1..n; Q the regularised upper incomplete gamma function, here a finite sum.
double laminar_outlet(double theta);
double laminar_inventory(double theta);
double tanks_outlet(int n, double theta);
double tanks_inventory(int n, double theta);
double clear_volumes(double d_over_bore);   ///< line volumes until bubbles at the wall are out, 1/(2 [1 - (1 - d/D)^2])

}  // namespace evenstroke
