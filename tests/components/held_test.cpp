#include "evenstroke/components/held.hpp"

#include <doctest/doctest.h>

#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

TEST_SUITE("components/held") {
  TEST_CASE("limit: a spring while the difference is small, never more than the hands can hold") {
    const HeldLaw<> h{300};
    CHECK(near(h.force(1e-6).n, 1e-6 * HeldLaw<>::grip_n_per_m, 1e-6, 0));
    for (const double d : {1e-3, 0.1, 10.0}) CHECK(h.force(d).n < 300);
    CHECK(near(h.force(10).n, 300, 1e-6, 0));
  }
  TEST_CASE("law: it pulls both alike, whichever is ahead, and not at all when nobody holds") {
    const HeldLaw<> h{300};
    for (const double d : {1e-4, 3e-3, 0.2}) CHECK(h.force(-d).n == -h.force(d).n);
    CHECK(HeldLaw<>{}.force(0.1).n == 0.0);
    CHECK(HeldLaw<>{}.energy_j(0.1) == 0.0);
  }
  TEST_CASE("derivative: the slope of the force, and the force as the slope of the work, agree with dual numbers") {
    for (const double d : {-0.05, -2e-3, -1e-5, 0.0, 4e-4, 3e-3, 0.1}) {
      CAPTURE(d);
      const HeldLaw<> h{250};
      const HeldLaw<Dual> dual{Dual(250)};
      CHECK(near(dual.force(Dual(d, 1)).n.d, h.force(d).dn_dd, 1e-12, 0));
      CHECK(near(dual.energy_j(Dual(d, 1)).d, h.force(d).n, 1e-12, 1e-12));
    }
  }
}
