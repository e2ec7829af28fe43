// What closing the contents anew does to a rod that slides or is held: it waits whether the jump lasts.
#include <doctest/doctest.h>

#include "evenstroke/flow/engine.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

/// One rod driven by the pump through an engine alone; what is moved between quanta is said by hand.
struct Lone {
  Lone() : net(make_network(rig(), {0})), engine(net, {}), c(make_contents(net, {{}, {}, false, true, true})),
           states(net.edges.size()), zero(net.places.size(), 0.0) {}
  static Rig rig() {
    Rig r = workshop_rig(SynchroniserKind::tee);
    r.branches.resize(1);
    r.panel = {.mass_kg = 50, .torsion_n_m_per_rad = 0};
    return r;
  }
  FlowEngine::Quantum go(double time_s, const Drive& drive = {.motor = true, .extend = true, .on_panel = true}) {
    engine.freeze(c, states, zero, zero);
    engine.close(c);
    return engine.advance(c, drive, time_s, 1.0, [](double, const auto&) { return false; });
  }
  /// As transport: oil follows the volumes of the last quantum.
  void move() {
    const auto oil = [&](int place) -> double* {
      if (place < 0) return nullptr;
      LineContents& l = c.line[static_cast<std::size_t>(place)];
      return net.places[static_cast<std::size_t>(place)].kind == PlaceKind::line
                 ? &l.queue[0].oil_kg : &c.masses[static_cast<std::size_t>(place)].oil_kg;
    };
    for (std::size_t e = 0; e < net.edges.size(); ++e) {
      const double kg = engine.volume_m3()[e] * net.rho0_kg_per_m3;
      if (double* from = oil(net.edges[e].from)) *from -= kg;
      if (double* to = oil(net.edges[e].to)) *to += kg;
    }
    c.recipe.valid = false;
  }
  void slide() {
    for (int n = 0; n < 2000 && c.position_m[0] < 0.02; ++n) {
      go(0.05);
      move();
    }
    REQUIRE(c.motion[0] == 1);
  }
  /// Oil by which the cap chamber falls short as it is closed: its pressure drops by `pa`.
  void miss(double pa) {
    const auto p = static_cast<std::size_t>(net.place("a.cap_chamber"));
    c.masses[p].oil_kg -= pa * c.masses[p].oil_kg / net.liquid.k0_pa;
  }
  const Network net;
  FlowEngine engine;
  Contents c;
  std::vector<EdgeState<double>> states;
  std::vector<double> zero;
};

}  // namespace

TEST_SUITE("flow/jump") {
  TEST_CASE("law: a sliding rod that closing anew leaves without force slides on, if that is made good at once") {
    Lone k;
    k.slide();
    const double area = cap_area_m2(k.rig().branches[0].cylinder), friction_pa = k.net.axes[0].running_n / area;
    for (const double share : {0.5, 1.5}) {
      CAPTURE(share);
      k.miss(share * friction_pa);
      const double at_m = k.c.position_m[0], began_s = k.c.time_s;
      int events = 0;
      while (k.c.time_s < began_s + 0.02) {
        events += k.go(1e-7 + 0.1 * (k.c.time_s - began_s)).event;   // short quanta at first, as behind a misfit
        k.move();
      }
      CHECK(events == 0);
      CHECK(k.c.motion[0] == 1);
      CHECK(k.c.position_m[0] > at_m);
    }
  }
  TEST_CASE("law: a held rod that closing anew pushes beyond its friction starts only if the push lasts") {
    // what is too much in the chamber spreads into its line, which holds some times as much: 3 does not last, 60 does
    for (const double share : {3.0, 60.0}) {
      CAPTURE(share);
      Lone k;
      k.slide();
      const Drive locked{.on_panel = true};
      for (int n = 0; n < 200; ++n) {                // comes to rest on its oil
        k.go(0.05, locked);
        k.move();
      }
      REQUIRE(k.c.motion[0] == 0);
      k.miss(-share * k.net.axes[0].breakaway_n / cap_area_m2(k.rig().branches[0].cylinder));
      const double began_s = k.c.time_s;
      while (k.c.motion[0] == 0 && k.c.time_s < began_s + 0.02) {
        k.go(1e-4, locked);
        k.move();
      }
      CHECK(k.c.motion[0] == (share > 10 ? 1 : 0));
      if (share > 10) CHECK(k.c.time_s - began_s > 0.9e-3);
      if (share > 10) CHECK(k.c.time_s - began_s < 2.1e-3);
    }
  }
}
