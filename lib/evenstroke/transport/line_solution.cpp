// What dissolves and comes out of solution in a line: Exchange::line_solution_m3. Each stretch of oil meets only the bubbles
// that ride in it: air moves along a line with its oil, not by dissolving.
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "evenstroke/air/solution.hpp"
#include "evenstroke/transport/exchange.hpp"
#include "evenstroke/transport/parcels.hpp"
#include "evenstroke/transport/swarm_store.hpp"

namespace evenstroke {
namespace {

constexpr std::size_t room = Queue::capacity + 4;
constexpr double cells = 16;   // a longer stretch is cut before anything dissolves in it

/// Shares of the line's volume at which the parcels begin; one more for the end.
std::array<double, room + 1> borders(const Queue& q, const LineState& s) {
  std::array<double, room + 1> at{};
  const double whole = whole_m3(q, s);
  for (int i = 0; i < q.count; ++i)
    at[static_cast<std::size_t>(i) + 1] = at[static_cast<std::size_t>(i)] + (whole > 0 ? volume_m3(q[i], s) / whole : 0.0);
  return at;
}

void cut_long(Queue& q, const LineState& s) {
  const double most = whole_m3(q, s) / cells;
  for (int i = 0; i < q.count && q.count < q.limit; ++i) {
    if (q[i].slug) continue;
    const int parts = std::min(static_cast<int>(std::ceil(volume_m3(q[i], s) / most - 1e-6)), q.limit - q.count + 1);
    for (int n = parts; n > 1; --n) {
      const Parcel part = split(q[i], 1.0 / n);
      insert(q, i++, part);
    }
  }
}

/// Clouds laid over the parcels of a line. Hundreds of clouds a line, in every quantum: nothing is gone through piece by
/// piece, what lies between a cloud's ends is told by sums over the parcels.
class Laid {
 public:
  Laid(const std::array<double, room + 1>& at, int count) : at_(at), count_(static_cast<std::size_t>(count)) {
    end_.fill(2);                                          // whatever lies beyond is the last parcel's
    std::copy(at.begin() + 1, at.begin() + count, end_.begin());
    std::size_t n = 0;
    for (std::size_t b = 0; b < first_.size(); ++b) {
      while (end_[n] <= static_cast<double>(b) / bins) ++n;
      first_[b] = n;
    }
  }

  /// Parcels in which a cloud begins and ends.
  struct Ends { unsigned char from, to; };
  Ends ends(const Cloud& c) const { return {find(c.from), find(c.to)}; }

  /// Adds the cloud; `kg` has what the parcels at its ends get, `per_length` where its density begins and ends.
  void add(const Cloud& c, Ends e, std::array<double, room>& kg, std::array<double, room + 1>& per_length) const {
    const std::size_t i = e.from, j = e.to;
    if (i == j) {                                          // a pile, too
      kg[i] += c.kg;
      return;
    }
    const double density = c.kg / (c.to - c.from);
    kg[i] += density * (at_[i + 1] - c.from);
    kg[j] += density * (c.to - at_[j]);
    per_length[i + 1] += density;
    per_length[j] -= density;
  }
  void close(std::array<double, room>& kg, const std::array<double, room + 1>& per_length, double all_kg) const {
    double density = 0;
    for (std::size_t n = 0; n < count_; ++n) {
      density += per_length[n];
      kg[n] += density * (at_[n + 1] - at_[n]);
      if (kg[n] < 1e-14 * all_kg) kg[n] = 0;               // what sums leave where there is nothing
    }
  }

  /// Up to the beginning of each parcel, the sum of what it has times its length.
  std::array<double, room> sums(const std::array<double, room>& of) const {
    std::array<double, room> sum{};
    for (std::size_t n = 1; n < count_; ++n) sum[n] = sum[n - 1] + of[n - 1] * (at_[n] - at_[n - 1]);
    return sum;
  }
  double mean(const std::array<double, room>& of, const std::array<double, room>& sum, Ends e, double from, double to) const {
    const std::size_t i = e.from, j = e.to;
    if (i == j) return of[i];
    return (sum[j] + of[j] * (to - at_[j]) - sum[i] - of[i] * (from - at_[i])) / (to - from);
  }

