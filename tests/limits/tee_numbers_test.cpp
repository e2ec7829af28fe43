// Two rods on a tee, coupled by their panel, in numbers: how far apart they settle, and in what time.
//   e = [(R2 - R1) Q A + 2 (W2 - W1)]/(4 k_c)     tau = (R1 + R2) A^2/(4 k_c)
#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

TEST_SUITE("limits/tee_numbers") {
  // Lines of 1.2 and 2.0 m, VG 22, 706 and 1059 N, a torque tube of 2600 N m/rad over 1.10 m between the rods.
  TEST_CASE("limit: on a tee the two rods settle 82.587 mm apart, in 45.85 ms") {
    Rig r = bench_rig(2, SynchroniserKind::tee, 12e-6);
    r.oil = oil_by_grade(22);
    r.oil.temperature_k = 313.15;
    r.oil.density_15_kg_per_m3 = 870 * (1 + r.oil.expansion_per_k * 25);   // 870 at 40 deg C
    r.oil.modulus_slope = r.oil.pressure_viscosity_per_pa = 0;
    r.oil.modulus_40_pa = 5e9;
    for (Branch& b : r.branches) {
      b.cylinder.viscous_n_s_per_m = 0.02;
      b.cap_line.bore_m = 5e-3;
      b.rod_line = {.bore_m = 15e-3, .length_m = 0.1, .wall_m = 20e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
    }
    r.branches[0].cap_line.length_m = 1.2;
    r.branches[1].cap_line.length_m = 2.0;
    r.panel = {.mass_kg = 180, .centre_of_mass = 0.6, .spacing_m = 1.10, .torsion_n_m_per_rad = 2600};
    Bench b(r, {.quantum_share = 0.002});
    struct Point { double t, e; };
    std::vector<Point> seen;
    b.drive({.motor = true, .extend = true, .on_panel = true}, 4, [&](const Contents& c, const FlowEngine::Quantum&) {
      if (c.motion[0] && c.motion[1]) seen.push_back({c.time_s, c.position_m[0] - c.position_m[1]});
      return false;
    });
    const double e = b.c.position_m[0] - b.c.position_m[1];
    REQUIRE(seen.size() > 20);
    CHECK(near(e, 82.587e-3, 5e-3, 0));
    std::size_t early = 0, late = 0;   // from the second rod's start, half a time constant and two
    while (seen[early].t < seen[0].t + 0.5 * 45.85e-3) ++early;
    while (seen[late].t < seen[0].t + 2 * 45.85e-3) ++late;
    const double tau_s = (seen[late].t - seen[early].t) / std::log((e - seen[early].e) / (e - seen[late].e));
    CHECK(near(tau_s, 45.85e-3, 5e-3, 0));
    MESSAGE("apart " << e << " m, time constant " << tau_s << " s");
  }
}
