// Columns of oil: what stands in a line, and what it does to two cylinders at different heights. rho g = 0.0853 bar per
// metre at 870 kg/m3.
#include <doctest/doctest.h>

#include <numbers>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

Rig standing(double height_m, double peak_m = 0, double peak_share = 0) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  r.oil.density_15_kg_per_m3 = 870;
  r.oil.temperature_k = 288.15;
  r.panel.mass_kg = 50;   // holds the rod at its lower stop
  Branch& b = r.branches[0];
  b.cylinder.attitude = Attitude::level;
  b.cylinder.height_m = height_m;
  b.cap_line.length_m = b.rod_line.length_m = 16;
  b.cap_line.peak_m = peak_m;
  b.cap_line.peak_share = peak_share;
  return r;
}

/// Every line with `length_m`, rods free, the second cylinder `z_m` below the first.
Rig two_heights(double z_m, double length_1_m, double length_2_m) {
  Rig r = bench_rig(2, SynchroniserKind::tee, 1e-6);
  for (Branch& b : r.branches) {
    b.cylinder.attitude = Attitude::level;
    b.cap_line.bore_m = b.rod_line.bore_m = 6e-3;
  }
  r.branches[0].cap_line.length_m = r.branches[0].rod_line.length_m = length_1_m;
  r.branches[1].cap_line.length_m = r.branches[1].rod_line.length_m = length_2_m;
  r.branches[1].cylinder.height_m = -z_m;
  return r;
}

double resistance(const Rig& r, std::size_t branch) {
  const Branch& b = r.branches[branch];
  const double mu = r.oil.nu_40_m2_per_s * density(r.oil, r.oil.temperature_k), a = cap_area_m2(b.cylinder);
  const auto line = [&](const Line& l) {
    return 128 * mu * l.length_m / (std::numbers::pi * l.bore_m * l.bore_m * l.bore_m * l.bore_m);
  };
  const double phi = a / rod_area_m2(b.cylinder);
  return line(b.cap_line) + line(b.rod_line) / (phi * phi) + b.cylinder.viscous_n_s_per_m / (a * a);
}

/// Load pressure of the cap side that a column of height z stands for: it acts on both sides of the piston.
double column_pa(const Rig& r, double z_m) {
  const Cylinder& c = r.branches[0].cylinder;
  const double rho = density(r.oil, r.oil.temperature_k);
  return rho * gravity_m_per_s2 * z_m * (cap_area_m2(c) - rod_area_m2(c)) / cap_area_m2(c);
}

}  // namespace

