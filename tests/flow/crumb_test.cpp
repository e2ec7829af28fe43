// A quantum ends when gas has changed its pressure so far that frozen contents would be wrong; a crumb of gas makes nothing wrong.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "support/bench.hpp"

using namespace evenstroke;
using testing::Bench;
using testing::bench_rig;

namespace {

struct Filling { long quanta = 0; double most_ln = 0; };

/// The cap chamber, `gas_share` of it gas at `pa`, shut in with all else at `rest_pa`: both level out through the line.
Filling level_out(double gas_share, double pa, double rest_pa) {
  Bench b(bench_rig(1, SynchroniserKind::tee, 6e-6));
  const std::size_t cap = b.index("a.cap_chamber");
  b.c.position_m[0] = 0.1;
  for (double& p : b.c.pressure_pa_abs) p = rest_pa;
  b.c.pressure_pa_abs[cap] = pa;
  b.c.masses[cap].coarse_kg = gas_share * available_m3(b.net, b.c, static_cast<int>(cap)) * pa / b.net.gas_j_per_kg;
  b.fill();
  Filling f;
  double before = pa;
  b.drive({}, 1e-3, [&](const Contents& c, const FlowEngine::Quantum&) {
    ++f.quanta;
    f.most_ln = std::max(f.most_ln, std::abs(std::log(c.pressure_pa_abs[cap] / before)));
    before = c.pressure_pa_abs[cap];
    return false;
  });
  return f;
}

}  // namespace

TEST_SUITE("flow/crumb") {
  TEST_CASE("law: gas that gives way far less than the oil around it ends no quantum, nor does what is next to nothing at p0") {
    struct { double share, pa, rest_pa; } const cases[] = {{2e-6, 5e5, 200e5}, {1e-5, 50e5, 200e5},
                                                           {1e-5, 2e3, p0_pa_abs}, {5e-5, 2e3, p0_pa_abs}};
    for (const auto& [share, pa, rest_pa] : cases) {
      const double gas = share, from_pa = pa;                // clang 14 captures no structured binding
      CAPTURE(gas);
      CAPTURE(from_pa);
      CHECK(level_out(share, pa, rest_pa).quanta <= level_out(0, pa, rest_pa).quanta + 1);
    }
  }
  TEST_CASE("law: gas that gives way more than its oil ends them, and so does a little that grows as its pressure falls") {
    const double bound = 2 * Resolution{}.ln_pressure;       // a step beyond twice the bound is done again, shorter
    CHECK(level_out(0.05, 2e5, 200e5).most_ln < 1.01 * bound);
    CHECK(level_out(0.02, 20e5, 200e5).most_ln < 1.01 * bound);
    CHECK(level_out(1e-3, 100e5, 1.5e5).most_ln < 1.1 * bound);   // at first a third of the chamber's giving way is its
  }
}
