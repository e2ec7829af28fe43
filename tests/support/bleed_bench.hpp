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

namespace evenstroke::testing {

/// One cylinder on a tee: no friction, no leak, rigid lines, smallest passages, plug flow of slugs. A tee has nothing
/// between valve and cap line, so what the forward flow does not pass is the line and one passage.
inline Rig bleed_rig(double cap_line_m) {
  Rig r;
  r.name = "bleed bench";
  r.oil = oil_by_grade(22);
  r.oil.modulus_slope = 0;
  r.pump.displacement_m3_per_rad = 0.24e-6 / (2 * std::numbers::pi);
  r.pump.supply_v = 12;
  r.valve_block.passage_m3 = 1e-8;
  r.valve_block.path_area_m2 = r.valve_block.lowering_area_m2 = 1e-5;
  r.panel.mass_kg = 40;
  r.air.slug_slip = 0;
  r.air.dispersed_share = 0;
  const Line rigid{.bore_m = 4e-3, .length_m = cap_line_m, .wall_m = 5e-3, .wall_modulus_pa = 500e9, .minor_loss = 0};
  Line back = rigid;
  back.bore_m = 6e-3;
  back.length_m = 0.5;
  const Cylinder c{.bore_m = 16e-3, .rod_m = 10e-3, .stroke_m = 0.1, .breakaway_pa_diff = 0, .leak_m3_per_s_pa = 0};
  r.branches = {{"left", c, rigid, back}};
  return r;
}

/// A rig with its contents, driven by hand: extend and return end at the stop, rest lets the pressures settle.
class BleedBench {
 public:
  explicit BleedBench(const Rig& r, const Resolution& res = {}, bool rods_out = false)
      : rig(r), net(make_network(r, order(r))), c(make_contents(net, {{}, {}, rods_out, true, true})), march_(net, res) {}
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

  std::size_t place(const std::string& name) const { return static_cast<std::size_t>(net.place(name)); }
  double gas_kg(const std::string& name) const { return held(c, net.place(name)).gas_kg(); }
  double pressure(const std::string& name) const { return c.pressure_pa_abs[place(name)]; }
  double gas_kg_of_m3(double m3, double p) const { return m3 * p / net.gas_j_per_kg; }
  double gas_m3(double kg, double p) const { return kg * net.gas_j_per_kg / p; }
  /// Puts gas into a place, as a pocket or dispersed, in exchange for oil at the place's pressure.
  void add_gas(const std::string& name, double m3, bool dispersed) {
    const std::size_t p = place(name);
    Masses& m = c.masses[p];
    (dispersed ? m.dispersed_kg : m.pocket_kg) += gas_kg_of_m3(m3, c.pressure_pa_abs[p]);
    m.oil_kg -= m3 * net.rho0_kg_per_m3 / relative_volume(net.liquid, c.pressure_pa_abs[p]);
  }
  March& march() { return march_; }

  Rig rig;
  Network net;
  Contents c;
  std::function<void(const Contents&)> seen;   ///< told the contents after every transport

 private:
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
    const Outcome o = march_.phase(c, d, time_s, [](double, const auto&) { return false; }, after);
    if (o != Outcome::ok) throw std::runtime_error(to_string(o));
  }
  March march_;
};

}  // namespace evenstroke::testing
