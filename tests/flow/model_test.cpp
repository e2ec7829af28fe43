#include "evenstroke/flow/model.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "support/bench.hpp"
#include "support/dual.hpp"
#include "support/kinds.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using testing::bench_rig;
using testing::workshop_rig;

namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// A rig with everything on: unequal branches, soft walls, a stiff panel, the relief within reach.
Rig busy_rig(SynchroniserKind kind, int branches) {
  Rig r = workshop_rig(kind, false);
  r.branches[0].cap_line.wall_modulus_pa = 1e9;
  r.branches[1].cylinder.bore_m = 25e-3;
  if (branches == 1) r.branches.pop_back();
  if (branches == 3) r.branches.push_back(r.branches[0]), r.branches[2].name = "c";
  for (Branch& b : r.branches) b.cylinder.leak_m3_per_s_pa = 1e-13;
  return r;
}

/// Contents away from every kink: gas in all places, rods under way, each place at a pressure of its own.
Contents busy_contents(const Network& n) {
  Contents c = make_contents(n, {{}, {}, false, true, true});
  c.recipe.valid = false;
  for (std::size_t a = 0; a < c.position_m.size(); ++a)
    c.position_m[a] = std::min(n.axes[a].travel_m, 1.0) * (0.3 + 0.1 * static_cast<double>(a));
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    c.pressure_pa_abs[p] = 5e5 + 3.1e5 * static_cast<double>((7 * p) % 11);
    (n.places[p].kind == PlaceKind::line ? c.line[p].queue[0].gas_kg : c.masses[p].fine_kg) =
        0.02 * n.places[p].volume_m3 * c.pressure_pa_abs[p] / n.gas_j_per_kg;
  }
  c.pressure_pa_abs[0] = n.relief.crack_pa_diff + p0_pa_abs + 0.3 * n.relief.round_pa_diff;   // the relief just opens
  return fit(c, n);
}

template <class T>
void freeze(FlowModel<T>& f, const Network& n, const Contents& c) {
  for (int a = 0; a < f.axes(); ++a) f.freeze_axis(a, T(c.position_m[at(a)]));
  for (std::size_t p = 0; p < n.places.size(); ++p) {
    const Masses m = held(c, static_cast<int>(p));
    const Closure<T> closure{T(m.oil_kg / n.rho0_kg_per_m3), T(m.gas_kg() * n.gas_j_per_kg),
                             T(n.places[p].wall_m3_per_pa), T(1000), {T(n.liquid.k0_pa), T(n.liquid.slope)}};
    f.freeze_place(static_cast<int>(p), closure, T(available_m3(n, c, static_cast<int>(p))),
                   T(1e-7 * (static_cast<double>(p % 3) - 1)));
  }
  for (int e = 0; e < f.edges(); ++e)
    f.freeze_edge(e, {.ratio = T(1 + 0.001 * (e % 5 - 2)), .head_pa = T(900.0 * (e % 3 - 1)), .density = T(1 - 0.05 * (e % 4)),
                      .viscosity = T(1 + 0.2 * (e % 3)), .choke_from = T(e % 2 ? 0.4 : 0.0), .choke_to = T(e % 2 ? 0.0 : 0.3),
                      .slip = T(1.5), .low_pa = T(-300.0 * (e % 2)), .high_pa = T(200.0 * (e % 3))});
}

std::vector<int> order_of(const Rig& r) {
  std::vector<int> o(r.branches.size());
  for (std::size_t i = 0; i < o.size(); ++i) o[i] = static_cast<int>(i);
  return o;
}

struct Mode {
  Drive drive;
  int motion;   // of axis a: (motion / 3^a) % 3 - 1
};

int motion_of(const Mode& m, int axis) {
  int code = m.motion;
  for (int a = 0; a < axis; ++a) code /= 3;
  return code % 3 - 1;
}

std::vector<Mode> modes(int axes) {
  int codes = 1;
  for (int a = 0; a < axes; ++a) codes *= 3;
  std::vector<Mode> list;
  for (int bits = 0; bits < 32; ++bits)
    for (int code = bits % 5; code < codes; code += axes > 2 ? 5 : 1)   // with many axes a fifth each time
      list.push_back({{.motor = (bits & 1) != 0, .extend = (bits & 2) != 0, .retract = (bits & 4) != 0,
                       .bypass_open = (bits & 8) != 0, .on_panel = (bits & 16) != 0}, code});
  return list;
}

