#include "evenstroke/procedure/verdict.hpp"

#include <doctest/doctest.h>

#include "evenstroke/air/modulus.hpp"
#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

constexpr double tolerance_m = 1e-3;

StrokeRow row(int stroke, double e_m, CheckState state = CheckState::ok) {
  StrokeRow r;
  r.stroke = stroke;
  r.free.state = state;
  r.free.mismatch_m = {0.2 * e_m, e_m, 0.5 * e_m};
  return r;
}

/// A judge of rows written by hand: what the rods did is given, what is tested is what is said of it.
struct Bar {
  explicit Bar(const Rig& r, double twin_m = 0) : net(make_network(r, {0, 1})), keeper(net), c(make_contents(net, {})) {
    run.tolerance_m = tolerance_m;
    run.twin_free = row(0, twin_m).free;
  }
  void stroke(double e_m, bool pass_complete = false, CheckState state = CheckState::ok) {
    run.strokes.push_back(row(static_cast<int>(run.strokes.size()) + 1, e_m, state));
    run.strokes.back().air_part_m = air_part_m(run.strokes.back().free, run.twin_free);
    keeper.update(run, c, pass_complete);
  }
  void gas(const char* place, double free_m3) {
    c.masses[static_cast<std::size_t>(net.place(place))].pocket_kg = free_air_kg(free_m3);
  }

  Network net;
  VerdictKeeper keeper;
  Contents c;
  Run run;
};

const Rig metering = workshop_rig(SynchroniserKind::metering_pistons);

/// Gas that costs the tolerance: tolerance times cap area.
const double costs_m3 = tolerance_m * cap_area_m2(metering.branches[0].cylinder);

}  // namespace

