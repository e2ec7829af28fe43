#pragma once
#include <cstddef>
#include <utility>
#include <vector>

namespace evenstroke {

/// Laminar line cut into tubes by speed. The centre of a bubble d in a bore D gets to 1 - d/D of the radius, so its
/// speed is u = 2 U s with s = s_min + (1 - s_min) w, s_min = 1 - (1 - d/D)^2; w = 0 at the wall, 1 on the
/// axis. Equal steps of w have equal areas. The slowest tube takes longest and decides what stays, so tubes are graded:
/// edges 0, then 1/(4K), then growing by one factor up to 1.              tests: tests/air/streamtubes_test.cpp
struct Streamtubes {
  std::vector<double> edge;    ///< shares of all slower tubes together, K + 1 values; of rings: w, from the wall to the axis
  std::vector<double> share;   ///< of the section open to the bubble, K values, together 1
  std::vector<double> w;       ///< mean of each tube
  double band = 0;             ///< height of a band over the free height D - d; 0: nothing climbs
  using Climb = std::vector<std::pair<std::size_t, std::size_t>>;   ///< from one tube into the one above, the upper first
  std::vector<Climb> strip;
};
Streamtubes make_streamtubes(int tubes);   ///< rings, 1 to 512; 1 is plug flow
/// Of a level line, for bubbles that rise across it: about as many cells as asked for, from upright strips cut into bands
/// of equal depth under the wall above, and tube 0, the wall itself (no area). What has risen by a band moves up by one,
/// from the uppermost to the wall: so every bubble gets there when its own place tells, to within a band.
Streamtubes make_level_streamtubes(int tubes);
/// Mean u/U of bubbles between two edges. 1 once d >= D: then it is a plug, see air/slug.hpp for its lead.
double tube_speed_ratio(double w_low, double w_high, double d_over_bore);
/// The same for many tubes and one size of bubble.
class SpeedProfile {
 public:
  explicit SpeedProfile(double d_over_bore);
  double at(double w) const { return wall_ + (axis_ - wall_) * w; }

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
