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
    CHECK(with(&AirInputs::coarse_share, -0.1) == "part.coarse_share");
    CHECK(with(&AirInputs::coarse_m, 1.0) == "part.coarse_m");
    CHECK(with(&AirInputs::fine_m, 0.12) == "part.fine_m");   // mm where m belong
    CHECK(with(&AirInputs::slug_rise, 4) == "part.slug_rise");
    CHECK(with(&AirInputs::bunsen, 9) == "part.bunsen");   // percent
    CHECK(with(&AirInputs::diffusivity_m2_per_s, -1e-10) == "part.diffusivity_m2_per_s");
    CHECK(with(&AirInputs::release_s, 0) == "part.release_s");
    CHECK(with(&AirInputs::saturation, 1.1) == "part.saturation");
    CHECK(with(&AirInputs::pocket_heat, -1) == "part.pocket_heat");
    CHECK(with(&AirInputs::pull_through, 0.7) == "part.pull_through");
    CHECK(with(&AirInputs::shredding, std::nan("")) == "part.shredding");
  }

  TEST_CASE("check: what is off at zero may be zero") {
    AirInputs a;
    a.coarse_share = a.dispersed_share = a.slug_rise = a.bunsen = a.diffusivity_m2_per_s = a.saturation = 0;
    a.pocket_heat = a.pull_through = a.shredding = 0;
    CHECK(refused(a) == "");
  }

  TEST_CASE("check: fine and coarse bubbles are together no more than all the first air") {
    AirInputs a;
    a.dispersed_share = 0.4;
    a.coarse_share = 0.6;
    CHECK(refused(a) == "");
    a.coarse_share = 0.61;
    CHECK(refused(a) == "part.coarse_share");
  }

  TEST_CASE("check: a fine bubble is smaller than a coarse one") {
    AirInputs a;
    a.coarse_m = 0.5e-3;
    a.fine_m = 0.49e-3;
    CHECK(refused(a) == "");
    a.fine_m = 0.5e-3;
    CHECK(refused(a) == "part.fine_m");
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
