// What passes an opening or a line, by the full simulator: oil with bubbles expands on the way down and chokes, oil
// thickens under pressure, a hose swells.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

constexpr double discharge = 0.62;   // sharp edge, Merritt 1967, from memory

/// A loaded rod sinks, cap side full of bubbly oil at 28 bar: through the narrow bypass valve into passage A, then
/// through the wider lowering path. The carriage stands at its lower stop and has no part in it.
Rig sinking_rig(double bypass_m2, double lowering_m2) {
  Rig r = bench_rig(1, SynchroniserKind::metering_pistons, 6e-6);
  r.panel.mass_kg = 27e5 * cap_area_m2(r.branches[0].cylinder) / gravity_m_per_s2;
  r.oil = oil_by_grade(10);   // thin, and early turbulent: as good as a square root all the way
  r.oil.temperature_k = 313.15;
  r.oil.modulus_slope = r.oil.pressure_viscosity_per_pa = 0;
  r.valve_block.transition_re = 10;
  r.synchroniser.bypass_area_m2 = bypass_m2;
  r.valve_block.lowering_area_m2 = lowering_m2;
  r.branches[0].cylinder.viscous_n_s_per_m = 400;
  r.branches[0].cylinder.breakaway_pa_diff = r.synchroniser.breakaway_pa_diff = 1e5;
  r.synchroniser.viscous_n_s_per_m = 800;
  r.branches[0].cap_line.bore_m = 10e-3;
  r.branches[0].cap_line.length_m = 0.1;
  r.air.shredding = 0;
  return r;
}

/// Of one quantum in steady flow.
struct Passing {
  double up_pa_abs, down_pa_abs, up_m3_per_s;   // through the bypass valve, as it leaves the outlet
  double void_share;                            // share of gas there
  double far_m3_per_s;                          // the same as it leaves passage A, downstream
};

Passing measure(Bench& b, double void_share) {
  const Network& n = b.net;
  std::size_t bypass = 0, lowering = 0;
  for (std::size_t e = 0; e < n.edges.size(); ++e) {
    if (n.edges[e].name == "a.bypass") bypass = e;
    if (n.edges[e].name == "valve.a_to_reservoir") lowering = e;
  }
  b.c.position_m[0] = b.cylinder().stroke_m;
  const double p = p0_pa_abs + 27e5;
  for (const char* place : {"a.cap_chamber", "a.cap_line", "a.outlet", "a.metering_chamber"}) {
    const std::size_t i = b.index(place);
    b.c.pressure_pa_abs[i] = p;
    const double volume = available_m3(n, b.c, static_cast<int>(i)), gas_kg = void_share * volume * p / n.gas_j_per_kg;
    if (n.places[i].kind == PlaceKind::line) {
      Swarm& s = b.c.line[i].bubbles[fine];
      s.cloud.assign(Swarm::capacity, {});
      s.cloud[0] = {0, 1, gas_kg};
      s.count = {1};
      s.kg = gas_kg;
    } else {
      b.c.masses[i].fine_kg = gas_kg;
    }
  }
  b.fill();
  Passing last{};
  const Drive sink{.retract = true, .bypass_open = true, .on_panel = true};
  b.drive(sink, 600, [&](const Contents& c, const FlowEngine::Quantum& q) {
    const Masses m = held(c, n.place("a.outlet"));
    const double up = c.pressure_pa_abs[b.index("a.outlet")];
    const double gas = m.gas_kg() * n.gas_j_per_kg / up;
    const double oil = m.oil_kg / n.rho0_kg_per_m3 * relative_volume(n.liquid, up);
    last = {up, c.pressure_pa_abs[b.index("valve_block.a")], -b.march.engine().volume_m3()[bypass] / q.duration_s,
            gas / (gas + oil), b.march.engine().volume_m3()[lowering] / q.duration_s};
    return c.position_m[0] < 0.5 * b.cylinder().stroke_m;
  });
  return last;
}

/// Greatest mass flux of a homogeneous mixture, squared, over (pressure x density) upstream; gas isothermal, oil
/// incompressible:  G^2/(p rho) = 2 [-w ln r + (1 - w)(1 - r)]/[w (1/r - 1) + 1]^2 at its highest.
double critical_flux2(double w) {
  double best = 0;
  for (int i = 1; i < 20000; ++i) {
    const double r = i / 20000.0, v = w * (1 / r - 1) + 1;
    best = std::max(best, 2 * (-w * std::log(r) + (1 - w) * (1 - r)) / (v * v));
  }
  return best;
}

}  // namespace

