#pragma once
#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "evenstroke/procedure/circulation.hpp"
#include "evenstroke/procedure/run.hpp"
#include "support/dice.hpp"
#include "support/open_joints.hpp"

namespace evenstroke::testing {

/// What can be taken away from a random case to make it smaller; the rest of the case stays.
enum Feature : std::size_t {
  bands, sizes, branches, pistons, panel, torsion, soft_lines, heights, peaks, reservoir, counterbalance, high_point,
  seals, ports, attitudes, oil, dry, opened, rods_out, hand, stand, parted, bypass, second_stroke, dwell, flush, refill,
  hinged, held_rods, compared, turned, pressed, warmed, volts, short_strokes, circuits, closed_way, locks, unequal, bled_off,
  cracked, feature_count
};
inline constexpr std::array<const char*, feature_count> feature_names{
    "bands", "sizes", "branches", "pistons", "panel", "torsion", "soft_lines", "heights", "peaks", "reservoir",
    "counterbalance", "high_point", "seals", "ports", "attitudes", "oil", "dry", "opened", "rods_out", "hand", "stand",
    "parted", "bypass", "second_stroke", "dwell", "flush", "refill", "hinged", "held_rods", "compared", "turned", "pressed",
    "warmed", "volts", "short_strokes", "circuits", "closed_way", "locks", "unequal", "bled_off", "cracked"};
using Features = std::uint64_t;
inline constexpr Features all_features = ~Features{0} >> (64 - feature_count), first_features = (Features{1} << hinged) - 1;
inline std::string text(Features f) {
  std::string words;
  for (std::size_t i = 0; i < feature_count; ++i)
    if (f >> i & 1U) words += (words.empty() ? "" : " ") + std::string(feature_names[i]);
  return words;
}

struct RandomCase {
  Rig rig;
  std::vector<std::string> dry, opened;
  bool rods_out = false;
  Procedure procedure;
};

/// The same case with its two branches changed over: each has the other's name.
inline RandomCase exchanged(RandomCase k) {
  auto& b = k.rig.branches;
  std::swap(b[0], b[1]);
  std::swap(b[0].name, b[1].name);
  k.rig.panel.centre_of_mass = 1 - k.rig.panel.centre_of_mass;
  const auto rename = [&](std::vector<std::string>& list) {
    for (std::string& name : list) {
      const std::string branch = name.substr(0, name.find('.'));
      if (branch != b[0].name && branch != b[1].name) continue;
      name = (branch == b[0].name ? b[1].name : b[0].name) + name.substr(branch.size());
    }
  };
  rename(k.dry);
  rename(k.opened);
  for (Step& s : k.procedure.steps) {
    rename(s.joints.bled);
    rename(s.joints.parted);
    rename(s.joints.by_hand);
  }
  return k;
}

/// Draws one case: a rig that could be bolted together, what was exchanged on it, and what is done to it.
class RandomRig {
 public:
  RandomRig(std::uint64_t seed, Features features) : seed_(seed), features_(features) {
    make_rig();
    make_air();
    make_procedure();
  }
  RandomCase take() { return std::move(k_); }

 private:
  bool on(Feature f, double p, Dice& d) const { return d.chance(p) && (features_ >> f & 1U); }
  Dice dice(std::uint64_t stream) const { return {seed_, stream}; }
  void make_rig();
  void make_branches();
  void make_heights();
  void make_block();
  void make_circuit();
  void hinge();
  void make_air();
  void make_procedure();
  Connections joints(Dice&);
  Step bench_step(Dice&, StepKind);
  Step flush_step(Dice&);

