#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "evenstroke/base/error.hpp"
#include "evenstroke/io/files.hpp"

using namespace evenstroke;
namespace {

/// "line key" of all that is wrong.
template <class Read>
std::vector<std::string> problems(Read&& read) {
  std::vector<std::string> told;
  try {
    read();
  } catch (const FileError& e) {
    told.push_back(std::to_string(e.line) + " " + e.field);
    for (const FileError& other : e.others) told.push_back(std::to_string(other.line) + " " + other.field);
    std::size_t lines = 1;
    for (const char* c = e.what(); *c; ++c) lines += *c == '\n';
    CHECK(lines == told.size());
  }
  return told;
}

using Told = std::vector<std::string>;

}  // namespace

TEST_SUITE("io/problems") {
  TEST_CASE("law: all that is wrong in a rig file is told at once, in the order of the file, what is missing last") {
    const std::string text = R"(format_version = 1
colour = "red"
[oil]
grade = "ISO VG 23"
temperature_deg_c = "warm"
[pump]
displacement_cm3_per_rev = 0.24
[synchroniser]
kind = "teee"
[panel]
mass_kg = -3
[branch]
boar_mm = 20
rod_mm = 12
stroke_bar = 200
cap_line_bore_mm = 5
[branch.left]
cap_line_length_m = -1
attitude = "rod_upp"
)";
    // A key that was refused is not told missing as well
    CHECK(problems([&] { parse_rig(text, "rig.toml"); }) ==
          Told{"2 colour", "4 oil.grade", "5 oil.temperature_deg_c", "9 synchroniser.kind",
               "11 panel.mass_kg", "13 branch.boar_mm", "15 branch.stroke_bar", "18 branch.left.cap_line_length_m", "19 branch.left.attitude",
               "6 pump.supply_v"});
  }

  TEST_CASE("law: every key that is missing in a table is told") {
    CHECK(problems([] {
            parse_rig("format_version = 1\n[oil]\ngrade = \"ISO VG 22\"\n[pump]\n[synchroniser]\nkind = \"tee\"\n[panel]\n"
                      "mass_kg = 1\n[branch]\nrod_mm = 12\ncap_line_length_m = 1\n", "rig.toml");
          }) == Told{"4 pump.displacement_m3_per_rad", "4 pump.supply_v", "9 branch.bore_m", "9 branch.stroke_m",
                   "9 branch.cap_line_bore_m"});
  }

  TEST_CASE("law: all that is wrong in a procedure is told at once, misplaced keys among it") {
    CHECK(problems([] {
            parse_procedure("format_version = 1\nmax_strokes = 0\n[[step]]\nkind = \"cycle\"\nbypas = \"open\"\nmotor_s = 3\n"
                            "[[step]]\nkind = \"hand\"\nparted = [\"left.cap\", \"left.cap_port\"]\nstrokes = 0.5\n", "p.toml");
          }) == Told{"2 max_strokes", "5 step 1.bypas", "6 step 1.motor_s", "9 step 2.parted", "10 step 2.strokes"});
  }

  TEST_CASE("law: one problem reads as it does alone, and what is right tells none") {
    try {
      parse_procedure("format_version = 1\nmax_strokes = 0\n[[step]]\nkind = \"cycle\"\n", "p.toml");
      FAIL("not refused");
    } catch (const FileError& e) {
      CHECK(std::string(e.what()) == "p.toml:2:1: max_strokes = 0: must be a whole number between 1 and 1000");
      CHECK(e.others.empty());
    }
    CHECK(problems([] { parse_procedure("format_version = 1\n[[step]]\nkind = \"cycle\"\n", "p.toml"); }).empty());
  }

  TEST_CASE("law: rules between values are told once each value is in range") {
    const std::string head = "format_version = 1\n[oil]\ngrade = \"ISO VG 22\"\n[pump]\ndisplacement_cm3_per_rev = 0.24\n"
                             "supply_v = 12\n[synchroniser]\nkind = \"tee\"\n[panel]\n", tail =
                             "[branch]\nbore_mm = 20\nrod_mm = 22\nstroke_mm = 100\ncap_line_bore_mm = 4\ncap_line_length_m = 1\n";
    CHECK(problems([&] { parse_rig(head + "mass_kg = -1\n" + tail, "r"); }) == Told{"10 panel.mass_kg"});
    CHECK(problems([&] { parse_rig(head + "mass_kg = 1\n" + tail, "r"); }) == Told{"13 branch.rod_mm"});
  }
}
