// What must be the same on both sides, and what must not move at all.
#include <doctest/doctest.h>

#include <algorithm>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::workshop_rig;

namespace {

using Names = std::vector<std::string>;

Procedure strokes(SynchroniserKind kind, Rods rods) {
  const Step first{.bypass_open = kind == SynchroniserKind::metering_pistons, .dwell_s = 3, .rods = rods};
  const Step second{.dwell_s = 3, .rods = rods};
  return {.name = "two", .steps = {first, second}, .max_strokes = 2};
}

Run checked(const Rig& r, const Contents& c, const Procedure& p, bool checks) {
  RunOptions o;
  o.checks = checks;
  const Run run = evenstroke::run(r, c, p, o);
  CHECK(std::string(to_string(run.status.outcome)) == "ok");
  CHECK(run.books.oil_rel_error <= 1e-12);
  CHECK(run.books.air_rel_error <= 1e-12);
  REQUIRE(!run.strokes.empty());
  for (const StrokeRow& row : run.strokes)
    for (const double v : row.free_air_m3) CHECK(std::isfinite(v));
  return run;
}

std::size_t column(const Run& run, const std::string& name) {
  const auto& c = run.series.channel;
  return static_cast<std::size_t>(std::find(c.begin(), c.end(), name) - c.begin());
}

double air(const Run& run, const StrokeRow& row, const std::string& place) {
  const auto at = std::find(run.places.begin(), run.places.end(), place);
  REQUIRE(at != run.places.end());
  return row.free_air_m3[static_cast<std::size_t>(at - run.places.begin())];
}

}  // namespace

