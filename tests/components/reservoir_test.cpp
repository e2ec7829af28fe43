#include "evenstroke/components/reservoir.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "components/refused.hpp"

using namespace evenstroke;

TEST_SUITE("components/reservoir") {
  TEST_CASE("law: the level follows from the oil") { CHECK(near(level_m(Reservoir{}, 0.6e-3), 0.075, 1e-14, 0)); }

  TEST_CASE("limit: the pump draws oil with the intake covered and air with it bare") {
    const Reservoir r;
    CHECK(air_share(r, 80e-4 * 0.0201) == 0.0);
    CHECK(air_share(r, 80e-4 * 0.0199) == 1.0);
    CHECK(air_share(r, 0) == 1.0);
  }

  TEST_CASE("limit: an intake in the floor stays covered to the last drop") {
    Reservoir r;
    r.intake_m = 0;
    CHECK(air_share(r, 1e-9) == 0.0);
    CHECK(air_share(r, 0) == 1.0);
  }

  TEST_CASE("check: the return of the default reservoir ends in the oil") {
    const Reservoir r;
    CHECK(r.return_m < level_m(r, r.oil_m3));
  }

  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(Reservoir{}) == "");
    const auto with = [](double Reservoir::*member, double value) {
      Reservoir r;
      r.*member = value;
      return refused(r);
    };
    CHECK(with(&Reservoir::oil_m3, -1e-3) == "part.oil_m3");
    CHECK(with(&Reservoir::oil_m3, 1.1e-3) == "part.oil_m3");
    CHECK(with(&Reservoir::area_m2, 0) == "part.area_m2");
    CHECK(with(&Reservoir::intake_m, 0.126) == "part.intake_m");
    CHECK(with(&Reservoir::capacity_m3, 0) == "part.capacity_m3");
    CHECK(with(&Reservoir::height_m, -0.3) == "");
    CHECK(with(&Reservoir::height_m, 300) == "part.height_m");
    CHECK(with(&Reservoir::return_m, -0.01) == "part.return_m");
    CHECK(with(&Reservoir::return_bore_m, 0) == "part.return_bore_m");
    CHECK(with(&Reservoir::plunge_onset_m_per_s, -1) == "part.plunge_onset_m_per_s");
    CHECK(with(&Reservoir::plunge_share, 1.5) == "part.plunge_share");
    CHECK(with(&Reservoir::foam_s, -60) == "part.foam_s");
    CHECK(with(&Reservoir::foam_s, 0) == "");
  }
}
