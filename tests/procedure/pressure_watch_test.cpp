#include "evenstroke/procedure/pressure_watch.hpp"

#include <doctest/doctest.h>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;

namespace {

/// A circuit at rest whose pressures are set by hand, place by place.
struct Gauge {
  Gauge() : net(make_network(bench_rig(2, SynchroniserKind::tee, 6e-6), {0, 1})),
            c(make_contents(net, {{}, {}, false, true, true})), watch(net, at_5_bar(c)), pa_abs(c.pressure_pa_abs) {}
  static const Contents& at_5_bar(Contents& c) {
    c.pressure_pa_abs.assign(c.place.size(), 5e5);
    return c;
  }
  void step(double h) {
    watch.step(h, [&](std::size_t p) { return pa_abs[p]; });
  }
  double& at(const char* place) { return pa_abs[static_cast<std::size_t>(net.place(place))]; }
  const Network net;
  Contents c;
  PressureWatch watch;
  std::vector<double> pa_abs;
};

}  // namespace

TEST_SUITE("procedure/pressure_watch") {
  TEST_CASE("law: what pressure does in the course of a quantum counts, however short it is") {
    Gauge g;
    g.watch.closed(g.pa_abs);
    g.at("a.rod_chamber") = 0.4e5;
    g.at("b.cap_chamber") = 90e5;
    g.step(1e-7);
    CHECK(g.watch.lowest_pa_abs() == 0.4e5);
    CHECK(g.watch.highest_pa_abs() == 90e5);
    CHECK(g.watch.low_s() == 1e-7);
  }
  TEST_CASE("law: where closing anew moves the pressure neither the place nor its neighbours count for a millisecond") {
    Gauge g;
    g.at("a.rod_chamber") = 0.1e5;
    g.watch.closed(g.pa_abs);
    g.at("a.rod_line") = 0.2e5;                 // sucked down with it
    g.at("b.rod_chamber") = 3e5;                // far away: counts
    g.step(0.4e-3);
    CHECK(g.watch.lowest_pa_abs() == 3e5);
    CHECK(g.watch.low_s() == 0);
    g.step(0.7e-3);
    CHECK(g.watch.lowest_pa_abs() == 0.1e5);    // it lasts: that is how things are
    CHECK(near(g.watch.low_s(), 0.7e-3, 1e-12, 0));
  }
  TEST_CASE("law: closing that moves no pressure by more than 1 % hides nothing") {
    Gauge g;
    for (double& p : g.pa_abs) p *= 1.009;
    g.watch.closed(g.pa_abs);
    g.at("a.rod_chamber") = 0.5e5;
    g.step(1e-6);
    CHECK(g.watch.lowest_pa_abs() == 0.5e5);
  }
  TEST_CASE("law: a jump counts from the pressure the step before has left, not from the quantum's start") {
    Gauge g;
    g.watch.closed(g.pa_abs);
    g.at("a.rod_chamber") = 2e5;
    g.step(1e-2);
    g.watch.closed(g.pa_abs);                   // as it was left
    g.at("a.rod_chamber") = 0.6e5;
    g.step(1e-6);
    CHECK(g.watch.lowest_pa_abs() == 0.6e5);
  }
  TEST_CASE("limit: at rest the extremes are the pressures there are") {
    const Gauge g;
    CHECK(g.watch.lowest_pa_abs() == 5e5);
    CHECK(g.watch.highest_pa_abs() == 5e5);
    CHECK(g.watch.low_s() == 0);
  }
}