/// Largest gap between the model's Jacobian and dual numbers, over all entries of the full matrix, as a share of the
/// largest entry of the same row; entries outside the pattern count as zero.
double worst_gap(const Network& n, const Contents& c, const Mode& mode, const std::vector<double>& y) {
  FlowModel<double> plain(n);
  FlowModel<Dual> dual(n);
  freeze(plain, n, c);
  freeze(dual, n, c);
  plain.set_drive(mode.drive);
  dual.set_drive(mode.drive);
  for (int a = 0; a < plain.axes(); ++a) {
    plain.set_motion(a, motion_of(mode, a));
    dual.set_motion(a, motion_of(mode, a));
  }
  const int size = plain.size();
  std::vector<double> values(at(n.pattern.slots())), largest(at(size), 0), gap(at(size), 0), f(at(size));
  plain.jacobian(y.data(), values.data());
  plain.rhs(y.data(), f.data());
  std::vector<Dual> point(y.begin(), y.end()), rate(at(size));
  for (int j = 0; j < size; ++j) {
    point[at(j)].d = 1;
    dual.rhs(point.data(), rate.data());
    point[at(j)].d = 0;
    for (int i = 0; i < size; ++i) {
      const int slot = n.pattern.slot(i, j);
      const double written = slot < 0 ? 0.0 : values[at(slot)];
      largest[at(i)] = std::max(largest[at(i)], std::abs(rate[at(i)].d));
      gap[at(i)] = std::max(gap[at(i)], std::abs(written - rate[at(i)].d));
      if (rate[at(i)].v != f[at(i)]) return 1;
    }
  }
  double worst = 0;
  for (int i = 0; i < size; ++i)
    worst = std::max(worst, largest[at(i)] > 0 ? gap[at(i)] / largest[at(i)] : gap[at(i)] > 0 ? 1.0 : 0.0);
  return worst;
}

/// A displaced state: volumes that change pressures by bars, rods by tenths of a millimetre.
std::vector<double> displaced(const Network& n) {
  std::vector<double> y;
  for (std::size_t e = 0; e < n.edges.size(); ++e) y.push_back(1e-9 * (static_cast<double>((5 * e) % 7) - 3));
  for (std::size_t a = 0; a < n.axes.size(); ++a) y.push_back(1e-5 * (static_cast<double>(a) - 1.5));
  y.push_back(1e-3);
  return y;
}

}  // namespace

