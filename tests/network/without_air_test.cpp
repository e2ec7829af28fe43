// Contents with the air of some places taken out: what is asked of a rig to learn which air its mismatch comes from.
#include "evenstroke/network/without_air.hpp"

#include <doctest/doctest.h>

#include "evenstroke/base/error.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

const Rig& rig() {
  static const Rig r = workshop_rig(SynchroniserKind::metering_pistons);
  return r;
}

/// A dry cylinder and two opened lines, as the pump starts: pockets, slugs, bubbles, pressures.
Contents under_way() {
  const Network n = make_network(rig());
  March march(n, {});
  Contents c = fit(after_exchange(rig(), {"a.cylinder"}, {"a.cap_line", "b.cap_line"}), n);
  march.phase(c, {.motor = true, .extend = true}, 0.2, [](double, const auto&) { return false; }, [](const Contents&, const auto&) { return false; });
  return c;
}

}  // namespace

TEST_SUITE("network/without_air") {
  TEST_CASE("law: the places named hold no free air and as much oil as their pressure asks for; the others hold what they held") {
    const Network n = make_network(rig());
    const Contents full = under_way();
    REQUIRE(held(full, n.place("a.cap_line")).gas_kg() > 0);
    REQUIRE(held(full, n.place("b.cap_line")).gas_kg() > 0);
    const std::vector<std::string> places = {"a.cap_chamber", "a.cap_line", "b.cap_line"};
    const Contents less = without_air(full, rig(), places);
    CHECK(less.position_m == full.position_m);
    for (std::size_t i = 0; i < n.places.size(); ++i) {
      const int p = static_cast<int>(i);
      CAPTURE(n.places[i].name);
      CHECK(less.pressure_pa_abs[i] == full.pressure_pa_abs[i]);
      if (std::find(places.begin(), places.end(), n.places[i].name) == places.end()) {
        CHECK(held(less, p).gas_kg() == held(full, p).gas_kg());
        CHECK(near(held(less, p).oil_kg, held(full, p).oil_kg, 1e-9, 0));
        continue;
      }
      CHECK(held(less, p).gas_kg() == 0);
      const double room = available_m3(n, less, p) + n.places[i].wall_m3_per_pa * (less.pressure_pa_abs[i] - p0_pa_abs);
      CHECK(near(held(less, p).oil_kg / n.rho0_kg_per_m3 * relative_volume(n.liquid, less.pressure_pa_abs[i]), room, 1e-9, 0));
    }
  }
  TEST_CASE("limit: without the air of any place it is a bled rig under the same pressures; a place full of air fills, too") {
    const Contents dry = after_exchange(rig(), {"a.cylinder", "a.cap_line"}, {});
    const Contents none = without_air(dry, rig(), dry.place), bled_one = bled(rig());
    const Network n = make_network(rig());
    for (const std::string& name : none.place)
      CHECK(near(held(reordered(none, n), n.place(name)).oil_kg, held(reordered(bled_one, n), n.place(name)).oil_kg, 1e-9, 1e-15));
  }
  TEST_CASE("check: places are those of the contents") {
    CHECK_THROWS_AS(without_air(bled(rig()), rig(), {"a.cylinder"}), InputError);
  }
}
