#include "evenstroke/procedure/compare.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/procedure/drive_march.hpp"
#include "evenstroke/procedure/stall.hpp"
#include "evenstroke/procedure/station_watch.hpp"

namespace evenstroke {
namespace {

constexpr double presses_s = 3, lets_go_s = 3;

double to_mark(double value, double mark) { return mark * std::round(value / mark); }

class Comparing {
 public:
  Comparing(March& m, Contents& c, const Step& s, PressureWatch* p, const std::atomic<bool>* stop, Comparison& seen)
      : march_(m), net_(m.network()), c_(c), step_(s), pressure_(p), stop_(stop), seen_(seen), rods_(net_) {}

  Outcome go() {
    const double rod_mark = net_.rig.observer.rod_mark_m;
    const Drive out = powered(step_, true), in = powered(step_, false);
    bring_home(net_, c_, step_, [&](const Drive& d, double time_s) {
      if (d.motor) move(d, [&] { return at_stops(net_, c_, false); });
      else rest(d, time_s);
      return ok();
    });
    if (ok() && !at_stops(net_, c_, false)) return outcome_;
    start_s_ = c_.time_s;
    start_m_ = c_.position_m;
    move(out, [&] { return mean_travel(net_, c_) >= 0.5 || at_stops(net_, c_, true); });
    const std::vector<double> half = c_.position_m;
    rest(resting(out), step_.halt_s);
    double back = 0;
    for (std::size_t i = 0; i < rods(); ++i) back = std::max(back, half[i] - c_.position_m[i]);
    if (ok()) seen_.back_m = to_mark(back, rod_mark);
    move(out, [&] { return at_stops(net_, c_, true); });
    for (std::size_t i = 0; i < rods_.passed(); ++i) seen_.mismatch_m[i] = to_mark(mismatch_m(as_given(net_, rods_.position_m(i))), rod_mark);
    if (ok() && rods_.all()) {
      const std::vector<double> end(c_.position_m.begin(), c_.position_m.begin() + net_.branches());
      seen_.at_stop_m = to_mark(mismatch_m(as_given(net_, end)), rod_mark);
      press(out);
    }
    rest(resting(out), step_.dwell_s);
    if (ok() && step_.rods != Rods::panel) let_go(resting(in));
    move(in, [&] { return at_stops(net_, c_, false); });
    rest(resting(in), step_.dwell_s);
    if (ok() && step_.rods == Rods::held) seen_.held_n = std::round(held_n_);
    return outcome_;
  }

 private:
  bool stopped() const { return stop_ && stop_->load(std::memory_order_relaxed); }
  bool ok() const { return outcome_ == Outcome::ok && !stopped(); }
  std::size_t rods() const { return static_cast<std::size_t>(net_.branches()); }
  template <class Done>
  void move(const Drive& d, Done&& done) {
    if (!ok()) return;
    Stall stalled(net_, c_);
    const HeldLaw<double> hands{d.held_n};
    double passed_s = c_.time_s - start_s_;
    outcome_ = drive(
        march_, c_, d, stroke_limit_s(net_), pressure_,
        [&](const Contents& now, const FlowEngine::Quantum& q) {
          return stopped() || done() || stalled(now, q.duration_s, march_.engine().volume_m3());
        },
        [&](double h, const auto& x) {
          if (d.extend) {
            rods_.look(x);
            see_them_move(passed_s += h, x);
          }
          for (int i = 0; i + 1 < net_.branches(); ++i)
            held_n_ = std::max(held_n_, std::abs(hands.force(x(1, i) - x(1, i + 1)).n));
          return false;
        });
  }
  void rest(const Drive& d, double time_s) {
    if (ok() && time_s > 0)
      outcome_ = drive(march_, c_, d, time_s, pressure_, [&](const Contents&, const FlowEngine::Quantum&) { return stopped(); });
  }
  template <class Position>
  void see_them_move(double time_s, const Position& x) {
    std::size_t moved = 0;
    for (std::size_t i = 0; i < rods(); ++i)
      moved += x(1, static_cast<int>(i)) - start_m_[i] >= net_.rig.observer.rod_mark_m;
    if (moved > 0 && std::isnan(seen_.first_s)) seen_.first_s = time_s;
    if (moved == rods() && std::isnan(seen_.last_s)) seen_.last_s = time_s;
  }

  /// Place 0 is the passage behind the pump.
  void press(const Drive& d) {
    std::vector<std::pair<double, double>> at;             // s, Pa
    double passed_s = 0;
    outcome_ = drive(
        march_, c_, d, presses_s, pressure_, [&](const Contents&, const FlowEngine::Quantum&) { return stopped(); },
        [&](double h, const auto&) {
          at.emplace_back(passed_s += h, march_.engine().model().pressure(0) - p0_pa_abs);
          return false;
        });
    if (!ok() || at.empty()) return;
    const auto there = std::find_if(at.begin(), at.end(), [&](const auto& x) { return x.second >= 0.9 * at.back().second; });
    seen_.pressure_s = there->first;
    seen_.current_a = current_a(net_.pump, 0.0, at.back().second);
  }
  void let_go(const Drive& d) {
    const auto level = [&] { return level_m(net_.rig.reservoir, c_.reservoir.oil_kg / net_.rho0_kg_per_m3); };
    const double before_m = level(), mark = net_.rig.observer.level_mark_m;
    rest(d, lets_go_s);
    if (ok()) seen_.level_rise_m = to_mark(level(), mark) - to_mark(before_m, mark);
  }

  March& march_;
  const Network& net_;
  Contents& c_;
  const Step& step_;
  PressureWatch* pressure_;
  const std::atomic<bool>* stop_;
  Comparison& seen_;
  StationWatch rods_;
  Outcome outcome_ = Outcome::ok;
  double start_s_ = 0, held_n_ = 0;
  std::vector<double> start_m_;
};

}  // namespace

double mismatch_m(const std::vector<double>& x) {
  if (x.size() == 2) return x[0] - x[1];
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  return x.empty() ? 0.0 : *high - *low;
}

Outcome compare(March& march, Contents& c, const Step& step, PressureWatch* pressure, const std::atomic<bool>* stop,
                Comparison& seen) {
  return Comparing(march, c, step, pressure, stop, seen).go();
}

}  // namespace evenstroke
