#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/air/bubble.hpp"
#include "support/near.hpp"
#include "transport/places.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/exchange") {
  TEST_CASE("law: bubbles leave a chamber at Stokes' speed over the height of its oil") {
    // U = g d^2/(18 nu) (Stokes), 0.12 mm in 32 mm2/s; a finite Reynolds number takes off less than 1 %
    const double u = gravity_m_per_s2 * 0.12e-3 * 0.12e-3 / (18 * 32e-6), oil = 20e-6, bore = 32e-3, seconds = 30;
    const auto left = [&](Attitude attitude, Where w, double p) {
      StillPlaces b = only_rise(oil, p);
      b.n.rig.branches[0].cylinder.attitude = attitude;
      b.bubbles(0, 1e-14);
      b.apply(seconds);
      CHECK(near(b.at(w).pocket_kg + b.at(w).fine_kg, 1e-14, 1e-12, 0));
      return b.at(w).fine_kg / 1e-14;
    };
    const double round = std::numbers::pi / 4 * bore * bore, length = 0.1 + 2e-6 / round;
    for (const Attitude a : {Attitude::rod_up, Attitude::rod_down})
      CHECK(near(-std::log(left(a, chamber, p0_pa_abs)), u * round * seconds / oil, 0.01, 0));
    CHECK(near(-std::log(left(Attitude::level, chamber, p0_pa_abs)), u * bore * length * seconds / oil, 0.01, 0));
    CHECK(near(-std::log(left(Attitude::level, drive, p0_pa_abs)), u * 9e-4 * seconds / oil, 0.01, 0));
    StillPlaces b = only_rise(4e-6);                     // a passage is as wide as it is high: V^(2/3)
    b.bubbles(0, 1e-14);
    b.apply(seconds);
    CHECK(near(-std::log(b.at(high).fine_kg / 1e-14), u * std::pow(8e-6, 2.0 / 3) * seconds / 4e-6, 0.01, 0));
    // squeezed to an eighth of its volume a bubble has half the diameter; the oil has shrunk by less than 1 %
    const double slower = std::log(left(Attitude::rod_up, chamber, 8 * p0_pa_abs)) /
                          std::log(left(Attitude::rod_up, chamber, p0_pa_abs));
    CHECK(near(slower, 0.25, 0.01, 0));
  }

  TEST_CASE("law: a crowd rises slower, as Richardson and Zaki found for spheres") {   // exponent 4.65, from memory
    const auto rate = [](double a, double p) {
      StillPlaces b = only_rise(20e-6, p);
      b.bubbles(0, b.gas_kg(20e-6 * relative_volume(b.n.liquid, p) * a / (1 - a), p));
      const double kg = b.at(chamber).fine_kg;
      b.apply(1e-3);
      return b.at(chamber).pocket_kg / kg;
    };
    for (const double p : {p0_pa_abs, 20 * bar}) {
      CHECK(near(rate(0.2, p) / rate(1e-9, p), std::pow(0.8, 4.65), 1e-4, 0));
      CHECK(near(rate(0.9, p), rate(0.5, p), 1e-6, 0));   // froth: as at the end of the law's range
    }
  }

  TEST_CASE("agreement: many short quanta are one long one") {
    StillPlaces one = only_rise(20e-6), many = one;
    for (StillPlaces* b : {&one, &many}) b->bubbles(1e-14, 1e-14);
    one.apply(8);
    for (int i = 0; i < 256; ++i) many.apply(8.0 / 256);
    for (const Where w : {chamber, drive}) CHECK(near(one.at(w).pocket_kg, many.at(w).pocket_kg, 1e-6, 0));
  }

  TEST_CASE("limit: a passage keeps what its high point holds, and nothing without one") {
    StillPlaces b = only_rise(5e-6, 10 * bar);
    b.bubbles(b.gas_kg(1e-6, 10 * bar), b.gas_kg(1e-6, 10 * bar));
    b.apply(1e5);
    CHECK(b.at(plain).pocket_kg == 0);
    CHECK(near(b.gas_m3(b.at(high).pocket_kg, 10 * bar), 1e-6, 1e-12, 0));
    b.c.pressure_pa_abs.assign(5, 2 * bar);              // five times the room: four fifths go on as coarse bubbles
    const double coarse_kg = b.at(high).coarse_kg;
    b.apply(1e-6);
    CHECK(near(b.gas_m3(b.at(high).pocket_kg, 2 * bar), 1e-6, 1e-12, 0));
    CHECK(near(b.at(high).coarse_kg - coarse_kg, b.gas_kg(0.8e-6, 10 * bar), 1e-9, 0));
    b.at(plain).pocket_kg = 1e-9;
    b.apply(1e-6);
    CHECK(b.at(plain).pocket_kg == 0);
  }

  TEST_CASE("law: the time limit is that of the place that changes most, and no leap while a pocket is warm") {
    StillPlaces b = only_rise(5e-6, 0.5 * bar);
    CHECK(Exchange(b.n, 4).time_limit_s(1e-30) > 1e20);     // nothing has happened yet
    b.air().release_s = 1e4;
    const double was = b.held(line).fine_kg, limit = b.apply(0.1);
    const double changed_m3 = b.gas_m3(b.held(line).fine_kg - was, 0.5 * bar);
    CHECK(changed_m3 > 0);
    CHECK(near(limit, 0.1, 1e-12, 0));                      // slow: no longer than time has run so far
    b.air().release_s = 1e-6;
    CHECK(b.apply(1e-6) == 1e-3);
    StillPlaces warm = only_rise(1e-6, 2 * bar);
    warm.at(drive).pocket_kg = 1e-8;
    warm.c.pocket_k[drive] = celsius_20 + 30;
    CHECK(near(warm.apply(0.01), 0.02, 1e-12, 0));          // a warm pocket: no quantum of more than twice the last
  }

  TEST_CASE("law: an opening tears bubbles once v/d stretches them beyond what they stand") {
    StillPlaces b;
    const double area = 1e-6, bore = 2 * std::sqrt(area / std::numbers::pi);
    const auto flow = [&](double largest) {   // at which bubbles of that size just survive: d falls as 1/stretching
      const double stretching = breakup_diameter_m(1, b.n.mu_pa_s, b.air().surface_tension_n_per_m) / largest;
      return stretching * bore * area;
    };
    const double d = b.air().coarse_m;
    CHECK(torn_share(b.n, area, 0, p0_pa_abs) == 0);
    CHECK(torn_share(b.n, area, flow(d / 0.79), p0_pa_abs) == 0);
    CHECK(near(torn_share(b.n, area, -flow(d), p0_pa_abs), 0.5, 1e-9, 0));
    CHECK(torn_share(b.n, area, flow(d / 1.21), p0_pa_abs) == 1);
    CHECK(torn_share(b.n, area, flow(d / 1.21), 8 * p0_pa_abs) == 0);   // half the size: 0.6 of what survives
    double last = 0;
    for (double x = 0.78; x < 1.22; x += 0.001) {
      const double now = torn_share(b.n, area, flow(d / x), p0_pa_abs);
      CHECK(now >= last);
      CHECK(now - last < 0.005);
      last = now;
    }
  }
}
