// One-way wash-out to one hundredth, by its three closed forms: a plug is through after one volume, a stirred vessel
// after ln 100 = 4.605, and a laminar line lets out 1/(4 theta^2), one hundredth after 5.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/line_air.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

/// A cylinder whose stroke sweeps `theta` times `place_m3`; its cap line holds `line_m` of 4 mm.
Rig wash_rig(double theta, double place_m3, double line_m) {
  Rig r = bleed_rig(line_m);
  r.air.saturation = 0;
  r.air.fine_m = 1e-7;
  r.branches[0].cylinder.stroke_m = theta * place_m3 / cap_area_m2(r.branches[0].cylinder);
  return r;
}

struct Seen {
  double theta, inside;
};
/// Bubbles in a place over the oil that has left the chamber, while the rod goes in; of those at the start.
std::vector<Seen> wash(BleedBench& b, const std::string& place, double place_m3) {
  const double held = b.gas_kg(place);
  std::vector<Seen> seen{{0, 1}};
  b.seen = [&](const Contents& c) {
    const double out = (b.net.axes[0].travel_m - c.position_m[0]) * b.net.places[b.place("left.cap_chamber")].slope_m2;
    seen.push_back({out / place_m3, evenstroke::held(c, b.net.place(place)).gas_kg() / held});
  };
  b.retract();
  b.seen = nullptr;
  return seen;
}

Seen at(const std::vector<Seen>& seen, double theta) {
  const auto i = std::find_if(seen.begin(), seen.end(), [&](const Seen& s) { return s.theta >= theta; });
  return i == seen.end() ? seen.back() : *i;
}

}  // namespace

TEST_SUITE("limits/one_way") {
  TEST_CASE("limit: in plug flow 1 - theta is left, and nothing after one line volume") {
    const double line_m3 = volume_m3(Line{.bore_m = 4e-3, .length_m = 2});
    BleedBench b(wash_rig(1.2, line_m3, 2), {.quantum_share = 0.01, .streamtubes = 1}, true);
    lay_bubbles(b.net, b.c, "left.cap_line", fine, 0, 1, 1e-7, make_streamtubes(1));
    const KeptBooks books(b.c);
    const std::vector<Seen> seen = wash(b, "left.cap_line", line_m3);
    for (const double theta : {0.2, 0.5, 0.9, 0.98}) {
      const Seen s = at(seen, theta);
      CHECK(near(s.inside, 1 - s.theta, 0, 1e-3));   // of the first; the rod's jolt presses 3e-5 of a line volume in
      MESSAGE("theta " << s.theta << " off by " << s.inside - 1 + s.theta);
    }
    CHECK(at(seen, 1.005).inside < 1e-9);
    books.check(b.c);
  }

  TEST_CASE("limit: a stirred vessel keeps one hundredth after 4.605 of its volumes") {
    constexpr double vessel_m3 = 10e-6;
    std::vector<double> volumes;   // a vessel gives what it holds at a quantum's start: an error of first order
    for (const double quantum : {0.1, 0.05}) {
      Rig r = wash_rig(5.5, vessel_m3, 0.02);
      r.valve_block.passage_m3 = vessel_m3;
      BleedBench b(r, {.quantum_share = quantum, .streamtubes = 1}, true);
      Masses& m = b.c.masses[b.place("valve_block.a")];
      m.fine_kg = b.gas_kg_of_m3(1e-8, p0_pa_abs);
      m.oil_kg -= 1e-8 * b.net.rho0_kg_per_m3;
      b.c.recipe.valid = false;
      const std::vector<Seen> seen = wash(b, "valve_block.a", vessel_m3);
      std::size_t i = 0;
      while (seen[i].inside > 0.01) REQUIRE(++i < seen.size());
      const Seen &one = seen[i - 1], &two = seen[i];
      const double part = std::log(one.inside / 0.01) / std::log(one.inside / two.inside);
      volumes.push_back(one.theta + part * (two.theta - one.theta));
    }
    const double limit = 2 * volumes[1] - volumes[0];
    CHECK(near(limit, std::log(100.0), 1e-3, 0));
    MESSAGE("volumes to one hundredth " << volumes[0] << ", " << volumes[1] << ", in the limit " << limit);
  }

  TEST_CASE("limit: a laminar line lets out 1/(4 theta^2): between two throughputs 1/(4 theta_1 theta_2) on the mean") {
    const double line_m3 = volume_m3(Line{.bore_m = 4e-3, .length_m = 0.5});
    BleedBench b(wash_rig(6.5, line_m3, 0.5), {.streamtubes = 512}, true);
    lay_bubbles(b.net, b.c, "left.cap_line", fine, 0, 1, 1e-8, make_streamtubes(512));
    const std::vector<Seen> seen = wash(b, "left.cap_line", line_m3);
    for (const double theta : {0.75, 1.0, 2.0, 5.0}) {   // a fifth to either side: some twenty tubes end in between
      CAPTURE(theta);
      const Seen one = at(seen, 0.8 * theta), two = at(seen, 1.2 * theta);
      const double out = (one.inside - two.inside) / (two.theta - one.theta);
      const double closed = (1 / (4 * one.theta) - 1 / (4 * two.theta)) / (two.theta - one.theta);
      CHECK(near(out, closed, 5e-3, 0));
      if (theta == 5.0) CHECK(near(out * one.theta * two.theta / 25, 0.01, 5e-3, 0));   // 1/(4 x 5 x 5)
      MESSAGE("theta " << theta << " comes out off by " << out / closed - 1);
    }
  }
}
