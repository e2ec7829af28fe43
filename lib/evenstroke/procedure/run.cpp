#include "evenstroke/procedure/run.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "evenstroke/base/error.hpp"
#include "evenstroke/network/stored_work.hpp"
#include "evenstroke/procedure/doubts.hpp"
#include "evenstroke/procedure/order.hpp"
#include "evenstroke/procedure/runner.hpp"
#include "evenstroke/procedure/verdict.hpp"

namespace evenstroke {
namespace {

double default_tolerance_m(const Rig& rig) {
  double shortest = rig.branches.front().cylinder.stroke_m;
  for (const Branch& b : rig.branches) shortest = std::min(shortest, b.cylinder.stroke_m);
  return std::max(1e-3, 0.01 * shortest);
}

double smallest_cap_m2(const Rig& rig) {
  double area = cap_area_m2(rig.branches.front().cylinder);
  for (const Branch& b : rig.branches) area = std::min(area, cap_area_m2(b.cylinder));
  return area;
}

std::vector<std::string> channels(const Contents& c) {
  std::vector<std::string> names;
  for (const auto& a : c.axis) names.push_back(a + "_position_m");
  for (const auto& p : c.place) names.push_back(p + "_pressure_pa_abs");
  for (const auto& p : c.place) names.push_back(p + "_free_air_m3");
  return names;
}

/// Counted strokes of a step: those under power.
int counted(const Step& s) { return s.kind == StepKind::stroke ? s.strokes : 0; }

struct Located { int step, nth; bool again; };   // which step, its how many-th stroke, in a repeated pass

/// Step that stroke number n (from 1) belongs to; the block marked repeat starts again when the list is through.
Located locate(const Procedure& p, int n) {
  int at = 0, first = 0, block = 0;
  for (const Step& s : p.steps) {
    if (s.repeat && block == 0) first = at;
    if (s.repeat) block += counted(s);
    at += counted(s);
  }
  int k = n <= at ? n : first + 1 + (n - first - 1) % block;
  for (std::size_t s = 0; s < p.steps.size(); ++s) {
    if (k <= counted(p.steps[s])) return {static_cast<int>(s), k, n > at};
    k -= counted(p.steps[s]);
  }
  return {static_cast<int>(p.steps.size()) - 1, k, n > at};
}

int step_of(const Procedure& p, int n) { return locate(p, n).step; }

/// Steps other than strokes that are done between stroke n - 1 and stroke n.
std::vector<int> on_the_way(const Procedure& p, int n) {
  const auto step = [&](int i) -> const Step& { return p.steps[static_cast<std::size_t>(i)]; };
  const Located l = locate(p, n);
  std::vector<int> steps;
  if (l.nth > 1) return steps;
  int s = l.step - 1;
  while (s >= 0 && step(s).kind != StepKind::stroke && (!l.again || step(s).repeat)) steps.push_back(s--);
  if (l.again && (s < 0 || !step(s).repeat))               // the block starts again: what ended it comes first
    for (s = static_cast<int>(p.steps.size()) - 1; step(s).kind != StepKind::stroke; --s) steps.push_back(s);
  std::reverse(steps.begin(), steps.end());
  return steps;
}

/// Strokes at whose end a pass of the repeated block is complete.
bool ends_pass(const Procedure& p, int n) {
  int before = 0, block = 0;
  for (const Step& s : p.steps) (s.repeat ? block : before) += counted(s);
  return n > before && (n - before) % block == 0;
}

/// Strokes until every step has been done once.
int first_pass(const Procedure& p) {
  int n = 0;
  for (const Step& s : p.steps) n += counted(s);
  return n;
}

const char* why(Outcome o) {
  switch (o) {
    case Outcome::stalled: return "nothing moved in a whole stroke: the pump gives nothing, or all of it leaks away";
    case Outcome::interrupted: return "stopped from outside; what was computed is kept";
    case Outcome::step_budget:
      return "the step budget is used up: likely a rod sticks and slips many times a second, or a valve chatters";
    case Outcome::step_too_small: return "the step size fell below 1e-16 s: likely a place far too small or a line far too wide";
    case Outcome::pivot: return "the flow equations became singular: likely a part without any resistance or compliance";
    case Outcome::not_finite: return "a pressure or flow is not finite: likely an input at the edge of its range";
    case Outcome::ok: break;
  }
  return "";
}

class Job {
 public:
  Job(const Rig& rig, const Contents& start, const Procedure& p, const RunOptions& o)
      : rig_(rig), procedure_(p), options_(o), runner_(rig, canonical_order(rig, start), start.warmed_k, options_),
        now_(fit(start, net())), start_(total(now_)), start_air_kg_(air_kg(now_)), verdict_(net()) {
    run_.tolerance_m = o.tolerance_m > 0 ? o.tolerance_m : default_tolerance_m(rig);
    run_.on_load = rig.panel.mass_kg > 0;
    run_.places = now_.place;
    if (o.record) {
      run_.series.channel = channels(now_);
      runner_.record_into(&run_.series, o.max_samples);
    }
  }

