#include "evenstroke/procedure/joints.hpp"

#include <algorithm>

#include "evenstroke/air/solution.hpp"
#include "evenstroke/transport/queue.hpp"

namespace evenstroke {
namespace {

/// "left.cap_port" parts "left.cap_line" from "left.cap_chamber"; "valve_block.a" is a passage itself.
std::string place_at(const std::string& joint, const char* kind) {
  constexpr std::size_t port = 5;   // letters of "_port"
  return joint.ends_with("_port") ? joint.substr(0, joint.size() - port) + kind : joint;
}

}  // namespace

std::vector<std::string> without(const std::vector<std::string>& joints, const std::vector<std::string>& others) {
  std::vector<std::string> rest;
  for (const std::string& j : joints)
    if (std::find(others.begin(), others.end(), j) == others.end()) rest.push_back(j);
  return rest;
}

std::vector<std::size_t> at_joint(const Network& n, const std::string& joint) {
  std::vector<std::size_t> places;
  for (const char* kind : {"_line", "_chamber"}) places.push_back(static_cast<std::size_t>(n.place(place_at(joint, kind))));
  return places;
}

void make_joint(Contents& c, const Network& n, const std::string& joint) {
  const double air_kg = n.rig.air.joint_m3 * p0_pa_abs / n.gas_j_per_kg;
  if (air_kg <= 0) return;
  const std::size_t p = at_joint(n, joint).front();
  const LineState s = line_state(n, c, p);
  Bundle out;
  if (n.places[p].kind == PlaceKind::line) {
    const double room_m3 = std::min(air_kg * s.slug_m3_per_kg, 0.5 * n.places[p].volume_m3);
    out = pop(c.line[p].queue, End::far, room_m3, s);
    const Bundle air{.pocket_kg = room_m3 / s.slug_m3_per_kg};
    push(c.line[p].queue, End::far, air, s);
    c.ledger.air_ingested_kg += air.pocket_kg;
  } else {
    Masses& m = c.masses[p];
    const double oil_m3 = m.oil_kg * s.oil_m3_per_kg, room_m3 = std::min(air_kg * s.gas_m3_per_kg, 0.5 * oil_m3);
    const double share = oil_m3 > 0 ? room_m3 / oil_m3 : 0.0;
    out = {.oil_kg = share * m.oil_kg, .dissolved_kg = share * m.dissolved_kg};
    m.oil_kg -= out.oil_kg;
    m.dissolved_kg -= out.dissolved_kg;
    m.coarse_kg += room_m3 / s.gas_m3_per_kg;
    c.ledger.air_ingested_kg += room_m3 / s.gas_m3_per_kg;
  }
  c.ledger.oil_spilled_kg += out.oil_kg;
  c.ledger.air_vented_kg += out.air_kg();
  c.recipe.valid = false;
}

double refill(Contents& c, const Network& n) {
  const AirInputs& air = n.rig.air;
  const double dissolved_share = air.saturation * dissolved_at_kg_per_m3(air.bunsen, p0_pa_abs) / n.rho0_kg_per_m3;
  double dissolved_kg = 0;
  const auto fill = [&](Tank& t, double mark_m3) {
    const double oil_kg = std::max(0.0, mark_m3 * n.rho0_kg_per_m3 - t.oil_kg);
    t.oil_kg += oil_kg;
    t.dissolved_kg += dissolved_share * oil_kg;
    c.ledger.oil_refilled_kg += oil_kg;
    c.ledger.air_ingested_kg += dissolved_share * oil_kg;
    dissolved_kg += dissolved_share * oil_kg;
  };
  fill(c.reservoir, n.rig.reservoir.oil_m3);
  fill(c.container, n.rig.reservoir.container_m3);
  return dissolved_kg;
}

}  // namespace evenstroke
