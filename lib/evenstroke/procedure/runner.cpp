#include "evenstroke/procedure/runner.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/procedure/drive_march.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

Runner::Runner(const Rig& rig, std::vector<int> order, double warmed_k, const RunOptions& o)
    : rig_(rig), order_(std::move(order)), options_(o) {
  take(warmed_k);
}

Runner::Circuit& Runner::circuit(Circuits& all, const Connections& joints) {
  for (const auto& c : all)
    if (c->warmed_k == warmed_k_ && c->attitude == joints.attitude && c->bled == joints.bled) return *c;
  Rig warm = rig_;
  warm.oil.temperature_k += warmed_k_;
  return *all.emplace_back(std::make_unique<Circuit>(warm, order_, warmed_k_, joints, options_.resolution));
}

void Runner::take(double warmed_k) {
  warmed_k_ = warmed_k;
  own_ = &circuit(circuits_);
  checker_ = &circuit(checkers_);
}

Outcome Runner::drive(March& march, Contents& c, const Drive& d, double time_s, Watches* watches, double turn_at, bool press) {
  const Network& net = march.network();
  Stall stalled(net, c);
  const auto after = [&](const Contents& now, const FlowEngine::Quantum& q) {
    if (&march != &checker_->march) sample(now);
    if (watches) watches->index.look(now);
    if (options_.stop && options_.stop->load(std::memory_order_relaxed)) return true;
    if (!d.motor || press) return false;
    if (at_stops(net, now, d.extend) || (d.extend && turn_at < 1 && mean_travel(net, now) >= turn_at)) return true;
    if (!stalled(now, q.duration_s, march.engine().volume_m3())) return false;
    held_ = stalled.why(now);
    return true;
  };
  return evenstroke::drive(march, c, d, time_s, watches ? &watches->pressure : nullptr, after);
}

Runner::StrokeEnd Runner::stroke(Contents& c, const Step& step) {
  StrokeEnd end;
  held_ = {};
  constexpr double least_share = 1e-3;   // less is creep by leakage or compression
  const std::vector<double> before = c.position_m;
  March& march = circuit(circuits_, step.joints).march;
  const Network& net = march.network();
  if (&march != &own_->march) march.close(c);
  Watches watches{{net, c}, {c, net.rig.oil.temperature_k}};
  for (const bool extend : {true, false}) {
    const Drive d = powered(step, extend);
    end.outcome = drive(march, c, d, stroke_limit_s(net, d.supply_v), &watches, step.travel);
    if (end.outcome != Outcome::ok) return end;
    for (std::size_t i = 0; i < net.axes.size(); ++i)
      end.moved = end.moved || (net.axes[i].kind <= AxisKind::carriage && std::abs(c.position_m[i] - before[i]) > least_share * net.axes[i].travel_m);
    const bool there = at_stops(net, c, extend);
    end.reached = end.reached && (there || (extend && step.travel < 1 && mean_travel(net, c) >= step.travel));
    if (there && step.press_s > 0) end.outcome = drive(march, c, d, step.press_s, &watches, 1, true);
    if (end.outcome == Outcome::ok && step.dwell_s > 0) end.outcome = drive(march, c, resting(d), step.dwell_s, &watches);
    if (end.outcome != Outcome::ok) return end;
  }
  if (&march != &own_->march) own_->march.close(c);
  end.held = held_;
  const PressureWatch& pressure = watches.pressure;
  end.highest_of = pressure.highest_of();
  end.extremes = {pressure.highest_pa_abs(), pressure.lowest_pa_abs(), pressure.low_s(), watches.index.index()};
  since_ = stride_;   // the end of a stroke is always kept, once
  if (series_ && (series_->time_s.empty() || series_->time_s.back() < c.time_s)) sample(c);
  return end;
}