  std::uint64_t seed_;
  Features features_;
  RandomCase k_;
};

inline void RandomRig::make_branches() {
  const auto line = [&](Dice& d) {
    Line l{.bore_m = 4e-3, .length_m = 1.5};
    if (on(sizes, 1, d)) l.bore_m = d.between(3e-3, 8e-3), l.length_m = d.decades(0.3, 6);
    if (on(soft_lines, 0.3, d)) l.wall_m = 1.5e-3, l.wall_modulus_pa = d.between(0.4e9, 1.2e9), l.wall_poisson = 0.4;
    else if (on(soft_lines, 0.2, d)) l.expansion_per_pa = d.decades(1e-10, 3e-9);
    return l;
  };
  const auto cylinder = [&](Dice& d) {
    Cylinder c{.bore_m = 20e-3, .rod_m = 12e-3, .stroke_m = 0.15};
    if (on(sizes, 1, d)) {
      c.bore_m = d.between(14e-3, 32e-3);
      c.rod_m = c.bore_m * d.between(0.4, 0.7);
      c.stroke_m = d.between(0.08, 0.3);
      c.cap_clearance_m3 = d.decades(0.3e-6, 4e-6);
      c.rod_clearance_m3 = d.decades(0.3e-6, 4e-6);
      c.viscous_n_s_per_m = d.decades(50, 4000);
    }
    if (on(attitudes, 1, d)) c.attitude = d.one_of({Attitude::rod_up, Attitude::rod_down, Attitude::level});
    if (on(ports, 0.5, d)) c.cap_port_m = 0.8 * std::min(c.cap_clearance_m3 / cap_area_m2(c), c.bore_m);
    if (on(ports, 0.5, d)) c.rod_port_m = 0.8 * std::min(c.rod_clearance_m3 / rod_area_m2(c), c.bore_m);
    if (on(seals, 0.4, d)) c.seal_m3_per_s_pa = d.decades(1e-12, 1e-9);
    return c;
  };
  Dice first = dice(100);
  const bool alike = first.chance(0.4);
  const std::size_t count = on(branches, 1, first) ? first.one_of({1U, 2U, 2U, 2U, 2U, 2U, 3U, 4U}) : 2;
  for (const char* name : {"left", "right", "middle", "fourth"}) {
    if (k_.rig.branches.size() == count) break;
    Dice d = dice(101 + (alike ? 0 : k_.rig.branches.size()));
    k_.rig.branches.push_back({name, cylinder(d), line(d), line(d)});
  }
}

inline void RandomRig::make_heights() {
  Dice d = dice(110);
  const bool one = d.chance(0.5);
  const double common_m = d.between(-2, 3);
  for (Branch& b : k_.rig.branches) {
    const double own_m = d.between(-2, 3);
    if (on(heights, 0.6, d)) b.cylinder.height_m = one ? common_m : own_m;
    for (Line* l : {&b.cap_line, &b.rod_line}) {
      if (on(peaks, 0.3, d)) l->peak_share = d.between(0.1, 0.9), l->peak_m = d.between(-2, 4);
      const double rise_m = std::abs(b.cylinder.height_m) + (l->peak_share > 0 ? std::abs(l->peak_m) : 0.0);
      l->length_m = std::max(l->length_m, 1.2 * rise_m + b.cylinder.stroke_m);
    }
  }
}

inline void RandomRig::make_block() {
  Rig& r = k_.rig;
  Dice d = dice(120);
  double volume = 0, area = 1;
  for (const Branch& b : r.branches) {
    volume += cap_area_m2(b.cylinder) * b.cylinder.stroke_m + volume_m3(b.cap_line) + volume_m3(b.rod_line);
    area = std::min(area, cap_area_m2(b.cylinder));
  }
  const double load_pa = d.between(2e5, 35e5);
  r.panel.mass_kg = on(panel, 0.7, d) ? load_pa * area / gravity_m_per_s2 : 0;
  if (on(panel, 1, d)) r.panel.centre_of_mass = std::round(d.between(5, 11)) / 16;   // exact, so that loads exchange
  if (on(torsion, 0.5, d)) r.panel.torsion_n_m_per_rad = d.decades(300, 1e5);
  r.pump = {.displacement_m3_per_rad = 4e-8, .supply_v = 12};
  if (on(sizes, 1, d)) r.pump.displacement_m3_per_rad = d.decades(2e-8, 8e-8), r.pump.supply_v = d.one_of({12.0, 24.0});
  if (on(sizes, 1, d)) r.pump.suction_area_m2 = d.one_of({0.0, 2e-5, 5e-5, 2e-4});
  ValveBlock& v = r.valve_block;
  if (on(sizes, 1, d)) {
    v.path_area_m2 = d.decades(3e-6, 3e-5);
    v.lowering_area_m2 = d.decades(1e-6, 1e-5);
    v.transition_re = d.decades(20, 1000);
    v.relief_pa_gauge = d.between(90e5, 200e5);
    v.passage_m3 = d.decades(0.3e-6, 5e-6);
  }
  if (on(counterbalance, 0.3, d)) {
    v.counterbalance_pa_gauge = d.between(1.2, 1.6) * load_pa + 5e5;
    v.pilot_ratio = d.between(1, 10);
    v.counterbalance_gain_m3_per_s_pa = d.decades(3e-12, 3e-10);
  }
  if (on(high_point, 0.4, d)) v.high_point_m3 = d.between(0, 0.8) * v.passage_m3;
  Reservoir& t = r.reservoir;
  if (on(reservoir, 1, d)) {
    t.area_m2 = d.decades(40e-4, 300e-4);
    t.intake_m = d.between(0.005, 0.02);
    t.height_m = on(heights, 0.5, d) ? d.between(-0.5, 1.5) : 0.0;
    t.return_m = d.between(0, 0.1);
    t.return_bore_m = d.between(4e-3, 12e-3);
    t.plunge_onset_m_per_s = d.between(0.5, 2);
    t.container_m3 = d.one_of({0.0, 0.2e-3, 1e-3});
  }
  t.oil_m3 = (t.intake_m + 0.02) * t.area_m2 + d.between(1.5, 4) * volume;
  t.capacity_m3 = t.oil_m3 + d.between(0.1, 1.5) * volume;
}

/// A triangle that closes over all strokes, else the panel stays guided.
inline void RandomRig::hinge() {
  Rig& r = k_.rig;
  Dice d = dice(170);
  if (!on(hinged, 0.3, d)) return;
  double stroke_m = 0;
  for (const Branch& b : r.branches) stroke_m = std::max(stroke_m, b.cylinder.stroke_m);
  const double a = stroke_m * d.between(1.2, 2.5), b = stroke_m * d.between(1.5, 3), gamma = d.between(0.4, 1.2);
  Panel p = r.panel;
  p.kind = PanelKind::hinged;
  p.hinge_to_eye_m = a, p.hinge_to_foot_m = b, p.foot_to_eye_m = std::sqrt(a * a + b * b - 2 * a * b * std::cos(gamma));
  p.hinge_to_centre_m = d.between(0.2, 0.8) * a;
  p.centre_elevation_rad = d.between(-0.3, 2);
  if (d.chance(0.5)) r.valve_block.lifting_area_m2 = d.decades(1e-7, 3e-6);
  try {
    check(p, "panel", stroke_m);
    r.panel = p;
  } catch (const InputError&) {
  }
}

/// Fields that came later draw nothing here, so that a seed keeps its case.
inline bool came_later(const std::string& path) {
  for (const char* part : {"hinge_to", "foot_to_eye", "centre_elevation", "lifting_area", "_mark", "duty", "rating", "bypass_turn", "bypass_leak", "bleed_area",
                           "dividing_error", "least_opening", "spring", "flow_force", "spool_breakaway", "section_slip", "shaft_torque",
                           "rated_", "edge_share", "spool_", "section", "shaft_", "outlet_relief", "makeup", "rephasing", "check_",
                           "counterbalance_b", "shuttle"})
    if (path.find(part) != std::string::npos) return true;
  return false;
}

/// Every synchroniser, both return paths, what locks the rods. Half of the cases keep what the seed had before.
inline void RandomRig::make_circuit() {
  Rig& r = k_.rig;
  Dice d = dice(180);
  const double flow = r.pump.displacement_m3_per_rad * r.pump.supply_v / r.pump.motor_constant_v_s;
  r.spool = {.rated_flow_m3_per_s = flow * d.decades(0.5, 2), .edge_share = d.between(2, 8), .least_opening = d.between(0.002, 0.05),
             .spring_n_per_m = d.decades(100, 3000), .flow_force = d.between(0, 0.43), .spool_breakaway_n = d.decades(0.03, 2)};
  r.rotary = {.section_m3_per_rad = flow / d.between(80, 300), .section_slip = d.decades(3e-8, 3e-7),
              .shaft_torque_n_m = d.decades(0.005, 0.05), .makeup_m3_per_s_pa = d.one_of({0.0, 1e-10, 1e-9})};
  r.rotary.outlet_relief_pa_gauge = d.one_of({0.0, 1.1 * r.valve_block.relief_pa_gauge});
  r.series = {.rephasing_area_m2 = d.one_of({0.0, 1e-7, 5e-7}), .rephasing_way_m = d.between(1e-3, 8e-3)};
  const auto kind = d.one_of({SynchroniserKind::spool_divider, SynchroniserKind::divider_combiner, SynchroniserKind::rotary_divider,
                              SynchroniserKind::series_pair});
  const bool fits = r.branches.size() == 2 || kind == SynchroniserKind::rotary_divider || (kind == SynchroniserKind::series_pair && r.branches.size() > 1);
  if (on(circuits, 0.4, d) && fits) r.synchroniser.kind = kind;
  if (r.synchroniser.kind == SynchroniserKind::series_pair)   // each bore takes the annulus of the one before
    for (std::size_t i = 1; i < r.branches.size(); ++i) {
      Cylinder& c = r.branches[i].cylinder;
      const Cylinder& before = r.branches[i - 1].cylinder;
      c.bore_m = std::sqrt(before.bore_m * before.bore_m - before.rod_m * before.rod_m) * (d.chance(0.5) ? 1.0 : d.between(0.97, 1.03));
      c.rod_m = 0.5 * c.bore_m;
      c.stroke_m = before.stroke_m;
      c.cap_port_m = c.rod_port_m = 0;
    }
  if (on(closed_way, 0.25, d) && !(r.valve_block.counterbalance_pa_gauge > 0)) r.valve_block.circuit = CircuitKind::closed;
  if (on(locks, 0.25, d) && !(r.valve_block.counterbalance_pa_gauge > 0)) {
    if (d.chance(0.7)) r.locks.check_a_ratio = d.between(2, 8);
    if (d.chance(0.4)) r.locks.check_b_ratio = d.between(2, 8);
  } else if (on(locks, 0.1, d) && r.valve_block.circuit == CircuitKind::open) {
    r.locks.counterbalance_b_pa_gauge = d.between(10e5, 60e5);
  }
  for (Branch& b : r.branches) {
    const double error = d.between(-0.03, 0.03);
    if (on(unequal, 0.3, d) && has_bypass(r.synchroniser.kind)) b.outlet.dividing_error = error;
  }
}

inline void RandomRig::make_rig() {
  Rig& r = k_.rig;
  r.name = "random";
  r.oil = oil_by_grade(22);
  Dice d = dice(130);
  if (on(oil, 1, d)) r.oil = oil_by_grade(d.one_of({10, 15, 22, 32, 46, 68}), d.between(95, 200));
  if (on(oil, 1, d)) r.oil.temperature_k = d.between(268, 338);
  Synchroniser& s = r.synchroniser;
  s.kind = on(pistons, 0.5, d) ? SynchroniserKind::metering_pistons : SynchroniserKind::tee;
  if (on(sizes, 1, d)) {
    s.over_travel = d.between(0.005, 0.06);
    s.clearance_m3 = d.decades(0.3e-6, 5e-6);
    s.outlet_m3 = d.decades(0.3e-6, 3e-6);
    s.bypass_area_m2 = d.decades(1e-6, 2e-5);
  }
  make_branches();
  make_heights();
  make_block();
  Dice b = dice(140);
  for (const RigField& f : rig_fields(r)) {
    if (came_later(f.path)) continue;
    const double share = b.chance(0.1) ? b.one_of({0.0, 1.0}) : b.unit();   // the ends of a band, too
    if (std::isnan(f.band_low) || f.path.find("clearance") != std::string::npos || !on(bands, 0.7, b)) continue;
    set_field(r, f.path, f.band_low + share * (f.band_high - f.band_low));
  }
  r.air.coarse_share = std::min(r.air.coarse_share, 1 - r.air.dispersed_share);
  if (on(bands, 0.2, b)) r.air.slug_ratio = b.between(1, 2.5);
  hinge();
  make_circuit();
}

inline void RandomRig::make_air() {
  Dice d = dice(150);
  for (const std::string& part : part_names(k_.rig)) {
    const bool line = part.ends_with("_line");
    const bool is_dry = on(dry, line ? 0.2 : 0.25, d), is_opened = on(opened, 0.6, d);
    if (is_dry) k_.dry.push_back(part);
    else if (line && is_opened) k_.opened.push_back(part);
  }
  k_.rods_out = on(rods_out, 0.2, d);
}

inline Connections RandomRig::joints(Dice& d) {
  Connections c;
  for (const Branch& b : k_.rig.branches)
    for (const char* port : {".cap_port", ".rod_port"})
      if (on(parted, 0.4, d)) c.parted.push_back(b.name + port);
  c.line_end = d.one_of({Opening::capped, Opening::air, Opening::container});
  c.port = d.one_of({Opening::capped, Opening::air, Opening::container});
  c.attitude = on(attitudes, 0.5, d) ? d.one_of({0, 1, 2}) : -1;
  return c;
}

inline Step RandomRig::bench_step(Dice& d, StepKind kind) {
  Step s{.kind = kind, .dwell_s = d.between(0, 5), .repeat = false, .stand_s = d.decades(1, 3600), .joints = joints(d)};
  if (kind == StepKind::stand) return s;
  s.joints.by_hand = {k_.rig.branches.front().name};
  if (d.chance(0.4)) s.joints.by_hand = {k_.rig.branches.back().name};
  else if (d.chance(0.3) && k_.rig.branches.size() > 1) s.joints.by_hand.push_back(k_.rig.branches.back().name);
  s.joints.hand_n = d.decades(60, 600);
  s.joints.hand_m_per_s = d.decades(0.01, 0.3);
  s.strokes = d.one_of({1, 1, 2});
  return s;
}

/// Through joined hoses, or out into a container at a line's end or at the valve block; where that has no way round it is
/// a mere filling up.
inline Step RandomRig::flush_step(Dice& d) {
  const std::string branch = d.chance(0.5) ? k_.rig.branches.front().name : k_.rig.branches.back().name;
  Step s{.kind = StepKind::flush, .dwell_s = d.between(0, 5), .repeat = false};
  s.bypass_open = has_bypass(k_.rig.synchroniser.kind) && d.chance(0.8);
  s.retract = d.chance(0.3);
  s.bursts = d.one_of({1, 1, 2});
  s.motor_s = d.decades(1, 20);
  s.clear_m3 = d.one_of({0.0, 5e-6});
  s.refill = d.chance(0.5);
  s.joints.line_end = d.one_of({Opening::joined, Opening::container});
  s.joints.parted = {branch + ".cap_port", branch + ".rod_port"};
  if (d.chance(0.2)) s.joints = open_joints({"valve_block.a"}, Opening::capped, Opening::container);
  std::vector<int> order(k_.rig.branches.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<int>(i);
  const Drive drive{.extend = !s.retract, .retract = s.retract, .bypass_open = s.bypass_open};
  if (dead_ends(make_network(k_.rig, order, s.joints), drive).empty()) return s;
  return {.kind = StepKind::refill, .repeat = false};
}

inline void RandomRig::make_procedure() {
  Procedure& p = k_.procedure;
  p.name = "random";
  const Rig& r = k_.rig;
  Dice h = dice(160), s = dice(161), c = dice(162), f = dice(163);
  if (on(hand, 0.35, h)) p.steps.push_back(bench_step(h, StepKind::hand));
  if (on(stand, 0.35, s)) p.steps.push_back(bench_step(s, StepKind::stand));
  if (on(flush, 0.3, f)) p.steps.push_back(flush_step(f));
  if (on(refill, 0.2, f)) p.steps.push_back({.kind = StepKind::refill, .repeat = false});
  const bool open = has_bypass(r.synchroniser.kind) && on(bypass, 0.7, c);
  const Rods rods = r.panel.mass_kg > 0 && c.chance(0.5) ? Rods::panel : Rods::free;
  const double first_s = c.between(0, 5), second_s = c.between(0, 5);
  p.steps.push_back({.bypass_open = open, .dwell_s = on(dwell, 1, c) ? first_s : 0.0, .rods = rods});
  if (on(second_stroke, 0.4, c)) p.steps.push_back({.dwell_s = second_s, .rods = rods});
  Dice g = dice(171);
  for (Step& step : p.steps) {
    if (step.kind != StepKind::stroke) continue;
    if (on(pressed, 0.2, g)) step.press_s = g.between(0.5, 3);
    if (step.rods != Rods::free) continue;
    if (r.branches.size() > 1 && on(held_rods, 0.2, g)) step.rods = Rods::held, step.held_n = g.decades(10, 1000);
    if (on(turned, 0.2, g)) step.joints.attitude = g.one_of({0, 1, 2});
  }
  if (on(compared, 0.3, g))
    p.steps.insert(p.steps.begin(), {.kind = StepKind::compare, .bypass_open = open && g.chance(0.5), .dwell_s = 1,
                                     .rods = rods, .repeat = false});
  Dice w = dice(172);
  for (Step& step : p.steps) {
    if (step.kind == StepKind::stand && on(warmed, 0.5, w)) step.temperature_k = w.between(268, 338);
    if (step.kind != StepKind::stroke) continue;
    if (on(volts, 0.2, w)) step.extend_v = w.between(4, 12);
    if (on(volts, 0.2, w)) step.retract_v = w.between(4, 12);
    if (on(short_strokes, 0.2, w)) step.travel = w.between(0.1, 0.9);
  }
  Dice q = dice(181);
  const std::vector<std::string> points = bleed_points(r);
  for (Step& step : p.steps) {
    const bool able = step.kind == StepKind::stroke || step.kind == StepKind::stand || step.kind == StepKind::flush;
    if (able && on(bled_off, 0.15, q)) step.joints.bled = {points[static_cast<std::size_t>(q.between(0, 0.999) * static_cast<double>(points.size()))]};
    if (step.kind != StepKind::refill && !step.bypass_open && has_bypass(r.synchroniser.kind) && on(cracked, 0.2, q))
      step.cracked_rad = q.between(0.1, 1.5);
  }
  p.max_strokes = static_cast<int>(std::count_if(p.steps.begin(), p.steps.end(),
                                                 [](const Step& x) { return x.kind == StepKind::stroke; }));
}

inline RandomCase random_case(std::uint64_t seed, Features features = all_features) {
  return RandomRig(seed, features).take();
}

/// The smallest set of features with which `fails` still holds: leaves out ever smaller groups while that can be done.
template <class Fails>
Features shrink(Features f, Fails&& fails) {
  for (std::size_t group = feature_count / 2; group > 0; group /= 2)
    for (std::size_t i = 0; i < feature_count; i += group) {
      const Features without = f & ~(((Features{1} << group) - 1U) << i);
      if (without != f && fails(without)) f = without;
    }
  return f;
}

}  // namespace evenstroke::testing
