#include <doctest/doctest.h>

#include <string>

#include "evenstroke/io/files.hpp"
#include "support/bad_file.hpp"
#include "support/near.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;
using testing::check_refused;
using testing::sample_with;

namespace {

const auto read = [](const std::string& text, const std::string& name) { parse_rig(text, name); };

constexpr int panel_line = 14;   // of the first of `keys`
std::string panel_with(const std::string& keys) { return sample_with(13, "mass_kg = 80\n" + keys); }

}  // namespace

TEST_SUITE("io/rig_file") {
  TEST_CASE("check: the message of a refused value reads as one line") {
    try {
      parse_rig(sample_with(18, "bore_mm = -20"), "roof.toml");
      CHECK(false);
    } catch (const FileError& e) {
      CHECK(std::string(e.what()) == "roof.toml:18:1: branch.right.bore_mm = -20: must lie between 5 and 200 mm");
      CHECK(e.unit == "mm");
    }
  }
  TEST_CASE("check: units wrong, missing, doubled or mixed up") {
    check_refused({sample_with(18, "bore_cm = 2"), 18, 1, "branch.right.bore_cm", "2",
                   "this unit is not known here: write bore_m or bore_mm"}, read);
    check_refused({sample_with(18, "bore = 20"), 18, 1, "branch.right.bore", "20",
                   "the unit is missing: write bore_m or bore_mm"}, read);
    check_refused({sample_with(9, "relief_bar = 90"), 9, 1, "valve_block.relief_bar", "90",
                   "write relief_pa_gauge or relief_bar_gauge"}, read);
    check_refused({sample_with(9, "relief_bar_abs = 90"), 9, 1, "valve_block.relief_bar_abs", "90",
                   "write relief_pa_gauge or relief_bar_gauge"}, read);
    check_refused({sample_with(9, "relief_pa_gauge = 90"), 9, 1, "valve_block.relief_pa_gauge", "90",
                   "looks like bar gauge: use relief_bar_gauge"}, read);
    check_refused({sample_with(19, "  stroke_mm = 0.25"), 19, 3, "branch.right.stroke_mm", "0.25",
                   "looks like m: use stroke_m"}, read);
    check_refused({sample_with(18, "bore_m = 0.02\nbore_mm = 20"), 19, 1, "branch.right.bore_mm", "20",
                   "says the same as bore_m: give bore_m or bore_mm, not both"}, read);
    check_refused({sample_with(16, "cap_line_bore = 4"), 16, 1, "branch.cap_line_bore", "4",
                   "write cap_line_bore_m or cap_line_bore_mm"}, read);
  }
  TEST_CASE("check: unknown keys and tables, with the nearest known one") {
    check_refused({sample_with(19, "  stroek_mm = 250"), 19, 3, "branch.right.stroek_mm", "250",
                   "unknown key; did you mean stroke_mm?"}, read);
    check_refused({sample_with(5, "[pmup]"), 5, 2, "pmup", "{...}", "unknown key; did you mean pump?"}, read);
    check_refused({sample_with(15, "rod_mm = 12\ncolour = 3"), 16, 1, "branch.colour", "3", "unknown key"}, read);
    check_refused({sample_with(0, "[pump.gear]"), 27, 7, "pump.gear", "{...}", "unknown key"}, read);
    check_refused({sample_with(0, "[branch.left.valve]"), 27, 14, "branch.left.valve", "{...}", "unknown key"}, read);
  }
  TEST_CASE("check: a branch whose name is nearly left or right is a slip of the pen") {
    check_refused({sample_with(17, "[branch.rigth]"), 17, 9, "branch.rigth", "{...}", "did you mean right?"}, read);
    check_refused({sample_with(22, "[branch.lfet]"), 22, 9, "branch.lfet", "{...}", "did you mean left?"}, read);
  }
  TEST_CASE("check: a hinged panel has its triangle, a guided one none") {
    const std::string hinged = "kind = \"hinged\"\nhinge_to_eye_mm = 400\nhinge_to_foot_mm = 600\nhinge_to_centre_mm = 500\n";
    CHECK(parse_rig(panel_with(hinged + "foot_to_eye_mm = 450\ncentre_elevation_deg = 10"), "r").panel.kind == PanelKind::hinged);
    check_refused({panel_with("kind = \"hingde\""), panel_line, 1, "panel.kind", "\"hingde\"", "did you mean hinged?"}, read);
    check_refused({panel_with("hinge_to_eye_mm = 400"), panel_line, 1, "panel.hinge_to_eye_mm", "400", "belongs to a hinged panel"}, read);
    check_refused({panel_with("kind = \"hinged\"\nhinge_to_eye_mm = -4"), panel_line + 1, 1, "panel.hinge_to_eye_mm", "-4",
                   "between 0 and 20000 mm"}, read);
    check_refused({panel_with(hinged + "foot_to_eye_mm = 150"), panel_line + 4, 1, "panel.foot_to_eye_mm", "150", "triangle"}, read);
    check_refused({panel_with(hinged + "foot_to_eye = 450"), panel_line + 4, 1, "panel.foot_to_eye", "450",
                   "write foot_to_eye_m or foot_to_eye_mm"}, read);
    check_refused({panel_with(hinged + "centre_elevation_deg = 400"), panel_line + 4, 1, "panel.centre_elevation_deg", "400",
                   "between"}, read);
  }
  TEST_CASE("check: wrong kinds of values") {
    check_refused({sample_with(18, "bore_mm = \"20\""), 18, 1, "branch.right.bore_mm", "\"20\"",
                   "must be a number, without quotation marks"}, read);
    check_refused({sample_with(7, "supply_v = true"), 7, 1, "pump.supply_v", "true", "must be a number"}, read);
    check_refused({sample_with(7, "supply_v = [12]"), 7, 1, "pump.supply_v", "[...]", "must be a number"}, read);
    check_refused({sample_with(7, "supply_v = 2024-01-01"), 7, 1, "pump.supply_v", "a date or time", "a number"}, read);
    for (const char* v : {"nan", "inf", "-inf"})
      check_refused({sample_with(7, std::string("supply_v = ") + v), 7, 1, "pump.supply_v", v, "finite number"}, read);
    check_refused({sample_with(11, "kind = \"te\""), 11, 1, "synchroniser.kind", "\"te\"",
                   "\"rotary_divider\" or \"series_pair\"; did you mean tee?"}, read);
    check_refused({sample_with(26, "attitude = 1"), 26, 1, "branch.left.attitude", "1", "\"rod_down\""}, read);
    check_refused({sample_with(1, "format_version = 1\nair = 3"), 2, 1, "air", "3", "must be a table: [air]"}, read);
    check_refused({sample_with(1, "format_version = 1\nname = 3"), 2, 1, "name", "3", "must be a text"}, read);
  }
  TEST_CASE("check: what must be given") {
    const std::string none = "# nothing";
    check_refused({sample_with(1, none), 1, 1, "format_version", "", "is missing: give format_version = 1"}, read);
    check_refused({sample_with(1, "format_version = 2"), 1, 1, "format_version", "2", "between 1 and 1"}, read);
    check_refused({sample_with(6, none), 5, 2, "pump.displacement_m3_per_rad", "",
                   "is missing: give displacement_m3_per_rad or displacement_cm3_per_rev"}, read);
    check_refused({sample_with(7, none), 5, 2, "pump.supply_v", "", "is missing"}, read);
    check_refused({sample_with(11, none), 10, 2, "synchroniser.kind", "", "is missing: give kind = "}, read);
    check_refused({sample_with(13, none), 12, 2, "panel.mass_kg", "", "is missing: give mass_kg"}, read);
    check_refused({sample_with(15, none), 17, 9, "branch.right.rod_m", "", "is missing: give rod_m or rod_mm"}, read);
    check_refused({sample_with(24, none), 22, 9, "branch.left.stroke_m", "", "is missing"}, read);
    check_refused({sample_with(25, none), 22, 9, "branch.left.cap_line_length_m", "", "is missing"}, read);
    check_refused({sample_with(4, none), 2, 2, "oil.grade", "", "both nu_40_cst and nu_100_cst"}, read);
    check_refused({"format_version = 1\n", 1, 1, "oil.grade", "", "is missing"}, read);
  }
  TEST_CASE("check: oils that are none") {
    check_refused({sample_with(3, "grade = \"ISO VG 22\"\nnu_40_cst = 22"), 3, 1, "oil.grade", "\"ISO VG 22\"",
                   "either grade or nu_40 and nu_100"}, read);
    const auto oil = [](const std::string& line) {
      auto lines = testing::sample_lines();
      lines[2] = line;
      lines[3] = "";
      return testing::join(lines);
    };
    for (const char* g : {"\"ISO VG 23\"", "\"ISO VG \"", "\"ISO VG 22x\"", "\"HLP\"", "22"})
      check_refused({oil(std::string("grade = ") + g), 3, 1, "oil.grade", g, "must be"}, read);
    check_refused({oil("grade = \"ISO VG 22\"\nviscosity_index = 40"), 4, 1, "oil.viscosity_index", "40", "90"}, read);
    check_refused({oil("viscosity_index = 100"), 3, 1, "oil.viscosity_index", "100", "belongs to a grade"}, read);
    check_refused({sample_with(4, "nu_100_cst = 30"), 4, 1, "oil.nu_100_cst", "30", ""}, read);
  }
  TEST_CASE("check: values that are in range alone but not together are refused at the line of the key") {
    check_refused({sample_with(24, "stroke_mm = 160\nrod_mm = 25"), 25, 1, "branch.left.rod_mm", "25", "bore"}, read);
    check_refused({sample_with(15, "rod_mm = 20"), 15, 1, "branch.rod_mm", "20", "bore"}, read);
    check_refused({sample_with(18, "bore_mm = 20\ntube_mm = 250"), 20, 3, "branch.right.stroke_mm", "250",
                   "tube"}, read);
    check_refused({sample_with(0, "cap_port_mm = 26"), 27, 1, "branch.left.cap_port_mm", "26", "bore"}, read);
    check_refused({sample_with(0, "[reservoir]\noil_l = 3"), 28, 1, "reservoir.oil_l", "3", "capacity"}, read);
    check_refused({sample_with(0, "[reservoir]\ncapacity_l = 0.5"), 27, 2, "reservoir.oil_m3", "6e-04",
                   "capacity"}, read);
    check_refused({sample_with(17, "[branch.\"a b.c d\"]"), 14, 2, "branch.a b.c d", "", "letters"}, read);
  }

  TEST_CASE("check: a key in the wrong table is told where it belongs, and a file of the other kind what it is") {
    const std::string rig = testing::join(testing::sample_lines());
    check_refused({rig + "relief_bar_gauge = 90", 27, 1, "branch.left.relief_bar_gauge", "90", "it belongs in [valve_block]"}, read);
    check_refused({sample_with(7, "supply_v = 12\nbore_mm = 20"), 8, 1, "pump.bore_mm", "20", "it belongs in [branch]"}, read);
    check_refused({"format_version = 1\n[[step]]\nkind = \"cycle\"\n", 2, 3, "step", "[...]", "is this one, and not a rig?"}, read);
    check_refused({rig, 2, 2, "oil", "{...}", "is this one, and not a procedure?"},
                  [](const std::string& text, const std::string& name) { parse_procedure(text, name); });
  }
  TEST_CASE("check: names of branches have no dot, and one that is nearly left or right is asked about") {
    const auto named = [](const std::string& one, const std::string& two) {
      std::string text;
      for (const auto& line : testing::sample_lines()) {
        const std::string is = line == "[branch.left]" ? "[branch." + one + "]" : line == "[branch.right]" ? "[branch." + two + "]" : line;
        text += is + "\n";
      }
      return text;
    };
    CHECK_THROWS_WITH_AS(read(named("front.left", "right"), "f"), doctest::Contains("front_left"), FileError);
    CHECK_THROWS_WITH_AS(read(named("rigth", "right"), "f"), doctest::Contains("did you mean right?"), FileError);
    CHECK_NOTHROW(read(named("leg1", "leg2"), "f"));
    CHECK_NOTHROW(read(named("left", "rear"), "f"));
  }
  TEST_CASE("check: a pump's displacement may be given per turn in any unit, and limits of ports are told in millimetres") {
    const Rig a = parse_rig(sample_with(6, "displacement_m3_per_rev = 0.24e-6"), "a");
    const Rig b = parse_rig(sample_with(6, "displacement_cm3_per_rev = 0.24"), "b");
    CHECK(testing::near(a.pump.displacement_m3_per_rad, b.pump.displacement_m3_per_rad, 1e-15, 0));
    CHECK_THROWS_WITH_AS(read(testing::join(testing::sample_lines()) + "cap_port_mm = 150\n", "f"),
                         doctest::Contains(" mm from its top"), InputError);
  }
}
