#include "evenstroke/base/error.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>

#include "evenstroke/base/status.hpp"

using namespace evenstroke;

TEST_SUITE("base/error") {
  TEST_CASE("check: an input error names field, value, unit and rule, and reads as one line") {
    const InputError e("pump.supply_v", "-1", "V", "must lie between 1 and 400 V");
    CHECK(e.field == "pump.supply_v");
    CHECK(e.value == "-1");
    CHECK(e.unit == "V");
    CHECK(e.rule == "must lie between 1 and 400 V");
    CHECK(std::string(e.what()) == "pump.supply_v = -1: must lie between 1 and 400 V");
  }
  TEST_CASE("check: a file error says file, line and column first, as editors do, and is an input error, too") {
    try {
      throw FileError("roof.toml", 12, 3, "branch.left.bore_mm", "-20", "mm", "must lie between 5 and 200 mm");
    } catch (const InputError& e) {
      CHECK(std::string(e.what()) == "roof.toml:12:3: branch.left.bore_mm = -20: must lie between 5 and 200 mm");
      CHECK(e.unit == "mm");
    }
  }
  TEST_CASE("check: without a place or a value nothing is made up") {
    CHECK(std::string(FileError("a.toml", 0, 0, "", "", "", "there is no such file").what()) ==
          "a.toml: there is no such file");
    CHECK(std::string(InputError("oil", "", "", "is missing").what()) == "oil: is missing");
  }
}

TEST_SUITE("base/status") {
  TEST_CASE("check: every outcome has its own name and only ok is ok") {
    std::set<std::string> names;
    for (int i = 0; i <= static_cast<int>(Outcome::stalled); ++i) {
      const Status s{.outcome = static_cast<Outcome>(i), .quantity = "", .message = ""};
      names.insert(to_string(s.outcome));
      CHECK(s.ok() == (i == 0));
    }
    CHECK(names.size() == static_cast<std::size_t>(Outcome::stalled) + 1);
    CHECK(names.count("unknown") == 0);
  }
}
