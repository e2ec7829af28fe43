// Random rigs of two rods that do not know of each other, air under one piston and nothing moved about: the more air,
// the later that rod; friction that holds a rod can turn this round by no more than what its force squeezes.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iostream>

#include "evenstroke/components/cylinder.hpp"
#include "evenstroke/procedure/order.hpp"
#include "evenstroke/procedure/runner.hpp"
#include "support/random_rig.hpp"
#include "support/random_run.hpp"

using namespace evenstroke;
using testing::cases;
using testing::RandomCase;

namespace {

constexpr std::array<double, 5> air_shares{0.0, 0.1, 0.25, 0.5, 0.8};   // of the chamber's clearance, at p0

/// How much later than the other the rod is whose cap chamber holds air, at the first station; as many as were read.
std::vector<double> lateness_m(const RandomCase& k) {
  RunOptions o = testing::quick(true);
  o.resolution.quantum_share = o.resolution.ln_pressure = 1e3;
  const Rods rods = k.rig.panel.mass_kg > 0 ? Rods::panel : Rods::free;
  std::vector<double> late_m;
  for (const double share : air_shares) {
    Contents c = bled(k.rig);
    c.recipe.valid = false;
    const auto chamber = std::find(c.place.begin(), c.place.end(), "left.cap_chamber") - c.place.begin();
    c.masses[static_cast<std::size_t>(chamber)].pocket_kg = share * k.rig.branches[0].cylinder.cap_clearance_m3 *
                                                            p0_pa_abs / (air_gas_constant * k.rig.oil.temperature_k);
    Runner runner(k.rig, canonical_order(k.rig, c), 0, o);
    Outcome outcome = Outcome::ok;
    const Check e = runner.check(fit(c, runner.network()), 0, rods, &outcome);
    if (outcome == Outcome::ok && e.state == CheckState::ok) late_m.push_back(-e.mismatch_m[0]);
  }
  return late_m;
}

/// How much later a rod may stand because it sticks: anywhere between running and breakaway friction, its cap side
/// takes up the oil that carries from one to the other. That is the difference in force over the stiffness A^2/C of the
/// column behind the piston, C of oil and walls from the metering chamber on, and of the air: G/p between pressures.
double stick_band_m(const Rig& rig, std::size_t branch, double air_share) {
  constexpr double longest_rest_s = 100;
  const Network n = make_network(rig);
  const Axis& a = n.axes[branch];
  const double area = cap_area_m2(rig.branches[branch].cylinder);
  const double runs_n = a.running_n;
  const double sticks_n = breakaway_after_n(a.breakaway_n, a.dwell_growth, longest_rest_s);
  double oil_m3 = 0, wall_m3_per_pa = 0;
  for (const Place& p : n.places)
    if (p.branch == static_cast<int>(branch) && p.name.find(".rod_") == std::string::npos) {
      oil_m3 += p.volume_m3;
      if (p.slope_m2 > 0) oil_m3 += p.slope_m2 * n.axes[static_cast<std::size_t>(p.axis)].travel_m;   // at most
      wall_m3_per_pa += p.wall_m3_per_pa;
    }
  const double load_n = rig.panel.mass_kg > 0 ? n.panel[branch].weight_n : 0.0;
  const double air_j = air_share * rig.branches[branch].cylinder.cap_clearance_m3 * p0_pa_abs;
  const auto gas_m3 = [&](double friction_n) {          // the other side at p0 at least
    return air_j / (p0_pa_abs + (load_n + friction_n) / area);
  };
  const double rigid_m3_per_pa = oil_m3 / n.liquid.k0_pa + wall_m3_per_pa;
  return (gas_m3(runs_n) - gas_m3(sticks_n) + rigid_m3_per_pa * (sticks_n - runs_n) / area) / area;
}

}  // namespace

TEST_SUITE("limits/random_monotone") {
  TEST_CASE("law: with nothing moved about, more air under a piston makes its rod later, but for what friction holds") {
    for (const bool sticks : {false, true}) {
      CAPTURE(sticks);
      unsigned long rigs = 0, later = 0, told = 0, held_up = 0;
      for (unsigned long seed = 9000; seed < 9000 + cases(); ++seed) {
        RandomCase k = testing::random_case(seed, testing::first_features);   // loads that do not change along the way
        if (k.rig.branches.size() != 2 || k.rig.synchroniser.kind == SynchroniserKind::tee) continue;
        CAPTURE(seed);
        k.rig.panel.torsion_n_m_per_rad = 0;         // the rods do not know of each other
        k.rig.valve_block.counterbalance_pa_gauge = 0;
        k.rig.branches[0].cylinder.attitude = Attitude::rod_up;   // the air stays under the piston, above the port
        k.rig.branches[0].cylinder.cap_port_m = 0;
        if (!sticks) {
          for (Branch& b : k.rig.branches) b.cylinder.breakaway_pa_diff = 0;
          k.rig.synchroniser.breakaway_pa_diff = 0;
        }
        const std::vector<double> late_m = lateness_m(k);
        if (late_m.size() < air_shares.size()) continue;
        ++rigs;
        constexpr double round_off_m = 1e-9;
        const double other_m = stick_band_m(k.rig, 1, 0);
        for (std::size_t i = 1; i < late_m.size(); ++i) {
          const double band_m = stick_band_m(k.rig, 0, air_shares[i - 1]) + other_m;   // 0 without friction
          CHECK(late_m[i] >= late_m[i - 1] - band_m - round_off_m);
          if (late_m[i] < late_m[i - 1] - round_off_m) ++held_up;
        }
        const double rise_m = late_m.back() - late_m.front();
        if (rise_m > 1e-6) ++later;                  // not where the other rod is at its stop already
        if (rise_m > stick_band_m(k.rig, 0, air_shares.back()) + other_m) ++told;
      }
      std::cout << "random | monotone in trapped air, " << (sticks ? "rods that stick: " : "no friction: ") << rigs
                << " rigs, later by more than 1 um in " << later << ", by more than the band in " << told
                << ", earlier within the band in " << held_up << " steps\n";
      CHECK(10 * rigs >= cases());
      if (!sticks) CHECK(static_cast<double>(later) >= 0.98 * static_cast<double>(rigs));
      CHECK(static_cast<double>(told) >= 0.5 * static_cast<double>(rigs));
    }
  }
}
