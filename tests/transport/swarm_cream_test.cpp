#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

void cream(Swarm& s, const Streamtubes& tubes, double share) {
  move(s, tubes, {0, 0, 0.1, 0, share}, level, 1, 0, 0, nullptr);
}

}  // namespace

TEST_SUITE("transport/swarm_cream") {
  TEST_CASE("law: the creamed share goes to the tube at the wall, where it stands, and every tube loses it alike") {
    const Streamtubes tubes = make_streamtubes(12);
    Swarm s;
    fill(s, tubes, 0.2, 0.7, 1);
    cream(s, tubes, 0.3);
    REQUIRE(s.count[0] == 1);
    CHECK(near(cloud(s, 0, 0).kg, tubes.share[0] + 0.3 * (1 - tubes.share[0]), 1e-12, 0));
    CHECK(near(cloud(s, 0, 0).from, 0.2, 1e-12, 0));
    for (std::size_t k = 1; k < 12; ++k) CHECK(near(cloud(s, k, 0).kg, 0.7 * tubes.share[k], 1e-12, 0));
    CHECK(near(s.kg, 1, 1e-15, 0));
    cream(s, tubes, 1);
    CHECK(near(cloud(s, 0, 0).kg, 1, 1e-14, 0));
  }

  TEST_CASE("law: small shares add up, and none is put off that is as large as a hundredth; books stay") {
    const Streamtubes tubes = make_streamtubes(12);
    const double inner = 1 - tubes.share[0];
    Swarm s;
    fill(s, tubes, 0.2, 0.7, 1);
    for (int i = 1; i <= 1000; ++i) {
      CAPTURE(i);
      cream(s, tubes, 7e-4);
      double wall = 0;
      for (int j = 0; j < s.count[0]; ++j) wall += cloud(s, 0, j).kg;
      const double fallen = 1 - std::pow(1 - 7e-4, i);
      const double off = (tubes.share[0] + inner * fallen - wall) / (inner * (1 - fallen));
      REQUIRE((off > -1e-12 && off < 0.01));                // of what has not fallen by then
      REQUIRE(near(s.kg, 1, 1e-14, 0));
    }
    regrid(s, make_streamtubes(24));
    CHECK(s.creaming > 0);
    CHECK(keep(s, [](double, double) { return 0.0; }) > 0);
    fill(s, make_streamtubes(24), 0.2, 0.7, 1);
    cream(s, make_streamtubes(24), 7e-4);
    CHECK(near(s.creaming, 7e-4, 1e-12, 0));                 // new bubbles have nothing to make up for
  }

  TEST_CASE("agreement: quanta so short that creaming is put off carry out the same as quanta that are not") {
    const Streamtubes tubes = make_streamtubes(12);
    const double per_volume = std::log(2.0);                 // half of them fall in one line volume
    std::vector<double> left, out;
    for (const int portions : {40, 80, 2000}) {              // shares of 1.7 %, 0.86 %, 0.035 % in each
      Swarm s;
      const double v = 1.0 / portions, creamed = -std::expm1(-per_volume * v);
      double gone = 0;
      for (int i = 0; i < 3 * portions; ++i)
        gone += move(s, tubes, {v, v, 0.1, 0, creamed}, level, 1, i < portions ? v : 0.0, 0, nullptr).far_kg;
      left.push_back(s.kg);
      out.push_back(gone);
      CHECK(near(gone + s.kg, 1, 1e-12, 0));
    }
    for (const std::size_t i : {0, 1}) {
      CAPTURE(i);
      CHECK(near(left[i], left[2], 0.01, 0));
      CHECK(near(out[i], out[2], 0.01, 0));
    }
    MESSAGE("left after three volumes: " << left[0] << ", " << left[1] << ", " << left[2]);
  }

  TEST_CASE("law: creamed bubbles of 0.1 to 1 mm in 4 mm need 10.1, 3.46, 2.13, 1.14 line volumes") {
    const double published[] = {10.1, 3.46, 2.13, 1.14}, d_mm[] = {0.1, 0.3, 0.5, 1.0};   // 1/(2 [1 - (1 - d/D)^2])
    for (const int k : {12, 512})
      for (int i = 0; i < 4; ++i) {
        CAPTURE(k);
        CAPTURE(d_mm[i]);
        const Streamtubes tubes = make_streamtubes(k);
        Swarm s = full(tubes);
        cream(s, tubes, 1);
        const double d = d_mm[i] / 4, first = 1e-3;
        double volumes = 0;
        while (s.kg > 0.5 * first && volumes < 20) {
          move(s, tubes, {1e-3, 1e-3, d, 0, 0}, level, 1, 0, 0, nullptr);
          volumes += 1e-3;
        }
        if (k == 512) CHECK(near(volumes, published[i], 5e-3, 3e-3));   // last places of the list, step of the search
        else CHECK(near(volumes, published[i], 0.2, 0));     // few tubes: the one at the wall is thick and fast
      }
  }
}