TEST_SUITE("limits/heights") {
  TEST_CASE("limit: a line that stands adds 0.085 bar per metre from end to end, by whatever way it goes") {
    for (const double height_m : {5.0, 1.0, -5.0})
      for (const double peak_m : {0.0, 7.0, -6.0}) {
        CAPTURE(height_m);
        CAPTURE(peak_m);
        const double share = peak_m == 0 ? 0.0 : 0.4;
        Bench b(standing(height_m, peak_m, share), {.streamtubes = 1});
        b.drive({.retract = true, .on_panel = true}, 120);   // the cap side is open to the reservoir
        const double level = p0_pa_abs + 870 * gravity_m_per_s2 * 20e-3 / 0.1;
        CHECK(near(b.pressure("valve_block.a"), level, 1e-4, 0));
        const double drop = b.pressure("valve_block.a") - b.pressure("a.cap_chamber");
        CHECK(near(drop, 870 * gravity_m_per_s2 * height_m, 2e-3, 0));
        CHECK(near(drop, 0.0853e5 * height_m, 3e-3, 0));
        if (peak_m == 0)
          CHECK(near(b.pressure("valve_block.a") - b.pressure("a.cap_line"), 0.0853e5 * height_m / 2, 3e-3, 0));
      }
  }

  TEST_CASE("limit: gas in it takes its own length out of the column, wherever it is") {
    for (const double share : {0.1, 0.5, 0.9}) {   // middle of the slug
      CAPTURE(share);
      Rig r = standing(5);
      Bench b(r, {.streamtubes = 1});
      b.drive({.retract = true, .on_panel = true}, 60);
      const std::size_t p = b.index("a.cap_line");
      const double line = b.net.places[p].volume_m3, part = 0.2;
      const double kg = part * line * b.c.pressure_pa_abs[p] / b.net.gas_j_per_kg;
      Contents c = b.c;
      const Parcel oil = c.line[p].queue[0];
      const auto stretch = [&](double x) { return Parcel{x * oil.oil_kg, 0, x * oil.dissolved_kg, false}; };
      c.line[p].queue.count = 3;
      c.line[p].queue[0] = stretch(share - part / 2);
      c.line[p].queue[1] = {0, kg, 0, true};
      c.line[p].queue[2] = stretch(1 - share - part / 2);
      b.take(c);
      for (int i = 0; i < 40; ++i)   // heads are those of a quantum's start
        b.drive({.retract = true, .on_panel = true}, 20);
      const double gas = kg * b.net.gas_j_per_kg / b.pressure("a.cap_line") / line;
      const double drop = b.pressure("valve_block.a") - b.pressure("a.cap_chamber");
      CHECK(near(drop, 870 * gravity_m_per_s2 * 5 * (1 - gas), 5e-3, 0));
      MESSAGE("gas " << gas << " of the line, column off by " << drop / (870 * gravity_m_per_s2 * 5 * (1 - gas)) - 1);
    }
  }

  TEST_CASE("limit: rods free, the lower cylinder moves first, alone while rho g z A_rod/A_cap exceeds its R Q") {
    for (const double share : {0.5, 0.98, 1.02, 1.5}) {
      CAPTURE(share);
      const double r2 = resistance(two_heights(0, 6, 6), 1);
      const double z_m = share * r2 * 1e-6 / column_pa(two_heights(0, 6, 6), 1);
      REQUIRE(z_m < 6);
      Bench b(two_heights(z_m, 6, 6), {.streamtubes = 1});
      b.drive({.motor = true, .extend = true}, 10);
      const double from_s = b.c.time_s, x0 = b.c.position_m[0], x1 = b.c.position_m[1];
      b.drive({.motor = true, .extend = true}, 10);
      const double area = cap_area_m2(b.cylinder()), dt = b.c.time_s - from_s;
      const double q0 = area * (b.c.position_m[0] - x0) / dt, q1 = area * (b.c.position_m[1] - x1) / dt, q = q0 + q1;
      CHECK(q1 > q0);
      const double dp = column_pa(b.net.rig, z_m), r1 = resistance(b.net.rig, 0);
      if (share > 1)
        CHECK(b.c.position_m[0] == 0.0);
      else
        CHECK(near(q1, (r1 * q + dp) / (r1 + r2), 2e-3, 0));
      MESSAGE("z " << z_m << " m, share of the lower " << q1 / q);
    }
  }

  TEST_CASE("limit: unequal lines: Q2 = (R1 Q + rho g z A_rod/A_cap)/(R1 + R2)") {
    Bench b(two_heights(2, 3, 7), {.streamtubes = 1});
    b.drive({.motor = true, .extend = true}, 10);
    const double from_s = b.c.time_s, x0 = b.c.position_m[0], x1 = b.c.position_m[1];
    b.drive({.motor = true, .extend = true}, 10);
    const double area = cap_area_m2(b.cylinder()), dt = b.c.time_s - from_s;
    const double q0 = area * (b.c.position_m[0] - x0) / dt, q1 = area * (b.c.position_m[1] - x1) / dt, q = q0 + q1;
    const double r1 = resistance(b.net.rig, 0), r2 = resistance(b.net.rig, 1);
    const double closed = (r1 * q + column_pa(b.net.rig, 2)) / (r1 + r2);
    REQUIRE(q0 > 0);
    CHECK(near(q1, closed, 2e-3, 0));
    MESSAGE("Q2 off by " << q1 / closed - 1);
  }
}