TEST_SUITE("flow/model") {
  TEST_CASE("derivative: the Jacobian is that of dual numbers in every drive and motion; the pattern lacks no entry") {
    for (const SynchroniserKind kind : {SynchroniserKind::tee, SynchroniserKind::metering_pistons})
      for (const int branches : {1, 2, 3}) {
        const Rig r = busy_rig(kind, branches);
        const Network n = make_network(r, order_of(r));
        const Contents c = busy_contents(n);
        const std::vector<double> y = displaced(n);
        for (const Mode& m : modes(static_cast<int>(n.axes.size()))) {
          CAPTURE(static_cast<int>(kind));
          CAPTURE(branches);
          CAPTURE(m.motion);
          CAPTURE(m.drive.extend);
          CHECK(worst_gap(n, c, m, y) < 1e-9);
        }
      }
  }
  TEST_CASE("derivative: the same with every synchroniser, in an open and in a closed circuit, with checks that a pilot opens") {
    for (const SynchroniserKind kind : testing::all_kinds)
      for (const CircuitKind circuit : {CircuitKind::open, CircuitKind::closed})
        for (const double ratio : {0.0, 1.2}) {
          Rig r = testing::with_kind(busy_rig(kind, 2), kind);
          r.rotary.makeup_m3_per_s_pa = 1e-10;
          r.rotary.outlet_relief_pa_gauge = 30e5;
          r.series.rephasing_way_m = 0.15;                 // opens all along
          r.valve_block.circuit = circuit;
          r.locks.check_a_ratio = r.locks.check_b_ratio = ratio;
          const Network n = make_network(r, order_of(r));
          const Contents c = busy_contents(n);
          const std::vector<double> y = displaced(n);
          for (const Mode& m : modes(static_cast<int>(n.axes.size()))) {
            CAPTURE(static_cast<int>(kind));
            CAPTURE(static_cast<int>(circuit));
            CAPTURE(ratio);
            CAPTURE(m.motion);
            CAPTURE(m.drive.extend);
            CHECK(worst_gap(n, c, m, y) < 1e-9);
          }
        }
  }
  TEST_CASE("derivative: the same on a hinged panel, with its twist, and with rods that are held together") {
    Rig r = busy_rig(SynchroniserKind::tee, 3);
    r.panel.kind = PanelKind::hinged;
    r.panel.hinge_to_eye_m = 0.4, r.panel.hinge_to_foot_m = 0.6, r.panel.foot_to_eye_m = 0.45;
    r.panel.hinge_to_centre_m = 0.5, r.panel.centre_elevation_rad = 1.2;
    const Network n = make_network(r, order_of(r));
    const Contents c = busy_contents(n);
    for (const bool on_panel : {false, true})
      for (const double held_n : {0.0, 50.0, 5000.0}) {
        CAPTURE(on_panel);
        CAPTURE(held_n);
        for (const int motion : {26, 14, 0})
          CHECK(worst_gap(n, c, {{.extend = true, .on_panel = on_panel, .held_n = held_n}, motion}, displaced(n)) < 1e-9);
      }
  }
  TEST_CASE("derivative: the same where a cavity is open, where a place is overfull and where nothing is displaced") {
    const Rig r = busy_rig(SynchroniserKind::metering_pistons, 2);
    const Network n = make_network(r, {0, 1});
    Contents c = make_contents(n, {{}, {}, false, true, true});
    const Mode m{{.motor = true, .extend = true, .bypass_open = true, .on_panel = true}, 26};
    CHECK(worst_gap(n, c, m, std::vector<double>(n.edges.size() + n.axes.size() + 1, 0.0)) < 1e-9);
    for (const double oil_share : {0.98, 1.02}) {   // 2 % empty: at the floor; 2 % too much: some 300 bar
      CAPTURE(oil_share);
      Contents d = c;
      d.masses[at(n.place("a.cap_chamber"))].oil_kg *= oil_share;
      CHECK(worst_gap(n, d, m, displaced(n)) < 1e-9);
    }
  }
  TEST_CASE("law: a held axis does not move, a closed edge does not flow, an open one follows its pressures") {
    const Rig r = busy_rig(SynchroniserKind::metering_pistons, 2);
    const Network n = make_network(r, {0, 1});
    FlowModel<double> f(n);
    freeze(f, n, busy_contents(n));
    const std::vector<double> y(at(f.size()), 0.0);
    std::vector<double> rate(at(f.size()));
    f.set_drive({});
    for (int a = 0; a < f.axes(); ++a) f.set_motion(a, 0);
    f.rhs(y.data(), rate.data());
    for (int e = 0; e < f.edges(); ++e) {
      const Edge& edge = n.edges[at(e)];
      CAPTURE(edge.name);
      if (edge.gate != Switch::always) CHECK(rate[at(e)] == 0);
      else if (edge.kind != EdgeKind::relief) CHECK(rate[at(e)] * (f.pressure(edge.from) - f.pressure(edge.to)) > 0);
    }
    for (int a = 0; a < f.axes(); ++a) CHECK(rate[at(f.edges() + a)] == 0);
  }
  TEST_CASE("law: between its two limits a line passes nothing; beyond either it passes what the rest drives") {
    const Rig r = busy_rig(SynchroniserKind::tee, 1);
    const Network n = make_network(r, {0});
    const int e = static_cast<int>(std::find_if(n.edges.begin(), n.edges.end(), [](const Edge& edge) {
      return edge.kind == EdgeKind::line;
    }) - n.edges.begin());
    FlowModel<double> f(n);
    freeze(f, n, busy_contents(n));
    f.set_drive({});
    const std::vector<double> y(at(f.size()), 0.0);
    const auto flow = [&](double head, double low, double high) {
      f.freeze_edge(e, {.head_pa = head, .low_pa = low, .high_pa = high});
      f.evaluate(y.data());
      return f.flow(e);
    };
    flow(0, 0, 0);
    const double level = f.pressure(n.edges[at(e)].to) - f.pressure(n.edges[at(e)].from);   // head at which nothing drives
    for (const double drive : {-59.0, 0.0, 59.0}) CHECK(flow(level + drive, -60, 60) == 0);
    CHECK(flow(level + 59, 0, 0) > 0);
    for (const double drive : {100.0, 5000.0}) {
      CAPTURE(drive);
      CHECK(near(flow(level + drive, -60, 60), flow(level + drive - 60, 0, 0), 1e-6, 0));
      CHECK(near(flow(level - drive, -60, 60), flow(level - drive + 60, 0, 0), 1e-6, 0));
      CHECK(near(flow(level + drive, -60, -60), flow(level + drive + 60, 0, 0), 1e-6, 0));   // draws, whichever way
      CHECK(near(flow(level - drive, -60, -60), flow(level - drive + 60, 0, 0), 1e-6, 0));
    }
    CHECK(near(flow(level + 60 + 1e-3, -60, 60) / flow(level + 1e-3, 0, 0), 1, 1e-2, 0));    // no jump at the limit
  }
  TEST_CASE("law: an axis slides at (force less running friction)/B; its load is its share of weight and of twist") {
    const Rig r = busy_rig(SynchroniserKind::tee, 2);
    const Network n = make_network(r, {0, 1});
    const Contents c = busy_contents(n);
    FlowModel<double> f(n);
    freeze(f, n, c);
    f.set_drive({.on_panel = true});
    for (const int motion : {-1, 1}) {
      CAPTURE(motion);
      for (int a = 0; a < 2; ++a) f.set_motion(a, motion);
      const std::vector<double> y(at(f.size()), 0.0);
      std::vector<double> rate(at(f.size()));
      f.rhs(y.data(), rate.data());
      const double twist = c.position_m[0] - c.position_m[1], k = r.panel.torsion_n_m_per_rad;   // spacing 1 m
      for (std::size_t a = 0; a < 2; ++a) {
        const Cylinder& cyl = r.branches[a].cylinder;
        const double ac = cap_area_m2(cyl), ar = rod_area_m2(cyl);
        const double load = static_load_n(r.panel, 2)[a] + (a == 0 ? k * twist : -k * twist);
        const double cap = c.pressure_pa_abs[at(n.place(r.branches[a].name + ".cap_chamber"))];
        const double rod = c.pressure_pa_abs[at(n.place(r.branches[a].name + ".rod_chamber"))];
        const double force = cap * ac - rod * ar - p0_pa_abs * (ac - ar) - load;
        CHECK(near(f.load(static_cast<int>(a)), load, 1e-12, 0));
        CHECK(near(f.force(static_cast<int>(a)), force, 1e-6, 1e-6));
        const double sliding = force - motion * cyl.running_share * breakaway_n(cyl);
        CHECK(near(rate[at(f.edges()) + a], sliding / cyl.viscous_n_s_per_m, 1e-6, 1e-9));
      }
      const double weight_j = f.carried_j(c.position_m.data()) - 0.5 * k * twist * twist;
      const std::vector<double> w = static_load_n(r.panel, 2);
      CHECK(near(weight_j, w[0] * c.position_m[0] + w[1] * c.position_m[1], 1e-9, 0));
    }
  }
  TEST_CASE("derivative: the load of a rod is the slope of the panel's work in that rod's position") {
    const Rig r = busy_rig(SynchroniserKind::tee, 2);
    const Network n = make_network(r, {0, 1});
    const Contents c = busy_contents(n);
    FlowModel<double> f(n);
    freeze(f, n, c);
    f.set_drive({.on_panel = true});
    f.evaluate(std::vector<double>(at(f.size()), 0.0).data());
    for (std::size_t a = 0; a < 2; ++a) {
      std::vector<double> in = c.position_m, out = c.position_m;
      in[a] -= 0.01;
      out[a] += 0.01;   // a parabola: its chord is its slope
      CHECK(near((f.carried_j(out.data()) - f.carried_j(in.data())) / 0.02, f.load(static_cast<int>(a)), 1e-9, 0));
    }
  }
}
