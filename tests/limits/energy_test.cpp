// Work that goes in comes out, is stored or is lost: never more, and where the losses are known, exactly that.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/network/stored_work.hpp"
#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;
using testing::workshop_rig;

TEST_SUITE("limits/energy") {
  TEST_CASE("balance: pump work is load work, stored work and the loss in lines and valve, to a thousandth") {
    for (const double bore_m : {2.5e-3, 4e-3}) {
      CAPTURE(bore_m);
      Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
      r.panel.mass_kg = 60;
      r.branches[0].cap_line.bore_m = r.branches[0].rod_line.bore_m = bore_m;
      Bench b(r);
      const Drive d{.motor = true, .extend = true, .on_panel = true};
      b.drive(d, 1.0);
      const Energy e0 = b.march.engine().energy();
      const double stored0 = stored_work_j(b.net, b.c), x = b.c.position_m[0];
      b.drive(d, 4.0);
      const Energy e1 = b.march.engine().energy();
      const double in = e1.pump_j - e0.pump_j, out = e1.load_j - e0.load_j, kept = stored_work_j(b.net, b.c) - stored0;
      const double moved = b.c.position_m[0] - x, ac = cap_area_m2(b.cylinder()), ar = rod_area_m2(b.cylinder());
      CHECK(near(out, 60 * gravity_m_per_s2 * moved, 1e-6, 0));

      const double mu = 46e-6 * density(r.oil, 313.15), v = moved / 4.0;
      const double line = 128 * mu * 0.5 / (std::numbers::pi * bore_m * bore_m * bore_m * bore_m);
      const auto valve = [&](double q) {   // drop at which the path passes q
        const OrificeLaw<double>& o = b.net.orifices[0];
        return o.laminar * q + o.turbulent * q * q;
      };
      const double lost = 4.0 * (line * (ac * v * ac * v + ar * v * ar * v) + v * v +
                                 valve(ac * v) * ac * v + valve(ar * v) * ar * v);
      CHECK(lost > 0.005 * in);
      CHECK(near(in - out - kept, lost, 0, 1e-3 * in));
      MESSAGE("in " << in << " J, out " << out << ", stored " << kept << ", lost " << lost << ", gap "
                    << (in - out - kept - lost) / in);
    }
  }

  TEST_CASE("balance: no run brings out or keeps more work than the pump brought in") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons})
      for (const bool dry : {false, true}) {
        CAPTURE(static_cast<int>(kind));
        CAPTURE(dry);
        const Rig r = workshop_rig(kind, false);
        const Step step{.strokes = 2, .dwell_s = 2, .rods = Rods::panel};
        const Procedure p{.name = "two", .steps = {step}, .max_strokes = 2};
        const Contents c = dry ? after_exchange(r, {"a.cylinder", "b.rod_line"}, {}) : bled(r);
        RunOptions o;
        o.record = false;
        const Run run = evenstroke::run(r, c, p, o);
        REQUIRE(run.status.ok());
        const Books& k = run.books;
        CHECK(k.oil_rel_error <= 1e-12);
        CHECK(k.air_rel_error <= 1e-12);
        CHECK(k.energy.pump_j > 0);
        CHECK(k.stored_j >= 0);
        CHECK(k.energy.load_j + k.stored_j <= k.energy.pump_j);
        MESSAGE("pump " << k.energy.pump_j << " J, load " << k.energy.load_j << ", stored " << k.stored_j);

        o.checks = false;   // check strokes work on forks: the books are those of the run itself
        const Run alone = evenstroke::run(r, c, p, o);
        REQUIRE(alone.strokes.size() == run.strokes.size());
        CHECK(near(alone.books.energy.pump_j, k.energy.pump_j, 1e-3, 0));
      }
  }

  TEST_CASE("law: load work is sum W_i x_i + k/2 (x_1 - x_2)^2, and nothing at all once the rods are back") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      CAPTURE(static_cast<int>(kind));
      const Rig r = workshop_rig(kind, false);             // loads as 7 to 9, a panel that twists
      Bench b(r);
      b.take(after_exchange(r, {"a.cylinder"}, {"b.cap_line"}));
      const std::vector<double> w = static_load_n(r.panel, 2);
      double most_j = 0, twisted_j = 0, off_j = 0;
      for (const Drive& d : {Drive{.motor = true, .extend = true, .on_panel = true},
                             Drive{.motor = true, .retract = true, .on_panel = true}}) {
        b.drive(d, 60, [&](const Contents& c, const FlowEngine::Quantum&) {
          const double twist_j = 0.5 * r.panel.torsion_n_m_per_rad * std::pow(c.position_m[0] - c.position_m[1], 2);   // 1 m
          const double lifted_j = w[0] * c.position_m[0] + w[1] * c.position_m[1];
          off_j = std::max(off_j, std::abs(b.march.engine().energy().load_j - lifted_j - twist_j));
          most_j = std::max(most_j, lifted_j);
          twisted_j = std::max(twisted_j, twist_j);
          return c.motion[0] == 0 && c.motion[1] == 0 && c.position_m[0] == (d.extend ? 0.15 : 0.0) &&
                 c.position_m[1] == c.position_m[0];
        });
      }
      CHECK(most_j > 100);
      CHECK(off_j < 1e-12 * most_j);
      CHECK(twisted_j > 1e-3);
      REQUIRE(b.c.position_m[0] == 0);
      REQUIRE(b.c.position_m[1] == 0);
      CHECK(b.march.engine().energy().load_j == 0);
    }
  }

  TEST_CASE("law: a hand that moves a rod at a speed v brings in F (1 - v/v0) times the way") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    r.branches[0].cylinder.viscous_n_s_per_m = 2000;       // 200 N at rest, 50 mm/s against nothing: 33.3 mm/s
    r.branches[0].cylinder.cap_clearance_m3 = r.branches[0].cylinder.rod_clearance_m3 = 1e-6;
    Bench b(r, {}, {.parted = {"a.cap_port", "a.rod_port"}, .port = Opening::air, .by_hand = {"a"}});
    b.c.position_m[0] = 0.2;
    b.fill();
    double at_s = 0, at_m = 0;
    b.drive({.hand = -1}, 4.0, [&](const Contents& c, const FlowEngine::Quantum&) {
      if (at_s == 0 && c.time_s > 0.1) at_s = c.time_s, at_m = c.position_m[0];
      return c.position_m[0] < 0.05;
    });
    const double v = (at_m - b.c.position_m[0]) / (b.c.time_s - at_s), way = 0.2 - b.c.position_m[0];
    CHECK(way > 0.12);
    CHECK(near(v, 200 / (2000 + 200 / 0.05), 0.02, 0));    // a little less: the ports
    CHECK(near(b.march.engine().energy().hand_j, 200 * (1 - v / 0.05) * way, 5e-3, 0));
  }

  TEST_CASE("law: a column's work is its weight per area times what went through it, up or down") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    r.branches[0].cylinder.height_m = 2;
    r.branches[0].cap_line.length_m = r.branches[0].rod_line.length_m = 3;
    r.branches[0].cylinder.cap_clearance_m3 = r.branches[0].cylinder.rod_clearance_m3 = 1e-6;
    Bench b(r);
    b.drive({.motor = true, .extend = true}, 3.0);
    const Energy e0 = b.march.engine().energy();
    const double x = b.c.position_m[0];
    b.drive({.motor = true, .extend = true}, 5.0);
    const double moved = b.c.position_m[0] - x, rho_g = b.net.rho0_kg_per_m3 * gravity_m_per_s2;
    const double up_m3 = cap_area_m2(b.cylinder()) * moved, down_m3 = rod_area_m2(b.cylinder()) * moved;
    REQUIRE(moved > 0.05);
    const double level = level_m(r.reservoir, 20e-3);      // over the block: what flows back is lifted to it; what is sucked
    const double lifted_j = rho_g * (2 * (up_m3 - down_m3) + level * down_m3);   // in from it counts as the pump's
    CHECK(near(b.march.engine().energy().gravity_j - e0.gravity_j, -lifted_j, 3e-3, 0));
  }

  TEST_CASE("balance: a load let down slowly gives its work to the oil, none to the pump") {
    Rig r = workshop_rig(SynchroniserKind::tee);
    Bench b(r);
    b.c.position_m = {0.12, 0.12};
    for (const char* place : {"valve_block.a", "a.cap_line", "a.cap_chamber", "b.cap_line", "b.cap_chamber"})
      b.c.pressure_pa_abs[b.index(place)] = p0_pa_abs + 110 * gravity_m_per_s2 / 2 / cap_area_m2(b.cylinder());
    b.fill();
    const double stored = stored_work_j(b.net, b.c);
    b.drive({.retract = true, .on_panel = true}, 60);
    const Energy e = b.march.engine().energy();
    CHECK(e.pump_j == 0);
    CHECK(b.c.position_m == std::vector<double>{0.0, 0.0});
    CHECK(near(e.load_j, -110 * gravity_m_per_s2 * 0.12, 1e-3, 0));
    CHECK(stored_work_j(b.net, b.c) < stored - e.load_j);
  }
}