 private:
  static constexpr int bins = 64;
  unsigned char find(double x) const {
    std::size_t n = first_[static_cast<std::size_t>(bins * std::clamp(x, 0.0, 1.0))];
    n += end_[n] <= x ? 1u : 0u;                           // no branch: which it is cannot be foreseen
    while (end_[n] <= x) ++n;
    return static_cast<unsigned char>(n);
  }
  const std::array<double, room + 1>& at_;
  std::size_t count_;
  std::array<double, room + 1> end_;
  std::array<std::size_t, bins + 1> first_;                // parcel in which each bin begins
};

}  // namespace

double Exchange::line_solution_m3(Contents& c, std::size_t p, double duration_s) const {
  const AirInputs& air = net_.rig.air;
  LineContents& l = c.line[p];
  Queue& q = l.queue;
  const double pressure = c.pressure_pa_abs[p], gas_m3_per_kg = net_.gas_j_per_kg / pressure;
  const double full_share = dissolved_at_kg_per_m3(air.bunsen, pressure) / net_.rho0_kg_per_m3;
  const double stiff = shut_in_.stiffening(p);
  const auto excess_kg = [&](const Parcel& oil) { return oil.dissolved_kg - full_share * oil.oil_kg; };
  const auto gives = [&](const Parcel& oil) { return excess_kg(oil) > 1e-12 * full_share * oil.oil_kg; };
  const auto begin = q.parcel.begin(), end = begin + q.count;
  const bool takes = std::any_of(begin, end, [&](const Parcel& oil) { return excess_kg(oil) < 0; });
  const bool bubbles = takes && air.diffusivity_m2_per_s > 0 && l.bubbles[coarse].kg + l.bubbles[fine].kg > 0;
  const bool releases = air.release_s < never_released_s && std::any_of(begin, end, gives);
  if (!bubbles && !releases) return 0;
  const LineState s = line_state(net_, c, p);
  if (bubbles) cut_long(q, s);
  const std::array<double, room + 1> at = borders(q, s);
  double freed_kg = 0, dissolved_kg = 0;
  if (bubbles) {
    std::array<std::array<double, room>, 2> kg{}, stays{};
    std::array<double, room> wanted{};
    const auto count = static_cast<std::size_t>(q.count);
    const Laid laid(at, q.count);
    thread_local std::vector<Laid::Ends> ends;             // of all clouds, looked for once
    ends.clear();
    std::array<std::size_t, 2> first{};
    for (const BubbleClass k : {coarse, fine}) {
      first[k] = ends.size();
      std::array<double, room + 1> per_length{};
      for (std::size_t tube = 0; tube < l.bubbles[k].count.size(); ++tube)
        for (int i = 0; i < l.bubbles[k].count[tube]; ++i) {
          const Cloud& cloud = clouds_of(l.bubbles[k], tube)[i];
          ends.push_back(laid.ends(cloud));
          laid.add(cloud, ends.back(), kg[k], per_length);
        }
      laid.close(kg[k], per_length, l.bubbles[k].kg);
    }
    const std::array<double, 2> times = dissolving_times(pressure, duration_s);
    double all_kg = 0;
    for (std::size_t n = 0; n < count; ++n) {
      const Parcel& oil = q[static_cast<int>(n)];
      const std::array<double, 2> part = {kg[coarse][n], kg[fine][n]};
      const std::array<double, 2> goes = taken_kg(part, oil.dissolved_kg, full_share * oil.oil_kg, times, stiff);
      for (const BubbleClass k : {coarse, fine}) stays[k][n] = part[k] > 0 ? 1 - goes[k] / part[k] : 1.0;
      wanted[n] = goes[coarse] + goes[fine];
      all_kg += wanted[n];
    }
    for (const BubbleClass k : {coarse, fine}) {
      if (all_kg <= 0) break;
      auto next = ends.begin() + static_cast<std::ptrdiff_t>(first[k]);
      const std::array<double, room> sums = laid.sums(stays[k]);
      dissolved_kg += keep(l.bubbles[k], [&](double from, double to) {
        return std::min(1.0, laid.mean(stays[k], sums, *next++, from, to));   // round-off must not take air out of solution
      });
    }
    for (std::size_t n = 0; all_kg > 0 && n < count; ++n)
      q[static_cast<int>(n)].dissolved_kg += dissolved_kg * (wanted[n] / all_kg);
  }
  if (releases) {
    Clouds freed;
    for (int i = 0; i < q.count; ++i) {
      if (!gives(q[i])) continue;
      const double kg = released_kg(excess_kg(q[i]), duration_s, stiff);
      q[i].dissolved_kg -= kg;
      freed_kg += kg;
      freed.lay({at[static_cast<std::size_t>(i)], at[static_cast<std::size_t>(i) + 1], kg});
    }
    make_fit(freed, l.bubbles[fine].limit);                // once, not in every tube
    fill(l.bubbles[fine], tubes_(p, fine), freed);
  }
  return (dissolved_kg - freed_kg) * gas_m3_per_kg;
}

}  // namespace evenstroke