void Runner::took(const Between& bench, Contents& c, const Connections& left, Energy* energy) {
  *energy = *energy + bench.energy();
  merged_kg_ += bench.air_moved_by_merging_kg();
  if (c.warmed_k != warmed_k_) take(c.warmed_k);
  own_->march.close(c);
  joints_ = left;
}

Outcome Runner::bench(Contents& c, const Step& step, StepRow& row, Energy* energy, std::vector<std::string>* short_of,
                      std::vector<double>* highest_of) {
  Between bench(rig_, order_, options_.resolution, options_.stop, joints_);
  const Outcome o = bench.run(c, step, row, short_of);
  *highest_of = bench.highest_of();
  took(bench, c, step.kind == StepKind::refill ? joints_ : step.joints, energy);
  return o;
}

Outcome Runner::join(Contents& c, Energy* energy) {
  if (joints_.parted.empty()) return Outcome::ok;
  Between bench(rig_, order_, options_.resolution, options_.stop, joints_);
  const Outcome o = bench.join(c);
  took(bench, c, {}, energy);
  return o;
}

Check Runner::check(Contents c, double dwell_s, Rods rods, Outcome* outcome) {
  Check result;
  March& march = checker_->march;
  const Network& net = checker_->net;
  const int n = net.branches();
  if (*outcome == Outcome::ok)
    bring_home(net, c, {.dwell_s = dwell_s}, [&](const Drive& d, double time_s) {
      *outcome = drive(march, c, d, time_s, nullptr);
      return *outcome == Outcome::ok;
    });
  if (net.has_carriage()) result.carriage_m = c.position_m[at(n)];
  // Friction leaves the carriage a little off its stop; within its over-travel every rod still reaches both stops.
  const double margin = net.has_carriage() ? net.rig.synchroniser.over_travel : 0.0;
  const double margin_m = net.has_carriage() ? net.axes[at(n)].travel_m * margin / (1 + margin) : 0.0;
  if (!at_stops(net, c, false) || result.carriage_m > margin_m) {
    result.state = CheckState::not_rephased;
    return result;
  }
  StationWatch seen(net);
  Stall stalled(net, c);
  const auto watch = [&](double, const auto& position) {
    seen.look(position);
    return seen.all();
  };
  const auto after = [&](const Contents& now, const FlowEngine::Quantum& q) {
    if (options_.stop && options_.stop->load(std::memory_order_relaxed)) return true;
    return stalled(now, q.duration_s, march.engine().volume_m3());
  };
  *outcome = march.phase(c, powered({.rods = rods}, true), stroke_limit_s(net), watch, after);
  for (std::size_t i = 0; i < seen.passed(); ++i) {
    result.position_m[i] = as_given(net, seen.position_m(i));
    result.mismatch_m[i] = mismatch_m(result.position_m[i]);
  }
  result.state = seen.all() ? CheckState::ok : CheckState::not_reached;
  return result;
}

/// Keeps at most max_samples rows: when full, every second one goes and the stride doubles.
void Runner::sample(const Contents& c) {
  if (!series_ || ++since_ < stride_) return;
  since_ = 0;
  Series& s = *series_;
  const std::size_t width = s.channel.size();
  if (s.time_s.size() >= at(max_samples_)) {
    std::size_t kept = 0;
    for (std::size_t r = 0; r < s.time_s.size(); r += 2, ++kept) {
      s.time_s[kept] = s.time_s[r];
      std::copy_n(s.value.begin() + static_cast<std::ptrdiff_t>(r * width), width,
                  s.value.begin() + static_cast<std::ptrdiff_t>(kept * width));
    }
    s.time_s.resize(kept);
    s.value.resize(kept * width);
    stride_ *= 2;
  }
  s.time_s.push_back(c.time_s);
  for (const double x : c.position_m) s.value.push_back(x);
  for (const double p : c.pressure_pa_abs) s.value.push_back(p);
  for (std::size_t p = 0; p < c.place.size(); ++p) s.value.push_back(free_air_m3(held(c, static_cast<int>(p)).gas_kg()));
}

}  // namespace evenstroke
