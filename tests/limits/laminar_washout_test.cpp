// One-way flow through a line: a return whose stroke holds many times the line's volume, clear oil coming behind.
// theta: line volumes that have passed.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr int tubes = 512;
constexpr double none = 1e-4;   // of the bubbles in the line at the start; the rod's first jolt spreads 3e-6 of them

/// A cylinder whose stroke sweeps `theta` times what its cap line of 4 mm holds.
Rig wash_rig(double theta, double line_m) {
  Rig r = bleed_rig(line_m);
  r.air.saturation = 0;
  r.air.fine_m = 1e-7;
  r.reservoir.oil_m3 = 0.9;
  r.reservoir.capacity_m3 = 1;
  Cylinder& c = r.branches[0].cylinder;
  c.stroke_m = theta * volume_m3(r.branches[0].cap_line) / cap_area_m2(c);
  return r;
}

/// Oil that has left the chamber since the rods were out, over what the line holds.
double theta_of(const BleedBench& b, const Contents& c) {
  const double out = (b.net.axes[0].travel_m - c.position_m[0]) * b.net.places[b.place("left.cap_chamber")].slope_m2;
  return out / b.net.places[b.place("left.cap_line")].volume_m3;
}

struct Seen {
  double theta, inside;
};
/// Bubbles in the line over theta while the rod goes in; of its content at the start.
std::vector<Seen> wash(BleedBench& b) {
  const double held = b.gas_kg("left.cap_line");
  std::vector<Seen> seen{{0, 1}};
  const int line = b.net.place("left.cap_line");
  b.seen = [&](const Contents& c) { seen.push_back({theta_of(b, c), evenstroke::held(c, line).gas_kg() / held}); };
  b.retract();
  b.seen = nullptr;
  return seen;
}

Seen at(const std::vector<Seen>& seen, double theta) {
  const auto i = std::find_if(seen.begin(), seen.end(), [&](const Seen& s) { return s.theta >= theta; });
  return i == seen.end() ? seen.back() : *i;
}

/// 2 [1 - (1 - d/D)^2] with d = d0 (p0/p)^(1/3): the profile at the centre of a bubble that touches the wall.
double wall_speed(double d0_m, double p_pa_abs, double bore_m) {
  const double x = 1 - d0_m * std::cbrt(p0_pa_abs / p_pa_abs) / bore_m;
  return 2 * (1 - x * x);
}

}  // namespace

