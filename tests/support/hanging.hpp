#pragma once
#include <cmath>
#include <numbers>
#include <string>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/drive_through.hpp"
#include "support/near.hpp"

namespace evenstroke::testing {

/// Cap line of a single branch straight from the valve block (height 0) to `end_m`, its length that height or more.
inline Rig hanging(double bore_m, double length_m, double end_m) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  Branch& b = r.branches[0];
  b.cylinder.attitude = Attitude::level;
  b.cylinder.height_m = end_m;
  b.cap_line.bore_m = bore_m;
  b.cap_line.length_m = length_m;
  b.rod_line.length_m = std::abs(end_m) + 0.5;
  r.air.slug_rise = 1;
  r.air.surface_tension_n_per_m = 0.030;
  r.air.slug_slip = 0;
  r.valve_block.lowering_area_m2 = 1e-3;
  return r;
}

/// The network with the cap line's far end in the air, its contents and its own march; every phase checks the books.
struct Hanging {
  explicit Hanging(const Rig& r)
      : net(make_network(r, {0}, {.parted = {"a.cap_port"}, .line_end = Opening::air, .by_hand = {}})),
        march(net, {.streamtubes = 1}), c(make_contents(net, {{}, {}, false, true, true})) {
    count();
  }
  /// Oil in the first `share` of the cap line, air at p0 in the rest.
  void fill_to(double share) {
    Queue& q = c.line[static_cast<std::size_t>(net.place("a.cap_line"))].queue;
    const Parcel all = q[0];
    q.count = 2;
    q[0] = {share * all.oil_kg, 0, share * all.dissolved_kg, false};
    q[1] = {0, (1 - share) * volume_m3(line()) * p0_pa_abs / net.gas_j_per_kg, 0, true};
    c.recipe.valid = false;
    c = fit(c, net);
    count();
  }
  void stand(const Drive& d, double time_s) {
    const Outcome o = drive_through(march, c, d, time_s, [](const Contents&, const FlowEngine::Quantum&) { return false; });
    REQUIRE(std::string(to_string(o)) == "ok");
    CHECK(near(total(c).oil_kg + c.ledger.oil_spilled_kg, start_oil_kg, 1e-12, 0));
    CHECK(near(air_kg(c) + c.ledger.air_vented_kg, start_air_kg + c.ledger.air_ingested_kg, 1e-12, 0));
  }
  const Line& line() const { return net.rig.branches[0].cap_line; }
  double spilled_m3() const { return c.ledger.oil_spilled_kg / net.rho0_kg_per_m3; }
  double oil_m3() const { return held(c, net.place("a.cap_line")).oil_kg / net.rho0_kg_per_m3; }   ///< in the line
  double level_m() const { return c.reservoir.oil_kg / net.rho0_kg_per_m3 / net.rig.reservoir.area_m2; }
  double rho_g() const { return net.rho0_kg_per_m3 * gravity_m_per_s2; }
  double capillary_pa() const { return 4 * net.rig.air.surface_tension_n_per_m / line().bore_m; }
  double poiseuille_m3_per_s(double dp_pa, double length_m) const {
    return std::numbers::pi * std::pow(line().bore_m, 4) * dp_pa / (128 * net.mu_pa_s * length_m);
  }

  const Network net;
  March march;
  Contents c;
  double start_oil_kg = 0, start_air_kg = 0;

 private:
  void count() {
    start_oil_kg = total(c).oil_kg + c.ledger.oil_spilled_kg;
    start_air_kg = air_kg(c) + c.ledger.air_vented_kg - c.ledger.air_ingested_kg;
  }
};

}  // namespace evenstroke::testing
