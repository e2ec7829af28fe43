#include "evenstroke/procedure/procedure.hpp"

#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

/// People count steps from one.
std::string step_name(std::size_t index) { return "step " + std::to_string(index + 1); }

}  // namespace

void check(const Procedure& procedure) {
  check_range("", "max_strokes", Quantity::count, procedure.max_strokes, 1, 1000);
  if (procedure.steps.empty()) throw InputError("step", "", "", "a procedure has at least one step");
  bool repeating = false;
  for (std::size_t i = 0; i < procedure.steps.size(); ++i) {
    const Step& step = procedure.steps[i];
    check_range(step_name(i), "strokes", Quantity::count, step.strokes, 1, 1000);
    check_range(step_name(i), "dwell", Quantity::time, step.dwell_s, 0, 3600);
    if (repeating && !step.repeat)
      throw InputError(step_name(i) + ".repeat", "false", "",
                       "repeated steps stand together at the end: the step before it repeats");
    repeating = step.repeat;
  }
  if (!repeating)
    throw InputError(step_name(procedure.steps.size() - 1) + ".repeat", "false", "",
                     "at least one step repeats: the last");
}

void check(const Procedure& procedure, const Rig& rig) {
  check(procedure);
  for (std::size_t i = 0; i < procedure.steps.size(); ++i) {
    const Step& step = procedure.steps[i];
    if (step.bypass_open && rig.synchroniser.kind == SynchroniserKind::tee)
      throw InputError(step_name(i) + ".bypass", "open", "", "this rig has a tee, which has no bypass valves to open: leave bypass out, or write closed");
    if (step.rods == Rods::panel && !(rig.panel.mass_kg > 0))
      throw InputError(step_name(i) + ".rods", "panel", "", "this rig has no panel: panel.mass_kg is 0");
  }
}

}  // namespace evenstroke