TEST_SUITE("procedure/verdict") {
  TEST_CASE("law: of three rods the air's part is taken rod by rod, not as a difference of two ranges") {
    Run run;
    StrokeRow r = row(1, 0);
    const auto set = [](Check& c, std::vector<double> x) {
      c.state = CheckState::ok;
      for (std::size_t i = 0; i < 3; ++i) c.position_m[i] = x, c.mismatch_m[i] = mismatch_m(x);
    };
    set(run.twin_free, {0.1000, 0.0985, 0.1000});        // a leak holds the second back
    set(r.free, {0.1000, 0.0985, 0.0986});               // and air the third
    CHECK(testing::near(air_part_m(r.free, run.twin_free)[1], 1.4e-3, 1e-9, 0));
    CHECK(testing::near(r.free.mismatch_m[1], 1.5e-3, 1e-9, 0));
  }

  TEST_CASE("law: reached is the first of four strokes in a row inside the tolerance, and is said at the fourth") {
    Bar b(metering);
    for (const double e : {5e-3, 0.9e-3, 0.9e-3, 0.9e-3, 1.1e-3, 0.5e-3, -0.5e-3, 0.999e-3}) b.stroke(e);
    CHECK(b.run.bled.answered == Answered::undecided);
    b.stroke(-0.999e-3);
    CHECK(b.run.bled.answered == Answered::reached);
    CHECK(b.run.bled.stroke == 6);
    CHECK(b.run.parallel.answered == Answered::reached);
    CHECK(b.run.parallel.stroke == 6);
    b.stroke(9e-3);
    CHECK(b.run.bled.stroke == 6);   // a verdict stands
  }
  TEST_CASE("law: any station outside, or a check that was not re-phased or not reached, breaks the row") {
    for (const CheckState state : {CheckState::not_rephased, CheckState::not_reached, CheckState::not_done}) {
      Bar b(metering);
      for (int i = 0; i < 3; ++i) b.stroke(0);
      b.stroke(0, false, state);
      for (int i = 0; i < 3; ++i) b.stroke(0);
      CHECK(b.run.bled.answered == Answered::undecided);
      b.stroke(0);
      CHECK(b.run.bled.stroke == 5);
    }
    Bar b(metering);
    for (int i = 0; i < 4; ++i) {
      b.stroke(0);
      StrokeRow& row = b.run.strokes.back();
      row.free.mismatch_m[2] = row.air_part_m[2] = -1.01e-3;
    }
    b.stroke(0);
    CHECK(b.run.bled.answered == Answered::undecided);
  }
  TEST_CASE("law: bled judges the part that is left when the twin's mismatch is taken off, parallel the whole") {
    Bar small(metering, 0.8e-3);
    for (int i = 0; i < 4; ++i) small.stroke(1.5e-3);
    CHECK(small.run.bled.answered == Answered::reached);
    CHECK(small.run.parallel.answered == Answered::undecided);
    Bar large(metering, 1.2e-3);
    large.stroke(1.2e-3);
    CHECK(large.run.parallel.answered == Answered::never);   // bleeding cannot cure it
    CHECK(large.run.bled.answered == Answered::undecided);
    for (int i = 0; i < 3; ++i) large.stroke(1.2e-3);
    CHECK(large.run.bled.answered == Answered::reached);
    CHECK(large.run.bled.stroke == 1);
  }
  TEST_CASE("law: never needs a second pass in which no gas changes by a hundredth of what costs the tolerance") {
    for (const double share : {0.009, 0.011}) {
      CAPTURE(share);
      Bar b(metering);
      b.gas("a.cap_chamber", 4 * costs_m3);
      b.stroke(4e-3, true);
      CHECK(b.run.bled.answered == Answered::undecided);   // one pass shows no change
      b.gas("a.cap_chamber", (4 - share) * costs_m3);
      b.stroke(4e-3, false);
      CHECK(b.run.bled.answered == Answered::undecided);   // only a complete pass counts
      b.stroke(4e-3, true);
      CHECK((b.run.bled.answered == Answered::never) == (share < 0.01));
      CHECK((b.run.parallel.answered == Answered::never) == (share < 0.01));
    }
  }
  TEST_CASE("law: gas that only changes places is still moving, and so is a slug that creeps along its line") {
    Bar b(metering);
    b.gas("a.cap_chamber", 4 * costs_m3);
    b.stroke(4e-3, true);
    b.gas("a.cap_chamber", 3.9 * costs_m3);
    b.gas("b.cap_chamber", 0.1 * costs_m3);
    b.stroke(4e-3, true);
    CHECK(b.run.bled.answered == Answered::undecided);

    Bar slug(metering);
    Queue& q = slug.c.line[static_cast<std::size_t>(slug.net.place("a.cap_line"))].queue;
    const double oil_kg = q[0].oil_kg;
    q[q.count++] = {0.0, free_air_kg(costs_m3), 0.0, true};
    q[q.count++] = {0.0, 0.0, 0.0, false};
    slug.stroke(4e-3, true);
    const double creep_kg = 0.02 * costs_m3 * slug.net.rho0_kg_per_m3;
    q[0].oil_kg = oil_kg - creep_kg;
    q[2].oil_kg = creep_kg;
    slug.stroke(4e-3, true);
    CHECK(slug.run.bled.answered == Answered::undecided);
    slug.stroke(4e-3, true);
    CHECK(slug.run.bled.answered == Answered::never);
  }
  TEST_CASE("law: strokes that are already inside are not called never while they wait for the fourth") {
    Bar b(metering);
    b.stroke(0, true);
    b.stroke(0, true);
    b.stroke(0, true);
    CHECK(b.run.bled.answered == Answered::undecided);
    b.stroke(0, true);
    CHECK(b.run.bled.answered == Answered::reached);
  }
  TEST_CASE("law: what is still moving at the last stroke is not within; what ended early is left undecided") {
    Bar b(metering);
    b.stroke(4e-3);
    b.keeper.close(b.run, 1);
    CHECK(b.run.bled.answered == Answered::not_within);
    CHECK(b.run.bled.reason.find("1 stroke") != std::string::npos);
    Bar early(metering);
    early.stroke(4e-3);
    early.run.status.outcome = Outcome::interrupted;
    early.keeper.close(early.run, 60);
    CHECK(early.run.bled.answered == Answered::undecided);
  }
  TEST_CASE("law: rods that do not get through even without air leave both questions undefined, with that reason") {
    Bar b(metering);
    b.run.twin_free.state = CheckState::not_reached;
    for (int i = 0; i < 5; ++i) b.stroke(0);
    for (const Verdict* v : {&b.run.bled, &b.run.parallel}) {
      CHECK(v->answered == Answered::not_defined);
      CHECK(v->reason.find("without any air") != std::string::npos);
    }
  }
  TEST_CASE("law: inside when the strokes run out is not within, and says what is missing") {
    Bar b(metering);
    for (const double e : {5e-3, 0.5e-3, 0.5e-3}) b.stroke(e);
    b.keeper.close(b.run, 3);
    CHECK(b.run.bled.answered == Answered::not_within);
    CHECK(b.run.bled.reason.find("inside since stroke 2") != std::string::npos);
  }
  TEST_CASE("law: for a tee with free rods the air's part is not defined; a stiff panel defines it") {
    Bar free(workshop_rig(SynchroniserKind::tee));
    free.stroke(0);
    CHECK(free.run.bled.answered == Answered::not_defined);
    Bar stiff(workshop_rig(SynchroniserKind::tee, false));
    stiff.run.on_load = true;   // torsion couples the rods only through the panel
    stiff.run.twin_load = row(0, 0).free;
    stiff.stroke(0);
    CHECK(stiff.run.bled.answered == Answered::undecided);
  }
}
