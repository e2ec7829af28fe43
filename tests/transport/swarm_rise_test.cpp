#include <doctest/doctest.h>

#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

const Profile up{.far_m = 1}, bow{.near_m = 0, .peak_m = 0.3, .peak_share = 0.4, .far_m = 0.1},
    sag{.near_m = 0.2, .peak_m = 0, .peak_share = 0.5, .far_m = 0.3},
    knee{.near_m = 0, .peak_m = 0.4, .peak_share = 0.5, .far_m = 0.6};

Passed rest(Swarm& s, const Streamtubes& tubes, const Profile& run, double rise, int portions = 1) {
  Passed all;
  for (int i = 0; i < portions; ++i) {
    const Passed p = move(s, tubes, {0, 0, 0.1, rise / portions, 0}, run, 1, 0, 0, nullptr);
    all.near_kg += p.near_kg, all.far_kg += p.far_kg;
  }
  return all;
}

}  // namespace

TEST_SUITE("transport/swarm_rise") {
  TEST_CASE("law: heights and inclines of a run of two straight parts") {
    CHECK(near(bow.height_m(0.2), 0.15, 1e-15, 0));
    CHECK(near(bow.height_m(0.4), 0.3, 1e-15, 0));
    CHECK(near(bow.height_m(0.7), 0.2, 1e-15, 0));
    CHECK(near(bow.sin_incline(0.1, 2), 0.3 / 0.4 / 2, 1e-14, 0));
    CHECK(near(bow.sin_incline(0.9, 2), -0.2 / 0.6 / 2, 1e-14, 0));
    CHECK(bow.sin_incline(0.4, 2) == 0);
    CHECK(near(up.height_m(0.25), 0.25, 1e-15, 0));
    CHECK(up.sin_incline(0.25, 0.5) == 1);                   // no line is steeper than upright
    CHECK(near(knee.sin_incline(0.5, 2), 0.2, 1e-14, 0));
  }

  TEST_CASE("law: bubbles rise at their own speed along the run, alike in every tube") {
    const Streamtubes tubes = make_streamtubes(5);
    Swarm s;
    fill(s, tubes, 0.2, 0.3, 1);
    rest(s, tubes, up, 0.4, 4);
    for (std::size_t k = 0; k < 5; ++k) {
      REQUIRE(s.count[k] == 1);
      CHECK(near(cloud(s, k, 0).from, 0.6, 1e-14, 0));
      CHECK(near(cloud(s, k, 0).to, 0.7, 1e-14, 0));
    }
  }

  TEST_CASE("limit: at a closed upper end they gather and stay; only flow carries them out, and then first of all") {
    const Streamtubes tubes = make_streamtubes(5);
    Swarm s = full(tubes);
    const Passed p = rest(s, tubes, up, 0.25, 5);
    CHECK((p.near_kg == 0 && p.far_kg == 0));
    CHECK(near(s.kg, 1, 1e-15, 0));
    for (std::size_t k = 0; k < 5; ++k) {                     // a quarter is a pile, the rest keeps its density
      REQUIRE(s.count[k] == 2);
      CHECK(near(cloud(s, k, 0).from, 0.25, 1e-14, 0));
      CHECK(near(cloud(s, k, 0).kg, 0.75 * tubes.share[k], 1e-12, 0));
      CHECK((cloud(s, k, 1).from == 1 && cloud(s, k, 1).to == 1));
    }
    CHECK(near(move(s, tubes, {1e-9, 1e-9, 0, 0, 0}, up, 1, 0, 0, nullptr).far_kg, 0.25, 1e-6, 0));
  }

  TEST_CASE("law: bubbles gather at the high point of a run from both its sides, and all of them in the end") {
    const Streamtubes tubes = make_streamtubes(3);
    for (const int portions : {1, 7}) {
      CAPTURE(portions);
      Swarm s = full(tubes);
      rest(s, tubes, bow, 0.1, portions);
      const double from_near = 0.1 * 0.75, from_far = 0.1 * 0.2 / 0.6;
      for (std::size_t k = 0; k < 3; ++k) {
        REQUIRE(s.count[k] == 3);
        CHECK(near(cloud(s, k, 0).from, from_near, 1e-12, 0));
        CHECK((cloud(s, k, 1).from == 0.4 && cloud(s, k, 1).to == 0.4));
        CHECK(near(cloud(s, k, 1).kg, (from_near + from_far) * tubes.share[k], 1e-12, 0));
        CHECK(near(cloud(s, k, 2).to, 1 - from_far, 1e-12, 0));
      }
      rest(s, tubes, bow, 10, portions);
      for (std::size_t k = 0; k < 3; ++k)
        CHECK((s.count[k] == 1 && cloud(s, k, 0).from == 0.4 && cloud(s, k, 0).to == 0.4));
      CHECK(near(s.kg, 1, 1e-15, 0));
    }
  }

  TEST_CASE("law: a low point parts them; past a knee they go on at the other part's speed") {
    const Streamtubes plug = make_streamtubes(1);
    Swarm s;
    fill(s, plug, 0.4, 0.6, 1);
    rest(s, plug, sag, 0.1);
    REQUIRE(s.count[0] == 2);
    CHECK(near(cloud(s, 0, 0).to, 0.5 - 0.1 * 0.4, 1e-14, 0));
    CHECK(near(cloud(s, 0, 1).from, 0.5 + 0.1 * 0.6, 1e-14, 0));
    Swarm t;
    fill(t, plug, 0.44, 0.44, 1);
    rest(t, plug, knee, 0.2);                                // 0.06 at 0.8 takes 0.075, the rest at 0.4
    CHECK(near(cloud(t, 0, 0).from, 0.5 + 0.125 * 0.4, 1e-13, 0));
    Swarm u = full(plug);
    rest(u, plug, knee, 5);
    CHECK((u.count[0] == 1 && cloud(u, 0, 0).from == 1));
  }

  TEST_CASE("limit: rise against an equal flow holds a bubble of one tube in its place") {
    const Streamtubes plug = make_streamtubes(1);
    Swarm s;
    fill(s, plug, 0.4, 0.5, 1);
    for (int i = 0; i < 100; ++i) move(s, plug, {-0.01, -0.01, 0, 0.01, 0}, up, 1, 0, 0, nullptr);
    CHECK(near(cloud(s, 0, 0).from, 0.4, 1e-12, 0));
  }
}
