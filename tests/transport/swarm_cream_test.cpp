#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "evenstroke/air/bubble.hpp"
#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// The line rests while its bubbles rise by so much of what is free across it.
void cream(Swarm& s, const Streamtubes& tubes, double risen) {
  move(s, tubes, {0, 0, 0.1, 0, risen}, level, 1, 0, 0, nullptr);
}

double wall_kg(const Swarm& s) {
  double kg = 0;
  for (int j = 0; j < s.count[0]; ++j) kg += cloud(s, 0, j).kg;
  return kg;
}

/// Line volumes that flow until a bubble leaves that came in at (x, z), radius 1 at the wall, and rises by `creams` of the
/// free height per line volume.
double stays(double x, double z, double creams, double d) {
  const double slowest = creamed_speed_ratio(d, 1), dt = 2e-3;
  double way = 0, volumes = 0;
  while (way < 1) {
    const double r2 = std::min(1.0, x * x + z * z);
    way += (slowest + (2 - slowest) * (1 - r2)) * dt;
    volumes += dt;
    z = std::min(z + 2 * creams * dt, std::sqrt(std::max(0.0, 1 - x * x)));
  }
  return volumes - (way - 1) / (slowest + (2 - slowest) * (1 - std::min(1.0, x * x + z * z)));
}

/// Kilograms in a line long after bubbles, one kilogram per line volume, began to come in, each followed by itself.
double steady_kg(double creams, double d) {
  constexpr int grid = 60;
  const double slowest = creamed_speed_ratio(d, 1);
  double flux = 0, kg = 0;
  for (int i = 0; i < grid; ++i)
    for (int j = 0; j < 2 * grid; ++j) {
      const double x = (i + 0.5) / grid, z = (j + 0.5) / grid - 1, r2 = x * x + z * z;
      if (r2 >= 1) continue;
      const double u = slowest + (2 - slowest) * (1 - r2);
      flux += u;
      kg += u * stays(x, z, creams, d);
    }
  return kg / flux;
}

double steady_kg(const Streamtubes& tubes, double creams, double d) {
  Swarm s;
  const double v = 0.02;
  for (int i = 0; i < 1000; ++i) move(s, tubes, {v, v, d, 0, creams * v}, level, 1, v, 0, nullptr);
  return s.kg;
}

}  // namespace

TEST_SUITE("transport/swarm_cream") {
  TEST_CASE("law: of bubbles at rest the share of a disc less its shifted self is at the wall, strip by strip a band") {
    for (const int n : {2, 8, 30, 120, 512}) {
      const Streamtubes tubes = make_level_streamtubes(n);
      Swarm s;
      fill(s, tubes, 0.2, 0.7, 1);
      for (int i = 1; i <= 100; ++i) {
        CAPTURE(n);
        CAPTURE(i);
        cream(s, tubes, 0.01);
        const double strips = static_cast<double>(tubes.strip.size());   // in turn: a step of all is a step of one of them
        REQUIRE(near(1 - wall_kg(s), suspended_share(0.01 * i), 0, 2 * tubes.band / strips));
        REQUIRE(near(s.kg, 1, 1e-13, 0));
      }
      cream(s, tubes, 0.6);
      REQUIRE(s.count[0] == 1);
      CHECK(near(cloud(s, 0, 0).kg, 1, 1e-13, 0));             // risen as far as the line is wide: all, and where they stood
      CHECK(near(cloud(s, 0, 0).from, 0.2, 1e-12, 0));
      CHECK(near(cloud(s, 0, 0).to, 0.7, 1e-12, 0));
    }
  }

  TEST_CASE("law: many short ways are one long way") {
    const Streamtubes tubes = make_level_streamtubes(30);
    Swarm once, often;
    for (Swarm* s : {&once, &often}) fill(*s, tubes, 0.2, 0.7, 1);
    cream(once, tubes, 0.55);
    for (int i = 0; i < 1000; ++i) cream(often, tubes, 5.5e-4);
    CHECK(same(once, often, 1e-12));
    CHECK(near(once.creaming, often.creaming, 0, 1e-12));
  }

  TEST_CASE("law: those that come in by and by have each risen for their own time") {
    const Streamtubes tubes = make_level_streamtubes(512);
    Swarm s;
    double off_kg = 0;
    for (int i = 0; i < 120; ++i) {                            // a further hundredth of the way before each portion
      cream(s, tubes, 0.01);
      fill(s, tubes, 0.2, 0.7, 1);
    }
    for (int age = 0; age < 120; ++age) off_kg += suspended_share(0.01 * age);
    CHECK(near(120 - wall_kg(s), off_kg, 0.02, 0));
  }

  TEST_CASE("agreement: what stays in a line that flows, against bubbles followed one by one; closer with more cells") {
    for (const double creams : {0.05, 0.3, 1.0}) {
      CAPTURE(creams);
      const double right = steady_kg(creams, 0.05), few = steady_kg(make_level_streamtubes(8), creams, 0.05);
      const double many = steady_kg(make_level_streamtubes(120), creams, 0.05);
      MESSAGE("right " << right << ", 8 cells " << few << ", 120 cells " << many);
      CHECK(near(few, right, 0.06, 0));
      CHECK(near(many, right, 0.015, 0));
    }
  }

  TEST_CASE("law: creamed bubbles of 0.1 to 1 mm in 4 mm need 10.1, 3.46, 2.13, 1.14 line volumes") {
    const double published[] = {10.1, 3.46, 2.13, 1.14}, d_mm[] = {0.1, 0.3, 0.5, 1.0};   // 1/(2 [1 - (1 - d/D)^2])
    for (const int k : {2, 120})
      for (int i = 0; i < 4; ++i) {
        CAPTURE(k);
        CAPTURE(d_mm[i]);
        const Streamtubes tubes = make_level_streamtubes(k);
        Swarm s = full(tubes);
        cream(s, tubes, 1.5);
        double volumes = 0;
        while (s.kg > 5e-4 && volumes < 20) {
          move(s, tubes, {1e-3, 1e-3, d_mm[i] / 4, 0, 0}, level, 1, 0, 0, nullptr);
          volumes += 1e-3;
        }
        CHECK(near(volumes, published[i], 5e-3, 3e-3));   // last places of the list, step of the search
      }
  }
}
