// How slugs move against the oil of their line: overtake and rise.
#include <algorithm>
#include <numbers>

#include "evenstroke/air/slug.hpp"
#include "evenstroke/transport/parcels.hpp"

namespace evenstroke {
namespace {

/// Lays oil behind the slug at `i`; returns where the slug is then. While a slug is coming in there is no room behind
/// it: the oil stays along it as its film.
int lay_behind(Queue& q, int i, const Parcel& oil, bool comes_in) {
  if (comes_in) absorb(q[i], oil);
  else if (i > 0 && (alike(q[i - 1], oil) || q.count >= q.limit)) absorb(q[i - 1], oil);
  else insert(q, i++, oil);
  return i;
}

/// The slug at `i` moves on by `left`, oil from its front to its back, as far as the end.
void move_on(Queue& q, int i, double left, bool comes_in, const LineState& s) {
  while (left > 0 && i + 1 < q.count) {
    const double front = volume_m3(q[i + 1], s);
    const bool all = left >= front;
    const Parcel oil = all ? q[i + 1] : split(q[i + 1], left / front);
    left -= front;
    if (all) erase(q, i + 1);
    i = lay_behind(q, i, oil, comes_in);
    if (i + 1 < q.count && q[i + 1].slug) {   // it has caught the slug in front
      absorb(q[i], q[i + 1]);
      erase(q, i + 1);
      return;
    }
  }
}

/// Slugs of a line that flows from its first parcel to its last, the foremost first. The volume that a line gains or
/// loses is its gas's: in front of a slug another volume passes than behind it.
void overtake_forward(Queue& q, double in_m3, double out_m3, double duration_s, const LineState& s,
                      const AirInputs& air, double mu_pa_s) {
  const double area = std::numbers::pi / 4 * s.bore_m * s.bore_m, all_kg = total(q).pocket_kg;
  double ahead_kg = 0;
  for (int i = q.count - 1; i >= 0; --i) {    // what one lays behind itself has been counted where it came from
    if (!q[i].slug) continue;
    const double v = volume_m3(q[i], s), gained_m3 = all_kg > 0 ? (out_m3 - in_m3) / all_kg : 0.0;
    const bool coming_in = i == 0 || (i == 1 && bridges(q[0], s));
    const double in_front = out_m3 - gained_m3 * ahead_kg;
    // A slug that comes in has a nose only; the others go by their middle.
    const double passing = coming_in ? in_front : in_front - 0.5 * gained_m3 * q[i].gas_kg;
    ahead_kg += q[i].gas_kg;
    if (passing <= 0 || !is_slug(v, s.bore_m)) continue;
    const double ratio = air.slug_ratio > 0
                             ? air.slug_ratio
                             : slug_speed_ratio(passing / (area * duration_s), mu_pa_s, air.surface_tension_n_per_m);
    move_on(q, i, air.slug_slip * (ratio - 1) * passing, coming_in, s);
  }
}

void turn(Queue& q) { std::reverse(q.parcel.begin(), q.parcel.begin() + q.count); }

bool any_slug(const Queue& q) {
  return std::any_of(q.parcel.begin(), q.parcel.begin() + q.count, [](const Parcel& p) { return p.slug; });
}

Profile turned(const Profile& p) {
  return {p.far_m, p.peak_m, p.peak_share > 0 ? 1 - p.peak_share : 0.0, p.near_m};
}

/// Slugs that rise towards the last parcel, the foremost first; a high point in front of its middle stops a slug.
template <class Speed>
void rise_forward(Queue& q, const Profile& run, double length_m, double whole, const LineState& s,
                  const Speed& way_m3) {
  double ahead = 0;
  for (int i = q.count - 1; i >= 0; --i) {
    const double v = volume_m3(q[i], s), middle = 1 - (ahead + 0.5 * v) / whole;
    ahead += v;
    const double sine = run.sin_incline(middle, length_m);
    if (!q[i].slug || sine <= 0 || !is_slug(v, s.bore_m)) continue;
    double on = way_m3(sine);
    if (middle < run.peak_share && run.sin_incline(0.5 * (1 + run.peak_share), length_m) <= 0)
      on = std::min(on, (run.peak_share - middle) * whole);
    move_on(q, i, on, false, s);
  }
}

}  // namespace

void overtake(Queue& q, double near_m3, double far_m3, double duration_s, const LineState& s, const AirInputs& air,
              double mu_pa_s) {
  if (!any_slug(q) || air.slug_slip <= 0) return;
  if (near_m3 + far_m3 < 0) {   // one direction is enough to write down
    turn(q);
    overtake_forward(q, -far_m3, -near_m3, duration_s, s, air, mu_pa_s);
    turn(q);
  } else {
    overtake_forward(q, near_m3, far_m3, duration_s, s, air, mu_pa_s);
  }
}

void rise(Queue& q, const Profile& run, double length_m, double duration_s, const LineState& s, const AirInputs& air,
          double mu_pa_s, double rho_kg_per_m3) {
  const double whole = whole_m3(q, s), area = std::numbers::pi / 4 * s.bore_m * s.bore_m;
  if (!any_slug(q) || whole <= 0 || air.slug_rise <= 0 || duration_s <= 0) return;
  const auto way_m3 = [&](double sine) {
    return air.slug_rise * area * duration_s *
           slug_rise_inclined_m_per_s(s.bore_m, mu_pa_s, rho_kg_per_m3, air.surface_tension_n_per_m, sine,
                                      1 / s.slug_m3_per_kg);
  };
  rise_forward(q, run, length_m, whole, s, way_m3);
  turn(q);
  rise_forward(q, turned(run), length_m, whole, s, way_m3);
  turn(q);
}

}  // namespace evenstroke
