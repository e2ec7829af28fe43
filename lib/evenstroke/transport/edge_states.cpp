// What flow must know of the mixture on every edge: Transport::edge_states.
#include <algorithm>
#include <cmath>

#include "evenstroke/air/choking.hpp"
#include "evenstroke/air/slug.hpp"
#include "evenstroke/transport/transport.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

/// What the column between the two ends adds to the pressure at `from`; a line's own column is weighed part by part.
double Transport::head_pa(const Contents& c, const Edge& e, double density, double flow) const {
  const double rho_g = net_.rho0_kg_per_m3 * gravity_m_per_s2;
  const auto height = [&](int place, bool enters) {
    if (place >= 0) return net_.places[at(place)].height_m;
    if (place != reservoir_place) return net_.places[at(e.from >= 0 ? e.from : e.to)].height_m;   // where the joint is parted
    const double level = level_m(c.reservoir, vessel_);
    return net_.rig.reservoir.height_m + (enters ? level : std::max(level, net_.rig.reservoir.return_m));
  };
  if (e.kind == EdgeKind::line) {
    const auto weight = [&](int place, double from, double to) {
      const std::size_t p = at(place);
      return column_pa(c.line[p].queue, net_.places[p].profile, from, to, line_state(c, p), net_.rho0_kg_per_m3);
    };
    if (e.from_share > 0) return weight(e.to, 0.5, 1.0) - weight(e.from, 0.5, 1.0);
    const bool near = e.to >= 0 && net_.places[at(e.to)].kind == PlaceKind::line;
    return near ? -weight(e.to, 0.0, 0.5) : -weight(e.from, 0.5, 1.0);
  }
  const double head = density * rho_g * (height(e.from, e.kind == EdgeKind::pump) - height(e.to, false));
  if (e.kind != EdgeKind::pump || e.from >= 0) return head;
  return suction_pa_abs(net_.rig.pump, head, flow, net_.rho0_kg_per_m3) - p0_pa_abs;
}

/// Surface of the oil in an end open to the air, air/slug.hpp. Where air creeps in beside the oil no surface stands in
/// the line that could draw it back: there the mouth alone holds. A line full of air has none.
void Transport::open_surface(const Contents& c, const LineEnds& l, End end, EdgeState<double>& s) const {
  const double bore = net_.places[l.place].bore_m, sigma = net_.rig.air.surface_tension_n_per_m;
  if (sin_outward(l, end) < 0 && bore >= draining_bore_m(sigma, net_.rho0_kg_per_m3)) return;
  const double hold = capillary_pa_diff(bore, sigma);
  const Queue& q = c.line[l.place].queue;
  if (q.count == 0 || (q.count == 1 && q[0].slug)) return;
  const int mouth = end == End::near ? 0 : q.count - 1;
  const bool inside = q[mouth].slug && is_slug(volume_m3(q[mouth], line_state(c, l.place)), bore);
  s.low_pa = -hold;
  s.high_pa = hold;
  if (!inside || creep_m_per_s(l, end) > 0) return;
  (end == End::far ? s.high_pa : s.low_pa) *= -1;
}

void Transport::edge_states(const Contents& c, const std::vector<double>& volume, double duration_s,
                            std::vector<EdgeState<double>>& states) const {
  const double mu_ratio = mu_air_pa_s / net_.mu_pa_s;
  for (std::size_t i = 0; i < net_.edges.size(); ++i) {
    const Edge& e = net_.edges[i];
    EdgeState<double>& s = states[i];
    s = {};
    const auto pressure = [&](int place) { return place < 0 ? p0_pa_abs : c.pressure_pa_abs[at(place)]; };
    const bool back = volume[i] != 0 ? volume[i] < 0 : pressure(e.to) > pressure(e.from);
    const int donor = back ? e.to : e.from;
    const double asked = std::abs(volume[i]);
    Bundle b{.oil_kg = 1};                                 // oil, unless something else is known to come
    if (asked > 0) b = peek(c, donor, static_cast<int>(i), asked, duration_s);
    const double at_from = volume_at(c, e.from, b), at_to = volume_at(c, e.to, b);
    if (at_from > 0 && at_to > 0) s.ratio = at_to / at_from;
    if (back) s.at_from = 1 / s.ratio;
    constexpr double drop_m3 = 1e-10;                      // a leak passes oil; a place without any holds what it has
    if (e.kind == EdgeKind::leak && donor >= 0 && held(c, donor).oil_kg < drop_m3 * net_.rho0_kg_per_m3) s.at_from = 0;
    const double here = back ? at_to : at_from;
    const Bundle oil{.oil_kg = b.oil_kg};
    const double gas = here > 0 ? std::clamp(1 - volume_at(c, donor, oil) / here, 0.0, 1.0) : 0.0;
    const double thick = viscosity_factor(net_.rig.oil, pressure(donor));
    if (e.kind == EdgeKind::line) {
      const bool near = e.from_share == 0 && e.to >= 0 && net_.places[at(e.to)].kind == PlaceKind::line;
      if (e.to == air_place || e.from == air_place)
        open_surface(c, line(at(near ? e.to : e.from)), near ? End::near : End::far, s);
      double viscosity = 0, density = 0;
      const auto half = [&](int place, double from, double to, double weight) {
        const std::size_t p = at(place);
        const LineState state = line_state(c, p);
        const double slugs = slug_share(c.line[p].queue, from, to, state);
        const double bubbles = std::min(1.0, total(c.line[p]).bubbles_kg() * state.gas_m3_per_kg / available_m3(net_, c, place));
        // Bubbles thicken (Hayward 1961, from memory).
        viscosity += weight * ((1 - slugs) * thick * (1 + 1.5 * bubbles) + slugs * mu_ratio);
        density += weight * (1 - slugs) * (1 - bubbles);
      };
      if (near) half(e.to, 0.0, 0.5, 1);
      else half(e.from, 0.5, 1.0, e.from_share > 0 ? e.from_share : 1.0);
      if (e.from_share > 0) half(e.to, 0.5, 1.0, 1 - e.from_share);
      s.viscosity = std::max(0.03, viscosity);             // a slug hardly resists, but less would leave no laminar zone
      // No more than the square of that: R^2/(4 c), the width of the laminar zone, stays what the tolerances were made for.
      s.density = std::min(std::max(1e-3, density), s.viscosity * s.viscosity);
    } else {
      s.density = std::max(1e-3, 1 - gas);
      s.viscosity = thick;                                 // of the oil along the edges: the zone around zero stays as wide
    }
    constexpr double trace = 1e-6;
    if ((e.kind == EdgeKind::orifice || e.kind == EdgeKind::released) && gas > trace) (back ? s.choke_to : s.choke_from) = 1 - choke_drop_share(gas);
    if (e.kind == EdgeKind::pump || e.kind == EdgeKind::section) s.slip = pump_slip_factor(gas, net_.mu_pa_s);
    s.head_pa = head_pa(c, e, s.density, asked / std::max(duration_s, 1e-9));
  }
}

}  // namespace evenstroke
