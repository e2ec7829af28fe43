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
const std::string roof = std::string(EVENSTROKE_SOURCE_DIR) + "/examples/rigs/roof_hatch.toml";

}  // namespace

TEST_SUITE("io/rig_file") {
  TEST_CASE("check: every value of the example arrives in SI, and everything else has its default") {
    const Rig rig = load_rig(roof);
    CHECK(rig.name == "observatory roof hatch");
    CHECK(rig.oil.name == "ISO VG 22");
    CHECK(rig.oil.nu_40_m2_per_s == 22e-6);
    CHECK(rig.oil.temperature_k == 293.15);
    CHECK(near(rig.pump.displacement_m3_per_rad, 0.24e-6 / 6.28318530717958648, 1e-15, 0));
    CHECK(rig.pump.supply_v == 12);
    CHECK(rig.pump.armature_ohm == PumpMotor{}.armature_ohm);
    CHECK(rig.synchroniser.kind == SynchroniserKind::metering_pistons);
    CHECK(rig.panel.mass_kg == 110);
    CHECK(rig.panel.centre_of_mass == 0.55);
    REQUIRE(rig.branches.size() == 2);
    const Branch &left = rig.branches[0], &right = rig.branches[1];
    CHECK(left.name == "left");
    CHECK(right.name == "right");
    for (const Branch* b : {&left, &right}) {
      CHECK(b->cylinder.bore_m == 0.02);
      CHECK(b->cylinder.rod_m == 0.012);
      CHECK(b->cylinder.stroke_m == 0.25);
      CHECK(b->cylinder.attitude == Attitude::rod_down);
      CHECK(b->cylinder.leak_m3_per_s_pa == Cylinder{}.leak_m3_per_s_pa);
      CHECK(b->cap_line.bore_m == 0.006);
      CHECK(b->rod_line.bore_m == 0.006);
      CHECK(b->cap_line.wall_modulus_pa == 206e9);
    }
    CHECK(left.cap_line.length_m == 1.3);
    CHECK(left.rod_line.length_m == 1.3);
    CHECK(right.cap_line.length_m == 2.0);
  }
  TEST_CASE("check: branches keep the order of the file, and their own keys go before the shared ones") {
    auto lines = testing::sample_lines();
    lines[14] = "rod_mm = 12\nrod_line_bore_mm = 5\nattitude = \"rod_up\"";
    const Rig rig = parse_rig(testing::join(lines), "sample");
    REQUIRE(rig.branches.size() == 2);
    const Branch &right = rig.branches[0], &left = rig.branches[1];
    CHECK(right.name == "right");
    CHECK(right.cylinder.attitude == Attitude::rod_up);
    CHECK(left.cylinder.attitude == Attitude::level);
    CHECK(right.rod_line.bore_m == 0.005);
    CHECK(right.rod_line.length_m == 1);
    CHECK(left.rod_line.length_m == 1.5);   // as its own cap line
    CHECK(left.cylinder.bore_m == 0.025);
  }
  TEST_CASE("check: without sub-tables there is a left and a right, with eight there are eight") {
    auto lines = testing::sample_lines();
    lines.resize(16);
    std::string text = testing::join(lines) + "bore_mm = 20\nstroke_mm = 160\ncap_line_length_m = 2\n";
    const Rig two = parse_rig(text, "two");
    REQUIRE(two.branches.size() == 2);
    CHECK(two.branches[0].name == "left");
    CHECK(two.branches[1].name == "right");
    for (const char* one : {"left", "right"}) {   // who tells one of the pair something of its own means both
      const Rig both = parse_rig(text + "[branch." + one + "]\nbore_mm = 25\n", "both");
      REQUIRE(both.branches.size() == 2);
      CHECK(both.branches[0].name == "left");
      CHECK(both.branches[0].cylinder.bore_m == (std::string(one) == "left" ? 0.025 : 0.020));
      CHECK(both.branches[1].cylinder.bore_m == (std::string(one) == "right" ? 0.025 : 0.020));
    }
    CHECK(parse_rig(text + "[branch.single]\n", "single").branches.size() == 1);
    for (const char* name : {"h", "g", "f", "e", "d", "c", "b", "a"}) text += std::string("[branch.") + name + "]\n";
    const Rig eight = parse_rig(text, "eight");
    REQUIRE(eight.branches.size() == 8);
    CHECK(eight.branches[0].name == "h");
    check_refused({text + "[branch.i]\n", 14, 2, "branch", "9", "1 to 8"}, read);
  }
  TEST_CASE("agreement: SI and shop spellings of one rig are the same rig to the last bit") {
    const Rig shop = parse_rig(sample_with(18, "bore_mm = 20"), "a");
    const Rig si = parse_rig(sample_with(18, "bore_m = 0.020"), "b");
    CHECK(shop.branches[0].cylinder.bore_m == si.branches[0].cylinder.bore_m);
    const Rig pa = parse_rig(sample_with(9, "relief_pa_gauge = 90e5"), "c");
    CHECK(pa.valve_block.relief_pa_gauge == shop.valve_block.relief_pa_gauge);
    const Rig whole = parse_rig(sample_with(13, "mass_kg = 80.0"), "d");
    CHECK(whole.panel.mass_kg == shop.panel.mass_kg);
  }
  TEST_CASE("check: oil by grade takes other fields as well, by points takes both") {
    auto lines = testing::sample_lines();
    lines[2] = "grade = \"ISO VG 32\"\nviscosity_index = 150";
    lines[3] = "density_15_kg_per_m3 = 850";
    const Rig rig = parse_rig(testing::join(lines), "oil");
    CHECK(rig.oil.nu_40_m2_per_s == 32e-6);
    CHECK(rig.oil.nu_100_m2_per_s == oil_by_grade(32, 150).nu_100_m2_per_s);
    CHECK(rig.oil.density_15_kg_per_m3 == 850);
    CHECK(parse_rig(sample_with(4, "nu_100_m2_per_s = 4.5e-6"), "oil").oil.nu_100_m2_per_s == 4.5e-6);
  }
}
