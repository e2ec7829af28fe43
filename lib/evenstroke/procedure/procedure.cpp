#include "evenstroke/procedure/procedure.hpp"

#include <algorithm>
#include <numbers>
#include <numeric>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/suggest.hpp"
#include "evenstroke/procedure/circulation.hpp"

namespace evenstroke {
namespace {

/// People count steps from one.
std::string step_name(std::size_t index) { return "step " + std::to_string(index + 1); }

/// Line ends that are joined are the two of one branch.
void hoses_meet(const Step& step, const std::string& where, const std::vector<std::string>& branches) {
  const auto& parted = step.joints.parted;
  const auto among = [&](const std::string& name) { return std::find(parted.begin(), parted.end(), name) != parted.end(); };
  bool some = false;
  for (const std::string& b : branches) {
    some = some || among(b + ".cap_port");
    if (among(b + ".cap_port") != among(b + ".rod_port"))
      throw InputError(where + ".line_end", "joined", "",
                       "joins both line ends of a branch: part " + b + ".cap_port and " + b + ".rod_port");
  }
  if (!some) throw InputError(where + ".line_end", "joined", "", "joins both line ends of a branch: part its two ports");
}

void check_bleed_points(const Step& step, const std::string& where, const Rig& rig) {
  if (step.joints.bled.empty()) return;
  const std::vector<std::string> known = bleed_points(rig);
  for (const std::string& name : step.joints.bled)
    if (std::find(known.begin(), known.end(), name) == known.end())
      throw InputError(where + ".bleed", name, "", "must name a passage or a chamber of this rig, as in \"" + known.back() + "\"" + did_you_mean(name, known) + (name.ends_with("_line") ? "; a line has none: bleed at its ends" : ""));
}

}  // namespace

void check(const Procedure& procedure) {
  check_range("", "max_strokes", Quantity::count, procedure.max_strokes, 1, 1000);
  if (procedure.steps.empty()) throw InputError("step", "", "", "a procedure has at least one step");
  bool repeating = false, strokes = false, repeating_strokes = false;
  for (std::size_t i = 0; i < procedure.steps.size(); ++i) {
    const Step& step = procedure.steps[i];
    check_range(step_name(i), "strokes", Quantity::count, step.strokes, 1, 1000);
    check_range_as(step_name(i), "cracked", Quantity::angle, unit_spellings(Quantity::angle)[1],
                   step.cracked_rad * 180 / std::numbers::pi, 0, 100);
    if (step.cracked_rad > 0 && step.bypass_open)
      throw InputError(step_name(i) + ".cracked_deg", "", "", "bypass valves that are open are not cracked: leave one of the two out");
    check_range(step_name(i), "dwell", Quantity::time, step.dwell_s, 0, 3600);
    check_range(step_name(i), "press", Quantity::time, step.press_s, 0, 600);
    check_range(step_name(i), "held", Quantity::force, step.held_n, 1, 5000);
    for (const auto& [key, volt] : {std::pair{"extend", step.extend_v}, {"retract", step.retract_v}})
      if (volt != 0) check_range(step_name(i), key, Quantity::voltage, volt, 1, 400);
    check_range(step_name(i), "travel", Quantity::ratio, step.travel, 0.05, 1);
    check_range(step_name(i), "halt", Quantity::time, step.halt_s, 0, 86400);
    if (step.temperature_k != 0) check_range_as(step_name(i), "temperature", Quantity::temperature,
                                                unit_spellings(Quantity::temperature)[1], step.temperature_k - 273.15, 233.15, 393.15);
    check_range(step_name(i), "stand", Quantity::time, step.stand_s, 0, 864000);
    check_range(step_name(i), "bursts", Quantity::count, step.bursts, 1, 1000);
    check_range(step_name(i), "motor", Quantity::time, step.motor_s, 0.1, 3600);
    check_range(step_name(i), "clear", Quantity::volume, step.clear_m3, 0, 1);
    check_range(step_name(i), "hand", Quantity::force, step.joints.hand_n, 1, 5000);
    check_range(step_name(i), "hand_speed", Quantity::speed, step.joints.hand_m_per_s, 1e-4, 1);
    if (step.kind == StepKind::hand && step.joints.by_hand.empty())
      throw InputError(step_name(i) + ".by_hand", "", "", "a step by hand names at least one branch whose rod is moved");
    if (step.kind == StepKind::stroke && !(step.joints.parted.empty() && step.joints.by_hand.empty()))
      throw InputError(step_name(i) + ".parted", "", "", "powered strokes have every joint made: part joints in steps of kind hand, stand or flush");
    if (step.joints.attitude >= 0 && step.rods == Rods::panel)
      throw InputError(step_name(i) + ".attitude", "", "", "cylinders that are turned are off the panel: rods cannot carry it");
    strokes = strokes || step.kind == StepKind::stroke;
    repeating_strokes = repeating_strokes || (step.kind == StepKind::stroke && step.repeat);
    if (repeating && !step.repeat)
      throw InputError(step_name(i) + ".repeat", "false", "",
                       "repeated steps stand together at the end: the step before it repeats");
    repeating = step.repeat;
  }
  if (!repeating)
    throw InputError(step_name(procedure.steps.size() - 1) + ".repeat", "false", "",
                     "at least one step repeats: the last");
  if (!strokes || !repeating_strokes)
    throw InputError("step", "", "", "a procedure repeats at least one step of powered strokes (kind = \"cycle\")");
}

void check(const Procedure& procedure, const Rig& rig) {
  check(procedure);
  for (std::size_t i = 0; i < procedure.steps.size(); ++i) {
    const Step& step = procedure.steps[i];
    if ((step.bypass_open || step.cracked_rad > 0) && !has_bypass(rig.synchroniser.kind))
      throw InputError(step_name(i) + (step.bypass_open ? ".bypass" : ".cracked_deg"), step.bypass_open ? "open" : "", "",
                       std::string("this rig has a ") + (rig.synchroniser.kind == SynchroniserKind::tee ? "tee" : "series pair") +
                           ", which has no bypass valves to open: leave bypass out, or write closed");
    check_bleed_points(step, step_name(i), rig);
    if (step.rods == Rods::panel && !(rig.panel.mass_kg > 0))
      throw InputError(step_name(i) + ".rods", "panel", "", "this rig has no panel: panel.mass_kg is 0");
    if (step.rods == Rods::held && rig.branches.size() < 2)
      throw InputError(step_name(i) + ".rods", "held", "", "this rig has one rod: there is none to hold it to");
    for (const auto& [key, volt] : {std::pair{"extend", step.extend_v}, {"retract", step.retract_v}})
      if (volt != 0 && volt <= idle_v(rig.pump))
        throw InputError(step_name(i) + "." + key + "_v", number_text(volt), "V",
                         "must exceed the voltage that only just turns the idle pump, " + number_text(idle_v(rig.pump)) + " V");
    std::vector<std::string> branches, joints{"valve_block.a", "valve_block.b"};
    for (const Branch& b : rig.branches) {
      branches.push_back(b.name);
      for (const char* port : {".cap_port", ".rod_port"}) joints.push_back(b.name + port);
    }
    const auto among = [](const std::vector<std::string>& known, const std::string& name) {
      return std::find(known.begin(), known.end(), name) != known.end();
    };
    for (const std::string& h : step.joints.by_hand)
      if (!among(branches, h))
        throw InputError(step_name(i) + ".by_hand", h, "", "must name a branch of this rig" + did_you_mean(h, branches));
    for (const std::string& j : step.joints.parted)
      if (!among(joints, j))
        throw InputError(step_name(i) + ".parted", j, "",
                         "must name a joint, as in \"" + joints.back() + "\"" + did_you_mean(j, joints));
    if (step.joints.line_end == Opening::joined) hoses_meet(step, step_name(i), branches);
    if (step.kind != StepKind::flush) continue;
    std::vector<int> order(branches.size());
    std::iota(order.begin(), order.end(), 0);
    const std::string ends = dead_ends(make_network(rig, order, step.joints),
                                       {.extend = !step.retract, .retract = step.retract, .bypass_open = step.bypass_open, .bypass_rad = step.cracked_rad});
    if (!ends.empty())
      throw InputError(step_name(i) + ".kind", "flush", "",
                       "the oil has no way round, pistons do not pass: from the pump it gets as far as " + ends +
                           "; part a joint behind that and join its line ends or hold one into a container, or open the bypass");
  }
}

}  // namespace evenstroke
