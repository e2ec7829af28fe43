#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include "evenstroke/io/files.hpp"
#include "support/bleed_bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

Resolution resolution(double quantum_share) {
  Resolution r;
  r.quantum_share = quantum_share;
  r.rel_tol = 1e-7;        // fine enough for the quantum's error to be the only one seen
  r.pressure_tol_pa = 10;
  return r;
}

/// Gas left on the cap side after two cycles, from fine bubbles in the chamber, with passages of 20 mL that mix [mL].
double left_ml(double quantum_share) {
  Rig r = bleed_rig(3);
  r.valve_block.passage_m3 = 20e-6;
  BleedBench b(r, resolution(quantum_share), true);
  b.add_gas("left.cap_chamber", 5e-6, true);
  b.retract();
  b.rest();
  b.cycle();
  return b.gas_m3(b.gas_kg(), p0_pa_abs) * 1e6;
}

/// Share of a trace of gas still in the pump's passage after one extension.
double unwashed(double quantum_share, double passage_m3) {
  Rig r = bleed_rig(3);
  r.valve_block.passage_m3 = passage_m3;
  BleedBench b(r, resolution(quantum_share));
  b.add_gas("valve_block.p", 1e-9, true);
  const double before = b.gas_kg("valve_block.p");
  b.extend();
  return b.gas_kg("valve_block.p") / before;
}

Run demo(const Rig& rig, const std::string& dry, bool rods_out, double finer, int max_strokes = 12) {
  RunOptions options;         // a dozen: every count of the example rigs is below ten
  options.record = false;
  options.max_strokes = max_strokes;
  options.resolution.quantum_share *= finer;
  options.resolution.ln_pressure *= finer;
  options.resolution.rel_tol *= finer;
  options.resolution.pressure_tol_pa *= finer;
  options.resolution.abs_position_m *= finer;
  const Procedure shop = load_procedure(EVENSTROKE_SOURCE_DIR "/examples/procedures/shop_bleed.toml");
  const std::string first = rig.branches.front().name;
  return run(rig, after_exchange(rig, {first + dry}, {first + ".cap_line"}, rods_out), shop, options);
}

}  // namespace

TEST_SUITE("limits/bleed_convergence") {
  TEST_CASE("order: what two strokes leave of dispersed gas converges with the quantum to first order") {
    std::vector<double> left;
    for (const double quantum_share : {0.1, 0.05, 0.025, 0.0125, 0.00625}) left.push_back(left_ml(quantum_share));
    CHECK(left.back() > 0.5);
    CHECK(left.back() < 4.5);
    for (std::size_t i = 0; i + 2 < left.size(); ++i) {
      CAPTURE(i);
      const double order = std::log2((left[i] - left[i + 1]) / (left[i + 1] - left[i + 2]));
      CAPTURE(order);
      CHECK(order > 0.8);
      CHECK(order < 1.3);
    }
  }

  TEST_CASE("limit: small bubbles that dissolve while pressure climbs: an eighth of the quantum moves no reading by 5 %") {
    Rig rig = load_rig(EVENSTROKE_SOURCE_DIR "/examples/rigs/roof_hatch.toml");
    rig.air.dispersed_share = 0.1;
    rig.air.coarse_share = 0.4;
    rig.air.coarse_m = 0.5e-3;
    const Run coarse = demo(rig, ".cylinder", true, 1, 4), fine = demo(rig, ".cylinder", true, 0.125, 4);
    REQUIRE(coarse.strokes.size() == 5);
    REQUIRE(fine.strokes.size() == 5);
    for (std::size_t i = 0; i < 5; ++i) {
      CAPTURE(i);
      CHECK(near(coarse.strokes[i].load.worst_m(), fine.strokes[i].load.worst_m(), 0.05, 0));
    }
  }

  TEST_CASE("limit: a mixed passage washed with clear oil keeps exp(-V/V_p) of its gas") {
    const double passage = 40e-6, swept = BleedBench(bleed_rig(3)).stroke_m3();
    const double coarse = unwashed(0.01, passage), fine = unwashed(0.005, passage);
    CHECK(near(2 * fine - coarse, std::exp(-swept / passage), 2e-3, 0));
  }

  TEST_CASE("order: halving quantum and tolerances changes no stroke count of the example rigs, and a mismatch by less than stated") {
    int rigs = 0, compared = 0;
    for (const auto& file : std::filesystem::directory_iterator(EVENSTROKE_SOURCE_DIR "/examples/rigs")) {
      CAPTURE(file.path().string());
      const Rig rig = load_rig(file.path().string());
      if (!has_bypass(rig.synchroniser.kind)) continue;   // the demo's strokes open a bypass
      for (const auto& [dry, rods_out] : {std::pair{".cylinder", false}, {".cylinder", true}, {".cap_line", false}}) {
        const auto shown_dry = dry;   // clang 14 captures no structured binding
        CAPTURE(shown_dry);
        const auto shown_rods_out = rods_out;   // clang 14 captures no structured binding
        CAPTURE(shown_rods_out);
        const Run coarse = demo(rig, dry, rods_out, 1), fine = demo(rig, dry, rods_out, 0.5);
        REQUIRE(coarse.status.ok());
        REQUIRE(fine.status.ok());
        CHECK(coarse.bled.answered != Answered::undecided);
        // Gas that creeps out by hundredths of a mL is "never" at one quantum, "not within" at another: neither is a count.
        for (const auto verdict : {&Run::bled, &Run::parallel}) {
          const Verdict &a = coarse.*verdict, &b = fine.*verdict;
          CHECK((a.answered == Answered::reached) == (b.answered == Answered::reached));
          CHECK(a.stroke == b.stroke);
        }
        for (std::size_t i = 0; i < std::min(coarse.strokes.size(), fine.strokes.size()); ++i) {
          CAPTURE(i);
          const Check &a = coarse.strokes[i].load, &b = fine.strokes[i].load;
          if (a.state != CheckState::ok || b.state != CheckState::ok) continue;
          CHECK(std::abs(a.worst_m() - b.worst_m()) < coarse.books.transport_error_m);   // as stated
          ++compared;
        }
        const double per_stroke = static_cast<double>(coarse.quanta) / static_cast<double>(coarse.strokes.size());
        CHECK(static_cast<double>(fine.quanta) > 1.5 * per_stroke * static_cast<double>(fine.strokes.size()));
      }
      ++rigs;
    }
    CHECK(rigs >= 2);
    CHECK(compared > 20);
  }
}
