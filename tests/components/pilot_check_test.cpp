#include "evenstroke/components/pilot_check.hpp"

#include <doctest/doctest.h>

#include "evenstroke/components/orifice.hpp"
#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

namespace {

constexpr double p0 = p0_pa_abs, psi = 6894.757293168;

template <class T>
PilotedFlow<T> through(const PilotLaw<T>& law, T from, T to, T pilot) {
  const OrificeLaw<double> o = orifice_law(5e-6, 0.62, 870, 22e-6, 200);
  return released(law, flow(OrificeLaw<T>{T(o.laminar), T(o.turbulent)}, from, to), from, to, pilot);
}

}  // namespace

TEST_SUITE("components/pilot_check") {
  // public note on pilot ratio: ratio 4 and 3000 psi take 750 psi, with negligible downstream pressure
  TEST_CASE("reference: a pilot ratio of 4 opens against 3000 psi once its pilot has 750 psi") {
    const PilotLaw<> check{4, 0, 1e5};
    CHECK(through(check, p0 + 3000 * psi, p0, p0 + 749.9 * psi).q == 0);
    CHECK(through(check, p0 + 3000 * psi, p0, p0 + 750.1 * psi).q > 0);
  }
  TEST_CASE("limit: wide open it is its orifice; without a pilot it is tight whatever it holds back") {
    const PilotLaw<> check{4, 0.35e5, 1e5};
    const OrificeLaw<double> o = orifice_law(5e-6, 0.62, 870, 22e-6, 200);
    CHECK(near(through(check, p0 + 20e5, p0, p0 + 40e5).q, flow(o, p0 + 20e5, p0).q, 1e-12, 0));
    for (const double load : {0.0, 1e5, 50e5, 400e5}) CHECK(through(check, p0 + load, p0, p0).q == 0);
  }
  TEST_CASE("symmetry: a shuttle of ratio 1 opens the side of lower pressure, never both") {
    const PilotLaw<> shuttle{1, 0.5e5, 1e5};
    for (const double a : {0.0, 0.4e5, 1e5, 30e5})
      for (const double b : {0.0, 0.7e5, 2e5, 60e5}) {
        CAPTURE(a);
        CAPTURE(b);
        const double from_a = through(shuttle, p0 + a, p0, p0 + b).q, from_b = through(shuttle, p0 + b, p0, p0 + a).q;
        CHECK(from_a * from_b == 0);
        CHECK((from_a > 0) == (b - a > 0.5e5 && a > 0));
      }
  }
  TEST_CASE("derivative: all three slopes are those of dual numbers, shut, opening and wide open") {
    const PilotLaw<> law{3, 0.35e5, 1e5};
    const PilotLaw<Dual> dual{Dual(3), Dual(0.35e5), Dual(1e5)};
    for (const double pilot : {5e5, 7.11e5, 7.13e5, 7.3e5, 7.45e5, 20e5})
      for (const double from : {21e5, 20.9e5}) {
        CAPTURE(pilot);
        CAPTURE(from);
        const PilotedFlow<double> f = through(law, p0 + from, p0, p0 + pilot);
        const auto by = [&](double a, double b, double c) {
          return through(dual, Dual(p0 + from, a), Dual(p0, b), Dual(p0 + pilot, c)).q.d;
        };
        CHECK(near(f.dq_dfrom, by(1, 0, 0), 1e-9, 1e-20));
        CHECK(near(f.dq_dto, by(0, 1, 0), 1e-9, 1e-20));
        CHECK(near(f.dq_dpilot, by(0, 0, 1), 1e-9, 1e-20));
      }
  }
}
