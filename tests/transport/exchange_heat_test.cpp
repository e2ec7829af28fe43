#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "evenstroke/air/pocket_heat.hpp"
#include "support/near.hpp"
#include "transport/places.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// Squeezes a gas pocket in `w` from 1 to 8 bar in equal factors over `seconds`; index of the whole change.
double index_of(StillPlaces& b, Where w, double seconds, int steps = 400) {
  const double kg = 1e-8, first = bar;
  if (w == line) {
    Queue& q = b.c.line[w].queue;
    q[q.count++] = {0, kg, 0, true};
  } else {
    b.at(w).pocket_kg = kg;
  }
  const auto volume = [&](double p) { return b.gas_m3(kg, p) * b.c.pocket_k[w] / celsius_20; };
  const double start_m3 = volume(first);
  for (int i = 1; i <= steps; ++i) {
    b.before_pa_abs = first * std::pow(8.0, (i - 1.0) / steps);
    b.c.pressure_pa_abs.assign(5, first * std::pow(8.0, static_cast<double>(i) / steps));
    b.apply(seconds / steps);
  }
  return apparent_index(first, start_m3, 8 * first, volume(8 * first));
}

}  // namespace

TEST_SUITE("transport/exchange") {
  TEST_CASE("limit: a pocket follows the isotherm or the adiabat at the ends of its thermal time") {
    for (const Where w : {chamber, drive, high, line}) {
      CAPTURE(static_cast<std::size_t>(w));
      StillPlaces cold = only_rise(1e-6), hot = cold, law = cold, slow = cold;
      cold.air().pocket_heat = 0;
      hot.air().pocket_heat = 1e9;
      CHECK(near(index_of(cold, w, 1), 1, 1e-12, 0));
      CHECK(near(index_of(hot, w, 1), 1.4, 1e-6, 0));
      const double n = index_of(law, w, 0.5), later = index_of(slow, w, 5);
      CHECK(n > 1.001);
      CHECK(n < 1.4);
      CHECK(later < n);
    }
    StillPlaces b = only_rise(1e-6);
    CHECK(near(index_of(b, plain, 0.1), 1, 1e-12, 0));   // no high point: its gas is bubbles
  }

  TEST_CASE("agreement: flow is told beforehand how much stiffer a pocket will be") {
    for (const double seconds : {1e-3, 0.3, 30.0, 3000.0}) {   // d(ln T)/d(ln p) of a small change, from the wall on
      CAPTURE(seconds);
      StillPlaces b = only_rise(1e-6, 5 * bar);
      b.at(chamber).pocket_kg = b.at(drive).pocket_kg = 1e-8;
      std::vector<double> share(5);
      Exchange(b.n, 4).stiffening(b.c, seconds, share);
      b.before_pa_abs = 5 * bar * (1 - 1e-6);
      b.apply(seconds);
      for (const Where w : {chamber, drive})
        CHECK(near(share[w], std::log(b.c.pocket_k[w] / celsius_20) / -std::log1p(-1e-6), 1e-5, 1e-9));
      CHECK(share[plain] == 0);
    }
  }

  TEST_CASE("law: a held pocket cools with R^2/(5.8 D), in its line or its cylinder") {
    // D of still air 2.1e-5 m2/s at 1 atm (handbook value, from memory): 1.6 s in a 4 mm bore at 50 bar
    const double at_50_bar = 2e-3 * 2e-3 / (5.8 * 2.1e-5 * p0_pa_abs / (50 * bar));
    CHECK(near(at_50_bar, 1.6, 0.02, 0));
    StillPlaces b = only_rise(1e-6, 50 * bar);
    b.at(chamber).pocket_kg = 1e-8;
    Queue& q = b.c.line[line].queue;
    q[q.count++] = {0, 1e-8, 0, true};
    b.c.pocket_k.assign(5, celsius_20 + 100);
    b.apply(at_50_bar);
    CHECK(near(b.c.pocket_k[line] - celsius_20, 100 * std::exp(-1.0), 1e-9, 0));
    CHECK(near(b.c.pocket_k[chamber] - celsius_20, 100 * std::exp(-1.0 / 64), 1e-9, 0));   // 32 mm: 8^2 times slower
    CHECK(b.c.pocket_k[plain] == celsius_20);
  }

  TEST_CASE("balance: bubbles that join a warm pocket share its heat") {
    StillPlaces b = only_rise(1e-6, 5 * bar);
    b.air().pocket_heat = 1e9;
    b.bubbles(1e-9, 0);
    b.at(chamber).pocket_kg = 1e-9;
    b.c.pocket_k[chamber] = celsius_20 + 60;
    b.apply(1e3);
    CHECK(near(b.at(chamber).pocket_kg, 2e-9, 1e-9, 0));
    CHECK(near(b.c.pocket_k[chamber], celsius_20 + 30, 1e-4, 0));
  }
}
