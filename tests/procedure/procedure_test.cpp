#include "evenstroke/procedure/procedure.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <string>

#include "evenstroke/base/error.hpp"
#include "evenstroke/io/files.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;

namespace {

Rig sample() { return parse_rig(testing::join(testing::sample_lines()), "sample"); }

std::string refused_field(const Procedure& p, const Rig& rig) {
  try {
    check(p, rig);
  } catch (const InputError& e) {
    return e.field;
  }
  return "nothing refused";
}

Procedure of(std::vector<Step> steps, int max_strokes = 60) { return {"test", std::move(steps), max_strokes}; }

}  // namespace

TEST_SUITE("procedure/procedure") {
  TEST_CASE("check: a step for a part that the rig lacks is refused") {
    Rig rig = sample();
    const Procedure open = of({{.repeat = false}, {.bypass_open = true}});
    const Procedure loaded = of({{.rods = Rods::panel}});
    CHECK_NOTHROW(check(open, rig));
    CHECK_NOTHROW(check(loaded, rig));
    rig.synchroniser.kind = SynchroniserKind::tee;
    CHECK(refused_field(open, rig) == "step 2.bypass");
    CHECK_NOTHROW(check(loaded, rig));
    rig.panel.mass_kg = 0;
    CHECK(refused_field(loaded, rig) == "step 1.rods");
  }
  TEST_CASE("check: repeated steps stand together at the end, and there is at least one") {
    const Rig rig = sample();
    const Step once{.repeat = false}, again{.repeat = true};
    CHECK_NOTHROW(check(of({again}), rig));
    CHECK_NOTHROW(check(of({once, once, again, again}), rig));
    CHECK(refused_field(of({again, once, again}), rig) == "step 2.repeat");
    CHECK(refused_field(of({once, once}), rig) == "step 2.repeat");
    CHECK(refused_field(of({}), rig) == "step");
  }
  TEST_CASE("check: counts and times out of range are refused by step") {
    const Rig rig = sample();
    for (const int strokes : {0, -1, 1001}) CHECK(refused_field(of({{.strokes = strokes}}), rig) == "step 1.strokes");
    for (const double dwell_s : {-0.1, 3600.1, std::numeric_limits<double>::quiet_NaN()})
      CHECK(refused_field(of({{}, {.dwell_s = dwell_s}}), rig) == "step 2.dwell_s");
    for (const int n : {0, 1001}) CHECK(refused_field(of({{}}, n), rig) == "max_strokes");
    CHECK_NOTHROW(check(of({{.strokes = 1000, .dwell_s = 3600}}, 1000), rig));
  }
}
