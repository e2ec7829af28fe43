#include "evenstroke/base/field.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <set>
#include <sstream>
#include <string>

#include "evenstroke/base/error.hpp"
#include "evenstroke/rig/rig.hpp"

using namespace evenstroke;

namespace {

/// Rows of base/evidence.csv: key -> kind. A row is key,kind,"what","source".
struct Evidence {
  std::set<std::string> keys;
  int rows = 0, bad_rows = 0;
};

Evidence read_evidence() {
  Evidence e;
  std::ifstream in(std::string(EVENSTROKE_SOURCE_DIR) + "/lib/evenstroke/base/evidence.csv");
  std::string line;
  std::getline(in, line);
  if (line != "key,kind,what,source") return e;
  const std::set<std::string> kinds = {"measured", "published", "memory", "estimate"};
  while (std::getline(in, line)) {
    std::istringstream row(line);
    std::string key, kind, rest;
    std::getline(row, key, ',');
    std::getline(row, kind, ',');
    std::getline(row, rest);
    const bool good = kinds.count(kind) == 1 && rest.find("\",\"") != std::string::npos && rest.ends_with("\"") &&
                      e.keys.insert(key).second;
    e.bad_rows += good ? 0 : 1;
    ++e.rows;
  }
  return e;
}

bool is_known(double x) { return std::isfinite(x); }

}  // namespace

TEST_SUITE("base/field") {
  TEST_CASE("check: every row of the evidence file has a key of its own, a known kind, a claim and a source") {
    const Evidence e = read_evidence();
    CHECK(e.rows > 20);
    CHECK(e.bad_rows == 0);
  }
  TEST_CASE_TEMPLATE("check: a field table's defaults, ranges, bands, names and evidence agree with each other", P, Oil,
                     PumpMotor, ValveBlock, Reservoir, Synchroniser, Panel, AirInputs, Cylinder, Line) {
    const Evidence evidence = read_evidence();
    const P defaults{};
    std::set<std::string_view> names;
    REQUIRE(!fields<P>().empty());
    for (const auto& f : fields<P>()) {
      CAPTURE(std::string(f.name));
      CHECK(names.insert(f.name).second);
      CHECK((is_known(f.low) && is_known(f.high) && f.low < f.high));
      const double value = defaults.*(f.member);
      CHECK((std::isnan(value) || (value >= f.low && value <= f.high)));
      CHECK(is_known(f.band_low) == is_known(f.band_high));
      if (is_known(f.band_low)) CHECK((f.low <= f.band_low && f.band_low < f.band_high && f.band_high <= f.high));
      if (is_known(f.band_low) && is_known(value)) CHECK((f.band_low <= value && value <= f.band_high));
      CHECK(evidence.keys.count(std::string(f.evidence)) == 1);
      CHECK(f.help.ends_with("."));
      CHECK(f.help.find('_') == std::string_view::npos);
    }
  }
  TEST_CASE_TEMPLATE("check: each field alone outside its range is refused by name", P, PumpMotor, ValveBlock, Panel,
                     Line) {
    P good{};
    for (const auto& f : fields<P>())
      if (std::isnan(good.*(f.member))) good.*(f.member) = 0.5 * (f.low + f.high);
    CHECK_NOTHROW(check_fields(good, "here"));
    for (const auto& f : fields<P>())
      for (const double bad : {f.low - 1e-3 * (f.high - f.low), f.high * 1.001, required}) {
        P p = good;
        p.*(f.member) = bad;
        CAPTURE(std::string(f.name));
        try {
          check_fields(p, "here");
          CHECK(false);
        } catch (const InputError& e) {
          CHECK(e.field == "here." + std::string(f.name) + std::string(si_suffix(f.quantity)));
        }
      }
  }
}