  Run go() {
    ledger_0_ = now_.ledger;
    now_.longest_running_s = now_.running_s;
    run_.notes = doubts(rig_, now_, procedure_);
    if (options_.checks) twin();
    const int limit = options_.max_strokes > 0 ? options_.max_strokes : procedure_.max_strokes;
    runner_.close(now_);
    bench(1);
    const PressureWatch at_rest(net(), now_);
    row(0, step_of(procedure_, 1), {at_rest.highest_pa_abs(), at_rest.lowest_pa_abs()}, true);
    for (int n = 1; n <= limit && run_.status.ok(); ++n) {
      const double imbalance_m3 = runner_.imbalance_m3();
      const int step = step_of(procedure_, n);
      if (n > 1) bench(n);
      if (!run_.status.ok()) break;
      const Energy before = runner_.energy();
      const Runner::StrokeEnd end = runner_.stroke(now_, procedure_.steps[static_cast<std::size_t>(step)]);
      const Energy after = runner_.energy();
      run_.books.energy = run_.books.energy + (after - before);
      if (!ended(end.outcome) && stopped()) ended(Outcome::interrupted);
      if (run_.status.ok() && !end.moved) stalled(end.held);
      if (!run_.status.ok()) break;
      row(n, step, end.extremes, end.reached);
      overload_.look(net(), end.highest_of, "stroke " + std::to_string(n));
      runs_ahead(n, procedure_.steps[static_cast<std::size_t>(step)], end.extremes);
      runs_hot(step, "stroke " + std::to_string(n));
      const double off_m3 = runner_.imbalance_m3() - imbalance_m3;
      run_.books.transport_error_m = std::max(run_.books.transport_error_m, off_m3 / smallest_cap_m2(rig_));
      if (!options_.checks) continue;
      verdict_.update(run_, now_, ends_pass(procedure_, n));
      if (options_.stop_at_verdict && n >= first_pass(procedure_) && run_.bled.answered != Answered::undecided &&
          run_.parallel.answered != Answered::undecided)
        break;
    }
    run_.overloads = overload_.found();
    for (std::string& told : texts(run_.overloads)) run_.notes.push_back(std::move(told));
    verdict_.close(run_, limit);
    finish();
    return std::move(run_);
  }

 private:
  const Network& net() const { return runner_.network(); }
  bool stopped() const { return options_.stop && options_.stop->load(); }

  /// Steps on the way to stroke n.
  void bench(int n) {
    const double warmed_k = now_.warmed_k;
    for (const int s : on_the_way(procedure_, n)) {
      std::vector<std::string> short_of;
      const Step& step = procedure_.steps[static_cast<std::size_t>(s)];
      StepRow row{.step = s, .stroke = n};
      std::vector<double> highest_of;
      const Outcome o = runner_.bench(now_, step, row, &run_.books.energy, &short_of, &highest_of);
      overload_.look(net(), highest_of, "step " + std::to_string(s + 1) + ", before stroke " + std::to_string(n), step.temperature_k > 0);
      run_.steps.push_back(row);
      for (const std::string& text : short_of)
        run_.notes.push_back("step " + std::to_string(s + 1) + ", before stroke " + std::to_string(n) + ": " + text);
      runs_hot(s, "before stroke " + std::to_string(n));
      if (!ended(o) && stopped()) ended(Outcome::interrupted);
      if (!run_.status.ok()) return;
    }
    ended(runner_.join(now_, &run_.books.energy));
    if (options_.checks && now_.warmed_k != warmed_k) {
      twin();
      verdict_.warmed(run_);
    }
  }

