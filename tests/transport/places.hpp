#pragma once
#include <cmath>
#include <numbers>
#include <vector>

#include "evenstroke/base/constants.hpp"
#include "evenstroke/transport/exchange.hpp"
#include "evenstroke/transport/swarm.hpp"

namespace evenstroke::testing {

inline constexpr double celsius_20 = 293.15, bar = 1e5;
enum Where : std::size_t { chamber, drive, plain, high, line };   // plain, high: passages, `high` with a high point

/// One place of every kind, each on its own: nothing flows, the test sets what they hold and at which pressure.
struct StillPlaces {
  Network n;
  Contents c;
  double before_pa_abs = 0;   ///< of all places; 0 = as now

  StillPlaces() {
    n.rig.oil.temperature_k = celsius_20;
    n.rig.branches.resize(1);
    Cylinder& cylinder = n.rig.branches[0].cylinder;
    cylinder.bore_m = 32e-3;
    cylinder.rod_m = 20e-3;
    cylinder.stroke_m = 0.1;
    cylinder.attitude = Attitude::rod_up;
    n.rho0_kg_per_m3 = 870;
    n.mu_pa_s = 32e-6 * 870;
    n.gas_j_per_kg = air_gas_constant * celsius_20;
    n.places.resize(5);
    const auto set = [&](Where w, PlaceKind kind, double volume_m3, int axis, double slope_m2) {
      n.places[w].kind = kind;
      n.places[w].volume_m3 = volume_m3;
      n.places[w].axis = axis;
      n.places[w].slope_m2 = slope_m2;
    };
    set(chamber, PlaceKind::chamber, 2e-6, 0, std::numbers::pi / 4 * 32e-3 * 32e-3);
    set(drive, PlaceKind::chamber, 1e-6, 1, 9e-4);
    set(plain, PlaceKind::passage, 8e-6, -1, 0);
    set(high, PlaceKind::passage, 8e-6, -1, 0);
    set(line, PlaceKind::line, 25e-6, -1, 0);
    n.places[chamber].branch = 0;
    n.places[high].trap_m3 = 1e-6;
    n.places[line].bore_m = 4e-3;
    c.place.resize(5);
    c.masses.resize(5);
    c.line.resize(5);
    c.pressure_pa_abs.assign(5, p0_pa_abs);
    c.pocket_k.assign(5, celsius_20);
    c.position_m = {0.1, 0.05};
  }
  AirInputs& air() { return n.rig.air; }
  Masses& at(Where w) { return c.masses[w]; }
  double gas_kg(double m3, double p) const { return m3 * p / n.gas_j_per_kg; }
  double gas_m3(double kg, double p) const { return kg * n.gas_j_per_kg / p; }
  Masses held(Where w) const { return w == line ? total(c.line[w]) : c.masses[w]; }
  double equilibrium_kg(Where w) const {   // Henry: S volumes of gas at 273.15 K and 1 atm per volume of oil and atm
    const double p = c.pressure_pa_abs[w];
    return n.rig.air.bunsen * held(w).oil_kg / n.rho0_kg_per_m3 * p / (air_gas_constant * 273.15);
  }
  /// Oil at `p` with air dissolved as at `saturated_at`, no gas; in the line as three parcels.
  void oil(double m3, double p, double saturated_at) {
    c.pressure_pa_abs.assign(5, p);
    const double kg = m3 * n.rho0_kg_per_m3;
    for (const Where w : {chamber, drive, plain, high, line}) {
      Masses m{.oil_kg = kg};
      m.dissolved_kg = n.rig.air.bunsen * m3 * saturated_at / (air_gas_constant * 273.15);
      c.masses[w] = w == line ? Masses{} : m;
      if (w != line) continue;
      c.line[w] = {};
      Queue& q = c.line[w].queue;
      for (const double share : {0.2, 0.5, 0.3}) q[q.count++] = {share * kg, 0, share * m.dissolved_kg};
    }
  }
  /// In the line: in a stretch of its own for each class, or evenly over all of it.
  void bubbles(double coarse_kg, double fine_kg, bool evenly = false) {
    const Streamtubes tubes = make_streamtubes(4);
    for (const Where w : {chamber, drive, plain, high}) {
      at(w).coarse_kg = coarse_kg;
      at(w).fine_kg = fine_kg;
    }
    if (coarse_kg > 0) fill(c.line[line].bubbles[coarse], tubes, evenly ? 0.0 : 0.2, evenly ? 1.0 : 0.9, coarse_kg);
    if (fine_kg > 0) fill(c.line[line].bubbles[fine], tubes, evenly ? 0.0 : 0.5, 1.0, fine_kg);
  }
  /// Returns the time limit for a change of 1 mm3.
  double apply(double seconds) {
    Exchange e(n, 4);
    e.apply(c, seconds, before_pa_abs > 0 ? std::vector<double>(5, before_pa_abs) : c.pressure_pa_abs);
    return e.time_limit_s(1e-9);
  }
};
inline constexpr Where everywhere[] = {chamber, drive, plain, high, line};

/// Nothing dissolves and nothing is released: bubbles only rise.
inline StillPlaces only_rise(double oil_m3, double p = p0_pa_abs) {
  StillPlaces b;
  b.air().diffusivity_m2_per_s = 0;
  b.air().release_s = 1e12;
  b.oil(oil_m3, p, p0_pa_abs);
  return b;
}

}  // namespace evenstroke::testing
