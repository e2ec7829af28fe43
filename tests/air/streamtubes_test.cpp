#include "evenstroke/air/streamtubes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "evenstroke/base/error.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

/// Bubbles left in a line after theta volumes, plug flow inside each tube.
double inventory(const Streamtubes& t, double theta, double d_over_bore) {
  double left = 0;
  for (std::size_t k = 0; k < t.share.size(); ++k)
    left += t.share[k] * std::max(0.0, 1 - theta * tube_speed_ratio(t.edge[k], t.edge[k + 1], d_over_bore));
  return left;
}

}  // namespace

TEST_SUITE("air/streamtubes") {
  TEST_CASE("law: tubes fill the section, graded towards the wall") {
    for (const int k : {1, 2, 3, 12, 64, 512}) {
      CAPTURE(k);
      const Streamtubes t = make_streamtubes(k);
      const std::size_t n = static_cast<std::size_t>(k);
      REQUIRE(t.edge.size() == n + 1);
      REQUIRE(t.share.size() == n);
      CHECK(t.edge.front() == 0);
      CHECK(t.edge.back() == 1);
      CHECK(near(std::accumulate(t.share.begin(), t.share.end(), 0.0), 1, 1e-13, 0));
      if (n > 1) CHECK(near(t.edge[1], 1 / (4.0 * k), 1e-14, 0));
      for (std::size_t i = 2; i < n; ++i) CHECK(near(t.edge[i + 1] / t.edge[i], t.edge[2] / t.edge[1], 1e-11, 0));
    }
  }

  TEST_CASE("balance: the mean over the section is the flow") {
    for (const int k : {1, 5, 40})
      for (const double x : {0.0, 0.05, 0.3, 0.9}) {
        CAPTURE(k);
        CAPTURE(x);
        const Streamtubes t = make_streamtubes(k);
        double mean = 0;
        for (std::size_t i = 0; i < t.share.size(); ++i)
          mean += t.share[i] * tube_speed_ratio(t.edge[i], t.edge[i + 1], x);
        // Particles in a capillary run ahead of the liquid by 1 + 2 x - x^2 (DiMarzio and Guttman 1970, from memory)
        CHECK(near(mean, 1 + 2 * x - x * x, 1e-12, 0));
      }
    CHECK(tube_speed_ratio(0, 1, 1) == 1);
    CHECK(tube_speed_ratio(0, 0.1, 2) == 1);
    CHECK(tube_speed_ratio(1, 1, 0.2) == 2);
  }

  TEST_CASE("law: cells of a level line fill the section, carry its flow, and all lead to the wall, tube 0") {
    for (const int k : {2, 3, 8, 16, 120, 512}) {
      CAPTURE(k);
      const Streamtubes t = make_level_streamtubes(k);
      const std::size_t n = t.share.size();
      CHECK(near(static_cast<double>(n), k, 0.25, 1));
      CHECK(near(std::accumulate(t.share.begin(), t.share.end(), 0.0), 1, 2e-5, 0));
      CHECK(near(std::inner_product(t.share.begin(), t.share.end(), t.w.begin(), 0.0), 0.5, 2e-5, 0));   // of 1 - r^2
      CHECK((t.share[0] == 0 && t.w[0] == 0 && t.edge.back() == 1 && t.edge.size() == n + 1));
      CHECK(std::is_sorted(t.w.begin(), t.w.end()));
      std::vector<int> climbs(n, -1);                          // until at the wall
      climbs[0] = 0;
      for (const Streamtubes::Climb& strip : t.strip)
        for (const auto& [from, to] : strip) {
          REQUIRE(climbs[from] == -1);
          REQUIRE(climbs[to] >= 0);                            // those above have gone before
          climbs[from] = climbs[to] + 1;
          CHECK(climbs[from] * t.band <= 1 + 1e-12);
        }
      CHECK(*std::min_element(climbs.begin(), climbs.end()) == 0);
    }
    CHECK(make_level_streamtubes(1).strip.empty());            // plug flow
    CHECK_THROWS_AS(make_level_streamtubes(0), InputError);
  }

  TEST_CASE("order: many tubes tend to the laminar inventory") {
    // Only the tube in which the front w* = 1/(2 theta) stands errs, by its width^2/(8 w*) at most: of the w*/2 that is
    // left (r - 1)^2/4 at most, r the growth from tube to tube. Below the first edge the first tube stands for all.
    for (const double theta : {0.3, 1.0, 5.0, 25.0, 200.0}) {
      CAPTURE(theta);
      for (const int k : {2, 8, 64, 512}) {
        CAPTURE(k);
        const Streamtubes t = make_streamtubes(k);
        const double growth = t.edge[2] / t.edge[1] - 1, right = laminar_inventory(theta);
        const double gap = inventory(t, theta, 0) - right;
        CHECK(gap <= 1e-14);
        if (1 / (2 * theta) >= t.edge[1]) CHECK(-gap <= growth * growth / 4 * right + 1e-14);
      }
    }
    CHECK(inventory(make_streamtubes(12), clear_volumes(0.1), 0.1) == 0);  // all bubbles are out
    CHECK(inventory(make_streamtubes(512), 0.98 * clear_volumes(0.1), 0.1) > 0);
    CHECK(inventory(make_streamtubes(1), 1, 0) == 0);                             // plug flow
  }

  TEST_CASE("agreement: laminar outlet is the loss of the laminar inventory") {
    for (const double theta : {0.2, 0.7, 3.0, 11.0}) {
      CAPTURE(theta);
      const double h = 1e-4, loss = (laminar_inventory(theta - h) - laminar_inventory(theta + h)) / (2 * h);
      CHECK(near(laminar_outlet(theta), loss, 1e-6, 0));
    }
    CHECK(near(laminar_outlet(5), 0.01, 1e-15, 0));
    CHECK(near(laminar_inventory(25), 0.01, 1e-15, 0));
  }

  TEST_CASE("reference: purging a laminar line") {
    // O. Levenspiel, Chemical Reaction Engineering, 3rd ed., p. 344: share of the new at the outlet 1 - 1/(4 theta^2)
    CHECK(near(1 - laminar_outlet(1), 0.75, 1e-15, 0));
    // Brasch and Whyman, Problems in Fluid Flow, Example 1.4: 50 mm, 12 m, new liquid over 98 % of the section at the
    // outlet after 0.589 m3: the place w = 0.02 must have come through.
    const double line = std::numbers::pi / 4 * 0.05 * 0.05 * 12;
    CHECK(near(line / tube_speed_ratio(0.02, 0.02, 0), 0.589, 1e-3, 0));
  }

  TEST_CASE("agreement: stirred tanks against a march of the tanks") {
    constexpr int n = 20, steps = 6000;
    double c[n];
    std::fill(c, c + n, 1.0);
    for (int s = 0; s < steps; ++s)  // Heun's method, step 2e-4 line volumes: error some (n h)^2
      for (int i = n - 1; i >= 0; --i) {
        const double z = n * 1.2 / steps, above = i ? c[i - 1] : 0, above2 = i > 1 ? c[i - 2] : 0;
        c[i] += z * (above - c[i]) + z * z / 2 * (above2 - 2 * above + c[i]);  // the true second derivative
      }
    CHECK(near(tanks_outlet(n, 1.2), c[n - 1], 2e-5, 0));
    CHECK(near(tanks_inventory(n, 1.2), std::accumulate(c, c + n, 0.0) / n, 2e-5, 0));
    CHECK(near(tanks_outlet(n, 1.2), 0.1802605142, 0, 5e-11));  // scipy 1.17.1, special.gammaincc(20, 24)
  }

  TEST_CASE("order: an explicit upwind grid tends to the tanks as its steps shrink") {
    const auto survival = [](int n, int steps, double courant) {  // binomial: fewer than n moves in `steps` tries
      double sum = 0;
      for (int k = 0; k < n; ++k)
        sum += std::exp(std::lgamma(steps + 1.0) - std::lgamma(k + 1.0) - std::lgamma(steps - k + 1.0) +
                        k * std::log(courant) + (steps - k) * std::log1p(-courant));
      return sum;
    };
    const double gap = survival(20, 240, 0.1) - tanks_outlet(20, 1.2);
    CHECK(near((survival(20, 480, 0.05) - tanks_outlet(20, 1.2)) / gap, 0.5, 0.05, 0));
  }

  TEST_CASE("limit: one tank is exponential, many are a plug; volumes to 1 %") {
    CHECK(near(tanks_outlet(1, 2.5), std::exp(-2.5), 1e-14, 0));
    CHECK(near(tanks_inventory(1, 2.5), std::exp(-2.5), 1e-14, 0));
    CHECK(tanks_outlet(20000, 0.9) > 0.9999);
    CHECK(tanks_outlet(20000, 1.1) < 1e-4);
    CHECK(tanks_inventory(7, 0) == 1);
    // theta at which 1 % is left, worked out apart with inverse incomplete gamma functions, to four digits
    CHECK(near(tanks_outlet(5, 2.321), 0.01, 2e-3, 0));
    CHECK(near(tanks_outlet(20, 1.592), 0.01, 4e-3, 0));
    CHECK(near(tanks_inventory(5, 1.955), 0.01, 2e-3, 0));
    CHECK(near(tanks_inventory(20, 1.332), 0.01, 5e-3, 0));
  }

  TEST_CASE("check: bubbles at the wall of a 4 mm line") {
    // Line volumes to clear, worked out apart: 0.1, 0.3, 0.5, 1 mm
    const double d[] = {0.1, 0.3, 0.5, 1.0}, volumes[] = {10.1, 3.46, 2.13, 1.14};
    for (int i = 0; i < 4; ++i) CHECK(near(clear_volumes(d[i] / 4), volumes[i], 3e-3, 0));
    CHECK(clear_volumes(1) == 0.5);
    CHECK_THROWS_AS(make_streamtubes(0), InputError);
    CHECK_THROWS_AS(make_streamtubes(513), InputError);
    CHECK_THROWS_AS(tube_speed_ratio(0.2, 0.1, 0), InputError);
    CHECK_THROWS_AS(tube_speed_ratio(0, 1.1, 0), InputError);
    CHECK_THROWS_AS(tube_speed_ratio(0, 1, -0.1), InputError);
    CHECK_THROWS_AS(laminar_outlet(-1), InputError);
    CHECK_THROWS_AS(tanks_outlet(0, 1), InputError);
    CHECK_THROWS_AS(clear_volumes(0), InputError);
  }
}