  bool ended(Outcome o) {
    if (o == Outcome::ok || !run_.status.ok()) return o != Outcome::ok;
    run_.status.outcome = o;
    run_.status.time_s = now_.time_s;
    const auto worst = std::max_element(now_.pressure_pa_abs.begin(), now_.pressure_pa_abs.end());
    run_.status.quantity = now_.place[static_cast<std::size_t>(worst - now_.pressure_pa_abs.begin())] + "_pressure_pa_abs";
    run_.status.value = *worst;
    run_.status.message = why(o);
    return true;
  }

  /// Told once, because it comes again with every stroke.
  void runs_ahead(int n, const Step& step, const Runner::Extremes& e) {
    constexpr double worth_s = 0.5;
    if (ran_ahead_ || step.rods != Rods::panel || e.low_s < worth_s) return;
    ran_ahead_ = true;
    run_.notes.push_back("stroke " + std::to_string(n) + " under the panel: for " + number_text(std::round(10 * e.low_s) / 10) +
                         " s some part was below 0.7 bar abs, down to " + number_text(std::round(e.lowest_pa_abs / 1e3) / 100) +
                         " bar abs: where the panel pushes or pulls its rods faster than the pump fills behind them, air comes "
                         "out of the oil; a restrictor or counterbalance valve in the path of the oil it drives out holds it");
  }

  /// Told once, too.
  void runs_hot(int step, const std::string& when) {
    const double limit_s = rig_.pump.duty_s;
    if (ran_hot_ || limit_s <= 0 || now_.longest_running_s <= limit_s) return;
    ran_hot_ = true;
    run_.notes.push_back("step " + std::to_string(step + 1) + ", " + when + ": the motor ran " +
                         number_text(std::round(now_.longest_running_s)) + " s without a rest; the rig allows " +
                         number_text(limit_s) + " s (pump.duty_s): it has to cool");
  }

  void stalled(const Held& held) {
    ended(Outcome::stalled);
    if (held.text.empty()) return;
    run_.status.message = "nothing moved in a whole stroke: " + held.text;
    run_.status.quantity = now_.place[0] + "_pressure_pa_abs";
    run_.status.value = held.pressure_pa_abs;
  }

  Check check(const Contents& c, double dwell_s, Rods rods) {
    Outcome o = Outcome::ok;
    Check k = runner_.check(c, dwell_s, rods, &o);
    if (stopped()) o = Outcome::interrupted;
    ended(o);
    return k;
  }

  void twin() {
    const Contents full = make_contents(net(), {{}, {}, false, true, true});
    const double dwell = procedure_.steps.front().dwell_s;
    run_.twin_free = check(full, dwell, Rods::free);
    if (run_.on_load) run_.twin_load = check(full, dwell, Rods::panel);
  }

