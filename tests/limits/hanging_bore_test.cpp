// Up to which bore oil hangs in a line that is shut above and open below: Bretherton's 2 x 0.918 capillary lengths.
#include <doctest/doctest.h>

#include <cmath>
#include <initializer_list>
#include <vector>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double sigma = 0.030;

/// What has run out of a vertical line of half a metre, parted at its lower end: shares of it after each time.
std::vector<double> ran_out(double bore_m, std::initializer_list<double> times_s, double slug_rise = 1) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  Branch& b = r.branches[0];
  b.cylinder.height_m = -0.5;
  b.cap_line.bore_m = bore_m;
  b.cap_line.length_m = 0.5;
  b.rod_line.length_m = 1;
  r.air.slug_rise = slug_rise;
  r.air.surface_tension_n_per_m = sigma;
  Connections j;
  j.parted = {"a.cap_port"};
  j.line_end = Opening::air;
  Bench bench(r, {.streamtubes = 1}, j);
  const double line_kg = volume_m3(b.cap_line) * bench.net.rho0_kg_per_m3;
  std::vector<double> shares;
  for (const double t : times_s) {
    bench.drive({}, t - bench.c.time_s);
    shares.push_back(bench.c.ledger.oil_spilled_kg / line_kg);
  }
  return shares;
}

}  // namespace

TEST_SUITE("limits/hanging_bore") {
  TEST_CASE("limit: 0.3 % under 3.46 mm not a drop falls in a year, 0.3 % over it something has") {
    const Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    const double rho = density(r.oil, r.oil.temperature_k);
    const double critical_m = 2 * 0.918 * std::sqrt(sigma / (rho * gravity_m_per_s2));
    CHECK(near(critical_m, 3.46e-3, 1e-2, 0));   // at 860 kg/m3; here 855
    constexpr double year_s = 3.15e7;
    const std::vector<double> under = ran_out(0.997 * critical_m, {60, year_s});   // it stretches as it begins to hang
    const std::vector<double> over = ran_out(1.003 * critical_m, {60, year_s});
    CHECK(under[1] == under[0]);
    CHECK(over[1] > over[0] + 1e-4);
    MESSAGE("in a year runs out " << over[1] - over[0] << " of the line");
  }

  TEST_CASE("limit: over 6.9 mm, where nothing holds, half a metre is empty in half a minute; at 4 mm in hours") {
    CHECK(ran_out(7e-3, {30}).back() > 0.95);
    const std::vector<double> between = ran_out(4e-3, {60, 7200});
    CHECK(between[0] < 0.05);
    CHECK(between[1] > 0.5);
  }

  TEST_CASE("law: between the two bores slug_rise says how fast it runs out, 0 that it holds; beyond it has no say") {
    const Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    const double rho = density(r.oil, r.oil.temperature_k), length_m = std::sqrt(sigma / (rho * gravity_m_per_s2));
    const double draining_m = 2 * 1.841 * length_m;   // static limit, from memory
    CHECK(near(draining_m, 6.9e-3, 1e-2, 0));
    for (const double bore_m : {4e-3, 0.99 * draining_m}) {
      CAPTURE(bore_m);
      const double time_s = bore_m > 5e-3 ? 5 : 1000;
      const std::vector<double> none = ran_out(bore_m, {1e-3, time_s}, 0), full = ran_out(bore_m, {1e-3, time_s}, 1);
      const std::vector<double> fifth = ran_out(bore_m, {1e-3, time_s}, 0.2);
      CHECK(none[1] == none[0]);
      CHECK(full[1] > 0.1);
      CHECK(near(fifth[1] - fifth[0], 0.2 * (full[1] - full[0]), 5e-3, 0));
    }
    const double wide_m = 1.01 * draining_m;
    CHECK(ran_out(wide_m, {5}, 0)[0] == ran_out(wide_m, {5}, 1)[0]);
    CHECK(ran_out(wide_m, {5}, 0)[0] > 0.1);
    const double narrow_m = 0.99 * 2 * 0.918 * length_m;
    CHECK(ran_out(narrow_m, {3600}, 3)[0] == ran_out(narrow_m, {60}, 0)[0]);
  }
}
