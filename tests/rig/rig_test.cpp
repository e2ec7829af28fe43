#include "evenstroke/rig/rig.hpp"

#include <doctest/doctest.h>

#include <functional>
#include <set>
#include <string>

#include "evenstroke/base/error.hpp"
#include "evenstroke/io/files.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;

namespace {

Rig sample() { return parse_rig(testing::join(testing::sample_lines()), "sample"); }

std::string refused_field(const std::function<void(Rig&)>& spoil) {
  Rig rig = sample();
  spoil(rig);
  try {
    check(rig);
  } catch (const InputError& e) {
    return e.field;
  }
  return "nothing refused";
}

}  // namespace

TEST_SUITE("rig/rig") {
  TEST_CASE("check: what cannot be built is refused by the path of the field") {
    CHECK_NOTHROW(check(sample()));
    CHECK(refused_field([](Rig& r) { r.branches[1].cylinder.rod_m = 0.026; }) == "branch.left.rod_m");
    CHECK(refused_field([](Rig& r) { r.branches[0].cylinder.tube_m = 0.24; }) == "branch.right.stroke_m");
    CHECK(refused_field([](Rig& r) { r.branches[0].cap_line.bore_m = 0; }) == "branch.right.cap_line_bore_m");
    CHECK(refused_field([](Rig& r) { r.branches[1].rod_line.length_m = -1; }) == "branch.left.rod_line_length_m");
    CHECK(refused_field([](Rig& r) { r.panel.mass_kg = -5; }) == "panel.mass_kg");
    CHECK(refused_field([](Rig& r) { r.pump.supply_v = required; }) == "pump.supply_v");
    CHECK(refused_field([](Rig& r) { r.reservoir.oil_m3 = 2 * r.reservoir.capacity_m3; }) == "reservoir.oil_m3");
    CHECK(refused_field([](Rig& r) { r.branches[0].cap_line.peak_m = 1; }) == "branch.right.cap_line_peak_m");
    CHECK(refused_field([](Rig& r) { r.branches[1].rod_line.expansion_per_pa = -1e-9; }) ==
          "branch.left.rod_line_expansion_per_pa");
    CHECK(refused_field([](Rig& r) { r.branches[1].cylinder.height_m = 100; }) == "branch.left.height_m");
    CHECK(refused_field([](Rig& r) { r.valve_block.high_point_m3 = 2 * r.valve_block.passage_m3; }) ==
          "valve_block.high_point_m3");
    CHECK(refused_field([](Rig& r) { r.air.fine_m = r.air.coarse_m; }) == "air.fine_m");
    CHECK(refused_field([](Rig& r) { r.air.coarse_share = 0.95; }) == "air.coarse_share");
    CHECK(refused_field([](Rig& r) { r.oil.pressure_viscosity_per_pa = required; }) == "oil.pressure_viscosity_per_pa");
    CHECK(refused_field([](Rig& r) { r.reservoir.return_bore_m = 0; }) == "reservoir.return_bore_m");
    CHECK(refused_field([](Rig& r) { r.pump.suction_area_m2 = -1; }) == "pump.suction_area_m2");
  }
  TEST_CASE("check: one to eight branches, each with a name of its own made of plain letters") {
    CHECK(refused_field([](Rig& r) { r.branches.clear(); }) == "branch");
    CHECK(refused_field([](Rig& r) { r.branches.resize(9, r.branches[0]); }) == "branch");
    CHECK(refused_field([](Rig& r) { r.branches[1].name = "right"; }) == "branch.right");
    for (const char* bad : {"", "Left", "2nd", "le ft", "a.b"})
      CHECK(refused_field([&](Rig& r) { r.branches[1].name = bad; }) == std::string("branch.") + bad);
  }
  TEST_CASE("check: parts are three per branch, the valve block and the synchroniser") {
    const auto names = part_names(sample());
    CHECK(names == std::vector<std::string>{"right.cylinder", "right.cap_line", "right.rod_line", "left.cylinder",
                                            "left.cap_line", "left.rod_line", "valve_block", "synchroniser"});
  }
}

