#include "segments.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "evenstroke/io/files.hpp"
#include "evenstroke/procedure/drive_march.hpp"
#include "evenstroke/procedure/run.hpp"

namespace evenstroke::benchmark {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr Drive out_open{.motor = true, .extend = true, .bypass_open = true};
constexpr Drive in_open{.motor = true, .retract = true, .bypass_open = true};
constexpr Drive out_panel{.motor = true, .extend = true, .on_panel = true};
constexpr Drive in_panel{.motor = true, .retract = true, .on_panel = true};
constexpr Drive rest_out{.extend = true, .bypass_open = true};

/// A segment is cut out of a phase `at_s` after it began, the phases before it run to the stops.
struct Cut {
  const char* name;
  bool dry;                               ///< left cylinder exchanged dry, after one stroke; else bled
  std::vector<Drive> before;
  Drive drive;
  double at_s, length_s;
  std::function<void(Rig&)> change = {};  ///< of the hatch, for a variant
  bool inertance = false;                 ///< lines' flows are states, too; cut where the lines are at rest
};

const std::vector<Cut>& cuts() {
  static const std::vector<Cut> all{
    {"pump starts, dry", true, {}, out_open, 0, 0.2},
    {"extend, dry", true, {}, out_open, 5, 0.5},
    {"extend under panel, dry", true, {}, out_panel, 5, 2},
    {"pump starts under panel, bled", false, {}, out_panel, 0, 0.05},
    {"extend under panel, bled", false, {}, out_panel, 5, 2},
    {"retract, dry", true, {out_open}, in_open, 5, 1},
    {"retract under panel, bled", false, {out_panel}, in_panel, 5, 2},
    {"rest, dry", true, {out_open}, rest_out, 0.5, 5},
    {"pump starts, dry, inertance", true, {}, out_open, 0, 0.2, {}, true},
    {"pump starts under panel, bled, inertance", false, {}, out_panel, 0, 0.05, {}, true},
  };
  return all;
}

/// As FlowEngine::freeze does, without what goes on inside places; `duration_s` of the quantum before.
void freeze(Segment& s, const Contents& c, const FlowModel<double>& run_model, double duration_s, bool inertance) {
  const Network& net = *s.net;
  std::vector<double> stiff(net.places.size());
  Exchange(net, Resolution().streamtubes).stiffening(c, duration_s, stiff);
  s.model = std::make_unique<FlowModel<double>>(net, inertance);
  s.model->set_drive(s.drive);
  for (int p = 0; p < static_cast<int>(net.places.size()); ++p) {
    Closure<double> content{.oil_m3 = held(c, p).oil_kg / net.rho0_kg_per_m3, .gas_j = gas_j(net, c, p),
                            .wall_m3_per_pa = net.places[at(p)].wall_m3_per_pa,
                            .p_floor_pa_abs = net.rig.air.cavity_pa_abs, .liquid = net.liquid};
    double volume = available_m3(net, c, p);
    const double set_j = stiff[at(p)] * (content.gas_j - held(c, p).bubbles_kg() * net.gas_j_per_kg);
    const double start_pa = pressure(content, volume).p;
    content.gas_j -= set_j;
    volume -= set_j / start_pa;
    s.model->freeze_place(p, content, volume);
    s.closure.push_back(content);
    s.volume_m3.push_back(volume);
  }
  for (int a = 0; a < s.model->axes(); ++a) {
    s.model->freeze_axis(a, c.position_m[at(a)]);
    s.model->set_motion(a, c.motion[at(a)]);
  }
  for (int e = 0; e < s.model->edges(); ++e) s.model->freeze_edge(e, run_model.edge_state(e));
  s.position_m = c.position_m;
  s.motion = c.motion;

  FlowModel<double> same = run_model;     // the run's own model must give the same rates, or this is another problem
  same.set_drive(s.drive);
  for (int a = 0; a < same.axes(); ++a) same.set_motion(a, c.motion[at(a)]);
  const std::vector<double> zero(at(same.size()), 0.0);
  std::vector<double> f(zero), f_run(zero);
  s.model->rhs(zero.data(), f.data());
  same.rhs(zero.data(), f_run.data());
  if (f != f_run) throw std::runtime_error(s.name + ": not frozen as a run freezes");
}

Segment cut_out(Rig rig, const Procedure& procedure, const Cut& cut) {
  if (cut.change) cut.change(rig);
  RunOptions once;
  once.max_strokes = 1;
  once.checks = once.record = false;
  const Contents start =
    cut.dry ? run(rig, after_exchange(rig, {"left.cylinder"}, {"left.cap_line"}, true), procedure, once).contents : bled(rig);
  Segment s;
  s.name = cut.name;
  s.net = std::make_unique<Network>(make_network(rig));
  s.drive = cut.drive;
  const Resolution resolution{.inertance = cut.inertance};
  s.abs_tol = flow_tolerances(*s.net, resolution);
  March march(*s.net, resolution);
  Contents c = fit(start, *s.net);
  const auto nothing = [](double, const auto&) { return false; };
  for (const Drive& d : cut.before)
    march.phase(c, d, 120, nothing, [&](const Contents& now, const auto&) { return at_stops(*s.net, now, d.extend); });
  if (cut.at_s == 0) {
    march.close(c);
    freeze(s, c, march.engine().model(), 1, cut.inertance);
  } else {
    double passed_s = 0;
    march.phase(c, cut.drive, 2 * cut.at_s, nothing, [&](const Contents& now, const FlowEngine::Quantum& q) {
      passed_s += q.duration_s;
      if (s.model || passed_s < cut.at_s) return false;
      freeze(s, now, march.engine().model(), q.duration_s, cut.inertance);
      return true;
    });
  }
  if (!s.model) throw std::runtime_error(s.name + ": the phase ended before");
  constexpr int points = 20;
  for (int k = 1; k <= points; ++k) s.time_s.push_back(cut.length_s * std::pow(k / double(points), 3));
  return s;
}

void add_reference(Segment& s) {
  constexpr double finest = 1e-11;
  const Solved exact = ours().solve(s, finest, 100'000'000);
  if (!exact.reached) throw std::runtime_error(s.name + ": no reference");
  s.reference = exact.y;
  s.scale.assign(s.size(), 0);
  for (std::size_t i = 0; i < s.reference.size(); ++i)
    s.scale[i % s.size()] = std::max(s.scale[i % s.size()], std::abs(s.reference[i]));
  for (std::size_t i = 0; i < s.size(); ++i) s.scale[i] += s.abs_tol[i] / s.base_rel_tol;
}

}  // namespace

std::vector<double> Segment::abs_tol_at(double rel_tol) const {
  std::vector<double> t = abs_tol;
  for (double& a : t) a *= rel_tol / base_rel_tol;
  return t;
}

std::vector<Segment> make_segments(const std::string& examples) {
  const Rig rig = load_rig(examples + "/rigs/roof_hatch.toml");
  const Procedure procedure = load_procedure(examples + "/procedures/shop_bleed.toml");
  std::vector<Segment> all;
  for (const Cut& cut : cuts()) {
    all.push_back(cut_out(rig, procedure, cut));
    add_reference(all.back());
  }
  return all;
}

double error_of(const Segment& s, const std::vector<double>& y) {
  double worst = 0;
  for (std::size_t i = 0; i < y.size(); ++i) worst = std::max(worst, std::abs(y[i] - s.reference[i]) / s.scale[i % s.size()]);
  return std::isfinite(worst) ? worst : 1e300;
}

}  // namespace evenstroke::benchmark
