#include "evenstroke/network/contents.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "evenstroke/air/modulus.hpp"
#include "evenstroke/base/error.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::workshop_rig;

namespace {

using Names = std::vector<std::string>;

std::string refused(const Rig& r, const Names& dry, const Names& opened) {
  try {
    after_exchange(r, dry, opened);
  } catch (const InputError& e) {
    return e.field + " " + e.value;
  }
  return "nothing refused";
}

Masses of(const Network& n, const Contents& c, const std::string& place) { return held(c, n.place(place)); }

}  // namespace

TEST_SUITE("network/contents") {
  TEST_CASE("check: an exchange names parts of the rig, and only lines can be opened") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    for (const std::string& part : part_names(r)) CHECK_NOTHROW(after_exchange(r, {part}, {}));
    CHECK_NOTHROW(after_exchange(r, {}, {"a.cap_line", "b.rod_line"}));
    CHECK(refused(r, {"c.cylinder"}, {}) == "dry c.cylinder");
    CHECK(refused(r, {"a.cap_chamber"}, {}) == "dry a.cap_chamber");
    CHECK(refused(r, {}, {"a.hose"}) == "opened a.hose");
    CHECK(refused(r, {}, {"a.cylinder"}) == "opened a.cylinder");
    CHECK(refused(r, {"a.cylinder"}, {"a.rod_line"}) == "nothing refused");
  }
  TEST_CASE("law: a dry part is full of air at p0, an opened line holds one joint's air at its far end, the rest oil") {
    for (const bool out : {false, true}) {
      CAPTURE(out);
      Rig r = workshop_rig(SynchroniserKind::metering_pistons);
      r.oil.temperature_k = t0_k;   // free air is counted at 20 deg C
      r.air.joint_m3 = 0.7e-6;
      const Network n = make_network(r, {0, 1});
      const Contents c = after_exchange(r, {"a.cylinder"}, {"b.cap_line"}, out);
      const Cylinder& cyl = r.branches[0].cylinder;
      const double cap_m3 = cyl.cap_clearance_m3 + (out ? cap_area_m2(cyl) * cyl.stroke_m : 0);
      CHECK(near(free_air_m3(of(n, c, "a.cap_chamber").gas_kg()), cap_m3, 1e-12, 0));
      CHECK(near(of(n, c, "a.cap_chamber").oil_kg, 0, 0, 1e-15));
      CHECK(near(free_air_m3(of(n, c, "b.cap_line").gas_kg()), 0.7e-6, 1e-12, 0));
      const Masses joint = of(n, c, "b.cap_line");
      CHECK(near(joint.fine_kg, r.air.dispersed_share * joint.gas_kg(), 1e-12, 0));
      const Queue& q = c.line[static_cast<std::size_t>(n.place("b.cap_line"))].queue;
      CHECK(q[q.count - 1].slug);
      CHECK_FALSE(q[0].slug);
      for (const char* full : {"a.cap_line", "b.cap_chamber", "valve_block.p", "synchroniser.drive"}) {
        CAPTURE(full);
        CHECK(of(n, c, full).gas_kg() == 0);
        CHECK(near(of(n, c, full).oil_kg, available_m3(n, c, n.place(full)) * n.rho0_kg_per_m3, 1e-12, 0));
      }
      for (std::size_t i = 0; i < 2; ++i) CHECK(c.position_m[i] == (out ? 0.15 : 0.0));
      CHECK(c.position_m[2] == 0);
      CHECK(near(c.reservoir.oil_kg, r.reservoir.oil_m3 * n.rho0_kg_per_m3, 1e-14, 0));
    }
  }
  TEST_CASE("limit: bled contents hold no gas and every place closes at p0") {
    const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
    Bench b(r);
    b.take(bled(r));
    CHECK(total(b.c).gas_kg() == 0);
    b.march.close(b.c);
    for (const double p : b.c.pressure_pa_abs) CHECK(near(p, p0_pa_abs, 1e-9, 0));
  }
  TEST_CASE("law: contents that have run go into another rig by name: gas, pressure and position stay, oil fits") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    Bench b(r);
    b.take(after_exchange(r, {"a.cylinder"}, {}));
    b.drive({.motor = true, .extend = true}, 2);
    Rig wider = r;
    wider.branches[0].cap_line.bore_m = 6e-3;
    const Network m = make_network(wider, {1, 0});   // another order, too
    const Contents d = fit(b.c, m);
    for (std::size_t p = 0; p < d.place.size(); ++p) {
      CAPTURE(d.place[p]);
      const auto from = b.index(d.place[p]);
      CHECK(d.pressure_pa_abs[p] == b.c.pressure_pa_abs[from]);
      CHECK(held(d, static_cast<int>(p)).gas_kg() == held(b.c, static_cast<int>(from)).gas_kg());
      if (d.place[p] == "a.cap_line") continue;
      CHECK(near(held(d, static_cast<int>(p)).oil_kg, held(b.c, static_cast<int>(from)).oil_kg, 1e-9, 1e-12));
    }
    CHECK(d.position_m[0] == b.c.position_m[1]);
    CHECK(d.position_m[1] == b.c.position_m[0]);
    CHECK(d.reservoir.oil_kg == b.c.reservoir.oil_kg);
    CHECK(d.time_s == b.c.time_s);
    March march(m, {});
    Contents closed = d;
    march.close(closed);
    for (std::size_t p = 0; p < d.place.size(); ++p)
      CHECK(near(closed.pressure_pa_abs[p], d.pressure_pa_abs[p], 1e-6, 0));

    const Contents back = fit(fit(b.c, make_network(r, {1, 0})), b.net);   // there and back: not one gram differs
    for (std::size_t p = 0; p < back.place.size(); ++p)
      CHECK(held(back, static_cast<int>(p)).oil_kg == held(b.c, static_cast<int>(p)).oil_kg);
  }
  TEST_CASE("law: contents that have not run are made afresh from the rig they go into; other parts are refused") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    const Contents c = after_exchange(r, {"a.cylinder"}, {"b.cap_line"});
    Rig other = r;
    other.branches[0].cylinder.cap_clearance_m3 = 4e-6;
    other.air.joint_m3 = 1e-6;
    const Network n = make_network(other, {0, 1});
    const Contents d = fit(c, n);
    CHECK(near(of(n, d, "a.cap_chamber").gas_kg() * n.gas_j_per_kg / p0_pa_abs, 4e-6, 1e-12, 0));
    CHECK(near(of(n, d, "b.cap_line").gas_kg() * n.gas_j_per_kg / p0_pa_abs, 1e-6, 1e-12, 0));
    Contents ran = c;
    ran.recipe.valid = false;
    other.branches[1].name = "z";
    CHECK_THROWS_AS(fit(ran, make_network(other, {0, 1})), InputError);
    CHECK_THROWS_AS(fit(ran, make_network(workshop_rig(SynchroniserKind::metering_pistons), {0, 1})), InputError);
  }
  TEST_CASE("check: contents of another rig are refused whether they have run or not, and a tee has no synchroniser to be dry") {
    const Rig tee = workshop_rig(SynchroniserKind::tee), metering = workshop_rig(SynchroniserKind::metering_pistons);
    Rig other = tee;
    other.branches[0].name = "z";
    const Contents fresh = after_exchange(tee, {"a.cylinder"}, {});
    CHECK_NOTHROW(check(fresh, tee));
    CHECK_THROWS_AS(check(fresh, other), InputError);
    CHECK_THROWS_AS(check(after_exchange(metering, {}, {}), tee), InputError);
    CHECK_THROWS_AS(check(fresh, metering), InputError);
    CHECK_THROWS_AS(after_exchange(tee, {"synchroniser"}, {}), InputError);
    CHECK_NOTHROW(after_exchange(metering, {"synchroniser"}, {}));
  }
  TEST_CASE("law: an open cavity is not filled with oil from nowhere when contents are fitted") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    const Network n = make_network(r);
    Contents c = bled(r);
    c.recipe.valid = false;
    const auto p = static_cast<std::size_t>(n.place("a.rod_chamber"));
    c.masses[p].oil_kg *= 0.5;
    c.pressure_pa_abs[p] = 1000;
    CHECK(fit(c, n).masses[p].oil_kg == c.masses[p].oil_kg);
    CHECK(reordered(c, n).masses[p].oil_kg == c.masses[p].oil_kg);
  }
}