TEST_SUITE("rig/fields") {
  TEST_CASE("agreement: every listed field reads back by its path, and setting it to its value changes nothing") {
    Rig rig = sample();
    const auto list = rig_fields(rig);
    std::set<std::string> paths;
    for (const auto& f : list) {
      CAPTURE(f.path);
      CHECK(paths.insert(f.path).second);
      CHECK(get_field(rig, f.path) == f.value);
      CHECK_NOTHROW(set_field(rig, f.path, f.value));
    }
    CHECK(list.size() == fields<Oil>().size() + fields<PumpMotor>().size() + fields<ValveBlock>().size() +
                             fields<Reservoir>().size() + fields<Synchroniser>().size() + fields<Panel>().size() +
                             fields<AirInputs>().size() + fields<Observer>().size() +
                             fields<SpoolDivider>().size() + fields<RotaryDivider>().size() + fields<SeriesPair>().size() +
                             fields<Locks>().size() + fields<ClosedCircuit>().size() +
                             2 * (fields<Outlet>().size() + fields<Cylinder>().size() + 2 * fields<Line>().size()));
  }
  TEST_CASE("check: a path reaches the one member it names and no other") {
    Rig rig = sample();
    set_field(rig, "branch.left.cap_line_bore_m", 0.006);
    CHECK(rig.branches[1].cap_line.bore_m == 0.006);
    CHECK(rig.branches[1].rod_line.bore_m == 0.004);
    CHECK(rig.branches[0].cap_line.bore_m == 0.004);
    CHECK(rig.branches[1].cylinder.bore_m == 0.025);
    set_field(rig, "air.slug_slip", 0.25);
    CHECK(rig.air.slug_slip == 0.25);
  }
  TEST_CASE("check: what belongs to a line stays apart from what belongs to its cylinder") {
    Rig rig = sample();
    set_field(rig, "branch.left.height_m", 0.5);
    set_field(rig, "branch.left.cap_line_peak_m", 0.7);
    set_field(rig, "branch.left.cap_line_peak_share", 0.5);
    set_field(rig, "branch.rod_line_expansion_per_pa", 3e-9);
    CHECK_NOTHROW(check(rig));
    CHECK(rig.branches[1].cylinder.height_m == 0.5);
    CHECK(rig.branches[0].cylinder.height_m == 0);
    CHECK(rig.branches[1].cap_line.peak_m == 0.7);
    CHECK(rig.branches[1].rod_line.peak_share == 0);
    CHECK(rig.branches[0].rod_line.expansion_per_pa == 3e-9);
    CHECK(rig.branches[0].cap_line.expansion_per_pa == 0);
  }
  TEST_CASE("check: branch.<key> sets all branches, and reads only what they share") {
    Rig rig = sample();
    CHECK_THROWS_AS(get_field(rig, "branch.bore_m"), InputError);
    set_field(rig, "branch.bore_m", 0.03);
    CHECK(rig.branches[0].cylinder.bore_m == 0.03);
    CHECK(rig.branches[1].cylinder.bore_m == 0.03);
    CHECK(get_field(rig, "branch.bore_m") == 0.03);
  }
  TEST_CASE("check: an unknown path is answered with the nearest one, a refused value leaves the rig as it was") {
    Rig rig = sample();
    try {
      set_field(rig, "branch.left.cap_line_boer_m", 0.006);
      CHECK(false);
    } catch (const InputError& e) {
      CHECK(e.rule == "no such field in this rig; did you mean branch.left.cap_line_bore_m?");
    }
    CHECK_THROWS_AS(get_field(rig, "branch.left.bore_mm"), InputError);   // paths are SI
    CHECK_THROWS_AS(get_field(rig, ""), InputError);
    try {
      set_field(rig, "branch.cap_line_bore_m", 4.0);
      CHECK(false);
    } catch (const InputError& e) {
      CHECK(e.field == "branch.cap_line_bore_m");
      CHECK(e.rule == "must lie between 0.0005 and 0.025 m; looks like mm: use bore_mm");
    }
    CHECK(rig.branches[0].cap_line.bore_m == 0.004);
  }
}
