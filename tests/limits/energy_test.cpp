// Work that goes in comes out, is stored or is lost: never more, and where the losses are known, exactly that.
#include <doctest/doctest.h>

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
