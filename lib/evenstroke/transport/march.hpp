#pragma once
#include <algorithm>

#include "evenstroke/flow/engine.hpp"
#include "evenstroke/network/equal_branches.hpp"
#include "evenstroke/transport/exchange.hpp"
#include "evenstroke/transport/transport.hpp"

namespace evenstroke {

/// Contents forward in time: freeze, flow over one quantum, let bubbles rise, dissolve and warm, move what flowed, again.
/// The pressure jump when the masses close again is the error of this order of things; the quantum is halved while it is
/// above a bound.
class March {
 public:
  March(const Network& n, const Resolution& r)
      : net_(n), engine_(n, r), transport_(n, r.streamtubes, r.parcels), exchange_(n, r.streamtubes), edges_(n.edges.size()),
        stiff_(n.places.size()) {}

  /// Re-closes contents as they are, without letting time pass: their pressures follow from masses and positions.
  void close(Contents& c) {
    freeze(c, std::vector<double>(edges_.size(), 0.0), 1.0);
    engine_.close(c);
  }

  /// Runs under one drive for at most `time_s`; `watch(h, x)` after each flow step as in FlowEngine::advance,
  /// `after(contents, quantum)` after each transport: true = end the phase.
  template <class Watch, class After>
  Outcome phase(Contents&, const Drive&, double time_s, Watch&& watch, After&& after);

  const Network& network() const { return net_; }
  FlowEngine& engine() { return engine_; }
  const FlowEngine& engine() const { return engine_; }
  const Bundle& arrived() const { return transport_.arrived(); }   ///< in reservoir and container, in the last quantum
  double imbalance_m3() const { return imbalance_m3_; }   ///< largest of each re-closure, summed since the start
  double air_moved_by_merging_kg() const { return transport_.air_moved_by_merging_kg(); }
  long quanta() const { return quanta_; }

 private:
  void freeze(const Contents& c, const std::vector<double>& volume_m3, double duration_s) {
    transport_.edge_states(c, volume_m3, duration_s, edges_);
    exchange_.stiffening(c, duration_s, stiff_);
    engine_.freeze(c, edges_, stiff_, exchange_.source_m3_per_s());
  }

  const Network& net_;
  FlowEngine engine_;
  Transport transport_;
  Exchange exchange_;
  std::vector<EdgeState<double>> edges_;
  std::vector<double> stiff_, before_;
  double scale_ = 1, imbalance_m3_ = 0, last_s_ = 1;
  long quanta_ = 0;
};

template <class Watch, class After>
Outcome March::phase(Contents& c, const Drive& drive, double time_s, Watch&& watch, After&& after) {
  constexpr double finest = 0.125;
  const double bound_m3 = 0.1 * engine_.quantum_m3();
  double left = time_s;
  transport_.prepare(c);
  transport_.begin(c);
  engine_.hold_equal(equal_states(net_, c));
  exchange_.start(drive);
  freeze(c, engine_.volume_m3(), last_s_);                // the drive has changed: no error of transport to see here
  while (left > 1e-9 * time_s) {
    engine_.close(c);
    before_ = c.pressure_pa_abs;
    const double limit_s = std::min(left, exchange_.time_limit_s(0.5 * scale_ * bound_m3));
    const FlowEngine::Quantum q = engine_.advance(c, drive, limit_s, scale_, watch);
    left -= q.duration_s;
    last_s_ = std::max(q.duration_s, 1e-9);
    c.recipe.valid = false;
    exchange_.compress(c, before_, stiff_);               // as flow has seen it: what a passage has beyond its own volume
    exchange_.settle(c, q.duration_s);                    // is then no room that warmth or solution has made or taken
    transport_.move(c, engine_.volume_m3(), last_s_);
    const double error = engine_.imbalance_m3(c);
    freeze(c, engine_.volume_m3(), last_s_);
    ++quanta_;
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
