#include <doctest/doctest.h>

#include <numbers>
#include <vector>

#include "transport/parcels.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/queue") {
  TEST_CASE("law: what leaves one end in small portions and comes back restores every parcel") {
    const Queue before = line({oil(2), slug(0.5), oil(3, 2e-4), slug(0.2), oil(1), oil(1.5, 1e-4)});
    for (const End end : {End::near, End::far}) {
      CAPTURE(end == End::near);
      Queue q = before;
      std::vector<Bundle> out;
      while (q.count > 0)   // three portions of each parcel, so that no portion holds two kinds
        for (const double part : {0.2, 0.5, 1.0}) {
          const Parcel& mouth = q[end == End::near ? 0 : q.count - 1];
          out.push_back(pop(q, end, part * volume_m3(mouth, state), state));
        }
      CHECK(out.size() == 18);
      for (; !out.empty(); out.pop_back()) CHECK(push(q, end, out.back(), state) == 0.0);
      CHECK(same(q, before, 1e-14));
    }
  }

  TEST_CASE("law: first in, first out: what enters at one end leaves at the other in the same order") {
    Queue q;
    for (int i = 1; i <= 9; ++i) push(q, End::near, bundle(i % 3 ? oil(1, 1e-5 * i) : slug(1)), state);
    for (int i = 1; i <= 9; ++i) {
      CAPTURE(i);
      const Bundle b = pop(q, End::far, 1 * ml, state);
      const Bundle expected = bundle(i % 3 ? oil(1, 1e-5 * i) : slug(1));
      CHECK(near(b.oil_kg, expected.oil_kg, 1e-12, 1e-17));
      CHECK(near(b.pocket_kg, expected.pocket_kg, 1e-12, 1e-18));
      CHECK(near(b.dissolved_kg, expected.dissolved_kg, 1e-12, 1e-18));
    }
  }

  TEST_CASE("limit: more than the line holds gives all of it and leaves an empty line") {
    for (const End end : {End::near, End::far}) {
      Queue q = line({oil(2, 5e-5), slug(0.5), oil(3)});
      const Masses all = total(q);
      const Bundle b = pop(q, end, 1, state);
      CHECK(q.count == 0);
      CHECK(near(b.oil_kg, all.oil_kg, 1e-15, 0));
      CHECK(near(b.pocket_kg, all.pocket_kg, 1e-15, 0));
      CHECK(near(b.dissolved_kg, all.dissolved_kg, 1e-15, 0));
      const Bundle none = pop(q, end, 1 * ml, state);
      CHECK((none.oil_kg == 0 && none.pocket_kg == 0 && none.dissolved_kg == 0));
    }
  }

  TEST_CASE("law: a slug that arrives at a slug in the mouth joins it, and oil joins oil with the same air in it") {
    Queue q = line({oil(2), slug(0.5)});
    CHECK(push(q, End::far, bundle(slug(0.25)), state) == 0.0);
    CHECK(q.count == 2);
    CHECK(near(ml_of(q[1]), 0.75, 1e-14, 0));
    CHECK(push(q, End::near, bundle(oil(1)), state) == 0.0);
    CHECK(q.count == 2);
    CHECK(near(ml_of(q[0]), 3, 1e-14, 0));
    CHECK(push(q, End::near, bundle(oil(1, 3e-4)), state) == 0.0);
    CHECK(q.count == 3);
  }

  TEST_CASE("law: a drop of oil shorter than the bore does not keep arriving gas from the slug before it") {
    const double sphere_ml = std::numbers::pi / 6 * 64e-9 / ml;
    for (const End end : {End::near, End::far})
      for (const double size : {0.9, 1.1}) {
        CAPTURE(size);
        Queue q = line({oil(2), slug(0.5), oil(2, 1e-4)});
        pop(q, end, 2 * ml, state);
        push(q, end, bundle(oil(size * sphere_ml)), state);
        CHECK(push(q, end, bundle(slug(0.25)), state) == 0.0);
        CHECK(q.count == (size < 1 ? 3 : 4));                       // it slips past a drop: that stays at the mouth
        const int mouth = end == End::near ? 0 : q.count - 1, next = end == End::near ? 1 : q.count - 2;
        const int at = size < 1 ? next : mouth;
        CHECK(q[at].slug);
        CHECK(near(q[at].gas_kg, slug(size < 1 ? 0.75 : 0.25).gas_kg, 1e-12, 0));
        CHECK(q[at].oil_kg == 0.0);
      }
  }

  TEST_CASE("law: froth that has collapsed comes in as one slug and one drop, however fine its portions") {
    const double oil_ml = 0.03;   // in all less than the bore's sphere
    for (const int portions : {1, 10, 1000}) {
      CAPTURE(portions);
      Queue q = line({oil(2)});
      double moved_kg = 0;
      for (int i = 0; i < portions; ++i) {                             // the oil of each holds other air
        Bundle b = bundle(oil(oil_ml / portions, 1e-4 * (1 + i % 2)));
        b.pocket_kg = slug(4 * oil_ml / portions).gas_kg;
        moved_kg += push(q, End::near, b, state);
      }
      CHECK(q.count == (portions > 1 ? 4 : 3));                        // oil of the first, slug, oil of all others
      CHECK(q[q.count - 3].slug);
      CHECK(near(ml_of(q[q.count - 3]), 4 * oil_ml, 1e-9, 0));
      CHECK(moved_kg <= 1e-4 * oil(oil_ml).oil_kg);
    }
  }

  TEST_CASE("law: a full line joins the two neighbours that move least air and says how much") {
    Queue q;
    for (int i = 0; i < Queue::capacity; ++i)
      CHECK(push(q, End::near, bundle(oil(1, 1e-6 * (i + 1) * (i + 1))), state) == 0.0);   // the steps grow with i
    REQUIRE(q.count == Queue::capacity);
    const Parcel a = q[q.count - 1], b = q[q.count - 2];   // the first two laid in differ least
    const double share = b.oil_kg / (a.oil_kg + b.oil_kg);
    const double moved = std::abs(a.dissolved_kg - (1 - share) * (a.dissolved_kg + b.dissolved_kg));
    CHECK(near(push(q, End::near, bundle(oil(1, 5e-3)), state), moved, 1e-9, 0));
    CHECK(q.count == Queue::capacity);
    CHECK(near(q[q.count - 1].dissolved_kg, a.dissolved_kg + b.dissolved_kg, 1e-15, 0));
  }

  TEST_CASE("limit: without end of pushes a line never holds more than its number of parcels, and keeps all mass") {
    Queue q;
    Masses in;
    double moved = 0;
    for (int i = 0; i < 500; ++i) {
      const Parcel p = i % 2 ? slug(0.1 + 0.01 * (i % 7)) : oil(0.3, 1e-5 * (i % 11));
      moved += push(q, i % 5 ? End::near : End::far, bundle(p), state);
      CHECK(q.count <= Queue::capacity);
      in.oil_kg += p.oil_kg;
      in.pocket_kg += p.gas_kg;
      in.dissolved_kg += p.dissolved_kg;
    }
    CHECK(moved > 0);
    CHECK(near(total(q).oil_kg, in.oil_kg, 1e-13, 0));
    CHECK(near(total(q).pocket_kg, in.pocket_kg, 1e-13, 0));
    CHECK(near(total(q).dissolved_kg, in.dissolved_kg, 1e-13, 0));
  }
}