TEST_SUITE("limits/symmetry") {
  TEST_CASE("balance: equal branches with equal air stay within 1e-12 of the stroke of each other at every instant") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons})
      for (const Rods rods : {Rods::free, Rods::panel})
        for (const bool dry : {false, true}) {
          CAPTURE(static_cast<int>(kind));
          CAPTURE(static_cast<int>(rods));
          CAPTURE(dry);
          const Rig r = workshop_rig(kind);
          const Contents c = dry ? after_exchange(r, {"a.cylinder", "b.cylinder"}, {"a.rod_line", "b.rod_line"})
                                 : after_exchange(r, {}, {"a.cap_line", "b.cap_line"});
          const Run run = checked(r, c, strokes(kind, rods), false);
          const std::size_t a = column(run, "a.rod_position_m"), b = column(run, "b.rod_position_m");
          const std::size_t width = run.series.channel.size();
          double worst_m = 0, moved_m = 0;
          for (std::size_t i = 0; i < run.series.time_s.size(); ++i) {
            worst_m = std::max(worst_m, std::abs(run.series.value[i * width + a] - run.series.value[i * width + b]));
            moved_m = std::max(moved_m, run.series.value[i * width + a]);
          }
          CHECK(moved_m == 0.15);
          CHECK(worst_m <= 1e-12 * 0.15);
          MESSAGE("largest difference " << worst_m / 0.15 << " of the stroke");
        }
  }

  TEST_CASE("balance: left and right exchanged turns the sign of every mismatch, bit for bit") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      CAPTURE(static_cast<int>(kind));
      Rig r = workshop_rig(kind, false);   // 0.5625 and 0.4375 are exact, so the loads exchange exactly, too
      r.branches[1].cylinder.bore_m = 22e-3;
      r.branches[1].cap_line.length_m = 2.5;
      r.branches[0].cylinder.attitude = Attitude::rod_up;
      Rig s = r;
      std::swap(s.branches[0], s.branches[1]);
      std::swap(s.branches[0].name, s.branches[1].name);
      s.panel.centre_of_mass = 1 - r.panel.centre_of_mass;
      const Run one = checked(r, after_exchange(r, {"a.cylinder"}, {"b.cap_line"}), strokes(kind, Rods::panel), true);
      const Run two = checked(s, after_exchange(s, {"b.cylinder"}, {"a.cap_line"}), strokes(kind, Rods::panel), true);
      REQUIRE(one.strokes.size() == two.strokes.size());
      double seen_m = 0;
      for (std::size_t n = 0; n < one.strokes.size(); ++n) {
        const StrokeRow &x = one.strokes[n], &y = two.strokes[n];
        CAPTURE(n);
        CHECK(x.time_s == y.time_s);
        CHECK(x.vented_m3 == y.vented_m3);
        for (std::size_t i = 0; i < stations.size(); ++i) {
          CHECK(x.load.mismatch_m[i] == -y.load.mismatch_m[i]);
          CHECK(x.free.mismatch_m[i] == -y.free.mismatch_m[i]);
          seen_m = std::max(seen_m, std::abs(x.load.mismatch_m[i]));
        }
        for (const char* part : {"cap_chamber", "rod_chamber", "cap_line", "rod_line"}) {
          CHECK(air(one, x, std::string("a.") + part) == air(two, y, std::string("b.") + part));
          CHECK(air(one, x, std::string("b.") + part) == air(two, y, std::string("a.") + part));
        }
      }
      CHECK(seen_m > 1e-3);   // there was a sign to turn
    }
  }

  TEST_CASE("law: inside the dead band a rod moves by exactly nothing in ten minutes, leaking or not") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons})
      for (const double share : {-0.98, 0.0, 0.98, 1.5}) {   // of breakaway, outward beyond the load
        CAPTURE(static_cast<int>(kind));
        CAPTURE(share);
        Rig r = workshop_rig(kind);
        for (Branch& b : r.branches) b.cylinder.leak_m3_per_s_pa = 0;
        Bench b(r);
        const std::vector<double> load = static_load_n(r.panel, 2);
        for (std::size_t i = 0; i < 2; ++i) {
          const std::string name = r.branches[i].name;
          const double push = load[i] + share * breakaway_n(r.branches[i].cylinder);
          b.c.position_m[i] = 0.03 + 0.05 * static_cast<double>(i);
          for (const char* part : {".cap_chamber", ".cap_line"})
            b.c.pressure_pa_abs[b.index(name + part)] = p0_pa_abs + push / cap_area_m2(b.cylinder(i));
        }
        b.c.pressure_pa_abs[b.index("valve_block.a")] = b.pressure("a.cap_line");
        if (kind == SynchroniserKind::metering_pistons) {
          b.c.position_m[2] = 0.06;
          for (const char* place :
               {"a.metering_chamber", "a.outlet", "b.metering_chamber", "b.outlet", "synchroniser.drive"})
            b.c.pressure_pa_abs[b.index(place)] = b.pressure("a.cap_line");
        }
        b.fill();
        const std::vector<double> before = b.c.position_m;
        b.drive({.on_panel = true}, 600);
        if (std::abs(share) < 1)
          CHECK(b.c.position_m == before);
        else
          for (std::size_t i = 0; i < 2; ++i) CHECK(b.c.position_m[i] > before[i] + 1e-7);
      }
    Rig r = workshop_rig(SynchroniserKind::tee);   // leaking, off the panel: all the way down lies inside the band
    for (Branch& br : r.branches) br.cylinder.leak_m3_per_s_pa = 1e-12;
    Bench b(r);
    b.c.position_m = {0.03, 0.08};
    for (const char* place : {"a.cap_chamber", "b.cap_chamber"})
      b.c.pressure_pa_abs[b.index(place)] = p0_pa_abs + 0.9 * r.branches[0].cylinder.breakaway_pa_diff;
    b.fill();
    b.drive({}, 600);
    CHECK(b.c.position_m == std::vector<double>{0.03, 0.08});
    CHECK(b.pressure("a.cap_chamber") < p0_pa_abs + 0.8 * r.branches[0].cylinder.breakaway_pa_diff);   // it did leak
  }
}
