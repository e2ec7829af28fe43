#include "evenstroke/components/synchroniser.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "components/refused.hpp"

using namespace evenstroke;

TEST_SUITE("components/synchroniser") {
  TEST_CASE("check: nonsense is refused by name, for both kinds") {
    for (SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons}) {
      Synchroniser good;
      good.kind = kind;
      CHECK(refused(good) == "");
      const auto with = [&](double Synchroniser::*member, double value) {
        Synchroniser s = good;
        s.*member = value;
        return refused(s);
      };
      CHECK(with(&Synchroniser::over_travel, -0.01) == "part.over_travel");
      CHECK(with(&Synchroniser::over_travel, 2) == "part.over_travel");
      CHECK(with(&Synchroniser::clearance_m3, 0) == "part.clearance_m3");
      CHECK(with(&Synchroniser::outlet_m3, std::nan("")) == "part.outlet_m3");
      CHECK(with(&Synchroniser::breakaway_pa_diff, -1e5) == "part.breakaway_pa_diff");
      CHECK(with(&Synchroniser::running_share, 1.01) == "part.running_share");
      CHECK(with(&Synchroniser::viscous_n_s_per_m, 0) == "part.viscous_n_s_per_m");
      CHECK(with(&Synchroniser::leak_m3_per_s_pa, -1e-16) == "part.leak_m3_per_s_pa");
      CHECK(with(&Synchroniser::bypass_area_m2, 5) == "part.bypass_area_m2");
    }
  }
}
