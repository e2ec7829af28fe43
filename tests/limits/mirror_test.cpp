// Left and right exchanged, with everything on that air can do: sizes, rise, solution, heat, shredding, streamtubes,
// heights, high points, a counterbalance valve, seals that breathe, and steps by hand with joints parted.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <utility>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

Rig high_rig(SynchroniserKind kind, bool even) {
  Rig r = workshop_rig(kind, even);   // 0.5625 and 0.4375 are exact, so the loads exchange exactly, too
  r.reservoir.height_m = 0.4;
  r.reservoir.container_m3 = 2e-3;
  r.reservoir.oil_m3 = 1.5e-3;
  r.reservoir.capacity_m3 = 2e-3;
  r.valve_block.counterbalance_pa_gauge = 60e5;
  r.valve_block.high_point_m3 = 0.2e-6;
  for (Branch& b : r.branches) {
    b.cylinder.height_m = 0.8;
    b.cylinder.seal_m3_per_s_pa = 1e-11;
  }
  if (even) return r;
  r.branches[0].cap_line.peak_m = 1.0;
  for (Branch& b : r.branches) b.cap_line.peak_share = 0.5;
  r.branches[1].cylinder.height_m = -0.6;
  r.branches[1].cylinder.bore_m = 22e-3;
  r.branches[1].cap_line.length_m = 2.5;
  r.branches[1].cap_line.peak_m = -0.8;
  r.branches[0].cylinder.attitude = Attitude::rod_up;
  return r;
}

Procedure steps(SynchroniserKind kind, const std::vector<std::string>& hands) {
  Step stand{.kind = StepKind::stand, .dwell_s = 0, .repeat = false, .stand_s = 30};
  Step hand{.kind = StepKind::hand, .dwell_s = 2, .repeat = false};
  for (Step* s : {&stand, &hand}) {
    for (const std::string& b : hands)
      for (const char* port : {".cap_port", ".rod_port"}) s->joints.parted.push_back(b + port);
    s->joints.port = Opening::container;
    s->joints.attitude = static_cast<int>(Attitude::level);
  }
  hand.joints.by_hand = hands;
  const Step stroke{.bypass_open = kind == SynchroniserKind::metering_pistons, .dwell_s = 3, .rods = Rods::panel};
  return {.name = "all", .steps = {stand, hand, stroke, stroke}, .max_strokes = 2};
}

Run checked(const Rig& r, const Contents& c, const Procedure& p) {
  const Run run = evenstroke::run(r, c, p, {});
  CHECK(std::string(to_string(run.status.outcome)) == "ok");
  CHECK(run.books.oil_rel_error <= 1e-12);
  CHECK(run.books.air_rel_error <= 1e-12);
  REQUIRE(run.strokes.size() > 1);
  return run;
}

double air(const Run& run, const StrokeRow& row, const std::string& place) {
  const auto at = std::find(run.places.begin(), run.places.end(), place);
  REQUIRE(at != run.places.end());
  return row.free_air_m3[static_cast<std::size_t>(at - run.places.begin())];
}

}  // namespace

TEST_SUITE("limits/mirror") {
  TEST_CASE("balance: exchanging the two sides, hands and heights with them, turns every sign bit for bit") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      CAPTURE(static_cast<int>(kind));
      const Rig r = high_rig(kind, false);
      Rig s = r;
      std::swap(s.branches[0], s.branches[1]);
      std::swap(s.branches[0].name, s.branches[1].name);
      s.panel.centre_of_mass = 1 - r.panel.centre_of_mass;
      const Run one = checked(r, after_exchange(r, {"a.cylinder"}, {"b.cap_line"}), steps(kind, {"a"}));
      const Run two = checked(s, after_exchange(s, {"b.cylinder"}, {"a.cap_line"}), steps(kind, {"b"}));
      REQUIRE(one.strokes.size() == two.strokes.size());
      double seen_m = 0;
      for (std::size_t n = 0; n < one.strokes.size(); ++n) {
        CAPTURE(n);
        const StrokeRow &x = one.strokes[n], &y = two.strokes[n];
        CHECK(x.time_s == y.time_s);
        CHECK(x.vented_m3 == y.vented_m3);
        CHECK(x.dissolved_m3 == y.dissolved_m3);
        for (std::size_t i = 0; i < stations.size(); ++i) {
          CHECK(x.load.mismatch_m[i] == -y.load.mismatch_m[i]);
          CHECK(x.free.mismatch_m[i] == -y.free.mismatch_m[i]);
          seen_m = std::max({seen_m, std::abs(x.load.mismatch_m[i]), std::abs(x.free.mismatch_m[i])});
        }
        for (const char* part : {"cap_chamber", "rod_chamber", "cap_line", "rod_line"}) {
          CHECK(air(one, x, std::string("a.") + part) == air(two, y, std::string("b.") + part));
          CHECK(air(one, x, std::string("b.") + part) == air(two, y, std::string("a.") + part));
        }
      }
      CHECK(seen_m > 1e-4);   // there was a sign to turn
    }
  }

  TEST_CASE("balance: two equal sides, both taken by hand, agree to 1e-12 of the stroke at every instant") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      CAPTURE(static_cast<int>(kind));
      const Rig r = high_rig(kind, true);
      const Run run = checked(r, after_exchange(r, {"a.cylinder", "b.cylinder"}, {"a.cap_line", "b.cap_line"}),
                              steps(kind, {"a", "b"}));
      const auto& names = run.series.channel;
      const auto column = [&](const char* name) {
        return static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
      };
      const std::size_t a = column("a.rod_position_m"), b = column("b.rod_position_m"), width = names.size();
      REQUIRE(std::max(a, b) < width);
      double worst_m = 0, moved_m = 0;
      for (std::size_t i = 0; i < run.series.time_s.size(); ++i) {
        const double xa = run.series.value[i * width + a], xb = run.series.value[i * width + b];
        worst_m = std::max(worst_m, std::abs(xa - xb));
        moved_m = std::max(moved_m, xa);
      }
      CHECK(moved_m == 0.15);
      CHECK(worst_m <= 1e-12 * 0.15);
      MESSAGE("largest difference " << worst_m / 0.15 << " of the stroke");
    }
  }
}