TEST_SUITE("limits/laminar_washout") {
  TEST_CASE("limit: bubbles of no size: 1/(4 theta) is left inside, 1/(4 theta^2) comes out: 1 % after 25 and 5") {
    BleedBench b(wash_rig(27, 0.5), {.streamtubes = tubes}, true);
    lay_bubbles(b.net, b.c, "left.cap_line", fine, 0, 1, 1e-8, make_streamtubes(tubes));
    const std::vector<Seen> seen = wash(b);
    double worst = 0;
    for (const double theta : {0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 25.0}) {
      CAPTURE(theta);
      const Seen s = at(seen, theta);
      const double closed = s.theta < 0.5 ? 1 - s.theta : 1 / (4 * s.theta);
      CHECK(near(s.inside, closed, 5e-3, 0));
      worst = std::max(worst, std::abs(s.inside / closed - 1));
    }
    for (const double theta : {1.0, 2.0, 5.0}) {   // what comes out: the slope of what is inside
      CAPTURE(theta);
      const Seen one = at(seen, 0.95 * theta), two = at(seen, 1.05 * theta);
      CHECK(near((one.inside - two.inside) / (two.theta - one.theta), 1 / (4 * one.theta * two.theta), 2e-2, 0));
    }
    CHECK(near(1 / (4.0 * 5 * 5), 0.01, 1e-12, 0));
    MESSAGE("inside off by at most " << worst);
  }

  // s = 1 - (1 - d/D)^2: slowest over fastest, as a bubble's centre sees the profile between R - d/2 and the axis only.
  TEST_CASE("limit: bubbles of diameter d leave (1/(2 sqrt theta) - s sqrt theta)^2/(1 - s), none after 1/(2 s)") {
    for (const double d0_m : {0.3e-3, 0.5e-3, 1e-3}) {
      CAPTURE(d0_m);
      constexpr double p = 1.2517e5;   // of the line while it flows: checked below
      const double s = wall_speed(d0_m, p, 4e-3) / 2, closed = 1 / (2 * s);
      Rig r = wash_rig(1.2 * closed, 0.02);
      r.oil = oil_by_grade(150);
      r.oil.temperature_k = 275;       // so thick that nothing rises in the second this takes
      r.branches[0].cylinder.height_m = r.branches[0].cap_line.length_m;   // upright: the rings of a line in which none cream
      r.oil.modulus_slope = 0;
      r.pump.drag = 0;
      r.pump.supply_v = 4;
      r.valve_block.path_area_m2 = r.valve_block.lowering_area_m2 = 1e-3;
      r.air.fine_m = d0_m;
      BleedBench b(r, {.quantum_share = 0.01, .streamtubes = tubes}, true);
      lay_bubbles(b.net, b.c, "left.cap_line", fine, 0, 1, 3e-9, make_streamtubes(tubes));
      const std::vector<Seen> seen = wash(b);
      CHECK(near(b.pressure("left.cap_line"), p, 2e-3, 0));
      double worst = 0;
      for (const double share : {0.5, 0.65, 0.8}) {
        const Seen x = at(seen, share * closed);
        const double root = std::sqrt(x.theta), gap = 1 / (2 * root) - s * root, left = gap * gap / (1 - s);
        CHECK(near(x.inside, left, 0, 1e-3));
        worst = std::max(worst, std::abs(x.inside - left));
      }
      CHECK(at(seen, 0.9 * closed).inside > 1e-3 * s);
      CHECK(at(seen, 1.01 * closed).inside < 1e-5);
      MESSAGE("d " << d0_m << " inside off by at most " << worst << " of the first; at the end "
                 << at(seen, 1.01 * closed).inside);
    }
  }

  TEST_CASE("limit: creamed bubbles all move at 2 [1 - (1 - d/D)^2]: out after 10.1, 3.5, 2.1, 1.14 volumes in 4 mm") {
    for (const auto& [d_m, volumes] : {std::pair{0.1e-3, 10.13}, {0.3e-3, 3.463}, {0.5e-3, 2.133}, {1e-3, 1.143}}) {
      const auto shown_d_m = d_m;   // clang 14 captures no structured binding
      CAPTURE(shown_d_m);
      CHECK(near(1 / wall_speed(d_m, p0_pa_abs, 4e-3), volumes, 1e-3, 0));   // 1/(2 (1 - 0.975^2)) = 10.127 and so on
      Rig r = wash_rig(1.1 * volumes, 0.5);
      const double p = p0_pa_abs * 1.0531;            // of the line while it flows: half of its drop
      r.air.fine_m = d_m * std::cbrt(p / p0_pa_abs);  // so that it is d there
      BleedBench creamed(r, {.quantum_share = 0.02, .streamtubes = tubes}, true);
      lay_bubbles(creamed.net, creamed.c, "left.cap_line", fine, 0, 1, 1e-8, make_streamtubes(tubes));
      creamed.rest(2000);
      const std::vector<Seen> seen = wash(creamed);
      CHECK(near(creamed.pressure("left.cap_line"), p, 5e-3, 0));
      double worst = 0;
      for (const double share : {0.25, 0.5, 0.75, 0.95}) {
        const Seen x = at(seen, share * volumes);
        CHECK(near(x.inside, 1 - x.theta / volumes, 0, 5e-3));
        worst = std::max(worst, std::abs(x.inside - 1 + x.theta / volumes));
      }
      CHECK(at(seen, 1.01 * volumes).inside < none);
      MESSAGE("d " << d_m << " inside off by at most " << worst << " of the first");
    }
  }
}
