#pragma once
#include <cmath>
#include <functional>
#include <memory>
#include <numbers>
#include <stdexcept>
#include <string>
#include <utility>

#include "evenstroke/procedure/run.hpp"
#include "evenstroke/transport/march.hpp"
#include "support/drive_through.hpp"
#include "support/still_air.hpp"

namespace evenstroke::testing {

/// One cylinder on a tee: hardly any friction (10 mbar), no leak, rigid lines, the smallest passages, plug flow of
/// slugs, slow strokes. A tee has nothing between valve and cap line: what the forward flow does not pass is the line.
inline Rig bleed_rig(double cap_line_m) {
  Rig r;
  r.name = "bleed bench";
  r.oil = oil_by_grade(22);
  r.oil.modulus_slope = 0;
  r.oil.temperature_k = 313.15;
  r.pump.displacement_m3_per_rad = 0.24e-6 / (2 * std::numbers::pi);
  r.pump.supply_v = 2;
  r.reservoir.oil_m3 = 2e-3;
  r.reservoir.capacity_m3 = 4e-3;
  r.valve_block.passage_m3 = 1e-8;
  r.valve_block.path_area_m2 = r.valve_block.lowering_area_m2 = 1e-5;
  r.panel.mass_kg = 20;   // 3.5 bar in the cap chamber
  r.air.slug_slip = 0;
  r.air.dispersed_share = 0;
  const Line line{.bore_m = 4e-3, .length_m = cap_line_m, .wall_m = 5e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
  Line back = line;
  back.length_m = 2;
  const Cylinder c{.bore_m = 32e-3, .rod_m = 20e-3, .stroke_m = 0.1, .breakaway_pa_diff = 1e3, .leak_m3_per_s_pa = 0};
  r.branches = {{"left", c, line, back}};
  still_air(r);
  r.reservoir.oil_m3 = 0.9;   // what it does not remove at once is too thin there to come back
  r.reservoir.capacity_m3 = 1;
  return r;
}
/// Length of the bench's cap line that holds a volume.
inline double length_for(double m3) { return m3 / area_m2(Line{.bore_m = 4e-3}); }

/// Two such cylinders behind metering pistons, for `run`: bypass valves open, a cap line starts at the valve block.
inline Rig bleed_pair_rig(double cap_line_m) {
  Rig r = bleed_rig(cap_line_m);
  r.synchroniser = {.kind = SynchroniserKind::metering_pistons, .clearance_m3 = 1e-6, .outlet_m3 = 1e-8,
                    .breakaway_pa_diff = 1e3, .leak_m3_per_s_pa = 0, .bypass_area_m2 = 1e-5};
  r.panel.mass_kg *= 2;
  r.pump.supply_v = 4;
  r.branches.push_back(r.branches.front());
  r.branches.back().name = "right";
  return r;
}

/// A rig with its contents, driven by hand: extend and return end at the stop, rest lets the pressures settle.
class BleedBench {
 public:
  explicit BleedBench(const Rig& r, const Resolution& res = {}, bool rods_out = false)
      : rig(r),
        net(make_network(r, order(r))),
        c(make_contents(net, {{}, {}, rods_out, true, true})),
        march_(net, plug_unless_asked(res)) {}
  BleedBench(const BleedBench&) = delete;

  void extend(bool on_panel = true) { run({.motor = true, .extend = true, .on_panel = on_panel}, 600, true); }
  void retract(bool on_panel = false) { run({.motor = true, .retract = true, .on_panel = on_panel}, 600, true); }
  /// Motor off, cap side open to the reservoir.
  void rest(double s = 20) { run({.retract = true}, s, false); }
  void cycle(bool return_on_panel = false) {
    extend();
    retract(return_on_panel);
    rest();
  }

  /// From the upper stops down and up again, or from the lower ones up and down, with rods free on the way that sweeps.
  void sweep(bool rods_out) {
    if (rods_out) {
      retract();
      rest();
      extend();
    } else {
      extend(false);
      rest();
      retract();
    }
  }

  std::size_t place(const std::string& name) const { return static_cast<std::size_t>(net.place(name)); }
  double gas_kg() const { return gas_kg("left.cap_chamber") + gas_kg("left.cap_line") + gas_kg("valve_block.a"); }
  double gas_kg(const std::string& name) const { return held(c, net.place(name)).gas_kg(); }
  double pressure(const std::string& name) const { return c.pressure_pa_abs[place(name)]; }
  double gas_kg_of_m3(double m3, double p) const { return m3 * p / net.gas_j_per_kg; }
  double gas_m3(double kg, double p) const { return kg * net.gas_j_per_kg / p; }
  /// Puts gas into a place, as a pocket or as fine bubbles, in exchange for oil at the place's pressure.
  void add_gas(const std::string& name, double m3, bool bubbles) {
    const std::size_t p = place(name);
    if (m3 > available_m3(net, c, net.place(name))) throw std::runtime_error("no room for the gas in " + name);
    Masses& m = c.masses[p];
    (bubbles ? m.fine_kg : m.pocket_kg) += gas_kg_of_m3(m3, c.pressure_pa_abs[p]);
    m.oil_kg -= m3 * net.rho0_kg_per_m3 / relative_volume(net.liquid, c.pressure_pa_abs[p]);
  }
  /// V_s and V_o of the closed forms: the cap chamber's own stroke volume, and what its oil gives when let down from p.
  double stroke_m3() const { return net.places[place("left.cap_chamber")].slope_m2 * net.axes[0].travel_m; }
  double clearance_m3() const { return net.places[place("left.cap_chamber")].volume_m3; }
  double line_m3() const { return net.places[place("left.cap_line")].volume_m3 + rig.valve_block.passage_m3; }
  double decompressed_m3(double p) const { return (clearance_m3() + stroke_m3()) * (p - p0_pa_abs) / net.liquid.k0_pa; }
  March& march() { return march_; }

  Rig rig;
  Network net;
  Contents c;
  std::function<void(const Contents&)> seen;   ///< told the contents after every transport

 private:
  static Resolution plug_unless_asked(Resolution r) {   // one tube is plug flow
    if (r.streamtubes == Resolution().streamtubes) r.streamtubes = 1;
    return r;
  }
  static std::vector<int> order(const Rig& r) {
    std::vector<int> o;
    for (std::size_t i = 0; i < r.branches.size(); ++i) o.push_back(static_cast<int>(i));
    return o;
  }
  void run(const Drive& d, double time_s, bool to_stop) {
    const auto after = [&](const Contents& now, const FlowEngine::Quantum&) {
      if (seen) seen(now);
      return to_stop && now.motion[0] == 0 && now.position_m[0] == (d.extend ? net.axes[0].travel_m : 0.0);
    };
    const Outcome o = drive_through(march_, c, d, time_s, after);
    if (o != Outcome::ok) throw std::runtime_error(to_string(o));
  }
  March march_;
};

}  // namespace evenstroke::testing
