#include "evenstroke/components/cylinder.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/near.hpp"
#include "components/refused.hpp"

// Worked examples below are quoted as printed in the open textbook companion of FOSSEE.
using namespace evenstroke;

namespace {

Cylinder cylinder(double bore_m = 0.02, double rod_m = 0.012, double stroke_m = 0.25) {
  Cylinder c;
  c.bore_m = bore_m;
  c.rod_m = rod_m;
  c.stroke_m = stroke_m;
  return c;
}

double cap_volume(const Cylinder& c, double x) { return c.cap_clearance_m3 + cap_area_m2(c) * x; }
double rod_volume(const Cylinder& c, double x) { return c.rod_clearance_m3 + rod_area_m2(c) * (c.stroke_m - x); }

}  // namespace

TEST_SUITE("components/cylinder") {
  TEST_CASE("law: annulus and rod make up the bore; friction acts on the cap area") {
    const Cylinder c = cylinder();
    CHECK(near(rod_area_m2(c) + std::numbers::pi * 36e-6, cap_area_m2(c), 1e-14, 0));
    CHECK(near(breakaway_n(c), 2e5 * std::numbers::pi * 1e-4, 1e-14, 0));
  }

  TEST_CASE("reference: pressures to extend and to retract 1000 lb with a 2 in bore and 1 in rod") {
    // A. Esposito, Fluid Power with Applications, Example 6-1: 318 psi, 425 psi
    const Cylinder c = cylinder(0.0508, 0.0254);
    CHECK(near(4448.2216 / cap_area_m2(c), 2192532.8, 3e-3, 0));
    CHECK(near(4448.2216 / rod_area_m2(c), 2930271.9, 3e-3, 0));
  }

  TEST_CASE("reference: rod-side pressure that holds a hanging load") {
    // J. Sullivan, Fluid Power, 4th ed., Example 8.6: 3 in bore, 1.5 in rod, 7500 lb: 1413.711 psi
    CHECK(near(33361.662 / rod_area_m2(cylinder(0.0762, 0.0381)), 9747194.2, 1e-3, 0));
  }

  TEST_CASE("reference: force of a 75 mm bore, 14 mm rod retracting at 50 bar") {
    // Public worked question with solution: 21.32 kN
    CHECK(near(50e5 * rod_area_m2(cylinder(0.075, 0.014)), 21320, 1e-3, 0));
  }

  TEST_CASE("law: the end that is up keeps what lies beside the port, the end that is down all but that") {
    Cylinder c = cylinder();
    c.cap_port_m = 3e-3;
    c.rod_port_m = 5e-3;
    for (double x : {0.0, 0.1, 0.25}) {
      CAPTURE(x);
      c.attitude = Attitude::rod_down;
      CHECK(near(cap_trap_m3(c, x), cap_area_m2(c) * 3e-3, 1e-13, 0));
      CHECK(near(rod_trap_m3(c, x), rod_volume(c, x) - rod_area_m2(c) * 5e-3, 1e-13, 0));
      c.attitude = Attitude::rod_up;
      CHECK(near(cap_trap_m3(c, x), cap_volume(c, x) - cap_area_m2(c) * 3e-3, 1e-13, 0));
      CHECK(near(rod_trap_m3(c, x), rod_area_m2(c) * 5e-3, 1e-13, 0));
    }
  }

  TEST_CASE("limit: a port at the very top lets all gas out, a port at the very bottom none") {
    Cylinder c = cylinder();
    c.attitude = Attitude::rod_down;
    CHECK(cap_trap_m3(c, 0.1) == 0.0);
    CHECK(near(rod_trap_m3(c, 0.1), rod_volume(c, 0.1), 1e-14, 0));
    c.attitude = Attitude::rod_up;
    CHECK(near(cap_trap_m3(c, 0.1), cap_volume(c, 0.1), 1e-14, 0));
    CHECK(rod_trap_m3(c, 0.1) == 0.0);
  }

  TEST_CASE("law: a level bore keeps the segment above its port") {
    // Geometry of the circle: the segment of half angle 60 deg is 1/3 - sqrt(3)/(4 pi) of it.
    Cylinder c = cylinder();
    c.attitude = Attitude::level;
    const double third = 1.0 / 3 - std::sqrt(3.0) / (4 * std::numbers::pi);
    struct Row {
      double depth, share;
    };
    for (const Row& r : {Row{0, 0}, Row{0.25, third}, Row{0.5, 0.5}, Row{0.75, 1 - third}, Row{1, 1}}) {
      CAPTURE(r.depth);
      c.cap_port_m = c.rod_port_m = r.depth * c.bore_m;
      CHECK(near(cap_trap_m3(c, 0.1), r.share * cap_volume(c, 0.1), 1e-12, 1e-18));
      CHECK(near(rod_trap_m3(c, 0.1), r.share * rod_volume(c, 0.1), 1e-12, 1e-18));
    }
  }

  TEST_CASE("limit: no attitude, port or travel traps less than nothing or more than the chamber") {
    Cylinder c = cylinder();
    for (Attitude a : {Attitude::rod_up, Attitude::rod_down, Attitude::level})
      for (double port : {0.0, 4e-3, 0.03, 0.2})
        for (double x : {-1e-6, 0.0, 0.125, 0.25, 0.250001}) {
          c.attitude = a;
          c.cap_port_m = c.rod_port_m = port;
          CAPTURE(static_cast<int>(a));
          CAPTURE(port);
          CAPTURE(x);
          CHECK(cap_trap_m3(c, x) >= 0);
          CHECK(rod_trap_m3(c, x) >= 0);
          CHECK(cap_trap_m3(c, x) <= cap_volume(c, 0.25));
          CHECK(rod_trap_m3(c, x) <= rod_volume(c, 0));
        }
  }

  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(cylinder()) == "");
    CHECK(refused(Cylinder{}) == "part.bore_m");
    CHECK(refused(cylinder(-20)) == "part.bore_m");
    CHECK(refused(cylinder(0.02, 0.02)) == "part.rod_m");
    CHECK(refused(cylinder(0.02, 0.012, 0)) == "part.stroke_m");
    const auto with = [](double Cylinder::*member, double value) {
      Cylinder c = cylinder();
      c.*member = value;
      return refused(c);
    };
    CHECK(with(&Cylinder::tube_m, 0.25) == "part.stroke_m");
    CHECK(with(&Cylinder::tube_m, 0.28) == "");
    CHECK(with(&Cylinder::rod_clearance_m3, -1e-6) == "part.rod_clearance_m3");
    CHECK(with(&Cylinder::running_share, 1.2) == "part.running_share");
    CHECK(with(&Cylinder::viscous_n_s_per_m, 0) == "part.viscous_n_s_per_m");
    CHECK(with(&Cylinder::leak_m3_per_s_pa, std::nan("")) == "part.leak_m3_per_s_pa");
  }

  TEST_CASE("check: a port that the piston would shut, or below the bore, is refused") {
    for (Attitude a : {Attitude::rod_up, Attitude::rod_down}) {
      Cylinder c = cylinder();  // 1.5 mL reach 4.77 mm on the cap side, 7.46 mm on the rod side
      c.attitude = a;
      c.cap_port_m = 4.7e-3;
      c.rod_port_m = 7.4e-3;
      CHECK(refused(c) == "");
      c.cap_port_m = 4.8e-3;
      CHECK(refused(c) == "part.cap_port_m");
      c.cap_port_m = 0;
      c.rod_port_m = 7.5e-3;
      CHECK(refused(c) == "part.rod_port_m");
    }
    Cylinder c = cylinder();
    c.attitude = Attitude::level;
    c.cap_port_m = 0.02;
    c.rod_port_m = 0.021;
    CHECK(refused(c) == "part.rod_port_m");
  }
}
