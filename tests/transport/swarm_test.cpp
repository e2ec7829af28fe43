#include <doctest/doctest.h>

#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/swarm") {
  TEST_CASE("limit: without bubbles nothing happens, and nothing is allocated") {
    Swarm s;
    const Streamtubes tubes = make_streamtubes(8);
    const Passed p = move(s, tubes, {0.3, 0.3, 0.1, 0.2, 0.5}, level, 1, 0, 0, nullptr);
    CHECK((p.near_kg == 0 && p.far_kg == 0 && s.cloud.empty() && s.count.empty()));
    CHECK(keep(s, [](double, double) { return 0.5; }) == 0);
    CHECK(peek(s, tubes, {0.3, 0.3, 0.1, 0, 0}).far_kg == 0);
    regrid(s, tubes);
    CHECK(s.kg == 0);
  }

  TEST_CASE("limit: in one tube bubbles are a plug: all come at one line volume, none before") {
    const Streamtubes plug = make_streamtubes(1);
    Swarm s;
    CHECK(flow(s, plug, 0.4, 2.5).far_kg == 0);
    CHECK(near(s.kg, 1, 1e-14, 0));
    CHECK(s.count[0] == 1);                                  // what came in alike is one cloud
    CHECK(near(flow(s, plug, 0.6).far_kg, 0, 0, 1e-14));
    CHECK(near(flow(s, plug, 0.1).far_kg, 0.25, 1e-12, 0));
    CHECK(near(flow(s, plug, 0.3).far_kg, 0.75, 1e-12, 0));
    CHECK(s.kg == 0);
  }

  TEST_CASE("law: there and back restores every cloud, in every tube, whatever the size (T8)") {
    for (const int k : {1, 8, 64})
      for (const double d : {0.0, 0.2, 1.5})
        for (const double way : {1.0, -1.0}) {
          CAPTURE(k);
          CAPTURE(d);
          const Streamtubes tubes = make_streamtubes(k);
          Swarm s;
          fill(s, tubes, 0.30, 0.40, 1e-6);
          fill(s, tubes, 0.45, 0.45, 2e-6);
          fill(s, tubes, 0.55, 0.60, 1e-7);
          const Swarm before = s;
          double merged = 0;
          for (const double v : {0.05, 0.07, -0.12, 0.02, -0.02})
            move(s, tubes, {way * v, way * v, d, 0, 0}, level, 1, 0, 0, &merged);
          CHECK(same(s, before, 1e-12));
          CHECK(s.kg == before.kg);
          CHECK(merged == 0);
        }
  }

  TEST_CASE("law: what squeezes the line from one end moves its contents in proportion to their distance from the other") {
    const Streamtubes plug = make_streamtubes(1);
    Swarm s;
    fill(s, plug, 0.2, 0.8, 1);
    move(s, plug, {0, -0.25, 0, 0, 0}, level, 1, 0, 0.5, nullptr);   // in at the far end alone
    REQUIRE(s.count[0] == 2);
    CHECK(near(cloud(s, 0, 0).from, 0.15, 1e-14, 0));
    CHECK(near(cloud(s, 0, 0).to, 0.6, 1e-14, 0));
    CHECK(near(cloud(s, 0, 1).from, 0.75, 1e-14, 0));
    CHECK(cloud(s, 0, 1).to == 1);
    CHECK(cloud(s, 0, 1).kg == 0.5);
  }

  TEST_CASE("limit: squeezed however much, clouds keep their order, stay in, and nothing leaves a closed end") {
    const Streamtubes tubes = make_streamtubes(16);
    for (const double squeeze : {0.3, 0.6, 2.0}) {
      CAPTURE(squeeze);
      Swarm s = full(tubes);
      const Passed p = move(s, tubes, {0, -squeeze, 0, 0, 0}, level, 1, 0, 0.1, nullptr);
      CHECK((p.near_kg == 0 && p.far_kg == 0));
      CHECK(in_order(s));
      CHECK(near(s.kg, 1.1, 1e-15, 0));
    }
  }

  TEST_CASE("law: both ends out, each gives what its motion carries past it; a swelling line of one tube in shares") {
    const Streamtubes plug = make_streamtubes(1);
    Swarm s = full(plug);
    const Passed p = move(s, plug, {-0.1, 0.3, 0, 0, 0}, level, 1, 0, 0, nullptr);
    CHECK(near(p.near_kg, 0.1 / 1.4, 1e-14, 0));
    CHECK(near(p.far_kg, 0.3 / 1.4, 1e-14, 0));
    CHECK(near(s.kg, 1 / 1.4, 1e-14, 0));
  }

  TEST_CASE("law: looking tells what leaves, and changes nothing") {
    const Streamtubes tubes = make_streamtubes(12);
    Swarm s = full(tubes, 3e-6);
    fill(s, tubes, 0.9, 1, 1e-6);
    for (const SwarmMotion m : {SwarmMotion{0.2, 0.2, 0.1, 0, 0}, {-0.2, -0.15, 0.1, 0, 0}, {-0.1, 0.1, 0.4, 0, 0}}) {
      const Passed p = peek(s, tubes, m);
      Swarm moved = s;
      const Passed q = move(moved, tubes, m, level, 1, 0, 0, nullptr);
      CHECK((p.near_kg == q.near_kg && p.far_kg == q.far_kg && p.near_kg + p.far_kg > 0));
    }
  }

  TEST_CASE("limit: bubbles that come in with hardly any volume gather at the mouth and leave first") {
    const Streamtubes tubes = make_streamtubes(4);
    for (const bool at_near : {true, false}) {
      Swarm s;
      move(s, tubes, {}, level, 1, at_near ? 1e-6 : 0, at_near ? 0 : 1e-6, nullptr);
      CHECK(s.kg == 1e-6);
      CHECK(in_order(s));
      const double v = at_near ? -1e-6 : 1e-6;
      const Passed p = move(s, tubes, {v, v, 0, 0, 0}, level, 1, 0, 0, nullptr);
      CHECK(near(at_near ? p.near_kg : p.far_kg, 1e-6, 1e-15, 0));
      CHECK(s.kg == 0);
    }
  }

  TEST_CASE("limit: more than the line in one quantum: what came in goes through in the fast tubes") {
    const Streamtubes plug = make_streamtubes(1), tubes = make_streamtubes(64);
    Swarm s;
    CHECK(near(move(s, plug, {1.6, 1.6, 0, 0, 0}, level, 1, 1.6, 0, nullptr).far_kg, 0.6, 1e-14, 0));
    Swarm once, often;
    const double out = move(once, tubes, {0.8, 0.8, 0, 0, 0}, level, 1, 0.8, 0, nullptr).far_kg;
    CHECK(near(out, flow(often, tubes, 0.8, 1).far_kg, 1e-10, 0));
  }

  TEST_CASE("law: seen from the other end everything is the same") {
    const Streamtubes tubes = make_streamtubes(7);
    Swarm s;
    fill(s, tubes, 0.05, 0.3, 1);
    fill(s, tubes, 0.4, 0.95, 2);
    const Profile bow{.near_m = 0.1, .peak_m = 0.6, .peak_share = 0.4, .far_m = 0.2};
    const Profile turned{.near_m = 0.2, .peak_m = 0.6, .peak_share = 0.6, .far_m = 0.1};
    for (const SwarmMotion m : {SwarmMotion{0.2, 0.15, 0.1, 0.05, 0.1}, {-0.3, 0.1, 0.3, 0.2, 0},
                                {0.1, -0.2, 0, 0.01, 0}}) {
      Swarm a = s, b = mirrored(s);
      const Passed p = move(a, tubes, m, bow, 1, 0.3, 0.1, nullptr);
      const SwarmMotion back{-m.far, -m.near, m.d_over_bore, m.rise, m.creams};
      const Passed q = move(b, tubes, back, turned, 1, 0.1, 0.3, nullptr);
      CHECK(same(mirrored(b), a, 1e-12));
      CHECK(near(p.near_kg, q.far_kg, 1e-12, 0));
      CHECK(near(p.far_kg, q.near_kg, 1e-12, 0));
    }
  }
}
