#pragma once
#include "evenstroke/flow/engine.hpp"
#include "evenstroke/transport/transport.hpp"

namespace evenstroke {

/// Contents forward in time: freeze, flow over one quantum, move what flowed, again. The pressure jump when the moved
/// masses close again is the error of the transport; the quantum is halved while it is above a bound.
class March {
 public:
  March(const Network& n, const Resolution& r) : net_(n), engine_(n, r), transport_(n), ratio_(n.edges.size(), 1.0) {}

  /// Re-closes contents as they are, without letting time pass: their pressures follow from masses and positions.
  void close(Contents& c) {
    freeze(c, std::vector<double>(ratio_.size(), 0.0));
    engine_.close(c);
  }

  /// Runs under one drive for at most `time_s`; `watch(h, x)` after each flow step as in FlowEngine::advance,
  /// `after(contents, quantum)` after each transport: true = end the phase.
  template <class Watch, class After>
  Outcome phase(Contents&, const Drive&, double time_s, Watch&& watch, After&& after);

  const Network& network() const { return net_; }
  FlowEngine& engine() { return engine_; }
  double imbalance_m3() const { return imbalance_m3_; }   ///< largest of each re-closure, summed since the start
  double gas_moved_by_merging_kg() const { return transport_.gas_moved_by_merging_kg(); }
  long quanta() const { return quanta_; }

 private:
  double freeze(const Contents& c, const std::vector<double>& volume_m3) {
    transport_.arrival_ratios(c, volume_m3, ratio_);
    return engine_.freeze(c, ratio_);
  }

  const Network& net_;
  FlowEngine engine_;
  Transport transport_;
  std::vector<double> ratio_;
  double scale_ = 1, imbalance_m3_ = 0;
  long quanta_ = 0;
};

template <class Watch, class After>
Outcome March::phase(Contents& c, const Drive& drive, double time_s, Watch&& watch, After&& after) {
  constexpr double finest = 0.125;
  const double bound_m3 = 0.1 * engine_.quantum_m3();
  double left = time_s;
  freeze(c, engine_.volume_m3());                         // the drive has changed: no error of transport to see here
  while (left > 1e-9 * time_s) {
    const FlowEngine::Quantum q = engine_.advance(c, drive, left, scale_, watch);
    left -= q.duration_s;
    c.recipe.valid = false;
    transport_.move(c, engine_.volume_m3(), q.duration_s);
    ++quanta_;
    const double error = freeze(c, engine_.volume_m3());
    imbalance_m3_ += error;
    scale_ = error > bound_m3 ? std::max(finest, 0.5 * scale_) : std::min(1.0, 1.5 * scale_);
    const bool done = after(c, q) || q.stopped;
    if (q.outcome == Outcome::ok && !done) continue;
    engine_.close(c);
    return q.outcome;
  }
  engine_.close(c);
  return Outcome::ok;
}

}  // namespace evenstroke
