#include "evenstroke/transport/exchange.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/air/pocket_heat.hpp"
#include "evenstroke/air/solution.hpp"
#include "evenstroke/transport/swarm.hpp"

namespace evenstroke {
namespace {

constexpr double packed = 0.5;               // void above which that law has no data: froth drains no slower than this
constexpr double shortest_s = 1e-3, endless_s = 1e30;

double gone(double times) { return -std::expm1(-times); }   // 1 - exp(-t/tau)

double pocket_radius_m(const Network& n, const Place& p) {
  const auto round_m = [](double area) { return std::sqrt(area / std::numbers::pi); };
  if (p.kind == PlaceKind::line) return p.bore_m / 2;
  if (p.kind == PlaceKind::passage) return std::cbrt(0.75 / std::numbers::pi * p.trap_m3);
  if (p.axis < 0 || p.axis >= n.branches()) return round_m(std::abs(p.slope_m2));
  return n.rig.branches[static_cast<std::size_t>(p.branch)].cylinder.bore_m / 2;
}

}  // namespace

Exchange::Exchange(const Network& n, int streamtubes) : net_(n), tubes_(n, streamtubes), shut_in_(n) {
  for (const Place& p : n.places) radius_m_.push_back(pocket_radius_m(n, p));
  for (auto* v : {&source_m3_per_s_, &gas_m3_}) v->assign(n.places.size(), 0.0);
}

void Exchange::apply(Contents& c, double duration_s, const std::vector<double>& before_pa_abs) {
  start();
  compress(c, before_pa_abs, std::vector<double>(net_.places.size(), 0.0));
  settle(c, duration_s);
}

/// V = G [stiff/p_before + (1 - stiff)/p] = m R T/p
void Exchange::compress(Contents& c, const std::vector<double>& before_pa_abs, const std::vector<double>& stiff) {
  was_k_ = c.pocket_k;
  was_pa_abs_ = last_pa_abs_.empty() ? before_pa_abs : last_pa_abs_;   // settling has let a pocket expand: that cools it, too
  for (std::size_t p = 0; p < net_.places.size(); ++p)
    c.pocket_k[p] *= 1 + stiff[p] * (c.pressure_pa_abs[p] / before_pa_abs[p] - 1);
}

void Exchange::settle(Contents& c, double duration_s) {
  last_pa_abs_ = c.pressure_pa_abs;
  if (duration_s <= 0) return;
  hot_ = false;
  duration_s_ = duration_s;
  since_s_ += duration_s;
  if (shut_) shut_in_.look(c);
  for (std::size_t p = 0; p < net_.places.size(); ++p) {
    relax(c, p, duration_s);
    const double solution_m3_per_s = solution_m3(c, p, duration_s) / duration_s;   // soon over where it is stiff
    source_m3_per_s_[p] = solution_m3_per_s / shut_in_.stiffening(p) + cooling_m3_per_s(c, p, duration_s);
    gas_m3_[p] = gas_j(net_, c, static_cast<int>(p)) / c.pressure_pa_abs[p];
    rise(c, p, duration_s);
  }
}

double Exchange::thermal_s(std::size_t p, double pressure) const {
  return radius_m_[p] > 0 ? net_.rig.air.pocket_heat * thermal_time_s(radius_m_[p], pressure) : 0.0;
}

void Exchange::stiffening(const Contents& c, double duration_s, std::vector<double>& share) const {
  constexpr double adiabatic = 1 - 1 / 1.4;
  for (std::size_t p = 0; p < share.size(); ++p) {
    const double times = duration_s / std::max(thermal_s(p, c.pressure_pa_abs[p]), 1e-300);
    share[p] = times > 1e9 ? 0.0 : times > 1e-6 ? adiabatic * gone(times) / times : adiabatic;
  }
}

double Exchange::time_limit_s(double bound_m3) const {
  constexpr double gas_share = 0.02;
  const AirInputs& air = net_.rig.air;           // pressures have just changed: what they will set going shows by and by
  const bool active = air.release_s < never_released_s || air.diffusivity_m2_per_s > 0;
  double limit_s = hot_ ? 2 * duration_s_ : active ? std::max(shortest_s, since_s_) : endless_s;
  for (std::size_t p = 0; p < source_m3_per_s_.size(); ++p) {
    const double may_m3 = std::max(bound_m3, gas_share * gas_m3_[p]), rate = std::abs(source_m3_per_s_[p]);
    if (rate * limit_s > may_m3) limit_s = may_m3 / rate;
  }
  return std::max(shortest_s, limit_s);
}

double Exchange::pocket_kg(const Contents& c, std::size_t p) const {
  return net_.places[p].kind == PlaceKind::line ? total(c.line[p].queue).pocket_kg : c.masses[p].pocket_kg;
}

void Exchange::relax(Contents& c, std::size_t p, double duration_s) const {
  const double wall = net_.rig.oil.temperature_k, pressure = c.pressure_pa_abs[p], time_s = thermal_s(p, pressure);
  c.pocket_k[p] = pocket_kg(c, p) <= 0 || time_s <= 0
                      ? wall : pocket_temperature_k(was_k_[p], wall, was_pa_abs_[p], pressure, duration_s, time_s);
}

/// Room that a pocket gives while it cools to the wall at the present pressure, over a quantum as long as the last.
double Exchange::cooling_m3_per_s(const Contents& c, std::size_t p, double duration_s) {
  const double wall = net_.rig.oil.temperature_k, over = c.pocket_k[p] - wall;
  if (over == 0) return 0;
  const double room_m3 = pocket_kg(c, p) * net_.gas_j_per_kg / c.pressure_pa_abs[p] * over / wall;
  hot_ = hot_ || std::abs(over) > 0.01 * wall;
  return room_m3 * gone(duration_s / std::max(thermal_s(p, c.pressure_pa_abs[p]), 1e-300)) / duration_s;
}

/// Returns the room given.
double Exchange::solution_m3(Contents& c, std::size_t p, double duration_s) const {
  const AirInputs& air = net_.rig.air;
  if (net_.places[p].kind == PlaceKind::line) {
    if (air.diffusivity_m2_per_s > 0) sweep_dust(c.line[p]);
    return line_solution_m3(c, p, duration_s);
  }
  Masses& m = c.masses[p];
  const double pressure = c.pressure_pa_abs[p], gas_m3_per_kg = net_.gas_j_per_kg / pressure;
  const double full_kg = dissolved_at_kg_per_m3(air.bunsen, pressure) * m.oil_kg / net_.rho0_kg_per_m3;
  const double excess_kg = m.dissolved_kg - full_kg;
  if (excess_kg > 1e-12 * full_kg) {             // less is round-off of what came in
    if (air.release_s >= never_released_s) return 0;
    const double kg = released_kg(excess_kg, duration_s, shut_in_.stiffening(p));   // as fine bubbles
    m.dissolved_kg -= kg;
    m.fine_kg += kg;
    return -kg * gas_m3_per_kg;
  }
  const std::array<double, 2> taken = taken_kg({m.coarse_kg, m.fine_kg}, m.dissolved_kg, full_kg,
                                               dissolving_times(pressure, duration_s), shut_in_.stiffening(p));
  m.coarse_kg -= taken[coarse];
  m.fine_kg -= taken[fine];
  m.dissolved_kg += taken[coarse] + taken[fine];
  return (taken[coarse] + taken[fine]) * gas_m3_per_kg;
}

std::array<double, 2> Exchange::dissolving_times(double pressure, double duration_s) const {
  const AirInputs& air = net_.rig.air;
  std::array<double, 2> times{};
  if (air.diffusivity_m2_per_s <= 0) return times;
  const double l = ostwald(air.bunsen, net_.rig.oil.temperature_k);
  for (const BubbleClass k : {coarse, fine})
    times[k] = duration_s * solution_rate_per_s(bubble_diameter_m(diameter_m(air, k), pressure), air.diffusivity_m2_per_s, l, 0);
  return times;
}

/// Each class at its own rate, together no more than the oil can still hold.
std::array<double, 2> Exchange::taken_kg(const std::array<double, 2>& bubbles_kg, double dissolved_kg, double full_kg,
                                         const std::array<double, 2>& times, double stiff) const {
  const double may_kg = (full_kg - dissolved_kg) / stiff;
  if (bubbles_kg[coarse] + bubbles_kg[fine] <= 0 || may_kg <= 0) return {};
  const double unsaturated = 1 - std::max(0.0, dissolved_kg / full_kg);
  std::array<double, 2> taken{};
  for (const BubbleClass k : {coarse, fine}) taken[k] = bubbles_kg[k] * gone(times[k] * unsaturated);
  const double wanted_kg = taken[coarse] + taken[fine];
  if (wanted_kg > may_kg)
    for (double& kg : taken) kg *= may_kg / wanted_kg;
  return taken;
}

double Exchange::released_kg(double excess_kg, double duration_s, double stiff) const {
  return excess_kg * gone(stiff * duration_s / net_.rig.air.release_s) / stiff;
}

/// Where bubbles dissolve they never end by themselves, they only halve and halve: the last 1e-16 kg go at once, since to
/// follow them through every streamtube would cost as much as to follow a millilitre.
void Exchange::sweep_dust(LineContents& l) {
  constexpr double dust_kg = 1e-16;
  const double oil_kg = total(l.queue).oil_kg;
  if (oil_kg <= 0) return;
  for (Swarm& s : l.bubbles) {
    if (s.kg <= 0 || s.kg > dust_kg) continue;
    const double kg = keep(s, [](double, double) { return 0.0; });
    for (int i = 0; i < l.queue.count; ++i) l.queue[i].dissolved_kg += kg * (l.queue[i].oil_kg / oil_kg);
  }
}

void Exchange::rise(Contents& c, std::size_t p, double duration_s) const {
  const Place& place = net_.places[p];
  if (place.kind == PlaceKind::line) return;
  Masses& m = c.masses[p];
  const double wall = net_.rig.oil.temperature_k, pressure = c.pressure_pa_abs[p];
  const double bubble_m3_per_kg = net_.gas_j_per_kg / pressure;
  const double pocket_m3_per_kg = bubble_m3_per_kg * c.pocket_k[p] / wall;
  double room_kg = m.bubbles_kg();
  if (place.kind == PlaceKind::passage) {
    const double over_kg = m.pocket_kg - place.trap_m3 / pocket_m3_per_kg;
    if (over_kg > 0) {                           // what flows past takes along all that is not in the high point
      m.pocket_kg -= over_kg;
      m.coarse_kg += over_kg;
      return;
    }
    room_kg = std::min(room_kg, -over_kg);
  }
  if (room_kg <= 0) return;
  const double oil_m3 = m.oil_kg * relative_volume(net_.liquid, pressure) / net_.rho0_kg_per_m3;
  const double bubbles_m3 = m.bubbles_kg() * bubble_m3_per_kg;
  const double a = std::min(packed, bubbles_m3 / (oil_m3 + bubbles_m3));
  const double swept_m3_s_per_m = std::pow(1 - a, net_.rig.air.crowding) * surface_m2(c, p) * duration_s;   // for one m/s of speed
  const auto rising_kg = [&](BubbleClass k, double kg) {
    if (kg <= 0 || oil_m3 <= 0) return kg;       // no oil: nothing to rise through
    const double speed = bubble_rise_m_per_s(bubble_diameter_m(diameter_m(net_.rig.air, k), pressure), net_.mu_pa_s, net_.rho0_kg_per_m3);
    return kg * gone(speed * swept_m3_s_per_m / oil_m3);
  };
  double coarse_kg = rising_kg(coarse, m.coarse_kg), fine_kg = rising_kg(fine, m.fine_kg);
  const double scale = std::min(1.0, room_kg / std::max(coarse_kg + fine_kg, 1e-300));
  coarse_kg *= scale;
  fine_kg *= scale;
  m.coarse_kg -= coarse_kg;
  m.fine_kg -= fine_kg;
  m.pocket_kg += coarse_kg + fine_kg;
  if (m.pocket_kg > 0)                           // the sum of m T stays
    c.pocket_k[p] += (wall - c.pocket_k[p]) * ((coarse_kg + fine_kg) / m.pocket_kg);
}

/// Through which rising bubbles reach the roof.
double Exchange::surface_m2(const Contents& c, std::size_t p) const {
  const Place& place = net_.places[p];
  const double volume = available_m3(net_, c, static_cast<int>(p)), area = std::abs(place.slope_m2);
  if (place.kind == PlaceKind::passage) return std::cbrt(volume * volume);
  if (place.axis < 0 || place.axis >= net_.branches()) return area;
  const Cylinder& cylinder = net_.rig.branches[static_cast<std::size_t>(place.branch)].cylinder;
  return cylinder.attitude == Attitude::level ? cylinder.bore_m * volume / area : area;
}

double torn_share(const Network& n, double area_m2, double flow_m3_per_s, double p_pa_abs) {
  if (area_m2 <= 0 || flow_m3_per_s == 0) return 0;
  const double bore_m = 2 * std::sqrt(area_m2 / std::numbers::pi);
  const double stretching_per_s = std::abs(flow_m3_per_s) / (area_m2 * bore_m);
  const double survives_m = breakup_diameter_m(stretching_per_s, n.mu_pa_s, n.rig.air.surface_tension_n_per_m);
  const double x = std::clamp((bubble_diameter_m(diameter_m(n.rig.air, coarse), p_pa_abs) / survives_m - 0.8) / 0.4, 0.0, 1.0);
  return x * x * (3 - 2 * x);
}

}  // namespace evenstroke
