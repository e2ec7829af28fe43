#pragma once
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>
#include <string>
#include <vector>

#include "evenstroke/transport/march.hpp"
#include "support/drive_through.hpp"
#include "support/still_air.hpp"

namespace evenstroke::testing {

/// A rig in which everything that a closed form leaves out is absent or very small: no friction, no leakage, clearances
/// and passages of 0.1 mL, stiff lines without fittings, wide valve paths, a relief that stays shut, a pump of constant
/// flow, oil of constant modulus and the viscosity of its grade (46 mm2/s at 40 deg C).
inline Rig bench_rig(int branches, SynchroniserKind kind, double flow_m3_per_s) {
  Rig r;
  r.name = "bench";
  r.oil = oil_by_grade(46);
  r.oil.temperature_k = 313.15;
  r.oil.modulus_40_pa = 5e9;
  r.oil.modulus_slope = 0;
  r.pump = {.displacement_m3_per_rad = flow_m3_per_s * 0.032 / 12, .supply_v = 12, .motor_constant_v_s = 0.032,
            .armature_ohm = 1e-3, .idle_torque_n_m = 0, .slip = 0, .drag = 0, .dry_friction = 0};
  r.valve_block = {.path_area_m2 = 5e-5, .lowering_area_m2 = 5e-5, .transition_re = 200, .relief_pa_gauge = 400e5,
                   .passage_m3 = 1e-7};
  r.reservoir = {.oil_m3 = 20e-3, .area_m2 = 0.1, .intake_m = 0.01, .capacity_m3 = 40e-3};
  r.synchroniser = {.kind = kind, .clearance_m3 = 1e-7, .outlet_m3 = 1e-7, .breakaway_pa_diff = 0,
                    .viscous_n_s_per_m = 1, .leak_m3_per_s_pa = 0, .bypass_area_m2 = 5e-5};
  r.panel.mass_kg = 0;
  const Line line{.bore_m = 4e-3, .length_m = 0.5, .wall_m = 20e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
  const Cylinder cylinder{.bore_m = 20e-3, .rod_m = 12e-3, .stroke_m = 0.25, .cap_clearance_m3 = 1e-7,
                          .rod_clearance_m3 = 1e-7, .breakaway_pa_diff = 0, .viscous_n_s_per_m = 1,
                          .leak_m3_per_s_pa = 0, .attitude = Attitude::level};   // both ports at one height
  for (int i = 0; i < branches; ++i)
    r.branches.push_back({std::string(1, static_cast<char>('a' + i)), cylinder, line, line});
  still_air(r);
  r.reservoir.area_m2 = 0.1;
  return r;
}

/// A rig as a workshop has it, of default parts: friction, leakage, soft oil, narrow paths. Two equal branches, the
/// loads equal or as 7 to 9.
inline Rig workshop_rig(SynchroniserKind kind, bool even_load = true) {
  Rig r;
  r.name = "workshop";
  r.oil = oil_by_grade(22);
  r.pump = {.displacement_m3_per_rad = 3.8e-8, .supply_v = 12};
  r.synchroniser.kind = kind;
  r.panel = {.mass_kg = 110, .centre_of_mass = even_load ? 0.5 : 0.5625, .torsion_n_m_per_rad = even_load ? 0.0 : 2000};
  const Cylinder cylinder{.bore_m = 20e-3, .rod_m = 12e-3, .stroke_m = 0.15};
  for (const char* name : {"a", "b"})
    r.branches.push_back({name, cylinder, {.bore_m = 4e-3, .length_m = 1.5}, {.bore_m = 4e-3, .length_m = 1.2}});
  return r;
}

/// A rig's network with contents and a march through time; every phase checks what every run must keep.
class Bench {
 public:
  explicit Bench(const Rig& r, const Resolution& resolution = {}, const Connections& joints = {})
      : net(make_network(r, order(r), joints)), march(net, resolution), c(make_contents(net, {{}, {}, false, true, true})) {
    fill();
  }

  /// After positions, pressures or gas have been set by hand: as much oil as keeps every place at its pressure.
  void fill() {
    c.recipe.valid = false;
    take(c);
  }
  void take(const Contents& contents) {
    c = fit(contents, net);
    start_ = total(c);
    start_air_kg_ = air_kg(c);
    ledger_ = c.ledger;
  }

  void drive(const Drive& d, double time_s, const After& after) {
    const Outcome o = drive_through(march, c, d, time_s, after);
    REQUIRE(std::string(to_string(o)) == "ok");
    const Masses m = total(c);
    const Ledger &l = c.ledger, &l0 = ledger_;
    const double oil = m.oil_kg + (l.oil_spilled_kg - l0.oil_spilled_kg) - (l.oil_refilled_kg - l0.oil_refilled_kg);
    const double air = air_kg(c) + (l.air_vented_kg - l0.air_vented_kg) - (l.air_ingested_kg - l0.air_ingested_kg);
    CHECK(std::abs(oil - start_.oil_kg) <= 1e-12 * start_.oil_kg);
    CHECK(std::abs(air - start_air_kg_) <= 1e-12 * (start_air_kg_ + l.air_vented_kg + l.air_ingested_kg));
    for (const double p : c.pressure_pa_abs) CHECK(std::isfinite(p));
    for (const double x : c.position_m) CHECK(std::isfinite(x));
  }
  void drive(const Drive& d, double time_s) {
    drive(d, time_s, [](const Contents&, const FlowEngine::Quantum&) { return false; });
  }

  double pressure(const std::string& place) const { return c.pressure_pa_abs[index(place)]; }
  std::size_t index(const std::string& place) const { return static_cast<std::size_t>(net.place(place)); }
  const Cylinder& cylinder(std::size_t branch = 0) const { return net.rig.branches[branch].cylinder; }

  const Network net;
  March march;
  Contents c;

 private:
  static std::vector<int> order(const Rig& r) {
    std::vector<int> o(r.branches.size());
    std::iota(o.begin(), o.end(), 0);
    return o;
  }
  Masses start_;
  double start_air_kg_ = 0;
  Ledger ledger_;
};

/// The rod port of branch `a` parted and open to the air: nothing but the load presses on the cap side.
inline Connections rod_side_open() {
  Connections j;
  j.parted = {"a.rod_port"};
  j.port = Opening::air;
  return j;
}

}  // namespace evenstroke::testing
