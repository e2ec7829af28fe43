#include "evenstroke/procedure/stream_watch.hpp"

#include <doctest/doctest.h>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::near;

namespace {

constexpr double oil_kg_per_m3 = 870, gas_m3_per_kg = 0.83;

StreamWatch watch(double coarse_m, double fine_m, double share) {
  Rig r = testing::workshop_rig(SynchroniserKind::tee);
  r.air.coarse_m = coarse_m;
  r.air.fine_m = fine_m;
  r.observer = {.visible_m = 0.2e-3, .visible_share = share};
  return {r, oil_kg_per_m3, gas_m3_per_kg};
}

/// `ml` of oil with that share of gas in one form, in pieces.
void pour(StreamWatch& w, double ml, double share, double Bundle::*form, int pieces) {
  Bundle b{.oil_kg = ml * 1e-6 * oil_kg_per_m3 / pieces};
  b.*form = share / (1 - share) * ml * 1e-6 / gas_m3_per_kg / pieces;
  for (int i = 0; i < pieces; ++i) w.look(b);
}

}  // namespace

TEST_SUITE("procedure/stream_watch") {
  TEST_CASE("check: bubbles as wide as the eye can tell are seen, finer ones are not, gas in bulk always is") {
    for (const auto& [form, fine_m, seen] : {std::tuple{&Bundle::fine_kg, 0.1e-3, false}, {&Bundle::fine_kg, 0.2e-3, true},
                                             {&Bundle::coarse_kg, 0.1e-3, true}, {&Bundle::pocket_kg, 0.1e-3, true}}) {
      StreamWatch w = watch(1e-3, fine_m, 2e-3);
      pour(w, 5, 0.01, form, 10);
      CHECK(w.bubbles_seen() == seen);
    }
  }

  TEST_CASE("check: fewer bubbles than the share that is seen leave a stream clear; dissolved air is never seen") {
    for (const auto& [share, seen] : {std::pair{0.004, false}, {0.006, true}}) {
      StreamWatch w = watch(1e-3, 1e-4, 0.005);
      pour(w, 5, share, &Bundle::coarse_kg, 10);
      CHECK(w.bubbles_seen() == seen);
    }
    StreamWatch w = watch(1e-3, 1e-4, 0.005);
    pour(w, 5, 0.1, &Bundle::dissolved_kg, 10);
    CHECK_FALSE(w.bubbles_seen());
  }

  TEST_CASE("balance: all oil is counted; what counts as clear is what came after the last bubbles") {
    for (const int pieces : {10, 1000}) {
      StreamWatch w = watch(1e-3, 1e-4, 2e-3);
      pour(w, 20, 0, &Bundle::coarse_kg, pieces);
      pour(w, 5, 0.05, &Bundle::coarse_kg, pieces);
      pour(w, 30, 0, &Bundle::coarse_kg, pieces);
      CHECK(near(w.oil_m3(), 55e-6, 1e-12, 0));
      CHECK(near(w.clear_m3(), 30e-6, 0, 2e-6));   // the glances in which it begins and ends are a millilitre
    }
  }
}
