// Rigs drawn from the input space with one seed: whatever is bolted together, a run ends in order, keeps its books and
// its energy, and holds no number that is none.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"

using namespace evenstroke;

namespace {

/// xorshift64* (Marsaglia 2003, Vigna 2016, from memory): the same rigs with every compiler.
struct Dice {
  std::uint64_t state;
  double unit() {
    state ^= state >> 12U, state ^= state << 25U, state ^= state >> 27U;
    return static_cast<double>((state * 0x2545f4914f6cdd1dU) >> 11U) * 0x1p-53;
  }
  double between(double low, double high) { return low + (high - low) * unit(); }
  double decades(double low, double high) { return low * std::pow(high / low, unit()); }
  bool chance(double p) { return unit() < p; }
  template <class X>
  X one_of(std::initializer_list<X> list) {
    return list.begin()[static_cast<std::size_t>(unit() * static_cast<double>(list.size()))];
  }
};

struct Case {
  Rig rig;
  Contents contents;
  Procedure procedure;
};

Line random_line(Dice& d) {
  Line l{.bore_m = d.between(3e-3, 8e-3), .length_m = d.decades(0.3, 6), .minor_loss = d.between(0, 6)};
  if (d.chance(0.4)) l.wall_m = 1.5e-3, l.wall_modulus_pa = d.between(0.4e9, 1.2e9), l.wall_poisson = 0.4;
  return l;
}

Cylinder random_cylinder(Dice& d) {
  Cylinder c{.bore_m = d.between(14e-3, 32e-3), .rod_m = 1, .stroke_m = d.between(0.08, 0.3)};
  c.rod_m = c.bore_m * d.between(0.4, 0.7);
  c.cap_clearance_m3 = d.decades(0.3e-6, 4e-6);
  c.rod_clearance_m3 = d.decades(0.3e-6, 4e-6);
  c.breakaway_pa_diff = d.chance(0.15) ? 0 : d.between(0.3e5, 4e5);
  c.running_share = d.between(0.4, 1);
  c.viscous_n_s_per_m = d.decades(50, 4000);
  c.leak_m3_per_s_pa = d.chance(0.2) ? 0 : d.decades(1e-17, 1e-14);
  c.attitude = d.one_of({Attitude::rod_up, Attitude::rod_down, Attitude::level});
  c.cap_port_m = d.chance(0.5) ? 0 : 0.8 * std::min(c.cap_clearance_m3 / cap_area_m2(c), c.bore_m);
  c.rod_port_m = d.chance(0.5) ? 0 : 0.8 * std::min(c.rod_clearance_m3 / rod_area_m2(c), c.bore_m);
  return c;
}

Case random_case(Dice& d) {
  Case k;
  Rig& r = k.rig;
  r.name = "random";
  r.oil = oil_by_grade(d.one_of({10, 15, 22, 32, 46, 68}));
  r.oil.temperature_k = d.between(273, 333);
  r.synchroniser.kind = d.one_of({SynchroniserKind::tee, SynchroniserKind::metering_pistons});
  r.synchroniser.over_travel = d.between(0.005, 0.06);
  r.synchroniser.breakaway_pa_diff = d.between(0, 3e5);
  const bool alike = d.chance(0.5);
  const Cylinder cylinder = random_cylinder(d);
  const std::size_t count = d.one_of({1U, 2U, 2U, 2U, 2U, 3U});
  for (const char* name : {"left", "right", "middle"})
    if (r.branches.size() < count)
      r.branches.push_back({name, alike ? cylinder : random_cylinder(d), random_line(d), random_line(d)});
  double volume_m3 = 0, area_m2 = 1;
  for (const Branch& b : r.branches) {
    volume_m3 += cap_area_m2(b.cylinder) * b.cylinder.stroke_m + evenstroke::volume_m3(b.cap_line) +
                 evenstroke::volume_m3(b.rod_line);
    area_m2 = std::min(area_m2, cap_area_m2(b.cylinder));
  }
  r.pump = {.displacement_m3_per_rad = d.decades(2e-8, 8e-8), .supply_v = d.one_of({12.0, 24.0})};
  r.valve_block.path_area_m2 = d.decades(3e-6, 3e-5);
  r.valve_block.lowering_area_m2 = d.decades(1e-6, 1e-5);
  r.valve_block.transition_re = d.decades(20, 500);
  r.valve_block.relief_pa_gauge = d.between(90e5, 200e5);
  r.valve_block.passage_m3 = d.decades(0.3e-6, 5e-6);
  r.reservoir.oil_m3 = 2.5e-4 + d.between(2, 4) * volume_m3;
  r.reservoir.capacity_m3 = r.reservoir.oil_m3 + d.between(0.3, 1.5) * volume_m3;
  const bool panel = d.chance(0.7);
  r.panel.mass_kg = panel ? d.between(2e5, 35e5) * area_m2 / gravity_m_per_s2 : 0;
  r.panel.centre_of_mass = d.between(0.35, 0.65);
  r.panel.torsion_n_m_per_rad = d.chance(0.5) ? 0 : d.decades(300, 1e5);
  r.air.dispersed_share = d.between(0, 0.5);
  r.air.slug_slip = d.between(0, 1);
  std::vector<std::string> dry, opened;
  for (const std::string& part : part_names(r)) {
    const bool line = part.ends_with("_line");
    if (d.chance(line ? 0.2 : 0.3)) dry.push_back(part);
    else if (line && d.chance(0.6)) opened.push_back(part);
  }
  k.contents = after_exchange(r, dry, opened, d.chance(0.2));
  const bool bypass = r.synchroniser.kind == SynchroniserKind::metering_pistons && d.chance(0.7);
  const Rods rods = panel && d.chance(0.5) ? Rods::panel : Rods::free;
  const Step first{.bypass_open = bypass, .dwell_s = d.between(0, 5), .rods = rods};
  const Step second{.bypass_open = false, .dwell_s = d.between(0, 5), .rods = rods};
  k.procedure = {.name = "two", .steps = {first, second}, .max_strokes = 2};
  return k;
}

std::string cause_of(const Run& run) {
  return std::string(to_string(run.status.outcome)) + ": " + run.status.message;
}

}  // namespace

