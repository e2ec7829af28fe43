#include <doctest/doctest.h>

#include <filesystem>
#include <string>

#include "evenstroke/io/files.hpp"

using namespace evenstroke;
namespace fs = std::filesystem;

namespace {

const fs::path examples = fs::path(EVENSTROKE_SOURCE_DIR) / "examples";

}  // namespace

TEST_SUITE("io/examples") {
  TEST_CASE("check: every example rig loads, and every example procedure fits the roof hatch") {
    int rigs = 0, procedures = 0;
    const Rig roof = load_rig((examples / "rigs/roof_hatch.toml").string());
    for (const auto& entry : fs::directory_iterator(examples / "rigs")) {
      CAPTURE(entry.path().string());
      CHECK_NOTHROW(load_rig(entry.path().string()));
      ++rigs;
    }
    for (const auto& entry : fs::directory_iterator(examples / "procedures")) {
      CAPTURE(entry.path().string());
      CHECK_NOTHROW(check(load_procedure(entry.path().string()), roof));
      ++procedures;
    }
    CHECK(rigs >= 2);
    CHECK(procedures >= 1);
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