TEST_SUITE("limits/restriction") {
  TEST_CASE("limit: from 28 to 1.2 bar a mixture passes an opening at its critical flow, whatever stands behind it") {
    for (const double w : {0.02, 0.1, 0.3, 0.6})
      for (const double lowering_m2 : {12e-6, 40e-6}) {
        CAPTURE(w);
        CAPTURE(lowering_m2);
        Rig r = sinking_rig(1e-6, lowering_m2);
        Bench b(r, {.quantum_share = 0.02});
        const Passing s = measure(b, w);
        const double rho = (1 - s.void_share) * b.net.rho0_kg_per_m3;
        const double expected = discharge * 1e-6 * std::sqrt(critical_flux2(s.void_share) * s.up_pa_abs / rho);
        CHECK(near(s.up_m3_per_s, expected, 5e-3, 0));   // a third of this is the law's laminar part
        CHECK(s.down_pa_abs < 2e5);
        MESSAGE("void " << s.void_share << " from " << s.up_pa_abs / 1e5 << " to " << s.down_pa_abs / 1e5
                << " bar, flow off by " << s.up_m3_per_s / expected - 1);
        // The volume downstream is that at the pressure downstream: at 1.2 bar gas takes 24 times its room at 28.
        const auto v = [&](double p) { return relative_volume(b.net.liquid, p); };
        const double oil = (1 - s.void_share) * v(s.down_pa_abs) / v(s.up_pa_abs);
        const double grown = (s.far_m3_per_s / s.up_m3_per_s - oil) / s.void_share;
        CHECK(near(grown, s.up_pa_abs / s.down_pa_abs, 5e-3, 0));
        const double all = 1 - s.void_share + s.void_share * s.up_pa_abs / s.down_pa_abs;
        CHECK(near(s.far_m3_per_s / s.up_m3_per_s, all, 5e-3, 0));
        MESSAGE("gas grown " << grown << " times, all off by " << s.far_m3_per_s / s.up_m3_per_s / all - 1);
      }
  }

  TEST_CASE("limit: oil under pressure drops exp[b (p - p0)] times as much in a line, Barus") {
    for (const double p_gauge : {1e5, 60e5, 120e5})
      for (const bool out : {true, false}) {
        CAPTURE(p_gauge);
        CAPTURE(out);
        Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
        const double area = cap_area_m2(r.branches[0].cylinder), b_per_pa = 1.7e-8;   // 1.7e-3 per bar: mineral oil
        r.oil.pressure_viscosity_per_pa = b_per_pa;
        r.panel.mass_kg = p_gauge * area / gravity_m_per_s2;
        r.valve_block.lowering_area_m2 = 0.15e-6;   // lets it down about as fast as the pump lifts it
        r.branches[0].cap_line = {.bore_m = 2.5e-3, .length_m = 3, .minor_loss = 0};
        Bench b(r);
        if (!out) {
          b.c.position_m[0] = b.cylinder().stroke_m;
          for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber"})
            b.c.pressure_pa_abs[b.index(place)] += p_gauge;
          b.fill();
        }
        const Drive d{.motor = out, .extend = out, .retract = !out, .on_panel = true};
        b.drive(d, 1);
        const double x = b.c.position_m[0], t = b.c.time_s;
        b.drive(d, 1);
        const double q = area * (b.c.position_m[0] - x) / (b.c.time_s - t);
        const double mu = 46e-6 * density(r.oil, 313.15), bore = 2.5e-3;
        const double half = 0.5 * 128 * mu * 3 / (std::numbers::pi * bore * bore * bore * bore);
        const double near_end = b.pressure("valve_block.a"), mid = b.pressure("a.cap_line");
        const double far_end = b.pressure("a.cap_chamber");
        const auto thick = [&](double p) { return std::exp(b_per_pa * (p - p0_pa_abs)); };
        const double expected = half * q * (out ? thick(near_end) + thick(mid) : thick(mid) + thick(far_end));
        CHECK(std::abs(q) > 1e-7);
        CHECK(near(near_end - far_end, expected, 5e-3, 0));
        MESSAGE("drop off by " << (near_end - far_end) / expected - 1);
      }
  }

  TEST_CASE("limit: a hose takes up its expansion times its volume, on top of what the oil in it gives") {
    for (const double expansion_per_pa : {2e-10, 5e-9}) {   // some fifth of a per cent, and 5 % at 100 bar
      CAPTURE(expansion_per_pa);
      Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
      const double area = cap_area_m2(r.branches[0].cylinder);
      constexpr double p_gauge = 28e5;
      r.branches[0].cap_line.length_m = 3;
      r.branches[0].cap_line.expansion_per_pa = expansion_per_pa;
      r.panel.mass_kg = p_gauge * area / gravity_m_per_s2;
      Connections j;   // rod side open to the air
      j.parted = {"a.rod_port"};
      j.port = Opening::air;
      Bench b(r, {}, j);
      b.c.position_m[0] = 0.125;
      b.fill();
      double oil_m3 = 0;
      for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber"})
        oil_m3 += held(b.c, b.net.place(place)).oil_kg / b.net.rho0_kg_per_m3;
      b.drive({.on_panel = true}, 2);
      const double hose = volume_m3(r.branches[0].cap_line) * expansion_per_pa * p_gauge;
      const double expected = (hose + oil_m3 * p_gauge / b.net.liquid.k0_pa) / area, sunk = 0.125 - b.c.position_m[0];
      CHECK(near(sunk, expected, 2e-3, 0));
      MESSAGE("sinking off by " << sunk / expected - 1 << ", the hose's part " << hose / area / expected);
    }
  }
}
