#include "evenstroke/network/contents.hpp"

#include <algorithm>

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
    (q[i].slug ? m.pocket_kg : m.dispersed_kg) += q[i].gas_kg;
  }
  return m;
}

Masses held(const Contents& c, int place) {
  const auto p = static_cast<std::size_t>(place);
  return c.queue[p].count ? total(c.queue[p]) : c.masses[p];
}

Masses total(const Contents& c) {
  Masses m{.oil_kg = c.reservoir_oil_kg};
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    const Masses h = held(c, static_cast<int>(p));
    m.oil_kg += h.oil_kg;
    m.pocket_kg += h.pocket_kg;
    m.dispersed_kg += h.dispersed_kg;
  }
  return m;
}

double available_m3(const Network& n, const Contents& c, int place) {
  const Place& p = n.places[static_cast<std::size_t>(place)];
  return p.volume_m3 + (p.axis < 0 ? 0.0 : p.slope_m2 * c.position_m[static_cast<std::size_t>(p.axis)]);
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
  c.masses.resize(n.places.size());
  c.queue.resize(n.places.size());
  c.pressure_pa_abs.assign(n.places.size(), p0_pa_abs);
  const double p = p0_pa_abs, air_per_m3 = p / n.gas_j_per_kg;
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const Place& place = n.places[i];
    c.place.push_back(place.name);
    const double v = available_m3(n, c, static_cast<int>(i));
    const bool dry = contains(recipe.dry, place.part);
    const double joint = !dry && contains(recipe.opened, place.name) ? std::min(n.rig.air.joint_m3, 0.5 * v) : 0.0;
    const double air = (dry ? v : joint) * air_per_m3;
    const double fine = n.rig.air.dispersed_share * air;
    const double oil = oil_that_fits_kg(n, v, air, p);
    if (place.kind != PlaceKind::line) {
      c.masses[i] = {oil, air - fine, fine};
      continue;
    }
    Queue& q = c.queue[i];   // from the valve block: oil, oil with the joint's fine bubbles, its slug at the cylinder end
    const double bubbly = std::min(4 * fine / air_per_m3 * n.rho0_kg_per_m3, oil);   // at a void of one fifth
    if (oil > bubbly) q[q.count++] = {oil - bubbly, 0.0, false};
    if (bubbly > 0) q[q.count++] = {bubbly, fine, false};
    if (air > 0) q[q.count++] = {0.0, bubbly > 0 ? air - fine : air, true};
  }
  c.reservoir_oil_kg = n.rig.reservoir.oil_m3 * n.rho0_kg_per_m3;
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
  c.queue.resize(n.places.size());
  c.pressure_pa_abs.resize(n.places.size());
  c.position_m.resize(n.axes.size());
  c.motion.resize(n.axes.size());
  for (std::size_t a = 0; a < n.axes.size(); ++a) {
    const std::size_t k = find(from.axis, n.axes[a].name);
    c.axis[a] = n.axes[a].name;
    c.position_m[a] = from.position_m[k];
    c.motion[a] = from.motion[k];
  }
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const std::size_t k = find(from.place, n.places[i].name);
    c.place[i] = n.places[i].name;
    c.pressure_pa_abs[i] = from.pressure_pa_abs[k];
    c.masses[i] = from.masses[k];
    c.queue[i] = from.queue[k];
  }
  return c;
}

Contents fit(const Contents& from, const Network& n) {
  if (from.recipe.valid) return make_contents(n, from.recipe);   // nothing has run: made afresh from this rig's own joints
  Contents c = reordered(from, n);
  constexpr double cavity_pa_abs = 1001;   // at the floor there may be an open cavity: nothing says what would fill it
  for (std::size_t a = 0; a < n.axes.size(); ++a) c.position_m[a] = std::min(c.position_m[a], n.axes[a].travel_m);
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const double p = c.pressure_pa_abs[i];
    const double v = available_m3(n, c, static_cast<int>(i)) + n.places[i].wall_m3_per_pa * (p - p0_pa_abs);
    const Masses h = held(c, static_cast<int>(i));
    const double oil = oil_that_fits_kg(n, v, h.gas_kg(), p);
    const double scale = h.oil_kg > 0 ? oil / h.oil_kg : 1.0;
    const bool same = std::abs(scale - 1) < 1e-9;   // the rig it came from: not one gram is touched
    if (same || p < cavity_pa_abs) continue;
    c.masses[i].oil_kg *= scale;
    for (int j = 0; j < c.queue[i].count; ++j) c.queue[i][j].oil_kg *= scale;
  }
  return c;
}

}  // namespace evenstroke
