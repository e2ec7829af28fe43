#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/air/slug.hpp"
#include "transport/parcels.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

LineState bore(double bore_m) {
  LineState s = state;
  s.bore_m = bore_m;
  return s;
}
double area_ml_per_m(double bore_m) { return std::numbers::pi / 4 * bore_m * bore_m / ml; }
const Profile up{.far_m = 1}, down{.far_m = -1};
void rise_in(Queue& q, const Profile& run, double length_m, double time_s, double bore_m) {
  rise(q, run, length_m, time_s, bore(bore_m), AirInputs{}, mu_pa_s, rho);
}

}  // namespace

TEST_SUITE("transport/slug_rise") {
  TEST_CASE("limit: below the critical bore a slug stays where it is, however long it takes") {
    Queue q = line({oil(4), slug(0.5), oil(5)});
    const Queue before = q;
    rise_in(q, up, 1, 1e6, 3e-3);
    CHECK(same(q, before, 0));
  }

  TEST_CASE("limit: a slug that rises at 1 bar in a line just wide enough stays where it is at 28 bar") {
    const double sigma = AirInputs{}.surface_tension_n_per_m, wide_m = 1.01 * 2 * 0.918 * std::sqrt(sigma / (rho * 9.80665));
    for (const double p_pa_abs : {1e5, 28e5}) {
      CAPTURE(p_pa_abs);
      LineState s = bore(wide_m);
      s.gas_m3_per_kg = s.slug_m3_per_kg = 287.055 * 293.15 / p_pa_abs;
      Queue q = line({oil(4), {0, 0.5e-6 / s.slug_m3_per_kg, 0, true}, oil(5)});
      rise(q, up, 1, 1e6, s, AirInputs{}, mu_pa_s, rho);
      if (p_pa_abs > 1e6) CHECK(ml_of(q[0]) == ml_of(line({oil(4)})[0]));
      else CHECK(ml_of(q[0]) > 4.01);
    }
  }

  TEST_CASE("law: in 6 and 8 mm a slug climbs a vertical line at the law's speed, towards the higher end") {
    for (const double d : {6e-3, 8e-3})
      for (const double way : {1.0, -1.0}) {
        CAPTURE(d);
        CAPTURE(way);
        const double speed = slug_rise_m_per_s(d, mu_pa_s, rho, AirInputs{}.surface_tension_n_per_m, 1 / state.slug_m3_per_kg);
        const double time_s = 0.7;
        Queue q = line({oil(12), slug(2), oil(14)});
        for (int i = 0; i < 7; ++i) rise_in(q, way > 0 ? up : down, 1, time_s / 7, d);
        REQUIRE(q.count == 3);
        CHECK(speed > 5e-3);
        CHECK(near(ml_of(q[0]), 12 + way * speed * time_s * area_ml_per_m(d), 1e-12, 0));
        CHECK(near(ml_of(q[1]), 2, 1e-14, 0));
        CHECK(near(ml_of(q[2]), 14 - way * speed * time_s * area_ml_per_m(d), 1e-12, 0));
      }
  }

  TEST_CASE("law: the input slug_rise multiplies the speed; a level line and zero time move nothing") {
    AirInputs air;
    Queue a = line({oil(12), slug(2), oil(14)}), b = a, c = a;
    rise(a, up, 1, 0.5, bore(8e-3), air, mu_pa_s, rho);
    air.slug_rise = 0.4;
    rise(b, up, 1, 0.5, bore(8e-3), air, mu_pa_s, rho);
    CHECK(near(ml_of(b[0]) - 12, 0.4 * (ml_of(a[0]) - 12), 1e-12, 0));
    air.slug_rise = 0;
    rise(c, up, 1, 0.5, bore(8e-3), air, mu_pa_s, rho);
    rise_in(c, Profile{}, 1, 0.5, 8e-3);
    rise_in(c, up, 1, 0, 8e-3);
    CHECK(ml_of(c[0]) == ml_of(line({oil(12)})[0]));
  }

  TEST_CASE("law: half as steep, half as fast; a gas bubble smaller than the bore is no slug and does not run") {
    Queue steep = line({oil(12), slug(2), oil(14)}), half = steep, small = line({oil(12), slug(0.2), oil(14)});
    rise_in(steep, up, 1, 0.5, 8e-3);
    rise_in(half, up, 2, 0.5, 8e-3);
    rise_in(small, up, 1, 0.5, 8e-3);
    CHECK(near(ml_of(half[0]) - 12, 0.5 * (ml_of(steep[0]) - 12), 1e-12, 0));
    CHECK(ml_of(small[1]) < std::numbers::pi / 6 * 512e-9 / ml);
    CHECK(ml_of(small[0]) == ml_of(line({oil(12)})[0]));
  }

  TEST_CASE("law: a slug stops with its middle at the high point of the run, from either side, and stays there") {
    const Profile bow{.near_m = 0, .peak_m = 0.3, .peak_share = 0.4, .far_m = 0.1};
    for (const double before_ml : {2.0, 18.0}) {
      CAPTURE(before_ml);
      Queue q = line({oil(before_ml), slug(2), oil(23 - before_ml)});
      for (int i = 0; i < 200; ++i) rise_in(q, bow, 1, 0.5, 8e-3);
      REQUIRE(q.count == 3);
      CHECK(near(ml_of(q[0]) + 1, 0.4 * 25, 1e-12, 0));
      rise_in(q, bow, 1, 1e4, 8e-3);
      CHECK(near(ml_of(q[0]) + 1, 0.4 * 25, 1e-12, 0));
    }
  }

  TEST_CASE("law: slugs leave a low point to the sides they are on, up to the mouths, and stay in the line") {
    const Profile sag{.near_m = 0, .peak_m = -0.3, .peak_share = 0.5, .far_m = 0};
    Queue q = line({oil(4), slug(2), oil(13), slug(2), oil(4)});
    rise_in(q, sag, 1, 100, 8e-3);
    REQUIRE(q.count == 3);
    CHECK(q[0].slug);
    CHECK(q[2].slug);
    CHECK(near(ml_of(q[1]), 21, 1e-14, 0));
  }

  TEST_CASE("law: a slug at the lower mouth lets go of it: oil takes its place there") {
    for (const bool near_is_low : {true, false}) {
      Queue q = near_is_low ? line({slug(2), oil(20)}) : line({oil(20), slug(2)});
      rise_in(q, near_is_low ? up : down, 1, 0.5, 8e-3);
      REQUIRE(q.count == 3);
      CHECK(q[1].slug);
      CHECK(ml_of(q[near_is_low ? 0 : 2]) > 0.5);
    }
  }

  TEST_CASE("law: the column weighs what its oil weighs, part by part of the run; slugs weigh nothing") {
    const Profile bow{.near_m = 0.2, .peak_m = 0.8, .peak_share = 0.4, .far_m = 0.1};
    const double rho_g = rho * 9.80665;
    const Queue full = line({oil(7), oil(3, 1e-4)}), part = line({oil(2), slug(2), oil(6)});
    CHECK(near(column_pa(full, bow, 0, 1, state, rho), rho_g * (0.1 - 0.2), 1e-12, 0));
    CHECK(near(column_pa(full, bow, 0, 0.5, state, rho), rho_g * (0.8 - 0.7 / 6 - 0.2), 1e-12, 0));
    CHECK(near(column_pa(full, bow, 0.5, 0, state, rho), -rho_g * (0.8 - 0.7 / 6 - 0.2), 1e-12, 0));
    CHECK(near(column_pa(part, bow, 0, 0.4, state, rho), rho_g * 0.3, 1e-12, 0));   // upper half: slug
    CHECK(near(slug_share(part, 0, 1, state), 0.2, 1e-14, 0));
    CHECK(near(slug_share(part, 0, 0.5, state), 0.4, 1e-14, 0));
    CHECK(near(slug_share(part, 0.25, 0.35, state), 1, 1e-14, 0));
    CHECK(slug_share(part, 0.5, 1, state) == 0);
  }
}
