// What dissolves and comes out of solution in a line: Exchange::line_solution_m3. Each stretch of oil meets only the bubbles
// that ride in it: air moves along a line with its oil, not by dissolving.
#include <algorithm>
#include <array>
#include <cmath>

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

/// Calls f(parcel, share of the cloud in it). `begin`: where the last cloud began; those of a tube come in order.
template <class F>
void each_part(const std::array<double, room + 1>& at, std::size_t count, std::size_t& begin, double from, double to, F&& f) {
  if (at[begin] > from) begin = 0;
  while (begin + 1 < count && at[begin + 1] <= from) ++begin;
  if (to <= from) return f(begin, 1.0);
  for (std::size_t i = begin; i < count && (i == begin || at[i] < to); ++i) {
    const double both = std::min(to, i + 1 < count ? at[i + 1] : 2.0) - std::max(from, at[i]);
    if (both > 0) f(i, both / (to - from));
  }
}

}  // namespace

double Exchange::line_solution_m3(Contents& c, std::size_t p, double duration_s) const {
  const AirInputs& air = net_.rig.air;
  LineContents& l = c.line[p];
  Queue& q = l.queue;
  const double pressure = c.pressure_pa_abs[p], gas_m3_per_kg = net_.gas_j_per_kg / pressure;
  const double full_share = dissolved_at_kg_per_m3(air.bunsen, pressure) / net_.rho0_kg_per_m3;
  const bool bubbles = air.diffusivity_m2_per_s > 0 && l.bubbles[coarse].kg + l.bubbles[fine].kg > 0;
  const double stiff = shut_in_.stiffening(p);
  const auto excess_kg = [&](const Parcel& oil) { return oil.dissolved_kg - full_share * oil.oil_kg; };
  const auto gives = [&](const Parcel& oil) { return excess_kg(oil) > 1e-12 * full_share * oil.oil_kg; };
  const bool releases = air.release_s < never_released_s && std::any_of(q.parcel.begin(), q.parcel.begin() + q.count, gives);
  if (!bubbles && !releases) return 0;
  const LineState s = line_state(net_, c, p);
  if (bubbles) cut_long(q, s);
  const std::array<double, room + 1> at = borders(q, s);
  double freed_kg = 0, dissolved_kg = 0;
  if (bubbles) {
    std::array<std::array<double, room>, 2> kg{}, stays{};
    std::array<double, room> wanted{};
    const auto count = static_cast<std::size_t>(q.count);
    std::size_t begin = 0;
    for (const BubbleClass k : {coarse, fine})
      for (std::size_t tube = 0; tube < l.bubbles[k].count.size(); ++tube)
        for (int i = 0; i < l.bubbles[k].count[tube]; ++i) {
          const Cloud& cloud = clouds_of(l.bubbles[k], tube)[i];
          each_part(at, count, begin, cloud.from, cloud.to, [&](std::size_t n, double share) { kg[k][n] += share * cloud.kg; });
        }
    double all_kg = 0;
    for (std::size_t n = 0; n < count; ++n) {
      const Parcel& oil = q[static_cast<int>(n)];
      const std::array<double, 2> part = {kg[coarse][n], kg[fine][n]};
      const std::array<double, 2> goes = taken_kg(part, oil.dissolved_kg, full_share * oil.oil_kg, pressure, duration_s, stiff);
      for (const BubbleClass k : {coarse, fine}) stays[k][n] = part[k] > 0 ? 1 - goes[k] / part[k] : 1.0;
      wanted[n] = goes[coarse] + goes[fine];
      all_kg += wanted[n];
    }
    for (const BubbleClass k : {coarse, fine})
      if (all_kg > 0) dissolved_kg += keep(l.bubbles[k], [&](double from, double to) {
        double share = 0;
        each_part(at, count, begin, from, to, [&](std::size_t n, double part) { share += part * stays[k][n]; });
        return std::min(1.0, share);                       // round-off must not take air out of solution
      });
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
    fill(l.bubbles[fine], tubes_(p, fine), freed);
  }
  return (dissolved_kg - freed_kg) * gas_m3_per_kg;
}

}  // namespace evenstroke
