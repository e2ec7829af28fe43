#include "evenstroke/procedure/order.hpp"

#include <doctest/doctest.h>

#include <utility>

#include "support/bench.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

/// The rig's branches in canonical order, told by the stroke, which the cases below make their mark.
std::vector<double> strokes_in_order(const Rig& r, const Contents& c) {
  std::vector<double> s;
  for (const int b : canonical_order(r, c)) s.push_back(r.branches[static_cast<std::size_t>(b)].cylinder.stroke_m);
  return s;
}

Rig exchanged(Rig r) {
  std::swap(r.branches[0], r.branches[1]);
  r.panel.centre_of_mass = 1 - r.panel.centre_of_mass;
  return r;
}

}  // namespace

TEST_SUITE("procedure/order") {
  TEST_CASE("law: equal branches keep the order in which they are given") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    CHECK(canonical_order(r, bled(r)) == std::vector<int>{0, 1});
    CHECK(canonical_order(exchanged(r), bled(exchanged(r))) == std::vector<int>{0, 1});
  }
  TEST_CASE("law: loads, parameters and contents decide, place in the list and name do not") {
    Rig by_load = workshop_rig(SynchroniserKind::tee, false);   // lighter first
    by_load.branches[1].cylinder.stroke_m = 0.151;
    CHECK(strokes_in_order(by_load, bled(by_load)) == strokes_in_order(exchanged(by_load), bled(exchanged(by_load))));
    CHECK(strokes_in_order(by_load, bled(by_load)) == std::vector<double>{0.15, 0.151});
    by_load.panel.centre_of_mass = 1 - by_load.panel.centre_of_mass;
    CHECK(strokes_in_order(by_load, bled(by_load)) == std::vector<double>{0.151, 0.15});

    Rig by_part = workshop_rig(SynchroniserKind::tee);
    by_part.branches[0].cylinder.stroke_m = 0.2;
    CHECK(strokes_in_order(by_part, bled(by_part)) == strokes_in_order(exchanged(by_part), bled(exchanged(by_part))));
    Rig renamed = by_part;
    std::swap(renamed.branches[0].name, renamed.branches[1].name);
    CHECK(strokes_in_order(renamed, bled(renamed)) == strokes_in_order(by_part, bled(by_part)));
    CHECK(strokes_in_order(by_part, bled(by_part)) == std::vector<double>{0.15, 0.2});
  }
  TEST_CASE("law: of equal parts the contents decide, and the air may be on either side") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    const std::vector<int> a = canonical_order(r, after_exchange(r, {"a.cylinder"}, {}));
    const std::vector<int> b = canonical_order(r, after_exchange(r, {"b.cylinder"}, {}));
    CHECK(a[0] == b[1]);
    CHECK(a[1] == b[0]);
  }
  TEST_CASE("law: where the gas stands in a line decides, too, and so does how a rod moves") {
    const Rig r = workshop_rig(SynchroniserKind::tee);
    const Contents same = bled(r);
    const auto order_with = [&](const std::string& branch, bool in_line) {
      Contents c = same;
      for (std::size_t p = 0; p < c.place.size(); ++p) {   // two parcels of half the oil; the gas in the first or the second
        Queue& q = c.line[p].queue;
        if (!q.count || c.place[p].find("cap_line") == std::string::npos) continue;
        const bool first = in_line == (c.place[p] == branch + ".cap_line");
        const double half = total(q).oil_kg / 2;
        q.count = 2;
        q[0] = {half, first ? 1e-9 : 0.0, 0, false};
        q[1] = {half, first ? 0.0 : 1e-9, 0, false};
      }
      if (!in_line) c.motion[branch == "a" ? 0 : 1] = 1;
      return canonical_order(r, c);
    };
    CHECK(order_with("a", true)[0] == order_with("b", true)[1]);
    CHECK(order_with("a", false)[0] == order_with("b", false)[1]);
  }
}
