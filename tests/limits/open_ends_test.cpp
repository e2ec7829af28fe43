// A line parted at its cylinder end hangs from the valve block (height 0) and looks into the air. Siphon, capillary
// hold, draining: what runs out, and how fast.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/bubble_laws.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double sigma = 0.030;

/// Cap line straight from the valve block to `end_m`, its length that height or more.
Rig hanging(double bore_m, double length_m, double end_m) {
  Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
  Branch& b = r.branches[0];
  b.cylinder.attitude = Attitude::level;
  b.cylinder.height_m = end_m;
  b.cap_line.bore_m = bore_m;
  b.cap_line.length_m = length_m;
  b.rod_line.length_m = std::abs(end_m) + 0.5;
  r.air.slug_rise = 1;
  r.valve_block.lowering_area_m2 = 1e-3;
  r.air.slug_slip = 0;
  return r;
}

/// The network with the cap line's far end in the air, its contents and its own march.
struct Hanging {
  explicit Hanging(const Rig& r)
      : net(make_network(r, {0}, {.parted = {"a.cap_port"}, .line_end = Opening::air, .by_hand = {}})),
                                   march(net, {.streamtubes = 1}), c(make_contents(net, {{}, {}, false, true, true})) {
    start_oil_kg = total(c).oil_kg;
    start_air_kg = air_kg(c);
  }
  void stand(const Drive& d, double time_s) {
    const Outcome o = march.phase(c, d, time_s, [](double, const auto&) { return false; },
                                  [](const Contents&, const FlowEngine::Quantum&) { return false; });
    REQUIRE(std::string(to_string(o)) == "ok");
    CHECK(near(total(c).oil_kg + c.ledger.oil_spilled_kg, start_oil_kg, 1e-12, 0));
    CHECK(near(air_kg(c) + c.ledger.air_vented_kg, start_air_kg + c.ledger.air_ingested_kg, 1e-12, 0));
  }
  double spilled_m3() const { return c.ledger.oil_spilled_kg / net.rho0_kg_per_m3; }
  const Network net;
  March march;
  Contents c;
  double start_oil_kg = 0, start_air_kg = 0;
};

double poiseuille_m3_per_s(const Hanging& h, double dp_pa, double bore_m, double length_m) {
  return std::numbers::pi * std::pow(bore_m, 4) * dp_pa / (128 * h.net.mu_pa_s * length_m);
}

}  // namespace

