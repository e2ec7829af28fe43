#include "evenstroke/procedure/stall.hpp"

#include <doctest/doctest.h>

#include "support/bench.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

/// What a rig shows at one pressure of the pump: quanta of 0.1 s, in each of which `pumped` of its free flow passes.
struct Stand {
  explicit Stand(SynchroniserKind kind = SynchroniserKind::metering_pistons)
      : net(make_network(workshop_rig(kind), {0, 1})), c(make_contents(net, {{}, {}, false, true, true})),
        stall(net, c), volume_m3(net.edges.size(), 0.0) {
    while (net.edges[pump].kind != EdgeKind::pump) ++pump;
  }
  /// Quanta until it is a stall, 0 = none in 5 s.
  template <class Step>
  int until(double p_pa_gauge, double pumped, Step&& step) {
    for (int n = 1; n <= 50; ++n) {
      c.pressure_pa_abs[0] = p0_pa_abs + p_pa_gauge;
      volume_m3[pump] = pumped * net.pump.q0 * 0.1;
      step(c);
      if (stall(c, 0.1, volume_m3)) return n;
    }
    return 0;
  }
  Network net;
  Contents c;
  Stall stall;
  std::vector<double> volume_m3;
  std::size_t pump = 0;
};

const auto nothing = [](Contents&) {};

}  // namespace

TEST_SUITE("procedure/stall") {
  TEST_CASE("law: no flow and nothing that changes for a second is a stall, whatever the relief valve does") {
    Stand s;
    const int n = s.until(50e5, 0.01, nothing);
    CHECK(n > 10);
    CHECK(n < 14);
    CHECK(s.stall.why(s.c).text.find("dead head, 50 bar gauge in valve_block.p") != std::string::npos);
    CHECK(s.stall.why(s.c).pressure_pa_abs == p0_pa_abs + 50e5);
  }
  TEST_CASE("law: flow, a moving rod or carriage, or a pressure on its way is no stall at the dead head") {
    CHECK(Stand().until(50e5, 0.05, nothing) == 0);
    CHECK(Stand().until(50e5, 0.01, [](Contents& c) { c.position_m[1] += 2e-5; }) == 0);
    CHECK(Stand().until(50e5, 0.01, [](Contents& c) { c.position_m[2] += 2e-5; }) == 0);
    CHECK(Stand().until(50e5, 0.01, [](Contents& c) { c.pressure_pa_abs[7] += 0.2e5; }) == 0);
    CHECK(Stand().until(50e5, 0.01, [](Contents& c) { c.position_m[1] += 5e-6; }) > 0);   // that is a creep
    CHECK(Stand().until(0, 0.0, [](Contents& c) { c.pressure_pa_abs[7] += 1; }) == 0);    // a pump without pressure
  }
  TEST_CASE("law: against the open relief valve flow is no reason to go on, nor is the carriage") {
    Stand s;
    const double open_pa = s.net.relief.crack_pa_diff + 1e5;
    CHECK(s.until(open_pa, 0.8, [](Contents& c) { c.position_m[2] += 2e-5; }) > 10);
    CHECK(s.stall.why(s.c).text.find("relief valve is open") == 4);
    CHECK(Stand().until(open_pa, 0.8, [](Contents& c) { c.position_m[0] += 2e-5; }) == 0);
  }
  TEST_CASE("law: a carriage at its upper stop is named") {
    Stand s;
    s.c.position_m[2] = s.net.axes[2].travel_m;
    CHECK(s.until(50e5, 0.0, nothing) > 0);
    CHECK(s.stall.why(s.c).text.find("carriage is at its upper stop") != std::string::npos);
  }
}
