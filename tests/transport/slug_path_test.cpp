#include "evenstroke/transport/slug_path.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <initializer_list>

#include "evenstroke/transport/parcels.hpp"
#include "support/dice.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

// Lines of 1 m3 with oil of 1 kg/m3 and gas of 1 kg/m3: masses are volumes. The bore is too small for slugs to be bubbles.
const LineState state{1, 1, 1, 1e-3};

Queue queue(std::initializer_list<Parcel> parcels) {
  Queue q;
  for (const Parcel& p : parcels) q[q.count++] = p;
  return q;
}
Parcel oil(double v) { return {v, 0, 0, false}; }
Parcel slug(double v) { return {0, v, 0, true}; }

/// A slug from 0.4 to 0.6 that has been pressed to `is` from 0.2 by what came in; the far end is shut.
SlugPath pressed(double is) {
  const double in = 0.2 - is;
  const Queue q = queue({oil(in + 0.4), slug(is), oil(0.4)});
  SlugPath path(q, in, 0, in, 0, state);
  path.arrive(q, state);
  return path;
}

/// A slug of 0.2 at `tail` that runs `lead` ahead of a flow of v: its film and the oil it has passed are behind it.
SlugPath running(double tail, double v, double lead) {
  const Queue before = queue({oil(v + tail), slug(0.2), oil(0.8 - tail)});
  SlugPath path(before, v, 0, v, v, state);
  path.arrive(queue({oil(v + tail + lead), slug(0.2), oil(0.8 - tail - lead)}), state);
  return path;
}

}  // namespace

TEST_SUITE("transport/slug_path") {
  TEST_CASE("limit: without a slug there is nothing to tell") {
    const Queue q = queue({oil(1.1)});
    CHECK(SlugPath(q, 0.1, 0, 0.1, 0.1, state).straight());
    CHECK(SlugPath().straight());
  }

  TEST_CASE("law: a slug that is pressed gives way alone: before it bubbles go with what comes in, behind it none moves") {
    const SlugPath path = pressed(0.17);
    REQUIRE(!path.straight());
    for (const double speed : {0.3, 1.0}) {
      CHECK(near(path(0.1, speed), 0.1 + 0.03 * speed, 1e-12, 0));
      CHECK(near(path(0.36, speed), 0.36 + 0.03 * speed, 1e-12, 0));
      CHECK(near(path(0.7, speed), 0.7, 1e-12, 0));
      CHECK(near(path(0.5, speed), 0.5, 1e-12, 0));           // in the film
    }
  }

  TEST_CASE("law: no bubble passes a slug from behind, however fast") {
    const SlugPath path = running(0.4, 0.05, 0.01);
    CHECK(near(path(0.39, 2), 0.46, 1e-12, 0));
    CHECK(near(path(0.4, 1.9), 0.46, 1e-12, 0));
    CHECK(near(path(0.2, 1.9), 0.2 + 0.05 * 1.9, 1e-12, 0));
    CHECK(near(path(0.65, 2), 0.75, 1e-12, 0));               // ahead of it they run away
  }

  TEST_CASE("law: a bubble that a slug overtakes waits in its film until the tail has passed, in many steps or few") {
    // The nose, at 0.3, reaches a bubble 0.05 ahead that runs at half the flow; the slug, 0.2 long, runs at 1.2 of it.
    for (const int steps : {5, 30, 3000}) {
      CAPTURE(steps);
      const double all = 0.4, v = all / steps;
      double tail = 0.1, x = 0.35;
      for (int i = 0; i < steps; ++i) {
        x = running(tail, v, 0.2 * v)(x, 0.5);
        tail += 1.2 * v;
      }
      const double caught = 0.05 / (1.2 - 0.5), freed = caught + 0.2 / 1.2;   // flow until then
      CHECK(near(x, 0.35 + 0.5 * (caught + all - freed), 1e-9, 0));
    }
  }

  TEST_CASE("law: seen from the other end all is the same") {
    const Queue q = queue({oil(0.2), slug(0.1), oil(0.3), slug(0.15), oil(0.3)});
    const Queue after = queue({oil(0.21), slug(0.1), oil(0.29), slug(0.15), oil(0.3)});
    const Queue r = queue({oil(0.3), slug(0.15), oil(0.3), slug(0.1), oil(0.2)});
    const Queue turned = queue({oil(0.3), slug(0.15), oil(0.29), slug(0.1), oil(0.21)});
    SlugPath one(q, 0.08, 0, 0.08, 0.03, state), other(r, 0, 0.08, -0.03, -0.08, state);
    one.arrive(after, state);
    other.arrive(turned, state);
    for (int i = 0; i <= 100; ++i)
      for (const double speed : {0.1, 1.0, 1.9}) CHECK(near(one(0.01 * i, speed), 1 - other(1 - 0.01 * i, speed), 0, 1e-12));
  }

  TEST_CASE("law: bubbles of one tube keep their order, whatever the slugs do") {
    Dice dice(11, 0);
    for (int n = 0; n < 2000; ++n) {
      CAPTURE(n);
      const double way = dice.between(-0.06, 0.06), gain = dice.between(-0.03, 0.03), lead = dice.between(0, 0.02);
      const double in_near = std::max(0.0, way), in_far = std::max(0.0, -way - gain);
      const double g = dice.between(0.1, 0.2), first = dice.between(0.05, 0.3);
      const Queue q = queue({oil(in_near + first), slug(g), oil(0.2), slug(g), oil(0.8 - first - 2 * g + in_far + gain)});
      SlugPath path(q, in_near, in_far, way, way + gain, state);
      const double l = way > 0 ? lead : -lead;
      path.arrive(queue({oil(in_near + first + l), slug(g), oil(0.2), slug(g), oil(0.8 - first - 2 * g + in_far + gain - l)}),
                  state);
      const double speed = dice.between(0.02, 2);
      double last = -1;
      for (int i = 0; i <= 400; ++i) {
        const double x = path(i / 400.0, speed);
        REQUIRE(x >= last - 1e-12);
        last = x;
      }
    }
  }
}
