// A pilot-operated check valve that lowers a load, against its own algebra. Pressures and a rod without mass can oscillate, since
// the valve lets through less the more it holds back, and the pilot's pressure follows only as the rod moves:
//   C_a p_a' = A_c v - q(p_a, p_b)     C_b p_b' = Q - A_r v     v = (A_r p_b + W - A_c p_a)/B
// Small oscillations grow where the sum of both eigenvalues is positive:  -dq/dp_a > (A_c^2 + A_r^2 C_a/C_b)/B
// that is, above a certain friction B of the rod; a rod that gives way easily holds p_a. Their product is positive throughout.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "support/bench.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double flow_m3_per_s = 12e-6, middle_m = 0.125;

/// Wide lines without resistance, so that each side has one pressure.
Rig lowered(double viscous_n_s_per_m) {
  Rig r = bench_rig(1, SynchroniserKind::tee, flow_m3_per_s);
  r.panel.mass_kg = 90;
  r.locks.check_a_ratio = 4;
  r.valve_block.lowering_area_m2 = 1.5e-6;
  r.valve_block.path_area_m2 = 2e-4;
  Branch& b = r.branches[0];
  b.cap_line = b.rod_line = {.bore_m = 15e-3, .length_m = 0.1, .wall_m = 20e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
  b.cylinder.viscous_n_s_per_m = viscous_n_s_per_m;
  return r;
}

double side_m3_per_pa(const Bench& b, bool cap) {
  double c = 0;
  for (const Place& p : b.net.places) {
    const bool is_cap = p.name.find(".cap_") != std::string::npos || p.name == "valve_block.a";
    if (is_cap != cap) continue;
    c += (p.volume_m3 + p.slope_m2 * (p.axis < 0 ? 0 : middle_m)) / b.net.rig.oil.modulus_40_pa + p.wall_m3_per_pa;
  }
  return c;
}

/// Friction of the rod at which small oscillations neither grow nor die [N s/m].
double neutral_n_s_per_m() {
  const Bench b(lowered(1));
  const double ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder()), load_n = b.net.rig.panel.mass_kg * gravity_m_per_s2;
  const PilotLaw<double> law = b.net.releases[0];
  const Edge& e = *std::find_if(b.net.edges.begin(), b.net.edges.end(), [](const Edge& x) { return x.release >= 0; });
  double friction = 0;
  for (int i = 0; i < 100; ++i) {
    double gauge_b = 0, gauge_a = 0, share = 0;
    ThroughFlow<double> wide{};
    for (int k = 0; k < 100; ++k) {                          // rest: the rod side is filled as it empties
      gauge_a = (ar * gauge_b + load_n - friction * flow_m3_per_s / ar) / ac;
      wide = flow(b.net.orifices[static_cast<std::size_t>(e.law)], p0_pa_abs + gauge_a, p0_pa_abs);
      share = flow_m3_per_s * ac / ar / wide.q;
      gauge_b = (law.full_pa_diff * (share + 0.05) / 1.1 + gauge_a + law.spring_pa_diff) / law.pilot_ratio;   // between its corners
    }
    REQUIRE(share > 0.1);
    REQUIRE(share < 0.9);
    const double falls = 1.1 * wide.q / law.full_pa_diff - share * wide.dq_dfrom;
    friction = (ac * ac + ar * ar * side_m3_per_pa(b, true) / side_m3_per_pa(b, false)) / falls;
  }
  return friction;
}

struct Lowered { double swing_pa, speed_m_per_s; long steps; };

/// How far the pilot's pressure swings while the rod passes its middle.
Lowered lower(double viscous_n_s_per_m) {
  Bench b(lowered(viscous_n_s_per_m));
  b.c.position_m[0] = middle_m + 0.02;
  b.fill();
  const Drive down{.motor = true, .retract = true, .on_panel = true};
  b.drive(down, 0.2);
  const double x = b.c.position_m[0];
  const long before = b.march.engine().counts().steps;
  double low = 1e9, high = 0;
  const int pilot = b.net.place("valve_block.b");
  const auto watch = [&](double, const auto&) {
    low = std::min(low, b.march.engine().model().pressure(pilot));
    high = std::max(high, b.march.engine().model().pressure(pilot));
    return false;
  };
  REQUIRE(b.march.phase(b.c, down, 0.2, watch, [](const Contents&, const FlowEngine::Quantum&) { return false; }) == Outcome::ok);
  return {high - low, (x - b.c.position_m[0]) / 0.2, b.march.engine().counts().steps - before};
}

}  // namespace

TEST_SUITE("limits/check_hunting") {
  TEST_CASE("limit: a check valve hunts on that side of its neutral line where the algebra says so, on the other it does not") {
    const double neutral = neutral_n_s_per_m();
    const Lowered quiet = lower(neutral / 1.15), hunting = lower(1.15 * neutral);
    CHECK(quiet.swing_pa < 0.02e5);
    CHECK(hunting.swing_pa > 0.2e5);
    CHECK(quiet.steps < 100);                                // nothing to follow: steps as long as a quantum
    for (const Lowered& l : {quiet, hunting})                // either way the pump fills what the rod leaves
      CHECK(std::abs(l.speed_m_per_s * rod_area_m2(lowered(1).branches[0].cylinder) / flow_m3_per_s - 1) < 0.02);
    MESSAGE("neutral at " << neutral << " N s/m; quiet: " << quiet.swing_pa << " Pa in " << quiet.steps << " steps, hunting: "
                          << hunting.swing_pa << " Pa in " << hunting.steps);
  }
}
