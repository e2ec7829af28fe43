#include "evenstroke/transport/exchange.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "evenstroke/air/solution.hpp"
#include "support/near.hpp"
#include "transport/places.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/exchange") {
  TEST_CASE("balance: oil and air of every place stay, whatever goes on and however long") {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> u(0, 1);
    for (int run = 0; run < 300; ++run) {
      CAPTURE(run);
      StillPlaces b;
      const double p = bar * std::pow(10, -0.5 + 2.5 * u(random));
      b.oil(5e-6 * u(random), p, p0_pa_abs * 2 * u(random));
      b.bubbles(1e-7 * u(random), 1e-7 * u(random));
      for (const Where w : {chamber, drive, plain, high}) b.at(w).pocket_kg = 1e-7 * u(random);
      b.c.line[line].queue[1].slug = true;
      b.c.line[line].queue[1].gas_kg = 1e-7 * u(random);
      b.air().release_s = std::pow(10, -3 + 6 * u(random));
      b.air().diffusivity_m2_per_s = std::pow(10, -12 + 6 * u(random));
      b.before_pa_abs = bar * (0.5 + 3 * u(random));
      const StillPlaces was = b;
      b.apply(std::pow(10, -4 + 8 * u(random)));
      for (const Where w : everywhere) {
        CAPTURE(static_cast<std::size_t>(w));
        const Masses m = b.held(w);
        CHECK(near(m.oil_kg, was.held(w).oil_kg, 1e-15, 0));
        CHECK(near(m.air_kg(), was.held(w).air_kg(), 2e-15, 0));
        CHECK(std::min({m.pocket_kg, m.coarse_kg, m.fine_kg, m.dissolved_kg}) >= 0);
        CHECK(b.c.pocket_k[w] > 0);
      }
    }
  }

  TEST_CASE("balance: air that comes out and goes in again a thousand times is all there") {
    StillPlaces b;
    b.air().release_s = 0.3;
    b.air().diffusivity_m2_per_s = 1e-8;
    b.oil(20e-6, bar, p0_pa_abs);
    b.bubbles(1e-9, 1e-9);
    const StillPlaces was = b;
    double least = 1, most = 0;
    for (int i = 0; i < 1000; ++i) {
      b.c.pressure_pa_abs.assign(5, i % 2 ? 20 * bar : 0.4 * bar);
      b.apply(0.5);
      least = std::min(least, b.held(line).fine_kg);
      most = std::max(most, b.held(line).fine_kg);
    }
    for (const Where w : everywhere) CHECK(near(b.held(w).air_kg(), was.held(w).air_kg(), 1e-13, 0));
    CHECK(most > 2 * least);
  }

  TEST_CASE("limit: without diffusion and release only compression is left, to the last bit") {
    StillPlaces b;
    b.air().diffusivity_m2_per_s = 0;
    b.air().release_s = 1e12;
    b.air().pocket_heat = 0;
    for (const double p : {0.3 * bar, 50 * bar}) {
      b.oil(5e-6, p, p0_pa_abs);
      b.bubbles(1e-8, 2e-8);
      b.before_pa_abs = 3 * bar;
      for (const Where w : {chamber, drive}) b.at(w).pocket_kg = 1e-7;
      const Contents was = b.c;
      CHECK(b.apply(1e6) > 1e20);
      for (const Where w : everywhere) {
        CHECK(b.c.masses[w].dissolved_kg == was.masses[w].dissolved_kg);
        CHECK(b.c.pocket_k[w] == celsius_20);
      }
      for (int i = 0; i < 3; ++i) CHECK(b.c.line[line].queue[i].dissolved_kg == was.line[line].queue[i].dissolved_kg);
      for (const BubbleClass k : {coarse, fine}) CHECK(b.c.line[line].bubbles[k].kg == was.line[line].bubbles[k].kg);
    }
  }

  TEST_CASE("limit: infinitely quick solution is Henry's equilibrium") {
    for (const double free_share : {0.01, 0.03, 0.05, 0.2}) {   // of the whole at p0, oil saturated there
      const double vanishes = henry_pressure_pa_abs(free_share, 0.09, celsius_20);
      for (const double over : {0.96, 0.999, 1.0001, 1.5}) {
        const double p = p0_pa_abs + over * (vanishes - p0_pa_abs);
        CAPTURE(free_share);
        CAPTURE(over);
        StillPlaces b;
        b.air().bunsen = 0.09;
        b.air().diffusivity_m2_per_s = 1e6;
        b.oil((1 - free_share) * 5e-6, p, p0_pa_abs);
        b.bubbles(0, b.gas_kg(free_share * 5e-6, p0_pa_abs), true);
        b.apply(1);
        // in volumes at 273.15 K and p0: what was free, less what the oil has taken
        const double taken = 0.09 * (1 - free_share) * 5e-6 * (p / p0_pa_abs - 1);
        const double left = free_share * 5e-6 * 273.15 / celsius_20 - taken;
        for (const Where w : {plain, line}) {
          const double free = b.gas_m3(b.held(w).gas_kg(), p0_pa_abs) * 273.15 / celsius_20;
          CHECK(near(free, over < 1 ? left : 0.0, 1e-9, 1e-20));
          if (over < 1) CHECK(near(b.held(w).dissolved_kg, b.equilibrium_kg(w), 1e-12, 0));
        }
      }
    }
  }

  TEST_CASE("law: what dissolves in a line stays in the oil around its bubbles; without flow none gets further") {
    StillPlaces b;
    b.air().diffusivity_m2_per_s = 1e-8;
    b.oil(5e-6, 8 * bar, p0_pa_abs);
    b.bubbles(0, 1e-8);                        // in the far half
    const Queue was = b.c.line[line].queue;
    const double air_kg = b.held(line).air_kg(), free_kg = b.held(line).gas_kg();
    for (int i = 0; i < 200; ++i) b.apply(1);
    const Queue& q = b.c.line[line].queue;
    double whole = 0, at = 0, near_kg = 0, was_near_kg = 0, was_at = 0, was_whole = 0;
    for (int i = 0; i < q.count; ++i) whole += q[i].oil_kg;
    for (int i = 0; i < was.count; ++i) was_whole += was[i].oil_kg;
    const auto within = [](double from, double kg, double limit) { return std::clamp((limit - from) / kg, 0.0, 1.0); };
    for (int i = 0; i < q.count; at += q[i++].oil_kg) near_kg += q[i].dissolved_kg * within(at, q[i].oil_kg, 0.4 * whole);
    for (int i = 0; i < was.count; was_at += was[i++].oil_kg)
      was_near_kg += was[i].dissolved_kg * within(was_at, was[i].oil_kg, 0.4 * was_whole);
    CHECK(b.held(line).gas_kg() < 0.5 * free_kg);
    CHECK(near(b.held(line).air_kg(), air_kg, 1e-13, 0));
    CHECK(near(near_kg, was_near_kg, 1e-9, 0));   // the last 1e-16 kg of dust go anywhere
  }

  TEST_CASE("reference: oil that was bled perfectly forms bubbles again below one atmosphere") {
    // Solubility of mineral oil 0.09 (middle of 0.08 to 0.10, Backe 1974, Grundlagen der Oelhydraulik, table); with
    // Henry's law S (T/273.15 K) (p0 - p)/p of the oil's volume at 0.7 bar: 4.3 %.
    StillPlaces b;
    b.air().bunsen = 0.09;
    b.air().release_s = 1e-9;
    b.oil(5e-6, 0.7 * bar, p0_pa_abs);
    b.apply(1);
    for (const Where w : everywhere) {
      const double share = b.gas_m3(b.held(w).gas_kg(), 0.7 * bar) / 5e-6;
      CHECK(near(share, 0.09 * celsius_20 / 273.15 * (p0_pa_abs - 0.7 * bar) / (0.7 * bar), 1e-9, 0));
      CHECK(near(share, 0.043, 0.01, 0));
    }
  }

  TEST_CASE("law: what is too much leaves with the release time, as fine bubbles") {
    StillPlaces b;
    b.air().release_s = 10;
    b.oil(5e-6, 0.5 * bar, p0_pa_abs);
    const double excess = b.held(line).dissolved_kg - b.equilibrium_kg(line);
    b.apply(5);
    for (const Where w : {plain, line}) CHECK(near(b.held(w).fine_kg, excess * (1 - std::exp(-0.5)), 1e-12, 0));
    b.oil(5e-6, bar, bar * (1 + 1e-6));                  // however little it is
    b.apply(1e4);
    for (const Where w : {plain, line}) CHECK(near(b.held(w).fine_kg / b.held(w).dissolved_kg, 1e-6, 1e-3, 0));
  }

  TEST_CASE("law: bubbles dissolve at the rate their life says") {
    // Epstein and Plesset 1950, quasi-steady: a bubble lives R^2/(2 D L (1 - f)). Its mass goes with R^3, at first at
    // three halves of that rate; a class keeps its diameter. R 0.05 mm at 50 bar, oil saturated at 1 bar: 71 s.
    StillPlaces b;
    const double p = 50 * bar, life = 0.05e-3 * 0.05e-3 / (2 * 2e-10 * 0.09 * (1 - 1 / 50.0));
    CHECK(near(life, 71, 0, 0.5));
    b.air().bunsen = 0.09 * 273.15 / celsius_20;
    b.air().diffusivity_m2_per_s = 2e-10;
    b.air().fine_m = 0.1e-3 * std::cbrt(p / p0_pa_abs);
    b.oil(5e-6, p, bar);
    b.bubbles(0, 1e-15);
    b.apply(life);
    for (const Where w : {plain, line}) CHECK(near(b.held(w).fine_kg, 1e-15 * std::exp(-1.5), 1e-9, 0));
  }

  TEST_CASE("limit: nothing dissolves in oil that is full, and oil takes no more than it can hold") {
    StillPlaces b;
    b.air().diffusivity_m2_per_s = 1e-6;
    b.oil(5e-6, 3 * bar, 3 * bar);
    b.bubbles(1e-8, 1e-8);
    const Contents was = b.c;
    b.apply(1e5);
    CHECK(b.at(plain).coarse_kg == was.masses[plain].coarse_kg);
    CHECK(near(b.held(line).fine_kg, 1e-8, 1e-9, 0));
    b.oil(5e-6, 3 * bar, 2.9 * bar);
    b.bubbles(1e-6, 1e-6);
    for (int i = 0; i < 20; ++i) {
      b.apply(3);
      for (const Where w : {plain, line}) CHECK(b.held(w).dissolved_kg <= b.equilibrium_kg(w) * (1 + 1e-14));
    }
  }
}
