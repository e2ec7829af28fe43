#include "evenstroke/rig/rig.hpp"

#include <algorithm>
#include <set>

#include "evenstroke/base/error.hpp"
#include "evenstroke/components/refuse.hpp"

namespace evenstroke {
namespace {

/// A name becomes part of paths and column names: small letters, digits, underscore.
void check_name(const std::string& name) {
  bool good = !name.empty() && name.size() <= 32 && name[0] >= 'a' && name[0] <= 'z';
  for (const char c : name) good = good && ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_');
  if (!good)
    throw InputError("branch." + name, "", "",
                     "a branch's name has up to 32 small letters, digits and _, a letter first");
}

/// A line's keys stand in its branch's table with a prefix: "branch.left.cap_line_bore_m".
void check_line(const Line& line, const std::string& where) {
  try {
    check(line, where);
  } catch (const InputError& e) {
    if (!e.field.starts_with(where + ".")) throw;
    throw InputError(where + "_" + e.field.substr(where.size() + 1), e.value, e.unit, e.rule);
  }
}

/// Only of what is there something must be given.
template <class P>
void check_if_there(const Rig& rig, const P& part, const std::string& where) {
  if (counts(rig, part)) check(part, where);
  else check_fields(part, where);
}

void check_kind(const Rig& rig) {
  check_if_there(rig, rig.spool, "synchroniser");
  check_if_there(rig, rig.rotary, "synchroniser");
  check_if_there(rig, rig.series, "synchroniser");
  check(rig.locks, "valve_block");
  check_if_there(rig, rig.closed, "valve_block");
  const std::string branches = std::to_string(rig.branches.size());
  if (is_spool(rig.synchroniser.kind) && rig.spool.spool_area_m2 * rig.spool.spool_way_m > 0.5 * rig.synchroniser.outlet_m3)
    refuse("synchroniser", "outlet", Quantity::volume, rig.synchroniser.outlet_m3,
           "must hold twice what the spool displaces, spool_area times spool_way");
  if (is_spool(rig.synchroniser.kind) && rig.branches.size() != 2)
    throw InputError("branch", branches, "", "a spool divides between 2 branches; for more take a rotary divider");
  if (rig.synchroniser.kind == SynchroniserKind::series_pair && rig.branches.size() < 2)
    throw InputError("branch", branches, "", "cylinders in series are 2 at least");
  if (rig.valve_block.circuit == CircuitKind::closed && rig.valve_block.counterbalance_pa_gauge > 0)
    refuse("valve_block", "counterbalance", Quantity::pressure_gauge, rig.valve_block.counterbalance_pa_gauge,
           "stands in the return path of an open circuit; a closed one takes check_a_ratio");
  if (rig.locks.check_a_ratio > 0 && rig.valve_block.counterbalance_pa_gauge > 0)
    refuse("valve_block", "counterbalance", Quantity::pressure_gauge, rig.valve_block.counterbalance_pa_gauge,
           "A has a pilot-operated check valve already: give one of the two");
  if (rig.valve_block.circuit == CircuitKind::closed && rig.locks.counterbalance_b_pa_gauge > 0)
    refuse("valve_block", "counterbalance_b", Quantity::pressure_gauge, rig.locks.counterbalance_b_pa_gauge,
           "stands in the return path of an open circuit; a closed one takes check_b_ratio");
}

}  // namespace

void check(const Rig& rig) {
  check(rig.oil, "oil");
  check(rig.pump, "pump");
  check(rig.valve_block, "valve_block");
  check(rig.reservoir, "reservoir");
  check(rig.synchroniser, "synchroniser");
  check_kind(rig);
  check(rig.air, "air");
  if (rig.branches.empty() || rig.branches.size() > 8)
    throw InputError("branch", std::to_string(rig.branches.size()), "", "a rig has 1 to 8 branches");
  std::set<std::string> names;
  for (const auto& b : rig.branches) {
    check_name(b.name);
    const std::string where = "branch." + b.name;
    if (!names.insert(b.name).second) throw InputError(where, "", "", "this name is given to two branches");
    check(b.cylinder, where);
    check_line(b.cap_line, where + ".cap_line");
    check_line(b.rod_line, where + ".rod_line");
    check(b.outlet, where);
  }
  double longest_m = 0;
  for (const auto& b : rig.branches) longest_m = std::max(longest_m, b.cylinder.stroke_m);
  check(rig.panel, "panel", longest_m);
  check(rig.observer, "observer");
}

std::vector<std::string> part_names(const Rig& rig) {
  std::vector<std::string> names;
  for (const auto& b : rig.branches)
    for (const char* part : {".cylinder", ".cap_line", ".rod_line"}) names.push_back(b.name + part);
  names.emplace_back("valve_block");
  if (rig.synchroniser.kind != SynchroniserKind::tee) names.emplace_back("synchroniser");
  return names;
}

}  // namespace evenstroke
