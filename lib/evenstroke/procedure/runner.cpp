#include "evenstroke/procedure/runner.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/components/cylinder.hpp"
#include "evenstroke/procedure/drive_march.hpp"
#include "evenstroke/solver/crossing.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

Drive powered(bool extend, bool bypass_open, Rods rods) {
  return {.motor = true, .extend = extend, .retract = !extend, .bypass_open = bypass_open, .on_panel = rods == Rods::panel};
}

Drive resting(Drive d) {
  d.motor = false;   // the valve stays where it is
  return d;
}

}  // namespace

Runner::Runner(const Rig& rig, const Network& n, const RunOptions& o)
    : rig_(rig), net_(n), options_(o), march_(n, o.resolution), checker_(n, o.resolution) {}

double Runner::time_limit_s() const {   // five strokes' worth of oil at half the pump's free flow, and a minute
  double swept = 0;
  for (const Branch& b : net_.rig.branches) swept += cap_area_m2(b.cylinder) * b.cylinder.stroke_m;
  return 60 + 10 * swept / net_.pump.q0;
}

bool Runner::at_stops(const Contents& c, bool upper) const {
  for (int i = 0; i < net_.branches(); ++i)
    if (c.motion[at(i)] != 0 || c.position_m[at(i)] != (upper ? net_.axes[at(i)].travel_m : 0.0)) return false;
  return true;
}

Outcome Runner::drive(March& march, Contents& c, const Drive& d, double time_s, Watches* watches) {
  Stall stalled(net_, c);
  const auto after = [&](const Contents& now, const FlowEngine::Quantum& q) {
    if (&march == &march_) sample(now);
    if (watches) watches->index.look(now);
    if (options_.stop && options_.stop->load(std::memory_order_relaxed)) return true;
    if (!d.motor) return false;
    if (at_stops(now, d.extend)) return true;
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
  Watches watches{{net_, c}, {c, net_.rig.oil.temperature_k}};
  for (const bool extend : {true, false}) {
    const Drive d = powered(extend, step.bypass_open, step.rods);
    end.outcome = drive(march_, c, d, time_limit_s(), &watches);
    if (end.outcome != Outcome::ok) return end;
    for (std::size_t i = 0; i < net_.axes.size(); ++i)
      end.moved = end.moved || std::abs(c.position_m[i] - before[i]) > least_share * net_.axes[i].travel_m;
    end.reached = end.reached && at_stops(c, extend);
    if (step.dwell_s > 0) end.outcome = drive(march_, c, resting(d), step.dwell_s, &watches);
    if (end.outcome != Outcome::ok) return end;
  }
  end.held = held_;
  const PressureWatch& pressure = watches.pressure;
  end.extremes = {pressure.highest_pa_abs(), pressure.lowest_pa_abs(), pressure.low_s(), watches.index.index()};
  since_ = stride_;   // the end of a stroke is always kept, once
  if (series_ && (series_->time_s.empty() || series_->time_s.back() < c.time_s)) sample(c);
  return end;
}

void Runner::took(const Between& bench, Contents& c, const Connections& left, Energy* energy) {
  for (double Energy::*term : {&Energy::pump_j, &Energy::hand_j, &Energy::gravity_j, &Energy::load_j})
    energy->*term += bench.energy().*term;
  merged_kg_ += bench.air_moved_by_merging_kg();
  march_.close(c);
  joints_ = left;
}

Outcome Runner::bench(Contents& c, const Step& step, StepRow& row, Energy* energy, std::vector<std::string>* short_of) {
  Between bench(rig_, net_.given, options_.resolution, options_.stop, joints_);
  const Outcome o = bench.run(c, step, row, short_of);
  took(bench, c, step.kind == StepKind::refill ? joints_ : step.joints, energy);
  return o;
}

Outcome Runner::join(Contents& c, Energy* energy) {
  if (joints_.parted.empty()) return Outcome::ok;
  Between bench(rig_, net_.given, options_.resolution, options_.stop, joints_);
  const Outcome o = bench.join(c);
  took(bench, c, {}, energy);
  return o;
}

std::vector<double> Runner::as_given(const std::vector<double>& x) const {
  std::vector<double> given(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) given[at(net_.given[i])] = x[i];
  return given;
}

Check Runner::check(Contents c, double dwell_s, Rods rods, Outcome* outcome) {
  Check result;
  const int n = net_.branches();
  for (const bool bypass_open : {false, true}) {   // closed first, so that the carriage comes home; then what is left over
    if (at_stops(c, false) || *outcome != Outcome::ok) break;
    const Drive d = powered(false, bypass_open, Rods::free);
    *outcome = drive(checker_, c, d, time_limit_s(), nullptr);
    if (*outcome == Outcome::ok && dwell_s > 0) *outcome = drive(checker_, c, resting(d), dwell_s, nullptr);
  }
  if (net_.has_carriage()) result.carriage_m = c.position_m[at(n)];
  // Friction leaves the carriage a little off its stop; within its over-travel every rod still reaches both stops.
  const double margin = net_.has_carriage() ? net_.rig.synchroniser.over_travel : 0.0;
  const double margin_m = net_.has_carriage() ? net_.axes[at(n)].travel_m * margin / (1 + margin) : 0.0;
  if (!at_stops(c, false) || result.carriage_m > margin_m) {
    result.state = CheckState::not_rephased;
    return result;
  }
  double travel = 0;
  for (int i = 0; i < n; ++i) travel += net_.axes[at(i)].travel_m / n;
  std::size_t next = 0;
  std::vector<double> x(at(n));
  Stall stalled(net_, c);
  const auto watch = [&](double, const auto& position) {
    const auto mean = [&](double s) {
      double sum = 0;
      for (int i = 0; i < n; ++i) sum += position(s, i) / n;
      return sum;
    };
    while (next < stations.size() && mean(1) >= stations[next] * travel) {
      const double target = stations[next] * travel;
      const double s = mean(0) >= target ? 0.0 : first_root([&](double u) { return mean(u) - target; }, 0.0, 1.0, 1e-9);
      for (int i = 0; i < n; ++i) x[at(i)] = position(s, i);
      result.position_m[next] = as_given(x);
      result.mismatch_m[next] = mismatch_m(result.position_m[next]);
      ++next;
    }
    return next == stations.size();
  };
  const auto after = [&](const Contents& now, const FlowEngine::Quantum& q) {
    if (options_.stop && options_.stop->load(std::memory_order_relaxed)) return true;
    return stalled(now, q.duration_s, checker_.engine().volume_m3());
  };
  *outcome = checker_.phase(c, powered(true, false, rods), time_limit_s(), watch, after);
  result.state = next == stations.size() ? CheckState::ok : CheckState::not_reached;
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
