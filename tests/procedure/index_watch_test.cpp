#include "evenstroke/procedure/index_watch.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;

namespace {

/// One pocket led through pressures, temperatures and masses by hand.
struct Pocket {
  explicit Pocket(double kg) : net(make_network(bench_rig(1, SynchroniserKind::tee, 6e-6), {0})),
                               c(make_contents(net, {{}, {}, false, true, true})),
                               place(static_cast<std::size_t>(net.place("a.cap_chamber"))) {
    c.recipe.valid = false;
    set(p0_pa_abs, 1, kg);
  }
  void set(double p_pa_abs, double warmth, double kg) {
    c.pressure_pa_abs[place] = p_pa_abs;
    c.pocket_k[place] = warmth * wall_k;
    c.masses[place].pocket_kg = kg;
  }
  /// From p1 to p2 at the index n.
  void squeeze(IndexWatch& w, double p1, double p2, double n, double kg) {
    for (int i = 0; i <= 20; ++i) {
      const double p = p1 * std::pow(p2 / p1, i / 20.0);
      set(p, std::pow(p / p1, 1 - 1 / n), kg);
      w.look(c);
    }
  }
  static constexpr double wall_k = 313.15;
  const Network net;
  Contents c;
  std::size_t place;
};

constexpr double kg = 1e-6;

}  // namespace

TEST_SUITE("procedure/index_watch") {
  TEST_CASE("law: a pocket squeezed at an index shows that index") {
    for (const double n : {1.0, 1.1, 1.25, 1.4}) {
      Pocket k(kg);
      IndexWatch w(k.c, k.wall_k);
      k.squeeze(w, p0_pa_abs, 8 * p0_pa_abs, n, kg);
      CHECK(near(w.index().value(), n, 1e-12, 0));
    }
  }
  TEST_CASE("law: the squeeze begins at the lowest pressure, when the wall has warmed what expansion has cooled") {
    Pocket k(kg);
    IndexWatch w(k.c, k.wall_k);
    k.squeeze(w, p0_pa_abs, 3 * p0_pa_abs, 1.4, kg);
    k.set(0.3 * p0_pa_abs, 0.8, kg);
    w.look(k.c);
    k.set(0.4 * p0_pa_abs, 0.9, kg);                       // warming is no work
    w.look(k.c);
    k.squeeze(w, 0.5 * p0_pa_abs, 5 * p0_pa_abs, 1.2, kg);
    CHECK(near(w.index().value(), 1.2, 1e-12, 0));
  }
  TEST_CASE("law: the widest squeeze counts, also when a lower pressure comes after it") {
    Pocket k(kg);
    IndexWatch w(k.c, k.wall_k);
    k.squeeze(w, p0_pa_abs, 8 * p0_pa_abs, 1.3, kg);
    k.set(0.9 * p0_pa_abs, 1, 2 * kg);
    w.look(k.c);
    CHECK(near(w.index().value(), 1.3, 1e-12, 0));
    k.squeeze(w, 0.9 * p0_pa_abs, 6 * p0_pa_abs, 1.1, 2 * kg);
    CHECK(near(w.index().value(), 1.3, 1e-12, 0));
    k.squeeze(w, 0.5 * p0_pa_abs, 6 * p0_pa_abs, 1.1, 2 * kg);
    CHECK(near(w.index().value(), 1.1, 1e-12, 0));
  }
  TEST_CASE("limit: what starts as far from the wall's temperature as it may is off by a thousandth at most") {
    for (const double warmth : {1 - 2.9e-4, 1 + 2.9e-4}) {
      Pocket k(kg);
      k.set(p0_pa_abs, warmth, kg);
      IndexWatch w(k.c, k.wall_k);
      k.set(std::exp(0.301) * p0_pa_abs, 1, kg);
      w.look(k.c);
      REQUIRE(w.index().has_value());
      CHECK(*w.index() != 1.0);
      CHECK(near(*w.index(), 1, 1e-3, 0));
    }
  }
  TEST_CASE("law: a pocket that gas joins or leaves under the squeeze is left out; so are crumbs and light squeezes") {
    struct Row { double at_start_kg, at_end_kg, ratio; bool tells; };
    for (const Row& r : {Row{kg, 1.04 * kg, 8, true}, Row{kg, 1.06 * kg, 8, false}, Row{kg, 0.94 * kg, 8, false},
                         Row{0.5e-9, 0.5e-9, 8, false}, Row{kg, kg, 1.3, false}}) {
      CAPTURE(r.at_end_kg);
      CAPTURE(r.ratio);
      Pocket k(r.at_start_kg);
      IndexWatch w(k.c, k.wall_k);
      k.squeeze(w, p0_pa_abs, std::sqrt(r.ratio) * p0_pa_abs, 1.4, r.at_start_kg);
      k.set(r.ratio * p0_pa_abs, std::pow(r.ratio, 1 - 1 / 1.4), r.at_end_kg);
      w.look(k.c);
      CHECK(w.index().has_value() == r.tells);
      if (r.tells) CHECK(near(*w.index(), 1.4, 1e-12, 0));
    }
  }
}