TEST_SUITE("limits/random_rigs") {
  TEST_CASE("balance: of thirty random rigs nearly all run through; each keeps oil, air, energy, finite numbers") {
    constexpr int rigs = 30;
    Dice dice{20260501};
    int good = 0, telling = 0;
    std::map<std::string, std::string> causes;
    for (int i = 0; i < rigs; ++i) {
      CAPTURE(i);
      const Case k = random_case(dice);
      RunOptions o;
      o.record = true;
      o.resolution.max_steps = 100000;
      o.stop_at_verdict = false;
      const Run run = evenstroke::run(k.rig, k.contents, k.procedure, o);
      if (run.status.ok()) ++good;
      else causes[cause_of(run)] += " " + std::to_string(i);

      const Books& b = run.books;
      CHECK(b.oil_rel_error <= 1e-12);
      CHECK(b.air_rel_error <= 1e-12);
      CHECK(b.energy.load_j + b.stored_j <= b.energy.pump_j * (1 + 1e-3) + 1e-3);
      CHECK(std::isfinite(b.energy.load_j + b.energy.pump_j + b.stored_j + b.transport_error_m));
      CHECK(std::all_of(run.series.value.begin(), run.series.value.end(), [](double v) { return std::isfinite(v); }));
      for (const StrokeRow& row : run.strokes) {
        CHECK(std::all_of(row.free_air_m3.begin(), row.free_air_m3.end(), [](double v) { return v >= -1e-18; }));
        for (const double e : row.free.mismatch_m) CHECK(std::isfinite(e));
        for (const double e : row.load.mismatch_m) CHECK(std::isfinite(e));
      }
      const std::size_t width = run.series.channel.size();
      bool all_moved = true;
      for (std::size_t rod = 0; rod < k.rig.branches.size(); ++rod) {
        double low = 1, high = 0;
        for (std::size_t s = 0; s < run.series.time_s.size(); ++s) {
          low = std::min(low, run.series.value[s * width + rod]);
          high = std::max(high, run.series.value[s * width + rod]);
        }
        all_moved = all_moved && high - low > 0.01;
      }
      if (all_moved && b.ledger.air_vented_kg > 0) ++telling;
    }
    for (const auto& [cause, which] : causes) MESSAGE(cause << " -> rigs" << which);
    MESSAGE(good << " of " << rigs << " ended ok; " << telling << " vented gas and moved every rod");
    CHECK(good >= 29);      // 95 %
    CHECK(telling >= 15);   // half
  }
}
