#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "evenstroke/base/error.hpp"
#include "evenstroke/io/files.hpp"

using namespace evenstroke;
namespace fs = std::filesystem;

namespace {

const fs::path examples = fs::path(EVENSTROKE_SOURCE_DIR) / "examples";

}  // namespace

TEST_SUITE("io/examples") {
  TEST_CASE("check: every example rig loads, and every example procedure fits one of them") {
    int rigs = 0, procedures = 0;
    std::vector<Rig> known;
    for (const auto& entry : fs::directory_iterator(examples / "rigs")) {
      CAPTURE(entry.path().string());
      CHECK_NOTHROW(known.push_back(load_rig(entry.path().string())));
      ++rigs;
    }
    const auto fits = [](const Procedure& p, const Rig& rig) {
      try {
        check(p, rig);
        return true;
      } catch (const InputError&) {
        return false;
      }
    };
    for (const auto& entry : fs::directory_iterator(examples / "procedures")) {
      CAPTURE(entry.path().string());
      const Procedure p = load_procedure(entry.path().string());
      CHECK(std::any_of(known.begin(), known.end(), [&](const Rig& rig) { return fits(p, rig); }));
      ++procedures;
    }
    CHECK(rigs >= 4);
    CHECK(procedures >= 4);
  }
  TEST_CASE("check: the hatch with low ports has cap lines that hold more than 2.5 strokes, as its comment says") {
    const Rig rig = load_rig((examples / "rigs/roof_hatch_ports_low.toml").string());
    for (const auto& b : rig.branches) {
      CAPTURE(b.name);
      CHECK(b.cylinder.attitude == Attitude::rod_up);
      CHECK(volume_m3(b.cap_line) > 2.5 * cap_area_m2(b.cylinder) * b.cylinder.stroke_m);
    }
  }
}
