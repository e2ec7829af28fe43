#include "evenstroke/base/quantity.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <set>
#include <string>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/suggest.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

double si(double value, std::string_view suffix, Quantity q) {
  const Spelling* s = find_spelling(std::string("x") + std::string(suffix), "x", q);
  REQUIRE(s != nullptr);
  return to_si(*s, value);
}

std::string refusal(double value, const char* name, Quantity q, double low, double high) {
  try {
    check_range("part", name, q, value, low, high);
  } catch (const InputError& e) {
    return e.what();
  }
  return "";
}

constexpr double inf = std::numeric_limits<double>::infinity(), nan_value = std::numeric_limits<double>::quiet_NaN();

}  // namespace

TEST_SUITE("base/quantity") {
  using enum Quantity;

  TEST_CASE("reference: shop units are exact multiples of SI units") {
    // Definitions as in NIST SP 811, appendix B, and the SI Brochure; from memory.
    CHECK(si(9, "_mm", length) == 0.009);
    CHECK(si(3, "_mm2", area) == 3e-6);
    CHECK(si(3, "_cm2", area) == 3e-4);
    CHECK(si(7, "_ml", volume) == 7e-6);             // litre = 1 dm3
    CHECK(si(0.6, "_l", volume) == 0.6e-3);
    CHECK(si(90, "_bar_gauge", pressure_gauge) == 90e5);   // bar = 100 kPa
    CHECK(si(1.5, "_bar_abs", pressure_abs) == 1.5e5);
    CHECK(si(2, "_bar", pressure_diff) == 2e5);
    CHECK(si(20, "_deg_c", temperature) == 293.15);  // t/deg C = T/K - 273.15
    CHECK(si(22, "_cst", viscosity_kinematic) == 22e-6);   // stokes = 1 cm2/s
    CHECK(si(6, "_l_per_min", flow) == 1e-4);
    CHECK(si(2, "_min", time) == 120);
    CHECK(si(206, "_gpa", modulus) == 206e9);
    CHECK(near(si(1.7e-3, "_per_bar", compressibility), 1.7e-8, 1e-15, 0));
    CHECK(near(si(180, "_deg", angle), 3.14159265358979323846, 1e-15, 0));
    CHECK(near(si(1, "_cm3_per_rev", displacement), 1e-6 / 6.28318530717958647693, 1e-15, 0));
  }
  TEST_CASE("check: every quantity has an SI spelling with factor one first, and no suffix twice") {
    for (int i = 0; i <= static_cast<int>(speed); ++i) {
      CAPTURE(i);
      const auto list = unit_spellings(static_cast<Quantity>(i));
      REQUIRE(!list.empty());
      CHECK(to_si(list.front(), 3.0) == 3.0);
      std::set<std::string_view> seen;
      for (const auto& s : list) CHECK(seen.insert(s.suffix).second);
    }
  }
  TEST_CASE("check: a key is a spelling only with the right name and a unit of its own quantity") {
    CHECK(find_spelling("bore_cm", "bore", length) == nullptr);
    CHECK(find_spelling("bore", "bore", length) == nullptr);
    CHECK(find_spelling("bore_mm_mm", "bore", length) == nullptr);
    CHECK(find_spelling("rod_port_mm", "rod", length) == nullptr);
    CHECK(find_spelling("relief_bar", "relief", pressure_gauge) == nullptr);   // gauge or abs must be said
    CHECK(find_spelling("slip", "slip", ratio) != nullptr);
    CHECK(spellings("bore", length) == "bore_m or bore_mm");
    CHECK(is_unit_word("psi"));
    CHECK(is_unit_word("bar_gauge"));
    CHECK(!is_unit_word("port"));
  }
  TEST_CASE("check: the range is closed, and outside it stands the rule with field and unit") {
    CHECK_NOTHROW(check_range("", "bore", length, 0.005, 0.005, 0.2));
    CHECK_NOTHROW(check_range("", "bore", length, 0.2, 0.005, 0.2));
    CHECK(refusal(-0.02, "bore", length, 0.005, 0.2) == "part.bore_m = -0.02: must lie between 0.005 and 0.2 m");
    CHECK(refusal(0.21, "bore", length, 0.005, 0.2) == "part.bore_m = 0.21: must lie between 0.005 and 0.2 m");
    CHECK(refusal(2, "share", ratio, 0, 1) == "part.share = 2: must lie between 0 and 1");
  }
  TEST_CASE("check: a bound written in degrees Celsius is inside although it rounds below its kelvin value") {
    const Spelling& celsius = unit_spellings(temperature)[1];
    CHECK(near(check_range_as("", "t", temperature, celsius, -40, 233.15, 393.15), 233.15, 1e-15, 0));
    CHECK_THROWS_AS(check_range_as("", "t", temperature, celsius, -40.001, 233.15, 393.15), InputError);
  }
  TEST_CASE("check: a number that fits in another unit is called a unit slip, in both directions") {
    CHECK(refusal(90, "relief", pressure_gauge, 1e5, 400e5).find("looks like bar gauge: use relief_bar_gauge") !=
          std::string::npos);
    CHECK(refusal(20, "bore", length, 0.005, 0.2).find("looks like mm: use bore_mm") != std::string::npos);
    CHECK(refusal(20, "temperature", temperature, 233.15, 393.15).find("use temperature_deg_c") != std::string::npos);
    CHECK(refusal(-1, "bore", length, 0.005, 0.2).find("looks like") == std::string::npos);
    try {
      check_range_as("", "bore", length, unit_spellings(length)[1], 0.02, 0.005, 0.2);
      CHECK(false);
    } catch (const InputError& e) {
      CHECK(e.rule == "must lie between 5 and 200 mm; looks like m: use bore_m");
    }
  }
  TEST_CASE("check: what is no number is refused even by an endless range") {
    for (const double x : {inf, -inf, nan_value})
      CHECK(refusal(x, "x", ratio, -inf, inf).find("finite") != std::string::npos);
  }
  TEST_CASE("check: numbers in messages read back as the same number") {
    for (const double x : {0.1, 1.0 / 3, 1e-300, 12345678.9, -0.0}) CHECK(std::stod(number_text(x)) == x);
    CHECK(number_text(-20) == "-20");
  }
}

TEST_SUITE("base/suggest") {
  TEST_CASE("law: the edit distance counts insertions, losses, changes and swapped neighbours, and is symmetric") {
    CHECK(edit_distance("bore", "bore") == 0);
    CHECK(edit_distance("", "rod") == 3);
    CHECK(edit_distance("stroek_mm", "stroke_mm") == 1);
    CHECK(edit_distance("kitten", "sitting") == 3);   // textbook example (Wagner and Fischer's problem), from memory
    CHECK(edit_distance("sitting", "kitten") == 3);
  }
  TEST_CASE("check: the nearest known word is offered, a far one is not") {
    const std::vector<std::string> known = {"bore_mm", "stroke_mm", "rod_mm"};
    CHECK(did_you_mean("stroek_mm", known) == "; did you mean stroke_mm?");
    CHECK(did_you_mean("colour", known) == "");
  }
}
