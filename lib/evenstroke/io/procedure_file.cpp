#include "evenstroke/io/files.hpp"
#include "evenstroke/io/table_reader.hpp"

namespace evenstroke {
namespace {

Step read_step(TableReader in) {
  Step step;
  const auto kind = in.choice("kind", {"cycle"});
  const auto bypass = in.choice("bypass", {"closed", "open"});
  const auto rods = in.choice("rods", {"free", "panel"});
  const auto strokes = in.whole("strokes", 1, 1000);
  const auto dwell_s = in.number("dwell", Quantity::time, 0, 3600);
  const auto repeat = in.yes_or_no("repeat");
  in.finish();
  if (!kind) in.missing("kind", "kind = \"cycle\"");
  step.bypass_open = bypass.value_or(0) == 1;
  step.rods = rods.value_or(0) == 1 ? Rods::panel : Rods::free;
  step.strokes = strokes.value_or(step.strokes);
  step.dwell_s = dwell_s.value_or(step.dwell_s);
  step.repeat = repeat.value_or(step.repeat);
  return step;
}

}  // namespace

Procedure parse_procedure(const std::string& text, const std::string& file_name) {
  const TomlNode document = read_document(text, file_name);
  TableReader top(file_name, &document, "");
  Procedure procedure;
  top.take("format_version");
  procedure.name = top.text("name").value_or("");
  const auto max_strokes = top.whole("max_strokes", 1, 1000);
  const TomlNode* steps = top.take("step");
  top.finish();
  procedure.max_strokes = max_strokes.value_or(procedure.max_strokes);
  if (!steps) top.missing("step", "at least one table [[step]]");
  bool tables = steps->kind == TomlNode::Kind::array;
  for (const auto& step : steps->items) tables = tables && step.kind == TomlNode::Kind::table;
  if (!tables) top.refuse(*steps, "every step is a table [[step]], with double brackets");
  for (const auto& step : steps->items)
    procedure.steps.push_back(
        read_step(TableReader(file_name, &step, "step " + std::to_string(procedure.steps.size() + 1))));
  try {
    check(procedure);
  } catch (const InputError& e) {
    throw placed(e, document, file_name);
  }
  return procedure;
}

Procedure load_procedure(const std::string& path) { return parse_procedure(read_text(path), path); }

Procedure parse_procedure(const std::string& text, const std::string& file_name, const Rig& rig) {
  const Procedure procedure = parse_procedure(text, file_name);
  try {
    check(procedure, rig);
  } catch (const InputError& e) {
    throw placed(e, read_document(text, file_name), file_name);
  }
  return procedure;
}

Procedure load_procedure(const std::string& path, const Rig& rig) { return parse_procedure(read_text(path), path, rig); }

}  // namespace evenstroke