TEST_SUITE("limits/open_ends") {
  TEST_CASE("limit: an open line end below the reservoir's level runs by rho g dz over the line's resistance") {
    for (const double end_m : {-0.5, -1.0, -2.0}) {
      CAPTURE(end_m);
      Hanging h(hanging(4e-3, 3, end_m));
      const double level = 20e-3 / 0.1, dp = h.net.rho0_kg_per_m3 * gravity_m_per_s2 * (level - end_m);
      h.stand({.retract = true}, 2);
      const double from_s = h.c.time_s, from_m3 = h.spilled_m3();
      h.stand({.retract = true}, 20);
      const double q = (h.spilled_m3() - from_m3) / (h.c.time_s - from_s), closed = poiseuille_m3_per_s(h, dp, 4e-3, 3);
      CHECK(near(q, closed, 5e-3, 0));
      CHECK(h.c.ledger.air_ingested_kg == 0.0);
      MESSAGE("end at " << end_m << " m runs " << q * 1e6 << " mL/s, off by " << q / closed - 1);
    }
  }

  TEST_CASE("limit: above the level it does not run; it draws air and drains back until the columns balance") {
    for (const double end_m : {0.25, 0.5, 1.0}) {
      CAPTURE(end_m);
      Hanging h(hanging(4e-3, 2, end_m));
      for (int i = 0; i < 600; ++i) h.stand({.retract = true}, 3);   // heads are those of a quantum's start
      CHECK(h.spilled_m3() == 0.0);
      const Masses line = held(h.c, h.net.place("a.cap_line"));
      const double left = line.oil_kg / h.net.rho0_kg_per_m3 / volume_m3(h.net.rig.branches[0].cap_line);
      const double level = h.c.reservoir.oil_kg / h.net.rho0_kg_per_m3 / 0.1;
      CHECK(near(left * end_m, level, 5e-3, 0));   // what stays stands as high as the reservoir
      MESSAGE("end at " << end_m << " m: oil up to " << left * end_m << " m, level " << level << " m");
    }
  }

  TEST_CASE("limit: shut above, an open lower end holds in 2, 3 and 3.4 mm: not a drop in an hour") {
    for (const double bore_m : {2e-3, 3e-3, 3.4e-3})
      for (const double length_m : {0.3, 2.0}) {
        CAPTURE(bore_m);
        CAPTURE(length_m);
        Hanging h(hanging(bore_m, length_m, -length_m));
        const double capillary_m = std::sqrt(sigma / (h.net.rho0_kg_per_m3 * gravity_m_per_s2));
        CHECK(bore_m < 2 * 0.918 * capillary_m);   // Bretherton 1961: 3.46 mm
        h.stand({}, 3600);
        const double column = h.net.rho0_kg_per_m3 * gravity_m_per_s2 * length_m / h.net.liquid.k0_pa;
        CHECK(h.c.ledger.oil_spilled_kg < column * total(h.c).oil_kg);   // it stretches as it begins to hang
        const double first = h.c.ledger.oil_spilled_kg;
        h.stand({}, 3600);
        CHECK(h.c.ledger.oil_spilled_kg == first);
        CHECK(h.c.ledger.air_ingested_kg < 1e-15);
      }
  }

  TEST_CASE("limit: wider than 3.46 mm the air creeps up at the speed of a long bubble, and the line runs empty") {
    for (const double bore_m : {4e-3, 5e-3, 6e-3, 8e-3}) {
      CAPTURE(bore_m);
      const double length_m = 1;
      Hanging h(hanging(bore_m, length_m, -length_m));
      const double rho = h.net.rho0_kg_per_m3, mu = h.net.mu_pa_s, area = std::numbers::pi / 4 * bore_m * bore_m;
      const double eo = rho * gravity_m_per_s2 * bore_m * bore_m / sigma;
      const double speed = std::min(viana_m_per_s(bore_m, mu, rho, sigma), bretherton_m_per_s(bore_m, mu, rho, sigma));
      CHECK(eo > 3.37);
      h.stand({}, 1e-3);
      const double from_m3 = h.spilled_m3();
      h.stand({}, 0.5 * length_m / speed);
      const double ran = h.spilled_m3() - from_m3;
      CHECK(near(ran, 0.5 * length_m * area, 5e-3, 0));
      h.stand({}, 0.6 * length_m / speed);
      CHECK(held(h.c, h.net.place("a.cap_line")).oil_kg < 0.01 * length_m * area * rho);
      MESSAGE("bore " << bore_m << " speed " << speed << " m/s, ran off by " << ran / (0.5 * length_m * area) - 1);
    }
  }

  TEST_CASE("limit: open above and below, any bore drains by rho g over the resistance per length, however far") {
    for (const double bore_m : {2e-3, 3e-3, 4e-3, 6e-3}) {
      CAPTURE(bore_m);
      Rig r = hanging(bore_m, 1, 1);             // up from the valve block, whose way to the reservoir is open
      r.reservoir.area_m2 = 10;                  // its level is 2 mm above the block
      Hanging h(r);
      const double closed = poiseuille_m3_per_s(h, h.net.rho0_kg_per_m3 * gravity_m_per_s2, bore_m, 1);
      const double area = std::numbers::pi / 4 * bore_m * bore_m;
      const auto oil_m3 = [&] { return held(h.c, h.net.place("a.cap_line")).oil_kg / h.net.rho0_kg_per_m3; };
      h.stand({.retract = true}, 0.02 * area / closed);
      const double from_s = h.c.time_s, from_m3 = oil_m3();
      for (int i = 0; i < 6; ++i) h.stand({.retract = true}, 0.01 * area / closed);   // gas resists 3 % as much as oil
      const double q = (from_m3 - oil_m3()) / (h.c.time_s - from_s);
      CHECK(near(q, closed, 5e-3, 0));
      for (int i = 0; i < 40; ++i) h.stand({.retract = true}, 0.05 * area / closed);
      CHECK(oil_m3() < 0.02 * area);
      CHECK(h.spilled_m3() == 0.0);
      MESSAGE("bore " << bore_m << " drains " << q * 1e6 << " mL/s, off by " << q / closed - 1 << ", left "
                      << oil_m3() / area);
    }
  }
}
