#include <doctest/doctest.h>

#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/swarm_store") {
  TEST_CASE("law: what is laid in evenly lies over what is there; every tube gets by its area") {
    const Streamtubes tubes = make_streamtubes(6);
    Swarm s;
    fill(s, tubes, 0.2, 0.4, 2);
    fill(s, tubes, 0, 1, 5);
    fill(s, tubes, 0.3, 0.3, 1);
    CHECK(near(s.kg, 8, 1e-15, 0));
    CHECK(in_order(s));
    for (std::size_t k = 0; k < 6; ++k) {
      CAPTURE(k);
      REQUIRE(s.count[k] == 5);
      const double expected[] = {1, 1.5, 1, 1.5, 3};
      for (int i = 0; i < 5; ++i) CHECK(near(cloud(s, k, i).kg, expected[i] * tubes.share[k], 1e-12, 0));
    }
  }

  TEST_CASE("law: keep leaves each cloud its share and says what it took") {
    const Streamtubes tubes = make_streamtubes(5);
    Swarm s;
    fill(s, tubes, 0, 0.2, 1);
    fill(s, tubes, 0.5, 0.7, 3);
    const double taken = keep(s, [](double from, double) { return from < 0.4 ? 0.0 : 0.75; });
    CHECK(near(taken, 1 + 0.75, 1e-15, 0));
    CHECK(near(s.kg, 2.25, 1e-15, 0));
    CHECK(largest_count(s) == 1);                            // the empty one is gone
  }

  TEST_CASE("law: in another number of tubes the same bubbles stand at the same places and in the same layers") {
    Swarm s;
    s.cloud.assign(Swarm::capacity, {});
    s.cloud[0] = {0.2, 0.6, 4};
    s.cloud[1] = {0.6, 0.7, 2};
    s.count = {2};
    s.kg = 6;
    const Streamtubes eight = make_streamtubes(8), sixteen = make_streamtubes(16);
    regrid(s, eight);
    CHECK(near(s.kg, 6, 1e-15, 0));
    for (std::size_t k = 0; k < 8; ++k) {
      REQUIRE(s.count[k] == 2);
      CHECK(near(cloud(s, k, 0).kg, 4 * eight.share[k], 1e-14, 0));
      CHECK((cloud(s, k, 1).from == 0.6 && cloud(s, k, 1).to == 0.7));
    }
    s.count.assign(8, 0);                                    // only the layer on the axis, then in finer tubes
    s.count[7] = 2;
    const double kg = cloud(s, 7, 0).kg + cloud(s, 7, 1).kg;
    s.kg = kg;
    regrid(s, sixteen);
    CHECK(near(s.kg, kg, 1e-15, 0));
    for (std::size_t k = 0; k < 16; ++k)
      CHECK((s.count[k] > 0) == (sixteen.edge[k + 1] > eight.edge[7] * (1 + 1e-12)));
  }
}
