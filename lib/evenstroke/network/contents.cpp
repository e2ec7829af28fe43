#include "evenstroke/network/contents.hpp"

#include <algorithm>

#include "evenstroke/air/solution.hpp"
#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

bool contains(const std::vector<std::string>& list, const std::string& name) {
  return std::find(list.begin(), list.end(), name) != list.end();
}

double oil_that_fits_kg(const Network& n, double volume_m3, double gas_kg, double p) {
  const double oil = (volume_m3 - gas_kg * n.gas_j_per_kg / p) / relative_volume(n.liquid, p);
  return std::max(oil, 0.0) * n.rho0_kg_per_m3;
}

/// From the valve block: oil, the joint's bubbles in a stretch of it (a void of one fifth), its slug at the cylinder end.
LineContents joint_at_far_end(double oil_kg, double gas_kg, double coarse_kg, double fine_kg, double gas_that_fills_kg,
                              double dissolved_share) {
  LineContents l;
  const double slug_kg = gas_kg - coarse_kg - fine_kg, bubbly = 5 * (coarse_kg + fine_kg) / gas_that_fills_kg;
  if (oil_kg > 0) l.queue[l.queue.count++] = {oil_kg, 0.0, oil_kg * dissolved_share, false};
  if (slug_kg > 0) l.queue[l.queue.count++] = {0.0, slug_kg, 0.0, true};
  const double end = 1 - slug_kg / gas_that_fills_kg;
  const auto lay = [&](Swarm& s, double kg) {   // one tube; whoever moves it divides it among his own
    if (kg <= 0) return;
    s.cloud.assign(Swarm::capacity, {});
    s.cloud[0] = {std::max(0.0, end - bubbly), end, kg};
    s.count = {1};
    s.kg = kg;
  };
  lay(l.bubbles[coarse], coarse_kg);
  lay(l.bubbles[fine], fine_kg);
  return l;
}

void check_parts(const Rig& rig, const std::vector<std::string>& parts, const char* field, bool lines_only) {
  for (const std::string& p : parts) {
    const bool is_line = p.size() > 5 && p.compare(p.size() - 5, 5, "_line") == 0;
    if (!contains(part_names(rig), p) || (lines_only && !is_line))
      throw InputError(field, p, "", lines_only ? "must name a line of the rig" : "must name a part of the rig");
  }
}

}  // namespace

Masses total(const Queue& q) {
  Masses m;
  for (int i = 0; i < q.count; ++i) {
    m.oil_kg += q[i].oil_kg;
    m.pocket_kg += q[i].gas_kg;
    m.dissolved_kg += q[i].dissolved_kg;
  }
  return m;
}

Masses total(const LineContents& l) {
  Masses m = total(l.queue);
  m.coarse_kg = l.bubbles[coarse].kg;
  m.fine_kg = l.bubbles[fine].kg;
  return m;
}

Masses held(const Contents& c, int place) {
  const auto p = static_cast<std::size_t>(place);
  const LineContents& l = c.line[p];
  const bool is_line = l.queue.count > 0 || l.bubbles[coarse].kg > 0 || l.bubbles[fine].kg > 0;
  return is_line ? total(l) : c.masses[p];
}

Masses total(const Contents& c) {
  Masses m{.oil_kg = c.reservoir.oil_kg + c.container.oil_kg};
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    const Masses h = held(c, static_cast<int>(p));
    m.oil_kg += h.oil_kg;
    m.pocket_kg += h.pocket_kg;
    m.coarse_kg += h.coarse_kg;
    m.fine_kg += h.fine_kg;
    m.dissolved_kg += h.dissolved_kg;
  }
  return m;
}

double air_kg(const Contents& c) { return total(c).air_kg() + c.reservoir.air_kg() + c.container.air_kg(); }

double available_m3(const Network& n, const Contents& c, int place) {
  const Place& p = n.places[static_cast<std::size_t>(place)];
  return p.volume_m3 + (p.axis < 0 ? 0.0 : p.slope_m2 * c.position_m[static_cast<std::size_t>(p.axis)]);
}

double gas_j(const Network& n, const Contents& c, int place) {
  const Masses m = held(c, place);
  const double warmth = c.pocket_k[static_cast<std::size_t>(place)] / n.rig.oil.temperature_k;
  return n.gas_j_per_kg * (m.pocket_kg * warmth + m.bubbles_kg());
}

