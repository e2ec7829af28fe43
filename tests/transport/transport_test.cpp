#include <doctest/doctest.h>

#include <random>

#include "support/all_there.hpp"
#include "support/near.hpp"
#include "transport/hand.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/transport") {
  TEST_CASE("balance: what leaves one place is what arrives in the next, whatever flows") {
    Rig r = bleed_rig(1);
    r.branches[0].cylinder.attitude = Attitude::level;
    r.branches[0].cylinder.cap_port_m = 8e-3;
    r.air.slug_slip = 1;
    r.reservoir.capacity_m3 = r.reservoir.oil_m3;   // so that it also runs over
    Hand h(r);
    h.at("left.cap_chamber").pocket_kg = 3 * ml * h.gas_per_m3();
    h.at("left.cap_chamber").fine_kg = 1 * ml * h.gas_per_m3();
    h.at("left.rod_chamber").pocket_kg = 0.3 * ml * h.gas_per_m3();
    const double oil = oil_all_kg(h.c), gas = air_all_kg(h.c), free_kg = total(h.c).gas_kg();
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> u(-1, 1);
    double worst_oil = 0, worst_gas = 0;
    for (int i = 0; i < 3000; ++i) {
      for (std::size_t e = 0; e < h.volume.size(); ++e) h.volume[e] = u(random) < -0.3 ? 0.0 : 0.5 * ml * u(random);
      h.volume[h.edge("pump")] = 0.1 * std::abs(h.volume[h.edge("pump")]);
      h.volume[h.edge("relief")] = std::abs(h.volume[h.edge("relief")]);
      h.move();
      worst_oil = std::max(worst_oil, std::abs(oil_all_kg(h.c) / oil - 1));
      worst_gas = std::max(worst_gas, std::abs(air_all_kg(h.c) - gas) / (gas + h.c.ledger.air_vented_kg));
    }
    CHECK(worst_oil < 1e-12);
    CHECK(worst_gas < 1e-12);
    CHECK(h.c.ledger.air_vented_kg > 0.01 * free_kg);
    CHECK(h.c.ledger.oil_spilled_kg > 0);
  }

  TEST_CASE("law: a passage gives its pool's mixture and keeps what fills it, whatever flow has asked of it") {
    for (const double asked_ml : {2.3, 2.5, 2.7}) {   // 2.5 mL come in; the passage holds 0.01 mL
      CAPTURE(asked_ml);
      Hand h(bleed_rig(1));
      Queue& q = h.queue("left.cap_line");
      const double whole = h.net.places[static_cast<std::size_t>(h.net.place("left.cap_line"))].volume_m3;
      q[0] = {whole * h.rho() - 0.5 * ml * h.rho(), 0, 0, false};   // next to the block: 2 mL of oil, half a mL of bubbles
      q.count = 1;
      fill(h.bubbles("left.cap_line"), make_streamtubes(1), 0, 2.5 * ml / whole, 0.5 * ml * h.gas_per_m3());
      const Masses before = h.at("valve_block.a");
      const double passage = h.net.rig.valve_block.passage_m3, pool = passage + 2.5 * ml, kept = passage / pool;
      h.flow("left.cap_line.far", -2.5 * ml).flow("left.cap_line.near", -2.5 * ml);
      h.flow("valve.a_to_reservoir", asked_ml * ml).move();
      const Masses& a = h.at("valve_block.a");
      CHECK(near(a.oil_kg, kept * (before.oil_kg + 2 * ml * h.rho()), 1e-12, 0));
      CHECK(near(a.fine_kg, kept * 0.5 * ml * h.gas_per_m3(), 1e-12, 0));
      CHECK(near(h.c.ledger.air_vented_kg, (1 - kept) * 0.5 * ml * h.gas_per_m3(), 1e-12, 0));
    }
  }

  TEST_CASE("law: a passage with several ways out shares them out as flow has asked") {
    Hand h(bleed_rig(1));
    const Masses p = h.at("valve_block.p");
    h.flow("pump", 1 * ml).flow("valve.p_to_a", 0.3 * ml).flow("relief", 0.6 * ml).move();
    const double out = 1 * ml * h.rho();
    CHECK(near(h.at("valve_block.p").oil_kg, p.oil_kg, 1e-12, 0));
    CHECK(near(h.at("valve_block.a").oil_kg - h.rho() * h.net.rig.valve_block.passage_m3, out / 3, 1e-12, 0));
  }

  TEST_CASE("law: a slug that enters a passage is coarse bubbles there") {
    Hand h(bleed_rig(1));
    Queue& q = h.queue("left.cap_line");
    q[0] = {0, 0.5 * ml * h.gas_per_m3(), 0, true};
    q.count = 1;
    h.flow("left.cap_line.near", -0.5 * ml).move();
    CHECK(h.at("valve_block.a").pocket_kg == 0.0);
    CHECK(near(h.at("valve_block.a").coarse_kg, 0.5 * ml * h.gas_per_m3(), 1e-14, 0));
  }

  TEST_CASE("law: oil that enters a line keeps apart bubbles up to froth, the rest is a slug, and there is no jump between") {
    for (const double bubbles_ml : {4.0, 8.24, 8.26, 9.9}) {           // of 11 mL; froth holds 8.25
      CAPTURE(bubbles_ml);
      Rig r = bleed_rig(1);
      r.air.froth = 0.75;
      r.valve_block.passage_m3 = 10 * ml;
      Hand h(r);
      h.at("valve_block.a") = {.oil_kg = (10 - bubbles_ml) * ml * h.rho(), .coarse_kg = bubbles_ml * ml * h.gas_per_m3()};
      h.flow("pump", 1 * ml).flow("valve.p_to_a", 1 * ml).flow("left.cap_line.near", 1 * ml).move();
      const LineContents& line = h.c.line[static_cast<std::size_t>(h.net.place("left.cap_line"))];
      const double oil_ml = (11 - bubbles_ml) / 11, slug_ml = std::max(0.0, bubbles_ml / 11 - 3 * oil_ml);
      CHECK(near(total(line.queue).pocket_kg, slug_ml * ml * h.gas_per_m3(), 1e-9, 1e-18));
      CHECK(near(line.bubbles[coarse].kg, (bubbles_ml / 11 - slug_ml) * ml * h.gas_per_m3(), 1e-9, 0));
    }
  }

  TEST_CASE("law: a leak passes oil and leaves the gas") {
    Hand h(bleed_rig(1));
    Masses &cap = h.at("left.cap_chamber"), &rod = h.at("left.rod_chamber");
    cap.pocket_kg = 5 * ml * h.gas_per_m3();
    cap.fine_kg = 1 * ml * h.gas_per_m3();
    const Masses cap0 = cap, rod0 = rod;
    h.flow("left.piston_leak", 0.1 * ml).move();
    CHECK(near(cap0.oil_kg - cap.oil_kg, 0.1 * ml * h.rho(), 1e-9, 0));
    CHECK(cap.gas_kg() == cap0.gas_kg());
    CHECK(rod.gas_kg() == rod0.gas_kg());
    CHECK(near(rod.oil_kg - rod0.oil_kg, 0.1 * ml * h.rho(), 1e-9, 0));
  }

  TEST_CASE("law: the pump draws oil with the intake covered, and air when the level has come down to it") {
    Rig r = bleed_rig(1);
    r.reservoir.area_m2 = 80e-4;
    r.reservoir.intake_m = 0.02;
    for (const double above : {1e-2, 0.0}) {
      CAPTURE(above);
      r.reservoir.oil_m3 = r.reservoir.intake_m * r.reservoir.area_m2 * (1 + above);
      Hand h(r);
      const double oil = h.c.reservoir.oil_kg;
      const Masses p = h.at("valve_block.p");
      h.flow("pump", 0.1 * ml).move();
      const bool covered = above > 0;
      CHECK(near(oil - h.c.reservoir.oil_kg, covered ? 0.1 * ml * h.rho() : 0, 1e-9, 0));
      CHECK(near(h.c.ledger.air_ingested_kg, covered ? 0 : 0.1 * ml * h.gas_per_m3(), 1e-12, 0));
      const double drawn_kg = covered ? 0 : 0.1 * ml * h.gas_per_m3();
      CHECK(near(h.at("valve_block.p").fine_kg - p.fine_kg, drawn_kg, 1e-12, 0));
    }
  }

  TEST_CASE("law: gas that reaches the reservoir is vented, and oil above its brim is spilled") {
    Rig r = bleed_rig(1);
    r.reservoir.capacity_m3 = r.reservoir.oil_m3 + 0.1 * ml;
    r.air.saturation = 0;                            // what is spilled takes no dissolved air with it
    Hand h(r);
    const double passage = r.valve_block.passage_m3;
    h.at("valve_block.b") = {0.2 * ml * h.rho(), 0, (0.1 * ml + passage) * h.gas_per_m3(), 0, 0};   // 0.3 mL too much
    h.flow("valve.b_to_reservoir", 0.3 * ml).move();
    const double out = 0.3 * ml / (0.3 * ml + passage);
    CHECK(near(h.c.ledger.air_vented_kg, out * (0.1 * ml + passage) * h.gas_per_m3(), 1e-12, 0));
    CHECK(near(h.c.ledger.oil_spilled_kg, (out * 0.2 - 0.1) * ml * h.rho(), 1e-8, 0));
    CHECK(near(h.c.reservoir.oil_kg, r.reservoir.capacity_m3 * h.rho(), 1e-15, 0));
  }
}
