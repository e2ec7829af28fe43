#include <doctest/doctest.h>

#include <numbers>

#include "evenstroke/air/slug.hpp"
#include "transport/parcels.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/overtake") {
  TEST_CASE("law: a slug moves on by (k - 1) of the volume that passes it, oil from its front to its back") {
    const double k = 1.4, passes_ml = 2;
    for (const double slip : {1.0, 0.5, 0.0})
      for (const double way : {1.0, -1.0}) {
        CAPTURE(slip);
        CAPTURE(way);
        Queue q = line({oil(4), slug(0.5), oil(5)});
        overtake(q, way * passes_ml * ml, way * passes_ml * ml, 1, state, constant_ratio(k, slip), mu_pa_s);
        const double on = way * slip * (k - 1) * passes_ml;
        REQUIRE(q.count == 3);
        CHECK(near(ml_of(q[0]), 4 + on, 1e-14, 0));
        CHECK(near(ml_of(q[1]), 0.5, 1e-14, 0));
        CHECK(near(ml_of(q[2]), 5 - on, 1e-14, 0));
      }
  }

  TEST_CASE("law: the film law's k is taken at the speed of the oil in the bore") {
    const double passes = 2 * ml, time_s = 0.5, area = std::numbers::pi / 4 * state.bore_m * state.bore_m;
    AirInputs air;
    air.slug_slip = 1;
    const double k = slug_speed_ratio(passes / (area * time_s), mu_pa_s, air.surface_tension_n_per_m);
    Queue q = line({oil(4), slug(0.5), oil(5)});
    overtake(q, passes, passes, time_s, state, air, mu_pa_s);
    CHECK(k > 1.3);
    CHECK(near(ml_of(q[0]), 4 + (k - 1) * 2, 1e-12, 0));
  }

  TEST_CASE("limit: gas smaller than the sphere that fills the bore goes with the oil") {
    const double sphere_ml = std::numbers::pi / 6 * 64e-9 / ml;
    for (const double size : {0.99, 1.01}) {
      Queue q = line({oil(4), slug(size * sphere_ml), oil(5)});
      overtake(q, ml, ml, 1, state, constant_ratio(2), mu_pa_s);
      CHECK(near(ml_of(q[0]), size > 1 ? 5 : 4, 1e-14, 0));
    }
  }

  TEST_CASE("limit: at the mouth there is no oil left to overtake") {
    Queue q = line({oil(4), slug(0.5), oil(0.3, 1e-4)});
    overtake(q, ml, ml, 1, state, constant_ratio(2), mu_pa_s);
    REQUIRE(q.count == 3);
    CHECK(q[2].slug);
    CHECK(near(ml_of(q[1]), 0.3, 1e-14, 0));   // with its own air still in it
    CHECK(near(q[1].dissolved_kg, oil(0.3, 1e-4).dissolved_kg, 1e-14, 0));
  }

  TEST_CASE("law: the nose of gas that comes in runs k times all that has come in, in however many portions") {
    const double k = 1.5, gas_ml = 1.5, oil_ml = 3;
    for (const End end : {End::near, End::far})
      for (const int portions : {1, 3, 20, 40}) {
        CAPTURE(portions);
        Queue q = line({oil(20)});
        const double way = end == End::near ? 1 : -1;
        for (const Parcel& what : {slug(gas_ml / portions), oil(oil_ml / portions)})
          for (int i = 0; i < portions; ++i) {
            const double v = volume_m3(what, state);
            push(q, end, bundle(what), state);
            overtake(q, way * v, way * v, 1, state, constant_ratio(k), mu_pa_s);
            pop(q, end == End::near ? End::far : End::near, v, state);
          }
        if (end == End::far) q = mirrored(q);
        REQUIRE(q.count == 3);   // oil, one slug with its film, oil
        CHECK(near(20 - ml_of(q[2]), k * (gas_ml + oil_ml), 1e-12, 0));
        CHECK(near(q[1].oil_kg, oil((k - 1) * gas_ml).oil_kg, 1e-12, 0));
        CHECK(near(q[1].gas_kg, slug(gas_ml).gas_kg, 1e-12, 0));
      }
  }

  TEST_CASE("law: a drop of oil in every portion of gas, from a leak say, does not cut the slug into pieces") {
    const double k = 1.5, gas_ml = 1.5, drop_ml = 1e-6;
    for (const int portions : {3, 20, 40}) {
      CAPTURE(portions);
      Queue q = line({oil(20)});
      const Parcel gas = slug(gas_ml / portions), drop = oil(drop_ml);
      for (int i = 0; i < portions; ++i) {
        CHECK(push(q, End::near, {.oil_kg = drop.oil_kg, .pocket_kg = gas.gas_kg}, state) == 0.0);
        const double v = volume_m3(gas, state) + volume_m3(drop, state);
        overtake(q, v, v, 1, state, constant_ratio(k), mu_pa_s);
        pop(q, End::far, v, state);
      }
      CHECK(q.count <= 3);   // a last drop at the mouth, perhaps
      CHECK(near(20 - ml_of(q[q.count - 1]), k * gas_ml, 1e-4, 0));
      CHECK(near(total(q).pocket_kg, slug(gas_ml).gas_kg, 1e-12, 0));
    }
  }

  TEST_CASE("law: of a slug that leaves the gas goes first; its film stays on the wall for the oil behind it") {
    for (const End end : {End::near, End::far}) {
      Queue q = line({oil(4), slug(1)});
      q[1].oil_kg = oil(0.5).oil_kg;
      if (end == End::near) q = mirrored(q);
      const int mouth = end == End::near ? 0 : 1, behind = 1 - mouth;
      const Bundle out = pop(q, end, 0.6 * ml, state);
      CHECK(near(out.pocket_kg, slug(0.6).gas_kg, 1e-13, 0));
      CHECK(out.oil_kg == 0.0);
      CHECK(near(ml_of(q[behind]), 4.3, 1e-13, 0));
      CHECK(near(q[mouth].oil_kg, oil(0.2).oil_kg, 1e-13, 0));
      const Bundle rest = pop(q, end, 0.5 * ml, state);           // 0.4 of gas, then the last of the film
      CHECK(near(rest.pocket_kg, slug(0.4).gas_kg, 1e-13, 0));
      CHECK(near(rest.oil_kg, oil(0.1).oil_kg, 1e-12, 0));
      CHECK(near(total(q).oil_kg, oil(4.4).oil_kg, 1e-13, 0));
      CHECK(total(q).pocket_kg == 0.0);
    }
  }

  TEST_CASE("law: gas that blows through a line it fills leaves the film where it is") {
    Queue q = line({slug(3)});
    q[0].oil_kg = oil(1).oil_kg;
    push(q, End::near, {.pocket_kg = slug(0.5).gas_kg}, state);
    const Bundle out = pop(q, End::far, 0.5 * ml, state);
    CHECK(near(out.pocket_kg, slug(0.5).gas_kg, 1e-13, 0));
    CHECK(out.oil_kg == 0.0);
    CHECK(near(q[0].oil_kg, oil(1).oil_kg, 1e-15, 0));
    pop(q, End::far, 3 * ml, state);
    REQUIRE(q.count == 1);
    CHECK(!q[0].slug);
  }

  TEST_CASE("law: the nose of a slug that swells while it comes in goes by the oil that leaves, not by the gas that enters") {
    for (const double in_ml : {0.0, 0.2, 0.5}) {
      CAPTURE(in_ml);
      const double k = 1.8, out_ml = 0.5;
      Queue q = line({slug(1), oil(5)});
      overtake(q, in_ml * ml, out_ml * ml, 1, state, constant_ratio(k), mu_pa_s);
      CHECK(near(q[0].oil_kg, oil((k - 1) * out_ml).oil_kg, 1e-12, 0));
    }
  }

  TEST_CASE("law: of two slugs that swell each goes by what passes its middle; the gas shares what the line gains") {
    const double k = 1.5;
    Queue q = line({oil(3), slug(1), oil(3), slug(3), oil(3)});
    overtake(q, 0, 0.4 * ml, 1, state, constant_ratio(k), mu_pa_s);
    CHECK(near(ml_of(q[4]), 3 - (k - 1) * 0.25, 1e-12, 0));              // behind the rear slug none, its middle 0.05,
    CHECK(near(ml_of(q[2]), 3 + (k - 1) * (0.25 - 0.05), 1e-12, 0));     // between them 0.1, the front one's middle 0.25
    CHECK(near(ml_of(q[0]), 3 + (k - 1) * 0.05, 1e-12, 0));
  }

  TEST_CASE("law: a slug that catches the one in front becomes one with it") {
    Queue q = line({oil(4), slug(0.5), oil(0.2), slug(0.01), oil(3)});   // the small one is no slug and does not run
    overtake(q, ml, ml, 1, state, constant_ratio(1.5), mu_pa_s);
    REQUIRE(q.count == 3);
    CHECK(q[1].slug);
    CHECK(near(ml_of(q[1]), 0.51, 1e-14, 0));
    CHECK(near(ml_of(q[0]), 4.2, 1e-14, 0));
    CHECK(near(ml_of(q[2]), 3, 1e-14, 0));
  }

  TEST_CASE("law: two equal slugs in one stream keep their distance") {
    Queue q = line({oil(4), slug(0.5), oil(1), slug(0.5), oil(3)});
    overtake(q, ml, ml, 1, state, constant_ratio(1.5), mu_pa_s);
    REQUIRE(q.count == 5);
    CHECK(near(ml_of(q[0]), 4.5, 1e-14, 0));
    CHECK(near(ml_of(q[2]), 1, 1e-14, 0));
    CHECK(near(ml_of(q[4]), 2.5, 1e-14, 0));
  }

  TEST_CASE("law: seen from the other end everything is the same, to the last bit") {
    const Queue q0 = line({oil(1), slug(0.3), oil(2, 5e-5), slug(0.05), oil(0.1), slug(0.6), oil(0.4, 1e-5)});
    for (const double in : {1.3, 0.2, -0.7, 0.0})
      for (const double out : {1.3, 0.9, -0.4}) {
        CAPTURE(in);
        CAPTURE(out);
        Queue a = q0, b = mirrored(q0);
        overtake(a, in * ml, out * ml, 0.7, state, AirInputs{}, mu_pa_s);
        overtake(b, -out * ml, -in * ml, 0.7, state, AirInputs{}, mu_pa_s);
        CHECK(same(mirrored(a), b, 0));
      }
  }
}
