#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/near.hpp"
#include "transport/hand.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

Rig port_rig(Attitude a, double cap_port_m = 0) {
  Rig r = bleed_rig(1);
  r.branches[0].cylinder.attitude = a;
  r.branches[0].cylinder.cap_port_m = cap_port_m;
  return r;
}

}  // namespace

TEST_SUITE("transport/port") {
  TEST_CASE("law: a port under the roof's top takes the pocket first, then oil") {
    Hand h(port_rig(Attitude::rod_down));
    h.at("left.cap_chamber").pocket_kg = 1 * ml * h.gas_per_m3();
    const Queue before = h.queue("left.cap_line");
    h.flow("left.cap_line.far", -0.75 * ml).move();
    CHECK(near(h.at("left.cap_chamber").pocket_kg, 0.25 * ml * h.gas_per_m3(), 1e-12, 0));
    CHECK(total(h.queue("left.cap_line")).oil_kg == total(before).oil_kg);
    h.flow("left.cap_line.far", -0.75 * ml).move();
    CHECK(near(h.at("left.cap_chamber").pocket_kg, 0, 0, 1e-15 * h.rho() * ml));
    CHECK(near(total(h.queue("left.cap_line")).oil_kg - total(before).oil_kg, 0.5 * ml * h.rho(), 1e-9, 0));
  }

  TEST_CASE("law: gas that was drawn first lies deeper in the line than the oil drawn after it") {
    Hand h(port_rig(Attitude::rod_down));
    h.at("left.cap_chamber").pocket_kg = 0.25 * ml * h.gas_per_m3();
    h.flow("left.cap_line.far", -1.0 * ml).move();
    const Queue& q = h.queue("left.cap_line");
    REQUIRE(q.count == 3);
    CHECK(q[1].slug);
    CHECK(near(q[1].gas_kg, 0.25 * ml * h.gas_per_m3(), 1e-12, 0));
    CHECK(near(q[2].oil_kg, 0.75 * ml * h.rho(), 1e-12, 0));
  }

  TEST_CASE("law: gas that stood at the port comes in as a slug, gas that the piston's way brings to it as bubbles") {
    const double sphere_m3 = std::numbers::pi / 6 * std::pow(port_rig(Attitude::rod_down).branches[0].cap_line.bore_m, 3);
    for (const double size : {0.9, 1.1}) {          // of the sphere that fits the bore
      CAPTURE(size);
      Hand h(port_rig(Attitude::rod_down));
      h.at("left.cap_chamber").pocket_kg = size * sphere_m3 * h.gas_per_m3();
      h.flow("left.cap_line.far", -1.0 * ml).move();
      const LineContents& l = h.c.line[static_cast<std::size_t>(h.net.place("left.cap_line"))];
      CHECK(near(l.bubbles[coarse].kg, size < 1 ? size * sphere_m3 * h.gas_per_m3() : 0, 1e-12, 0));
      CHECK(near(total(l.queue).pocket_kg, size < 1 ? 0 : size * sphere_m3 * h.gas_per_m3(), 1e-12, 0));
    }
    Hand h(port_rig(Attitude::rod_down));           // as much as many spheres, but none of it stood there: it comes late
    const double gas_kg = 0.25 * ml * h.gas_per_m3();
    h.transport.begin(h.c);
    h.at("left.cap_chamber").pocket_kg = gas_kg;
    h.flow("left.cap_line.far", -1.0 * ml);
    h.transport.move(h.c, h.volume, 0.1);
    CHECK(near(h.c.line[static_cast<std::size_t>(h.net.place("left.cap_line"))].bubbles[coarse].kg, gas_kg, 1e-12, 0));
  }

  TEST_CASE("law: a port h below the roof leaves the gas above it") {
    const double h_m = 5e-3;
    Hand h(port_rig(Attitude::rod_down, h_m));
    const double trap = h_m * cap_area_m2(h.net.rig.branches[0].cylinder);
    CHECK(near(trap_m3(h.net, h.c, h.net.place("left.cap_chamber")), trap, 1e-14, 0));
    h.at("left.cap_chamber").pocket_kg = (trap + 0.2 * ml) * h.gas_per_m3();
    for (int i = 0; i < 3; ++i) h.flow("left.cap_line.far", -0.5 * ml).move();
    CHECK(near(h.at("left.cap_chamber").pocket_kg, trap * h.gas_per_m3(), 1e-12, 0));
  }

  TEST_CASE("law: a port at the bottom takes oil first, and gas only when the oil is used up") {
    Hand h(port_rig(Attitude::rod_up));
    Masses& m = h.at("left.cap_chamber");
    m.pocket_kg = 19 * ml * h.gas_per_m3();
    m.oil_kg = 2 * ml * h.rho();
    m.fine_kg = 0;
    h.flow("left.cap_line.far", -1.5 * ml).move();
    CHECK(near(m.oil_kg, 0.5 * ml * h.rho(), 1e-12, 0));
    CHECK(near(m.pocket_kg, 19 * ml * h.gas_per_m3(), 1e-14, 0));
    h.flow("left.cap_line.far", -1.5 * ml).move();
    CHECK(near(m.oil_kg, 0, 0, 1e-18));
    CHECK(near(m.pocket_kg, 18 * ml * h.gas_per_m3(), 1e-12, 0));
  }
}
