// The first test at the bench: push a rod by hand against a shut port. Air springs, oil hardly gives.
//   dx = [V0 (1 - p0/p) + V (p - p0)/K]/A,  p = p0 + F/A
#include <doctest/doctest.h>

#include <numbers>
#include <string>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// A cylinder alone, its rod port in a container of oil, `oil_m3` of oil and `air_m3` of air (at p0) on its cap side,
/// which the valve shuts; a hand pushes the rod with `force_n` until nothing moves.
struct Push {
  double way_m, pressure_pa_abs, area_m2, modulus_pa;
};
Push push(double bore_m, double oil_m3, double air_m3, double force_n) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.oil.modulus_40_pa = 1.385e9;   // 0.065 mL of 100 mL for 9 bar
  Cylinder& c = r.branches[0].cylinder;
  c.bore_m = bore_m;
  r.reservoir.container_m3 = 1e-3;
  c.rod_clearance_m3 = 1e-6;
  const double line_m3 = volume_m3(r.branches[0].cap_line) + r.valve_block.passage_m3;   // up to the shut valve
  const double area = cap_area_m2(c), x = (oil_m3 + air_m3 - line_m3 - c.cap_clearance_m3) / area;
  c.stroke_m = 1.2 * x;
  const Connections joints{.parted = {"a.rod_port"}, .line_end = Opening::capped, .port = Opening::container,
                           .by_hand = {"a"}, .hand_n = force_n};
  const Network n = make_network(r, {0}, joints);
  March march(n, {});
  Contents at_x = make_contents(n, {{}, {}, false, true, true});
  at_x.position_m[0] = x;
  const auto cap = static_cast<std::size_t>(n.place("a.cap_chamber"));
  at_x.masses[cap].pocket_kg = air_m3 * p0_pa_abs / n.gas_j_per_kg;
  at_x.recipe.valid = false;
  at_x = fit(at_x, n);
  const Masses before = total(at_x);
  const double air = air_kg(at_x);
  const Outcome o = march.phase(at_x, {.hand = -1}, 60, [](double, const auto&) { return false; },
                                [](const Contents&, const FlowEngine::Quantum&) { return false; });
  REQUIRE(std::string(to_string(o)) == "ok");
  CHECK(near(total(at_x).oil_kg, before.oil_kg, 1e-12, 0));
  CHECK(near(air_kg(at_x), air, 1e-12, 0));
  return {x - at_x.position_m[0], at_x.pressure_pa_abs[cap], area, n.liquid.k0_pa};
}

}  // namespace

TEST_SUITE("limits/hand_push") {
  TEST_CASE("limit: 100 N on a 25 mm bore with 1 mL of air is 1.36 mm; with oil alone three hundredths of one") {
    const Push oil = push(25e-3, 100e-6, 0, 100), air = push(25e-3, 100e-6, 1e-6, 100);
    const double p = p0_pa_abs + 100 / air.area_m2;
    CHECK(near(air.pressure_pa_abs, p, 1e-4, 0));
    CHECK(near(oil.way_m, 100e-6 * (p - p0_pa_abs) / oil.modulus_pa / oil.area_m2, 5e-3, 0));
    CHECK(near(oil.way_m, 0.03e-3, 5e-2, 0));
    CHECK(near(air.way_m - oil.way_m, 1e-6 * (1 - p0_pa_abs / p) / air.area_m2, 1e-3, 0));
    CHECK(near(air.way_m - oil.way_m, 1.36e-3, 5e-3, 0));   // 1 mL x (1 - 1.01325/3.0504)/490.87 mm2 = 1.3605 mm
    MESSAGE("air " << air.way_m - oil.way_m << " m, oil " << oil.way_m << " m");
  }

  TEST_CASE("limit: from 1 to 10 bar abs 1 mL of air gives 0.90 mL, 100 mL of oil 0.065 mL") {
    for (const double bore_m : {20e-3, 40e-3}) {
      CAPTURE(bore_m);
      const double area = std::numbers::pi / 4 * bore_m * bore_m, force_n = (10e5 - p0_pa_abs) * area;
      const Push oil = push(bore_m, 100e-6, 0, force_n), air = push(bore_m, 100e-6, 1e-6, force_n);
      CHECK(near(oil.way_m * area, 0.065e-6, 5e-3, 0));
      CHECK(near((air.way_m - oil.way_m) * area, 0.90e-6, 5e-3, 0));
      MESSAGE("air " << (air.way_m - oil.way_m) * area * 1e6 << " mL, oil " << oil.way_m * area * 1e6 << " mL");
    }
  }
}