  void row(int n, int step, const Runner::Extremes& e, bool reached) {
    const Step& s = procedure_.steps[static_cast<std::size_t>(step)];
    StrokeRow r;
    r.stroke = n;
    r.step = step;
    r.bypass_open = s.bypass_open;
    if (options_.checks) {
      r.free = check(now_, s.dwell_s, Rods::free);
      if (run_.on_load) r.load = check(now_, s.dwell_s, Rods::panel);
      r.air_part_m = air_part_m(run_.on_load ? r.load : r.free, run_.on_load ? run_.twin_load : run_.twin_free);
    }
    for (std::size_t p = 0; p < now_.place.size(); ++p) {
      const Masses m = held(now_, static_cast<int>(p));
      r.free_air_m3.push_back(free_air_m3(m.gas_kg()));
      r.pocket_m3 += free_air_m3(m.pocket_kg);
      r.coarse_m3 += free_air_m3(m.coarse_kg);
      r.fine_m3 += free_air_m3(m.fine_kg);
      r.dissolved_m3 += free_air_m3(m.dissolved_kg);
    }
    r.vented_m3 = free_air_m3(now_.ledger.air_vented_kg - ledger_0_.air_vented_kg);
    r.level_m = level_m(rig_.reservoir, now_.reservoir.oil_kg / net().rho0_kg_per_m3);
    r.time_s = now_.time_s;
    r.motor_on_s = now_.motor_on_s;
    r.highest_pa_abs = e.highest_pa_abs;
    r.lowest_pa_abs = e.lowest_pa_abs;
    r.low_pressure_s = e.low_s;
    r.apparent_index = e.apparent_index;
    r.rods_reached_stops = reached;
    if (run_.status.ok()) run_.strokes.push_back(std::move(r));
  }

  void finish() {
    const Masses m = total(now_);
    const Ledger& l = now_.ledger;
    const Ledger& l0 = ledger_0_;
    const double oil_through = start_.oil_kg + l.oil_spilled_kg + l.oil_refilled_kg;
    const double air_through = start_air_kg_ + l.air_vented_kg + l.air_ingested_kg;
    const double oil = m.oil_kg + (l.oil_spilled_kg - l0.oil_spilled_kg) - (l.oil_refilled_kg - l0.oil_refilled_kg);
    const double air = air_kg(now_) + (l.air_vented_kg - l0.air_vented_kg) - (l.air_ingested_kg - l0.air_ingested_kg);
    Books& b = run_.books;
    b.oil_rel_error = std::abs(oil - start_.oil_kg) / oil_through;
    b.air_rel_error = air_through > 0 ? std::abs(air - start_air_kg_) / air_through : 0.0;
    b.ledger = l;
    b.stored_j = stored_work_j(net(), now_);
    b.merged_gas_m3 = free_air_m3(runner_.air_moved_by_merging_kg());
    run_.counts = runner_.counts();
    run_.quanta = runner_.quanta();
    run_.contents = reordered(now_, make_network(rig_));
    run_.contents.recipe.valid = false;
  }

  const Rig& rig_;
  const Procedure& procedure_;
  const RunOptions& options_;
  Runner runner_;
  Contents now_;
  Masses start_;
  double start_air_kg_;
  VerdictKeeper verdict_;
  Ledger ledger_0_;
  OverloadWatch overload_;
  bool ran_ahead_ = false, ran_hot_ = false;
  Run run_;
};

}  // namespace

const char* to_string(CheckState s) {
  switch (s) {
    case CheckState::not_done: return "not done";
    case CheckState::ok: return "ok";
    case CheckState::not_rephased: return "not re-phased";
    case CheckState::not_reached: break;
  }
  return "not reached";
}

double Check::worst_m() const {
  return *std::max_element(mismatch_m.begin(), mismatch_m.end(),
                           [](double a, double b) { return std::abs(a) < std::abs(b); });
}

std::array<double, 3> air_part_m(const Check& c, const Check& t) {
  std::array<double, 3> a;
  a.fill(std::nan(""));
  if (t.state != CheckState::ok) return a;                  // nothing to hold it against
  for (std::size_t i = 0; i < a.size(); ++i) {              // rod by rod: a difference of two ranges would hide what air does
    std::vector<double> by_air_m = c.position_m[i];
    const std::vector<double>& without_m = t.position_m[i];
    if (by_air_m.size() <= 2 || without_m.size() != by_air_m.size()) {
      a[i] = c.mismatch_m[i] - t.mismatch_m[i];
      continue;
    }
    for (std::size_t rod = 0; rod < by_air_m.size(); ++rod) by_air_m[rod] -= without_m[rod];
    a[i] = mismatch_m(by_air_m);
  }
  return a;
}

Run run(const Rig& rig, const Contents& contents, const Procedure& procedure, const RunOptions& options) {
  check(rig);
  check(procedure, rig);
  check(contents, rig);
  return Job(rig, contents, procedure, options).go();
}

}  // namespace evenstroke
