#include <doctest/doctest.h>

#include <string>

#include "evenstroke/io/files.hpp"
#include "support/bad_file.hpp"

using namespace evenstroke;
using testing::check_refused;

namespace {

const auto read = [](const std::string& text, const std::string& name) { parse_procedure(text, name); };

/// Two steps of a good procedure; the first one's lines begin at 3, the second one's at 3 + (lines of first) + 1.
std::string steps(const std::string& first, const std::string& second = "kind = \"cycle\"") {
  return "format_version = 1\n[[step]]\n" + first + "\n[[step]]\n" + second + "\n";
}

}  // namespace

TEST_SUITE("io/procedure_file") {
  TEST_CASE("check: every value of the example arrives") {
    const Procedure p = load_procedure(std::string(EVENSTROKE_SOURCE_DIR) + "/examples/procedures/shop_bleed.toml");
    CHECK(p.name == "shop bleed");
    CHECK(p.max_strokes == 20);
    REQUIRE(p.steps.size() == 1);
    CHECK(p.steps[0].bypass_open);
    CHECK(p.steps[0].strokes == 2);
    CHECK(p.steps[0].dwell_s == 20);
    CHECK(p.steps[0].rods == Rods::free);
    CHECK(p.steps[0].repeat);
  }
  TEST_CASE("check: what is not given has the default, minutes are seconds") {
    const Procedure p =
        parse_procedure(steps("kind = \"cycle\"\nrepeat = false\ndwell_min = 1.5\nrods = \"panel\""), "p");
    REQUIRE(p.steps.size() == 2);
    CHECK(p.max_strokes == Procedure{}.max_strokes);
    CHECK(p.steps[0].dwell_s == 90);
    CHECK(p.steps[0].rods == Rods::panel);
    CHECK(!p.steps[0].repeat);
    CHECK(p.steps[1].strokes == Step{}.strokes);
    CHECK(p.steps[1].dwell_s == Step{}.dwell_s);
    CHECK(p.steps[1].bypass_open == Step{}.bypass_open);
  }
  TEST_CASE("check: bad steps are refused at their line") {
    const std::string kind = "kind = \"cycle\"\n";
    check_refused({steps(kind + "strokes = 0"), 4, 1, "step 1.strokes", "0", "whole number between 1 and 1000"}, read);
    check_refused({steps(kind + "strokes = 2.5"), 4, 1, "step 1.strokes", "2.5", "whole number"}, read);
    check_refused({steps(kind + "strokes = nan"), 4, 1, "step 1.strokes", "nan", "whole number"}, read);
    check_refused({steps(kind + "strokes = \"4\""), 4, 1, "step 1.strokes", "\"4\"", "whole number"}, read);
    check_refused({steps(kind, kind + "dwell_s = -1"), 7, 1, "step 2.dwell_s", "-1", "between 0 and 3600 s"}, read);
    check_refused({steps(kind + "dwell_s = inf"), 4, 1, "step 1.dwell_s", "inf", "finite"}, read);
    check_refused({steps(kind + "dwell = 5"), 4, 1, "step 1.dwell", "5", "write dwell_s or dwell_min"}, read);
    check_refused({steps(kind + "dwel_s = 5"), 4, 1, "step 1.dwel_s", "5", "did you mean dwell_s?"}, read);
    check_refused({steps(kind + "bypass = \"opne\""), 4, 1, "step 1.bypass", "\"opne\"", "did you mean open?"}, read);
    check_refused({steps(kind + "rods = \"loose\""), 4, 1, "step 1.rods", "\"loose\"", "must be \"free\""}, read);
    check_refused({steps(kind + "repeat = \"true\""), 4, 1, "step 1.repeat", "\"true\"", "true or false"}, read);
    check_refused({steps("kind = \"soak\""), 3, 1, "step 1.kind", "\"soak\"", "must be \"cycle\" or \"hand\""}, read);
    check_refused({steps("kind = \"stnad\""), 3, 1, "step 1.kind", "\"stnad\"", "did you mean stand?"}, read);
    check_refused({steps("strokes = 2"), 2, 1, "step 1.kind", "", "is missing"}, read);
  }
  TEST_CASE("check: the block that is repeated stands together at the end and is not empty") {
    const std::string kind = "kind = \"cycle\"\n";
    check_refused({steps(kind + "repeat = true", kind + "repeat = false"), 7, 1, "step 2.repeat", "false",
                   "stand together at the end"}, read);
    check_refused({steps(kind + "repeat = false", kind + "repeat = false"), 7, 1, "step 2.repeat", "false",
                   "at least one step repeats"}, read);
  }
  TEST_CASE("check: the file as a whole") {
    check_refused({"max_strokes = 5\n", 1, 1, "format_version", "", "is missing"}, read);
    check_refused({"format_version = 1\n", 1, 1, "step", "", "at least one table [[step]]"}, read);
    check_refused({"format_version = 1\nstep = []\n", 2, 1, "step", "[...]", "at least one step"}, read);
    check_refused({"format_version = 1\n[step]\nkind = \"cycle\"\n", 2, 2, "step", "{...}", "double brackets"}, read);
    check_refused({"format_version = 1\nstep = [1]\n", 2, 1, "step", "[...]", "double brackets"}, read);
    check_refused({"format_version = 1\nmax_strokes = 1001\n", 2, 1, "max_strokes", "1001", "1 and 1000"}, read);
    check_refused({"format_version = 1\nmax_stroke = 10\n", 2, 1, "max_stroke", "10", "mean max_strokes?"}, read);
  }
  TEST_CASE("check: a step for a part that the rig lacks is refused at its place in the file") {
    const Rig tee = [] {
      Rig r = load_rig(std::string(EVENSTROKE_SOURCE_DIR) + "/examples/rigs/roof_hatch.toml");
      r.synchroniser.kind = SynchroniserKind::tee;
      return r;
    }();
    const auto read_for_tee = [&](const std::string& text, const std::string& name) { parse_procedure(text, name, tee); };
    check_refused({steps("kind = \"cycle\"\nbypass = \"open\""), 4, 1, "step 1.bypass", "\"open\"", "a tee"}, read_for_tee);
    CHECK_NOTHROW(read_for_tee(steps("kind = \"cycle\"\nbypass = \"closed\""), "p"));
  }
}
