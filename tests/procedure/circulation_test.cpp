#include "evenstroke/procedure/circulation.hpp"

#include <doctest/doctest.h>

#include "evenstroke/base/error.hpp"
#include "evenstroke/procedure/procedure.hpp"
#include "support/bench.hpp"
#include "support/open_joints.hpp"

using namespace evenstroke;
using testing::open_joints;
using testing::workshop_rig;

namespace {

std::string ends(SynchroniserKind kind, const Connections& joints, const Drive& d) {
  const Rig r = workshop_rig(kind);
  return dead_ends(make_network(r, {0, 1}, joints), d);
}

constexpr auto pistons = SynchroniserKind::metering_pistons, tee = SynchroniserKind::tee;
const Connections hoses = open_joints({"a.cap_port", "a.rod_port"}, Opening::joined);

}  // namespace

TEST_SUITE("procedure/circulation") {
  TEST_CASE("check: pistons do not pass; with everything joined the pump gets as far as cylinders or the carriage") {
    CHECK(ends(tee, {}, {.extend = true}) == "a.cap_chamber, b.cap_chamber");
    CHECK(ends(tee, {}, {.retract = true}) == "a.rod_chamber, b.rod_chamber");
    CHECK(ends(pistons, {}, {.extend = true}) == "synchroniser.drive");
    CHECK(ends(pistons, {}, {.extend = true, .bypass_open = true}).find("b.cap_chamber") != std::string::npos);
  }

  TEST_CASE("check: joined hoses lead round through a tee, and past metering pistons only with the bypass open") {
    CHECK(ends(tee, hoses, {.extend = true}).empty());
    CHECK(ends(tee, hoses, {.retract = true}).empty());
    CHECK(ends(pistons, hoses, {.extend = true}) == "synchroniser.drive");
    CHECK(ends(pistons, hoses, {.extend = true, .bypass_open = true}).empty());
    CHECK(ends(pistons, hoses, {.retract = true, .bypass_open = true}).empty());
  }

  TEST_CASE("check: a container is a way out; capped ends are none; a port of the valve block primes the pack alone") {
    Connections j = open_joints({"a.cap_port"}, Opening::container);
    CHECK(ends(tee, j, {.extend = true}).empty());
    CHECK(ends(tee, j, {.retract = true}) == "a.rod_chamber, b.rod_chamber");
    j.line_end = Opening::capped;
    CHECK_FALSE(ends(tee, j, {.extend = true}).empty());
    Connections pack = open_joints({"valve_block.a"}, Opening::capped, Opening::container);
    CHECK(ends(pistons, pack, {.extend = true}).empty());
    CHECK(ends(pistons, pack, {.retract = true}) == "a.rod_chamber, b.rod_chamber");
    pack.port = Opening::capped;
    CHECK(ends(pistons, pack, {.extend = true}) == "valve_block.a");
  }

  TEST_CASE("check: a flush without a way for its oil is refused with its dead ends; hoses are joined in pairs") {
    const auto refused = [](Step s, const std::string& rule) {
      s.kind = StepKind::flush;
      s.repeat = false;
      try {
        check(Procedure{.name = "p", .steps = {s, Step{}}}, workshop_rig(pistons));
      } catch (const InputError& e) {
        CAPTURE(e.rule);
        CHECK(e.field.starts_with("step 1"));
        return e.rule.find(rule) != std::string::npos;
      }
      return false;
    };
    CHECK(refused({.joints = hoses}, "as far as synchroniser.drive"));
    CHECK(refused({.bypass_open = true}, "a.cap_chamber, b.cap_chamber"));
    CHECK(refused({.bypass_open = true, .joints = open_joints({"b.rod_port"}, Opening::joined)}, "part b.cap_port and b.rod_port"));
    CHECK(refused({.joints = open_joints({"valve_block.a"}, Opening::joined)}, "part its two ports"));
    CHECK_FALSE(refused({.bypass_open = true, .joints = hoses}, ""));
  }
}
