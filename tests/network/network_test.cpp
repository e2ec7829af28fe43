#include "evenstroke/network/network.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>

#include "evenstroke/base/error.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;
using testing::workshop_rig;

namespace {

const Edge& edge(const Network& n, const std::string& name) {
  const auto e = std::find_if(n.edges.begin(), n.edges.end(), [&](const Edge& x) { return x.name == name; });
  REQUIRE(e != n.edges.end());
  return *e;
}

std::string place_name(const Network& n, int p) {
  return p < 0 ? "reservoir" : n.places[static_cast<std::size_t>(p)].name;
}

}  // namespace

TEST_SUITE("network/network") {
  TEST_CASE("law: every line has two edges in a row, near end first, each with half its resistance") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      const Rig r = workshop_rig(kind);
      const Network n = make_network(r, {0, 1});
      int lines = 0;
      for (std::size_t p = 0; p < n.places.size(); ++p) {
        if (n.places[p].kind != PlaceKind::line) continue;
        ++lines;
        CAPTURE(n.places[p].name);
        int touching = 0;
        for (const Edge& e : n.edges) touching += (e.from == static_cast<int>(p)) + (e.to == static_cast<int>(p));
        CHECK(touching == 2);
        const Edge &near_end = edge(n, n.places[p].name + ".near"), &far_end = edge(n, n.places[p].name + ".far");
        CHECK(near_end.to == static_cast<int>(p));
        CHECK(far_end.from == static_cast<int>(p));
        const Branch& b = r.branches[static_cast<std::size_t>(n.places[p].branch)];
        const bool cap = n.places[p].name.ends_with("cap_line");
        const Line& line = cap ? b.cap_line : b.rod_line;
        const LineLaw<double> whole = line_law(line, 1.0, n.rho0_kg_per_m3, n.mu_pa_s / n.rho0_kg_per_m3);
        for (const Edge* e : {&near_end, &far_end})
          CHECK(near(n.lines[static_cast<std::size_t>(e->law)].resistance, whole.resistance / 2, 1e-12, 0));
        CHECK(place_name(n, far_end.to) == b.name + (cap ? ".cap_chamber" : ".rod_chamber"));
      }
      CHECK(lines == 4);
    }
  }
  TEST_CASE("law: names are those of the rig's parts, each once; an unknown one is refused") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    const Network n = make_network(r, {0, 1});
    std::set<std::string> names, parts;
    for (const Place& p : n.places) {
      CHECK(names.insert(p.name).second);
      parts.insert(p.part);
      CHECK(n.place(p.name) == static_cast<int>(&p - n.places.data()));
    }
    const std::vector<std::string> known = part_names(r);
    CHECK(parts == std::set<std::string>(known.begin(), known.end()));
    CHECK(n.axes[0].name == "a.rod");
    CHECK(n.axes[1].name == "b.rod");
    CHECK(n.axes[2].name == "synchroniser.carriage");
    CHECK(n.has_carriage());
    CHECK_FALSE(make_network(workshop_rig(SynchroniserKind::tee), {0, 1}).has_carriage());
    CHECK_THROWS_AS(n.place("c.cap_chamber"), InputError);
  }
  TEST_CASE("law: extending joins P to A and B to the reservoir, retracting P to B and A to the reservoir") {
    const Network n = make_network(workshop_rig(SynchroniserKind::tee), {0, 1});
    std::map<std::string, Switch> gates;
    for (const Edge& e : n.edges)
      if (e.gate != Switch::always) gates[place_name(n, e.from) + ">" + place_name(n, e.to)] = e.gate;
    CHECK(gates == std::map<std::string, Switch>{{"reservoir>valve_block.p", Switch::motor},
                                                 {"valve_block.p>valve_block.a", Switch::extend},
                                                 {"valve_block.b>reservoir", Switch::extend},
                                                 {"valve_block.p>valve_block.b", Switch::retract},
                                                 {"valve_block.a>reservoir", Switch::retract}});
  }
  TEST_CASE("law: the chambers' volumes are those of the drawing at both ends of the travel") {
    const Rig r = bench_rig(1, SynchroniserKind::tee, 6e-6);
    const Network n = make_network(r, {0});
    const Cylinder& c = r.branches[0].cylinder;
    const Place& cap = n.places[static_cast<std::size_t>(n.place("a.cap_chamber"))];
    const Place& rod = n.places[static_cast<std::size_t>(n.place("a.rod_chamber"))];
    CHECK(cap.volume_m3 == c.cap_clearance_m3);
    CHECK(near(cap.volume_m3 + cap.slope_m2 * c.stroke_m, c.cap_clearance_m3 + cap_area_m2(c) * c.stroke_m, 1e-14, 0));
    CHECK(near(rod.volume_m3, c.rod_clearance_m3 + rod_area_m2(c) * c.stroke_m, 1e-14, 0));
    CHECK(near(rod.volume_m3 + rod.slope_m2 * c.stroke_m, c.rod_clearance_m3, 1e-9, 0));
  }
  TEST_CASE("law: each metering piston sweeps its cylinder's stroke volume and the over-travel, the drive their sum") {
    Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    r.branches[1].cylinder.bore_m = 30e-3;
    r.branches[0].cylinder.stroke_m = 0.2;
    r.synchroniser.over_travel = 0.05;
    const Network n = make_network(r, {0, 1});
    const double travel_m = n.axes[2].travel_m;
    double sum = 0;
    for (const Branch& b : r.branches) {
      CAPTURE(b.name);
      const Place& m = n.places[static_cast<std::size_t>(n.place(b.name + ".metering_chamber"))];
      CHECK(near(-m.slope_m2 * travel_m, 1.05 * cap_area_m2(b.cylinder) * b.cylinder.stroke_m, 1e-12, 0));
      CHECK(near(m.volume_m3 + m.slope_m2 * travel_m, r.synchroniser.clearance_m3, 1e-9, 0));
      CHECK(m.axis == 2);
      sum -= m.slope_m2;
    }
    CHECK(near(n.places[static_cast<std::size_t>(n.place("synchroniser.drive"))].slope_m2, sum, 1e-14, 0));
    CHECK(near(n.axes[2].breakaway_n, r.synchroniser.breakaway_pa_diff * sum, 1e-12, 0));
  }
  TEST_CASE("law: an order only renumbers: branch i of the network is branch order[i] of the rig, with its own load") {
    Rig r = workshop_rig(SynchroniserKind::tee, false);
    r.branches[1].cylinder.stroke_m = 0.1;
    const Network n = make_network(r, {1, 0});
    CHECK(n.rig.branches[0].name == "b");
    CHECK(n.axes[0].travel_m == 0.1);
    CHECK(n.given == std::vector<int>{1, 0});
    CHECK(n.panel[0].weight_n == static_load_n(r.panel, 2)[1]);
    CHECK(n.panel[1].weight_n == static_load_n(r.panel, 2)[0]);
  }
}
