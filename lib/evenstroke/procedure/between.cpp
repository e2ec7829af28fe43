#include "evenstroke/procedure/between.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/components/cylinder.hpp"
#include "evenstroke/network/stored_work.hpp"
#include "evenstroke/procedure/drive_march.hpp"
#include "evenstroke/procedure/hand.hpp"
#include "evenstroke/procedure/joints.hpp"
#include "evenstroke/procedure/stream_watch.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

/// The circuit as it stands in a step.
class Between::Setup {
 public:
  Setup(const Between& b, const Connections& joints, Contents& c)
      : between_(b), net_(make_network(as_warm(b.rig_, c), b.order_, joints)), march_(net_, b.resolution_), c_(closed(march_, c)),
        stream_(net_.rig, net_.rho0_kg_per_m3, net_.gas_j_per_kg / p0_pa_abs), pressure_(net_, c) {}

  /// `done(contents)` ends it, as does a stop from outside.
  template <class Done>
  Outcome go(const Drive& d, double time_s, Done&& done) {
    return drive(march_, c_, d, time_s, &pressure_, [&](const Contents& now, const FlowEngine::Quantum&) {
      stream_.look(march_.arrived());
      return between_.stopped() || done(now);
    });
  }
  Outcome rest(const Drive& d, double time_s) {
    return time_s > 0 ? go(d, time_s, [](const Contents&) { return false; }) : Outcome::ok;
  }
  Outcome by_hand(const Step&, std::vector<std::string>* short_of);
  Outcome flush(const Step&, StepRow&, std::vector<std::string>* short_of);
  Outcome look(const Step& step, StepRow& row, std::vector<std::string>* short_of) {
    const Outcome o = compare(march_, c_, step, &pressure_, between_.stop_, row.seen);
    if (o == Outcome::ok && !between_.stopped() && std::isnan(row.seen.mismatch_m.back()))
      short_of->push_back("the rods did not come home, or not through three quarters of their travel");
    return o;
  }
  /// Nobody would call drawn in what is dissolved in the oil of a can.
  void fill_up(StepRow& row) { row.drawn_in_m3 -= free_air_m3(refill(c_, net_)); }

  void tell(StepRow& row) const {
    row.out_m3 = stream_.oil_m3();
    row.clear_m3 = stream_.clear_m3();
    row.bubbles_seen = stream_.bubbles_seen();
    row.highest_pa_abs = std::max(row.highest_pa_abs, pressure_.highest_pa_abs());
    row.lowest_pa_abs = row.lowest_pa_abs > 0 ? std::min(row.lowest_pa_abs, pressure_.lowest_pa_abs()) : pressure_.lowest_pa_abs();
  }
  March& march() { return march_; }
  const PressureWatch& pressure() const { return pressure_; }
  const Network& net() const { return net_; }

 private:
  static Contents& closed(March& m, Contents& c) {
    m.close(c);
    return c;
  }
  bool arrived(int way) const {
    for (int i = 0; i < net_.branches(); ++i)
      if (net_.axes[at(i)].hand_n > 0 &&
          (c_.motion[at(i)] != 0 || c_.position_m[at(i)] != (way > 0 ? net_.axes[at(i)].travel_m : 0.0)))
        return false;
    return true;
  }

  const Between& between_;
  Network net_;
  March march_;
  Contents& c_;
  StreamWatch stream_;
  PressureWatch pressure_;
};

Outcome Between::Setup::by_hand(const Step& step, std::vector<std::string>* short_of) {
  Outcome o = Outcome::ok;
  for (int n = 0; n < step.strokes; ++n)
    for (const int way : {1, -1}) {
      if (o != Outcome::ok || between_.stopped()) return o;
      double slowest_s = 10;                               // a hand that cannot move the rod gives up
      for (const Axis& a : net_.axes)
        if (a.hand_n > 0) slowest_s = std::max(slowest_s, 10 + 5 * a.travel_m / a.hand_m_per_s);
      const std::vector<double> from_m = c_.position_m;
      o = go({.bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad, .hand = way}, slowest_s, [&](const Contents&) { return arrived(way); });
      for (int a = 0; o == Outcome::ok && !between_.stopped() && a < net_.branches(); ++a) {
        const Axis& axis = net_.axes[at(a)];
        if (axis.hand_n <= 0) continue;
        const double sticks_n = breakaway_after_n(axis.breakaway_n, axis.dwell_growth, c_.rest_s[at(a)]);
        const std::string text = fell_short(axis, {way, from_m[at(a)], c_.position_m[at(a)], c_.motion[at(a)] == 0,
                                                   march_.engine().model().force(a), sticks_n});
        if (!text.empty()) short_of->push_back(text);
      }
      if (o == Outcome::ok) o = rest({.bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad}, step.dwell_s);
    }
  return o;
}

