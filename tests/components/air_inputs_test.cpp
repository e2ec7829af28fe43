#include "evenstroke/components/air_inputs.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "components/refused.hpp"

using namespace evenstroke;

TEST_SUITE("components/air_inputs") {
  TEST_CASE("check: nonsense is refused by name") {
    CHECK(refused(AirInputs{}) == "");
    const auto with = [](double AirInputs::*member, double value) {
      AirInputs a;
      a.*member = value;
      return refused(a);
    };
    CHECK(with(&AirInputs::joint_m3, -1e-6) == "part.joint_m3");
    CHECK(with(&AirInputs::joint_m3, 0.5) == "part.joint_m3");
    CHECK(with(&AirInputs::dispersed_share, 1.1) == "part.dispersed_share");
    CHECK(with(&AirInputs::slug_slip, -0.1) == "part.slug_slip");
    CHECK(with(&AirInputs::surface_tension_n_per_m, 30) == "part.surface_tension_n_per_m");
    CHECK(with(&AirInputs::surface_tension_n_per_m, std::nan("")) == "part.surface_tension_n_per_m");
  }

  TEST_CASE("check: a fixed slug ratio is 0 or at least 1") {
    AirInputs a;
    for (double k : {0.0, 1.0, 2.5}) {
      a.slug_ratio = k;
      CHECK(refused(a) == "");
    }
    for (double k : {0.5, 0.99, 3.0, -1.0}) {
      a.slug_ratio = k;
      CAPTURE(k);
      CHECK(refused(a) == "part.slug_ratio");
    }
  }
}
