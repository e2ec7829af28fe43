#include "evenstroke/transport/shut_in.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "evenstroke/air/solution.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double ostwald_40 = 0.09 * 313.15 / 273.15;

Rig shut_rig() {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.air.bunsen = 0.09;
  r.air.diffusivity_m2_per_s = 2e-9;
  r.air.release_s = 10;
  return r;
}
/// Air that a kilogram of oil holds at a pressure.
double dissolved(const Rig& r, double p_pa_abs) {
  return dissolved_at_kg_per_m3(r.air.bunsen, p_pa_abs) / density(r.oil, r.oil.temperature_k);
}
double p_bar(const Contents& c, std::size_t place) { return c.pressure_pa_abs[place] / 1e5; }

}  // namespace

TEST_SUITE("transport/shut_in") {
  TEST_CASE("limit: a volume full of oil is stiffer by 1 + L K/p; one with much gas, with a way out or a rod that moves is not") {
    Bench b(shut_rig());
    for (Masses& m : b.c.masses) m.fine_kg = 1e-15;
    ShutIn s(b.net);
    s.start({});
    s.look(b.c);
    CHECK(near(s.stiffening(b.index("valve_block.p")), 1 + ostwald_40 * 5e9 / p0_pa_abs, 1e-3, 0));
    Masses& m = b.c.masses[b.index("valve_block.p")];
    m.pocket_kg = 1e3 * m.oil_kg / b.net.rho0_kg_per_m3 * p0_pa_abs / b.net.gas_j_per_kg;
    s.look(b.c);
    CHECK(near(s.stiffening(b.index("valve_block.p")), 1, 1e-3, 0));
    const std::size_t cap = b.index("a.cap_chamber");
    CHECK(s.stiffening(cap) > 100);
    b.c.motion[0] = 1;
    s.look(b.c);
    CHECK(near(s.stiffening(cap), 1, 1e-3, 0));
    b.c.motion[0] = 0;
    s.start({.retract = true});                            // A is open to the reservoir
    s.look(b.c);
    CHECK(near(s.stiffening(cap), 1, 1e-3, 0));
  }
  TEST_CASE("limit: a circuit that is shut and stands never goes beyond the pressures between which it started") {
    for (const double share : {0.5, 0.9, 1.5}) {           // of what the oil holds at its pressure
      CAPTURE(share);
      Rig r = shut_rig();
      r.air.saturation = 0;
      r.branches[0].cylinder.breakaway_pa_diff = 50e5;      // the rod stays
      Bench b(r);
      for (double& p : b.c.pressure_pa_abs) p = 8e5;
      b.fill();
      for (Masses& m : b.c.masses) m.dissolved_kg = share * dissolved(r, 8e5) * m.oil_kg;
      Masses& p = b.c.masses[b.index("valve_block.p")];
      p.fine_kg = 0.01 * b.net.places[b.index("valve_block.p")].volume_m3 * 8e5 / b.net.gas_j_per_kg;
      p.oil_kg *= 0.99;
      b.take(b.c);
      double highest = 0, lowest = 1e9;
      b.drive({}, 4000, [&](const Contents& c, const FlowEngine::Quantum&) {
        highest = std::max(highest, p_bar(c, b.index("valve_block.p")));
        lowest = std::min(lowest, p_bar(c, b.index("valve_block.p")));
        return false;
      });
      const double ends = std::max(8.0, 8.0 * share);      // of oil that holds more: Henry's pressure of it all
      CHECK(highest < 1.02 * ends);
      CHECK(lowest > 0.98 * 8 * std::min(1.0, share));
      MESSAGE("between " << lowest << " and " << highest << " bar abs");
    }
  }
}
