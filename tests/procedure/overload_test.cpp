#include "evenstroke/procedure/overload.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// Pressures of p0 everywhere but in one place.
std::vector<double> only(const Network& n, const std::string& place, double pa_gauge) {
  std::vector<double> p(n.places.size(), p0_pa_abs);
  p[static_cast<std::size_t>(n.place(place))] += pa_gauge;
  return p;
}

/// One stroke of a rig without air.
Run once(const Rig& r, const std::vector<Step>& steps) {
  Procedure p;
  p.steps = steps;
  p.max_strokes = 1;
  RunOptions o;
  o.checks = false;
  return evenstroke::run(r, bled(r), p, o);
}

}  // namespace

TEST_SUITE("procedure/overload") {
  TEST_CASE("law: the part is named once it is above its rating; without a rating once it is a fifth above the relief valve") {
    Rig r = workshop_rig(SynchroniserKind::metering_pistons);   // 90 bar
    r.branches[0].cap_line.rating_pa_gauge = 60e5;
    const Network n = make_network(r);
    OverloadWatch w;
    w.look(n, only(n, "a.cap_line", 59e5), "stroke 1");
    w.look(n, only(n, "b.cap_line", 107e5), "stroke 1");
    CHECK(w.found().empty());
    w.look(n, only(n, "a.cap_line", 61e5), "stroke 2");
    w.look(n, only(n, "b.rod_chamber", 110e5), "stroke 3");
    w.look(n, only(n, "b.rod_chamber", 109.5e5), "stroke 4");
    REQUIRE(w.found().size() == 2);
    CHECK(w.found()[0].part == "a.cap_line");
    CHECK(w.found()[0].rating_pa_gauge == 60e5);
    CHECK(w.found()[1].part == "b.cylinder");
    CHECK(w.found()[1].when == "stroke 3");
    const std::vector<std::string> told = texts({w.found()[1], {"b.rod_line", "b.rod_line", "stroke 3", w.found()[1].cause, 105e5, 0}});
    REQUIRE(told.size() == 1);
    CHECK(told[0] == "stroke 3: b.cylinder, b.rod_line were pressed to 110 bar gauge, without a stated rating, and above what the relief "
                     "valve opens at: a piston presses up to 1.56 times the pressure of its cap side out of its rod side, where the way "
                     "out is throttled or shut");
  }
  TEST_CASE("law: a blocked section of a rotary divider is told with the part's name, and not where its outlet has a relief valve") {
    for (const bool relieved : {false, true}) {
      CAPTURE(relieved);
      Rig r = with_kind(workshop_rig(SynchroniserKind::rotary_divider), SynchroniserKind::rotary_divider);
      r.branches[0].outlet.dividing_error = 0.04;          // home first, then driven up
      r.synchroniser.rating_pa_gauge = 120e5;
      r.branches[0].cylinder.rating_pa_gauge = r.branches[0].cap_line.rating_pa_gauge = 120e5;
      r.rotary.outlet_relief_pa_gauge = relieved ? 95e5 : 0;
      r.panel.mass_kg = 0;
      const Run run = once(r, {{.dwell_s = 1}});
      REQUIRE(run.status.ok());
      const auto pressed = [&](const char* part) {
        return std::any_of(run.overloads.begin(), run.overloads.end(), [&](const Overload& o) { return o.part == part; });
      };
      CHECK(pressed("a.cylinder") == !relieved);
      CHECK(pressed("synchroniser") == !relieved);
      CHECK(run.notes.empty() == run.overloads.empty());
    }
  }
  TEST_CASE("law: oil that is shut in and warms is told with what is shut in") {
    Rig r = workshop_rig(SynchroniserKind::tee);
    const Step warm{.kind = StepKind::stand, .repeat = false, .stand_s = 600, .temperature_k = r.oil.temperature_k + 20};
    const Run run = once(r, {warm, {.dwell_s = 1}});
    REQUIRE_FALSE(run.overloads.empty());
    CHECK(run.overloads[0].cause.find("a kelvin") != std::string::npos);
    CHECK(run.overloads[0].when == "step 1, before stroke 1");
  }
}