Contents make_contents(const Network& n, const Recipe& recipe) {
  Contents c;
  c.recipe = recipe;
  c.recipe.valid = true;
  for (const Axis& a : n.axes) {
    c.axis.push_back(a.name);
    c.position_m.push_back(recipe.rods_out && a.branch >= 0 ? a.travel_m : 0.0);
    c.motion.push_back(0);
  }
  c.rest_s.assign(n.axes.size(), 0.0);
  c.masses.resize(n.places.size());
  c.line.resize(n.places.size());
  c.pressure_pa_abs.assign(n.places.size(), p0_pa_abs);
  c.pocket_k.assign(n.places.size(), n.rig.oil.temperature_k);
  const AirInputs& air = n.rig.air;
  const double gas_m3_per_kg = n.gas_j_per_kg / p0_pa_abs;
  const double dissolved_share = air.saturation * dissolved_at_kg_per_m3(air.bunsen, p0_pa_abs) / n.rho0_kg_per_m3;
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const Place& place = n.places[i];
    c.place.push_back(place.name);
    const double v = available_m3(n, c, static_cast<int>(i));
    const bool dry = contains(recipe.dry, place.part);
    const double joint = !dry && contains(recipe.opened, place.name) ? std::min(air.joint_m3, 0.5 * v) : 0.0;
    const double gas = (dry ? v : joint) / gas_m3_per_kg;
    const double oil = dry ? 0.0 : oil_that_fits_kg(n, v, gas, p0_pa_abs);
    const double coarse_kg = air.coarse_share * gas, fine_kg = air.dispersed_share * gas;
    if (place.kind == PlaceKind::line)
      c.line[i] = joint_at_far_end(oil, gas, oil > 0 ? coarse_kg : 0.0, oil > 0 ? fine_kg : 0.0, v / gas_m3_per_kg, dissolved_share);
    else
      c.masses[i] = {oil, gas - coarse_kg - fine_kg, coarse_kg, fine_kg, oil * dissolved_share};
  }
  c.reservoir.oil_kg = n.rig.reservoir.oil_m3 * n.rho0_kg_per_m3;
  c.container.oil_kg = n.rig.reservoir.container_m3 * n.rho0_kg_per_m3;
  for (Tank* t : {&c.reservoir, &c.container}) t->dissolved_kg = t->oil_kg * dissolved_share;
  return c;
}

Contents after_exchange(const Rig& rig, const std::vector<std::string>& dry, const std::vector<std::string>& opened,
                        bool rods_out) {
  check_parts(rig, dry, "dry", false);
  check_parts(rig, opened, "opened", true);
  return make_contents(make_network(rig), {dry, opened, rods_out, false, true});
}

Contents bled(const Rig& rig, bool rods_out) {
  return make_contents(make_network(rig), {{}, {}, rods_out, true, true});
}

void check(const Contents& c, const Rig& rig) {
  const Network n = make_network(rig);
  const auto known = [](const std::vector<std::string>& have, const std::string& name) {
    if (!contains(have, name)) throw InputError("contents", name, "", "missing: they must come from a rig with the same parts");
  };
  for (const Place& p : n.places) known(c.place, p.name);
  for (const Axis& a : n.axes) known(c.axis, a.name);
  if (c.place.size() != n.places.size() || c.axis.size() != n.axes.size())
    throw InputError("contents", std::to_string(c.place.size()) + " places", "", "must come from a rig with the same parts");
  check_parts(rig, c.recipe.dry, "dry", false);
  check_parts(rig, c.recipe.opened, "opened", true);
}

Rig as_warm(const Rig& rig, const Contents& c) {
  Rig warm = rig;
  warm.oil.temperature_k += c.warmed_k;
  return warm;
}

Contents reordered(const Contents& from, const Network& n) {
  const auto find = [](const std::vector<std::string>& names, const std::string& name) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end()) throw InputError("contents", name, "", "missing: they must come from a rig with the same parts");
    return static_cast<std::size_t>(found - names.begin());
  };
  Contents c = from;
  c.place.resize(n.places.size());
  c.axis.resize(n.axes.size());
  c.masses.resize(n.places.size());
  c.line.resize(n.places.size());
  c.pressure_pa_abs.resize(n.places.size());
  c.pocket_k.resize(n.places.size());
  c.position_m.resize(n.axes.size());
  c.motion.resize(n.axes.size());
  c.rest_s.resize(n.axes.size());
  for (std::size_t a = 0; a < n.axes.size(); ++a) {
    const std::size_t k = find(from.axis, n.axes[a].name);
    c.axis[a] = n.axes[a].name;
    c.position_m[a] = from.position_m[k];
    c.motion[a] = from.motion[k];
    c.rest_s[a] = from.rest_s[k];
  }
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const std::size_t k = find(from.place, n.places[i].name);
    c.place[i] = n.places[i].name;
    c.pressure_pa_abs[i] = from.pressure_pa_abs[k];
    c.pocket_k[i] = from.pocket_k[k];
    c.masses[i] = from.masses[k];
    c.line[i] = from.line[k];
  }
  return c;
}

Contents fit(const Contents& from, const Network& n) {
  if (from.recipe.valid) return make_contents(n, from.recipe);   // nothing has run: made afresh from this rig's own joints
  Contents c = reordered(from, n);
  const double cavity_pa_abs = 1.001 * n.rig.air.cavity_pa_abs;   // at the floor there may be an open cavity: nothing says what would fill it
  for (std::size_t a = 0; a < n.axes.size(); ++a) c.position_m[a] = std::clamp(c.position_m[a], n.axes[a].low_m, n.axes[a].travel_m);
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const double p = c.pressure_pa_abs[i];
    const double v = available_m3(n, c, static_cast<int>(i)) + n.places[i].wall_m3_per_pa * (p - p0_pa_abs);
    const Masses h = held(c, static_cast<int>(i));
    const double oil = oil_that_fits_kg(n, v, gas_j(n, c, static_cast<int>(i)) / n.gas_j_per_kg, p);
    const double scale = h.oil_kg > 0 ? oil / h.oil_kg : 1.0;
    const bool same = std::abs(scale - 1) < 1e-9;   // the rig it came from: not one gram is touched
    if (same || p < cavity_pa_abs) continue;
    c.masses[i].oil_kg *= scale;
    c.masses[i].dissolved_kg *= scale;
    for (int j = 0; j < c.line[i].queue.count; ++j) {
      c.line[i].queue[j].oil_kg *= scale;
      c.line[i].queue[j].dissolved_kg *= scale;
    }
  }
  return c;
}

}  // namespace evenstroke