/// A person runs the motor in bursts and looks at the stream.
Outcome Between::Setup::flush(const Step& step, StepRow& row, std::vector<std::string>* short_of) {
  const Drive d{.motor = true, .extend = !step.retract, .retract = step.retract, .bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad};
  const auto clear = [&](const Contents&) { return step.clear_m3 > 0 && stream_.clear_m3() >= step.clear_m3; };
  Outcome o = Outcome::ok;
  while (o == Outcome::ok && row.bursts < step.bursts && !clear(c_) && !between_.stopped()) {
    if (step.refill) fill_up(row);
    ++row.bursts;
    o = go(d, step.motor_s, clear);
    if (o == Outcome::ok) o = rest({.extend = d.extend, .retract = d.retract, .bypass_open = d.bypass_open, .bypass_rad = d.bypass_rad}, step.dwell_s);
  }
  if (o == Outcome::ok && step.clear_m3 > 0 && !clear(c_) && !between_.stopped())
    short_of->push_back(stream_.oil_m3() > 0 ? "the stream was not clear after all bursts"
                                             : "no oil came out: the pump gives nothing");
  return o;
}

Between::Between(const Rig& rig, const std::vector<int>& order, const Resolution& r, const std::atomic<bool>* stop,
             const Connections& before)
    : rig_(rig), order_(order), resolution_(r), stop_(stop), before_(before) {}

void Between::leave(Setup& setup, StepRow& row) {
  setup.tell(row);
  const std::vector<double>& highest = setup.pressure().highest_of();
  highest_of_.resize(highest.size(), 0.0);
  for (std::size_t p = 0; p < highest.size(); ++p) highest_of_[p] = std::max(highest_of_[p], highest[p]);
  energy_ = energy_ + setup.march().engine().energy();
  merged_kg_ += setup.march().air_moved_by_merging_kg();
}

/// What is taken apart stands open until what was behind it is at the pressure of the air. Then caps are put on, or ends
/// into containers or onto each other; what is joined shuts in air.
Outcome Between::change(Contents& c, const Step& step, StepRow& row) {
  constexpr double even_pa = 2e3, longest_s = 60;
  const bool were = before_.line_end == Opening::joined, are = step.joints.line_end == Opening::joined;
  std::vector<std::string> apart = without(step.joints.parted, before_.parted);
  if (were && !are) apart.insert(apart.end(), before_.parted.begin(), before_.parted.end());
  if (apart.empty() && before_.parted.empty()) return Outcome::ok;
  Connections open = step.joints;
  open.parted = apart;
  open.line_end = open.port = Opening::air;
  open.by_hand = {};
  Setup setup(*this, open, c);
  const auto even = [&](const Contents& now) {           // a column that hangs or stands may keep its weight
    const Network& n = setup.net();
    for (const std::string& j : apart)
      for (const std::size_t p : at_joint(n, j)) {
        const double joint_m = n.places[at_joint(n, j).back()].height_m;
        const double weight_pa = n.rho0_kg_per_m3 * gravity_m_per_s2 * std::abs(n.places[p].height_m - joint_m);
        if (std::abs(now.pressure_pa_abs[p] - p0_pa_abs) > even_pa + weight_pa) return false;
      }
    return true;
  };
  const Outcome o = even(c) ? Outcome::ok : setup.go({.bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad}, longest_s, even);
  for (const std::string& j : without(before_.parted, step.joints.parted)) make_joint(c, setup.net(), j);
  for (const std::string& j : step.joints.parted)
    if (are && !were && j.ends_with(".cap_port")) make_joint(c, setup.net(), j);   // between the two hoses
  leave(setup, row);
  return o;
}

