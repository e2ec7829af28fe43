// Small laws of the dividers' own pages: fixed orifice, rounded drop of a flow force, filling of a section.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "components/refused.hpp"
#include "evenstroke/components/rotary_divider.hpp"
#include "evenstroke/components/spool_divider.hpp"
#include "support/dual.hpp"
#include "support/near.hpp"

using namespace evenstroke;

TEST_SUITE("components/divider") {
  TEST_CASE("law: half of the rated flow takes the rated drop through a fixed orifice") {
    const SpoolDivider s{.rated_flow_m3_per_s = 12e-6, .rated_drop_pa_diff = 5e5};
    const double area = fixed_area_m2(s, 0.62, 870);
    CHECK(near(0.62 * area * std::sqrt(2 * 5e5 / 870), 6e-6, 1e-12, 0));
    CHECK(near(std::sqrt(4 * area / 3.141592653589793), 0.603e-3, 1e-3, 0));   // a hole of 0.6 mm: silt shuts it
  }
  TEST_CASE("law: a flow force knows no direction, and above a rounded corner is the drop itself") {
    for (const double dp : {300.0, 1e4, 12e5}) {
      CHECK(flow_force_drop(dp).y == dp);
      CHECK(flow_force_drop(-dp).y == dp);
      CHECK(flow_force_drop(-dp).slope == -1);
    }
    CHECK(near(flow_force_drop(0.0).y, 125, 1e-12, 0));
    for (const double dp : {-240.0, -10.0, 0.0, 100.0, 249.0})
      CHECK(near(flow_force_drop(dp).slope, flow_force_drop(Dual(dp, 1)).y.d, 1e-12, 1e-12));
  }
  TEST_CASE("limit: nothing is metered out of a void, all of it from a tenth of a bar above on; without a kink there") {
    CHECK(fill(900.0, 1000.0).share == 0);
    CHECK(fill(1000.0, 1000.0).share == 0);
    CHECK(fill(11000.0, 1000.0).share == 1);
    CHECK(fill(2e5, 1000.0).slope == 0);
    for (const double p : {1500.0, 6000.0, 10900.0})
      CHECK(near(fill(p, 1000.0).slope, fill(Dual(p, 1), Dual(1000)).share.d, 1e-12, 0));
  }
  TEST_CASE("check: what only a nameplate can tell must be given") {
    CHECK(refused(SpoolDivider{}) == "part.rated_flow_m3_per_s");
    CHECK(refused(SpoolDivider{.rated_flow_m3_per_s = 12e-6}).empty());
    CHECK(refused(RotaryDivider{}) == "part.section_m3_per_rad");
    CHECK(refused(RotaryDivider{.section_m3_per_rad = 3e-8}).empty());
    CHECK(refused(RotaryDivider{.section_m3_per_rad = 3e-8, .outlet_relief_pa_gauge = 10}) == "part.outlet_relief_pa_gauge");
  }
}
