#include "evenstroke/procedure/hand.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/procedure/run.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

Axis rod(double hand_n) {
  return {.name = "a.rod", .travel_m = 0.15, .viscous_n_s_per_m = 400, .breakaway_n = 90, .running_n = 60,
          .hand_n = hand_n};
}

/// One cylinder off its lines, ports in the air: nothing but friction and the atmosphere resists.
Run by_hand(double hand_n, int pushes) {
  Rig r = workshop_rig(SynchroniserKind::tee);
  r.branches[0].cylinder.attitude = Attitude::level;
  Step s{.kind = StepKind::hand, .strokes = pushes, .dwell_s = 0, .repeat = false};
  s.joints.parted = {"a.cap_port", "a.rod_port"};
  s.joints.port = Opening::air;
  s.joints.by_hand = {"a"};
  s.joints.hand_n = hand_n;
  s.joints.hand_m_per_s = 0.1;
  RunOptions o;
  o.checks = o.record = false;
  const Procedure p{.name = "push", .steps = {s, Step{}}, .max_strokes = 1};
  return run(r, after_exchange(r, {"a.cylinder"}, {}), p, o);
}

double breakaway_n() {
  const Cylinder c = workshop_rig(SynchroniserKind::tee).branches[0].cylinder;
  return c.breakaway_pa_diff * cap_area_m2(c);
}

}  // namespace

TEST_SUITE("procedure/hand") {
  TEST_CASE("law: a rod at the stop it was moved to has nothing to tell, one that stands elsewhere says where") {
    CHECK(fell_short(rod(50), {1, 0, 0.15, true, 0, 90}).empty());
    CHECK(fell_short(rod(50), {-1, 0.15, 0, true, 0, 90}).empty());
    CHECK(fell_short(rod(50), {-1, 0.15, 0.9e-4, true, 0, 90}).empty());   // a creep off its stop
    CHECK(fell_short(rod(50), {1, 0, 0, true, 50, 90}) ==
          "a hand of 50 N did not move a.rod out from 0 mm of 150 mm; there it takes 90 N");
    CHECK(fell_short(rod(50), {-1, 0.15, 0.06, true, -20, 90}) ==
          "a hand of 50 N moved a.rod in from 150 mm only to 60 mm of 150 mm; there it takes 120 N");
    CHECK(fell_short(rod(50), {1, 0, 0.06, false, 70, 90}) ==
          "a hand of 50 N moved a.rod out from 0 mm only to 60 mm of 150 mm, where it still crept when the time was "
          "up");
  }
  TEST_CASE("limit: with its ports in the air a rod takes its breakaway friction, and a run says so") {
    const double needed_n = breakaway_n();
    CAPTURE(needed_n);
    for (const double share : {0.5, 0.9}) {
      CAPTURE(share);
      const Run weak = by_hand(std::round(share * needed_n), 2);
      REQUIRE(weak.status.ok());
      REQUIRE(weak.notes.size() == 2);                 // out, twice; in it stands at its stop
      const std::string& text = weak.notes[0];
      CHECK(text.find("step 1, before stroke 1: a hand of ") == 0);
      CHECK(text.find("did not move a.rod out from 0 mm") != std::string::npos);
      const double told_n = std::stod(text.substr(text.rfind("takes ") + 6));
      CHECK(told_n >= needed_n);                       // friction grows while it rests: 10 s of trying
      CHECK(told_n <= 1 + breakaway_after_n(needed_n, Cylinder{}.dwell_growth, 60));
    }
    const Run strong = by_hand(2 * needed_n, 2);
    REQUIRE(strong.status.ok());
    CHECK(strong.notes.empty());
  }
}