Outcome Between::join(Contents& c) {
  StepRow unseen;
  return change(c, {}, unseen);
}

/// Oil, air and walls warm or cool bit by bit meanwhile; who lets go the pressure of both sides does so after each.
Outcome Between::stand(Contents& c, const Step& step, StepRow& row) {
  constexpr double bit_k = 1, lets_go_s = 2;
  const double from_k = c.warmed_k, by_k = step.temperature_k > 0 ? step.temperature_k - rig_.oil.temperature_k - from_k : 0.0;
  const int bits = std::max(1, static_cast<int>(std::ceil(std::abs(by_k) / bit_k)));
  double out_m3 = 0;
  bool seen = false;
  Outcome o = Outcome::ok;
  for (int n = 1; n <= bits && o == Outcome::ok && !stopped(); ++n) {
    const double before_j = by_k == 0 ? 0.0 : stored_work_j(make_network(as_warm(rig_, c), order_, step.joints), c);
    c.warmed_k = from_k + by_k * n / bits;
    if (by_k != 0) c.pocket_k.assign(c.place.size(), rig_.oil.temperature_k + c.warmed_k);   // slowly: gas keeps up with the wall
    Setup setup(*this, step.joints, c);
    if (by_k != 0) energy_.warmth_j += stored_work_j(setup.net(), c) - before_j;
    o = setup.rest({.bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad}, step.stand_s / bits);
    for (const bool out : {true, false})
      if (step.let_go && o == Outcome::ok && !stopped())
        o = setup.rest({.extend = out, .retract = !out, .bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad}, lets_go_s);
    leave(setup, row);
    out_m3 += row.out_m3;
    seen = seen || row.bubbles_seen;
  }
  row.out_m3 = out_m3;
  row.clear_m3 = seen ? row.clear_m3 : out_m3;
  row.bubbles_seen = seen;
  return o;
}

Outcome Between::run(Contents& c, const Step& step, StepRow& row, std::vector<std::string>* short_of) {
  const Contents before = c;
  Outcome o = step.kind == StepKind::refill ? Outcome::ok : change(c, step, row);   // who fills up leaves the joints alone
  const bool go_on = o == Outcome::ok && !stopped();
  if (go_on && step.kind == StepKind::stand) o = stand(c, step, row);
  if (go_on && step.kind != StepKind::stand) {
    Setup setup(*this, step.joints, c);
    if (step.kind == StepKind::hand) o = setup.by_hand(step, short_of);
    if (step.kind == StepKind::flush) o = setup.flush(step, row, short_of);
    if (step.kind == StepKind::refill) setup.fill_up(row);
    if (step.kind == StepKind::compare) o = setup.look(step, row, short_of);
    leave(setup, row);
  }
  const Oil warm = as_warm(rig_, c).oil;
  const double rho = density(warm, warm.temperature_k);
  row.oil_k = warm.temperature_k;
  row.time_s = c.time_s - before.time_s;
  row.motor_on_s = c.motor_on_s - before.motor_on_s;
  row.refilled_m3 = (c.ledger.oil_refilled_kg - before.ledger.oil_refilled_kg) / rho;
  row.spilled_m3 = (c.ledger.oil_spilled_kg - before.ledger.oil_spilled_kg) / rho;
  row.vented_m3 = free_air_m3(c.ledger.air_vented_kg - before.ledger.air_vented_kg);
  row.drawn_in_m3 += free_air_m3(c.ledger.air_ingested_kg - before.ledger.air_ingested_kg);
  row.drawn_in_m3 = std::max(0.0, row.drawn_in_m3);                                // round-off of two equal sums
  for (std::size_t p = 0; p < c.place.size(); ++p) row.free_air_m3 += free_air_m3(held(c, static_cast<int>(p)).gas_kg());
  row.level_m = level_m(rig_.reservoir, c.reservoir.oil_kg / rho);
  return o;
}

}  // namespace evenstroke
