#pragma once
// Body of FlowEngine::advance, flow/engine.hpp.
#include <algorithm>
#include <cmath>

namespace evenstroke {

template <class Watch>
FlowEngine::Quantum FlowEngine::advance(Contents& c, const Drive& drive, double time_s, double scale, Watch&& watch) {
  Quantum result;
  const double limit = quantum_m3_ * scale;
  const int edges = model_.edges(), axes = model_.axes();
  constexpr double together_s = 1e-9, shortest_s = 1e-16;
  model_.set_drive(drive);
  for (int a = 0; a < axes; ++a) model_.set_motion(a, c.motion[at(a)]);

  bool over = false;
  int rejected = 0;                                      // in a row
  model_.rhs(y_.data(), f_.data());
  note_efforts();
  note_jumps(c);
  while (!over) {                                        // f_ belongs to y_ here
    double h = std::min({h_, time_s - result.duration_s, step_limit(limit)});
    if (stepper_.counts().steps + stepper_.counts().rejected > res_.max_steps) {
      result.outcome = Outcome::step_budget;
      break;
    }
    StepFrom step(model_, y_, sum_);
    const StepResult<double> r = stepper_.attempt(step, still_.data(), h, rejected > 0);
    if (!r.accepted) {
      // What re-closing has set going dies out in anything from microseconds to milliseconds. A step over all of that
      // is off by what died, however long it is: its error says nothing about the length that would do.
      h_ = ++rejected > 1 ? std::min(r.h_next, 0.1 * h) : r.h_next;
      if (h_ < shortest_s) {
        result.outcome = r.reason == Reason::pivot ? Outcome::pivot
                         : r.reason == Reason::not_finite ? Outcome::not_finite : Outcome::step_too_small;
        break;
      }
      continue;
    }
    const double first = find_events(c, h), end = std::min(first, 1.0);   // leaves the model at the end of the step
    if (first > 1 && h > 1e-6 && ln_pressure_change() > 2 * res_.ln_pressure) {
      h_ = 0.5 * h;                                      // too far for frozen contents: once more, shorter
      continue;
    }
    rejected = 0;
    const auto position = [&](double s, int axis) {
      return start_position_[at(axis)] + reached(s * end)[edges + axis];
    };
    if (first <= 1) model_.evaluate(reached(end));       // `watch` may ask the model, too
    result.stopped = watch(end * h, position);
    const double* y_end = reached(end);
    add_step_work(y_end);
    std::copy_n(y_end, y_.size(), y_.begin());
    result.duration_s += end * h;
    model_.rates(f_.data());

    for (int a = 0; a < axes; ++a) {
      released_ago_s_[at(a)] += end * h;
      jump_s_[at(a)] = gap(c, a, y_.data()) > 0 ? 0.0 : std::max(0.0, jump_s_[at(a)] - end * h);
    }
    if (first <= 1) {
      for (int a = 0; a < axes; ++a) {
        if (event_s_[at(a)] > std::min(1.0, first + together_s / h)) continue;   // above 1 there is none
        settle(c, a);
        if (c.motion[at(a)] != 0) released_ago_s_[at(a)] = 0;
        else if (released_ago_s_[at(a)] < together_s) locked_[at(a)] = 1;   // caught in zero time: held for one quantum
      }
      result.event = true;
      h_ = std::min(r.h_next, 1e-3);
    } else if (h >= 0.99 * h_ || r.h_next < h_) {
      h_ = r.h_next;                                     // a step cut short by the quantum says nothing about growth
    }
    over = result.event || result.stopped || quantum_over(limit) || result.duration_s >= time_s * (1 - 1e-12);
  }
  for (const std::vector<int>& group : equal_) {
    double mean = 0;
    for (const int i : group) mean += y_[at(i)];
    mean /= static_cast<double>(group.size());
    for (const int i : group) y_[at(i)] = mean;
  }
  std::copy(y_.begin() + model_.first_flow(), y_.end(), going_.begin());
  for (int e = 0; e < edges; ++e) volume_[at(e)] = y_[at(e)] * (y_[at(e)] > 0 ? 1.0 : model_.edge_state(e).ratio);
  model_.evaluate(y_.data());                             // an event may have snapped a rod to its stop
  for (std::size_t p = 0; p < gas_.size(); ++p) c.pressure_pa_abs[p] = model_.pressure(static_cast<int>(p));
  for (int a = 0; a < axes; ++a) ahead_[at(a)] = gap(c, a, y_.data()) > 0;
  for (int a = 0; a < axes; ++a) {
    double x = start_position_[at(a)] + y_[at(edges + a)];
    const double travel = net_.axes[at(a)].travel_m, low = net_.axes[at(a)].low_m;
    if (c.motion[at(a)] == 0 && std::abs(x - travel) < 1e-12) x = travel;   // held at a stop means exactly there
    if (c.motion[at(a)] == 0 && std::abs(x - low) < 1e-12) x = low;
    const bool back = c.motion[at(a)] > 0 ? x < low : c.motion[at(a)] < 0 && x > travel;
    if (back && net_.axes[at(a)].breakaway_n > 0) c.motion[at(a)] = 0;   // pressed onto the stop it left: at it again
    c.position_m[at(a)] = std::clamp(x, low, travel);
    c.rest_s[at(a)] = c.motion[at(a)] == 0 ? c.rest_s[at(a)] + result.duration_s : 0.0;
  }
  add_quantum_work(c, drive);
  c.time_s += result.duration_s;
  going_at_s_ = c.time_s;
  if (drive.motor) c.motor_on_s += result.duration_s;
  c.running_s = drive.motor ? c.running_s + result.duration_s : 0.0;
  c.longest_running_s = std::max(c.longest_running_s, c.running_s);
  return result;
}

}  // namespace evenstroke
