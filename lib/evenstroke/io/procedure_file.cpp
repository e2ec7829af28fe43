#include <numbers>

#include "evenstroke/io/files.hpp"
#include "evenstroke/io/problems.hpp"
#include "evenstroke/io/step_words.hpp"
#include "evenstroke/io/table_reader.hpp"

namespace evenstroke {
namespace {

/// Refuses what is given but belongs to steps of another kind. The caller finds its place in the file.
void check_keys(const Step& step, const std::string& path, const std::vector<std::pair<std::string, bool>>& given) {
  for (const auto& [key, there] : given) {
    std::string rule = there ? misplaced(key, step.kind) : "";
    if (rule.empty() && (key == "line_end" || key == "port")) rule = nothing_parted(step, there);
    if (rule.empty() && key == "held_n") rule = nothing_held(step, there);
    if (!rule.empty()) throw InputError(path + "." + key, "", "", rule);
  }
}

Step read_step(TableReader in, const std::string& path) {
  Step step;
  const auto kind = in.choice("kind", step_kinds());
  const auto bypass = in.choice("bypass", {"closed", "open"});
  const auto rods = in.choice("rods", loads());
  const auto strokes = in.whole("strokes", 1, 1000);
  const auto dwell_s = in.number("dwell", Quantity::time, 0, 3600);
  const auto repeat = in.yes_or_no("repeat");
  const auto stand_s = in.number("stand", Quantity::time, 0, 864000);
  const auto parted = in.names("parted", &joint_rule);
  const auto line_end = in.choice("line_end", openings());
  const auto port = in.choice("port", port_openings());
  const auto attitude = in.choice("attitude", attitudes());
  const auto by_hand = in.names("by_hand", &name_rule);
  const auto hand_n = in.number("hand", Quantity::force, 1, 5000);
  const auto hand_speed = in.number("hand_speed", Quantity::speed, 1e-4, 1);
  const auto valve = in.choice("valve", valve_positions());
  const auto bursts = in.whole("bursts", 1, 1000);
  const auto motor_s = in.number("motor", Quantity::time, 0.1, 3600);
  const auto clear_m3 = in.number("clear", Quantity::volume, 0, 1);
  const auto refill = in.yes_or_no("refill");
  const auto press_s = in.number("press", Quantity::time, 0, 600);
  const auto held_n = in.number("held", Quantity::force, 1, 5000);
  const auto extend_v = in.number("extend", Quantity::voltage, 1, 400);
  const auto retract_v = in.number("retract", Quantity::voltage, 1, 400);
  const auto travel = in.number("travel", Quantity::ratio, 0.05, 1);
  const auto halt_s = in.number("halt", Quantity::time, 0, 86400);
  const auto let_go = in.yes_or_no("let_go");
  const auto temperature_k = in.number("temperature", Quantity::temperature, 233.15, 393.15);
  const auto cracked_rad = in.number("cracked", Quantity::angle, 0, 100 * std::numbers::pi / 180);
  const auto bleed = in.names("bleed", &place_rule);
  in.finish();
  if (!kind) in.missing("kind", "kind = \"cycle\", \"hand\", \"stand\", \"flush\", \"refill\" or \"compare\"");
  step.kind = static_cast<StepKind>(*kind);
  step.bypass_open = bypass.value_or(0) == 1;
  step.rods = static_cast<Rods>(rods.value_or(0));
  step.press_s = press_s.value_or(step.press_s);
  step.held_n = held_n.value_or(step.held_n);
  step.strokes = strokes.value_or(step.strokes);
  step.dwell_s = dwell_s.value_or(step.dwell_s);
  step.repeat = repeat.value_or(step.repeat);
  step.stand_s = stand_s.value_or(step.stand_s);
  step.retract = valve.value_or(0) == 1;
  step.bursts = bursts.value_or(step.bursts);
  step.motor_s = motor_s.value_or(step.motor_s);
  step.clear_m3 = clear_m3.value_or(step.clear_m3);
  step.refill = refill.value_or(step.refill);
  step.extend_v = extend_v.value_or(step.extend_v);
  step.retract_v = retract_v.value_or(step.retract_v);
  step.travel = travel.value_or(step.travel);
  step.halt_s = halt_s.value_or(step.halt_s);
  step.let_go = let_go.value_or(step.let_go);
  step.temperature_k = temperature_k.value_or(step.temperature_k);
  step.cracked_rad = cracked_rad.value_or(step.cracked_rad);
  Connections& joints = step.joints;
  joints.bled = bleed.value_or(joints.bled);
  joints.parted = parted.value_or(joints.parted);
  joints.line_end = static_cast<Opening>(line_end.value_or(0));
  joints.port = static_cast<Opening>(port.value_or(0));
  if (attitude) joints.attitude = static_cast<int>(*attitude);
  joints.by_hand = by_hand.value_or(joints.by_hand);
  joints.hand_n = hand_n.value_or(joints.hand_n);
  joints.hand_m_per_s = hand_speed.value_or(joints.hand_m_per_s);
  check_keys(step, path,
             {{"bypass", bypass.has_value()}, {"rods", rods.has_value()}, {"valve", valve.has_value()},
              {"bursts", bursts.has_value()}, {"motor_s", motor_s.has_value()}, {"clear_m3", clear_m3.has_value()},
              {"refill", refill.has_value()}, {"strokes", strokes.has_value()}, {"dwell_s", dwell_s.has_value()},
              {"stand_s", stand_s.has_value()}, {"parted", parted.has_value()}, {"line_end", line_end.has_value()},
              {"port", port.has_value()}, {"attitude", attitude.has_value()}, {"by_hand", by_hand.has_value()},
              {"hand_n", hand_n.has_value()}, {"hand_speed_m_per_s", hand_speed.has_value()}, {"press_s", press_s.has_value()},
              {"held_n", held_n.has_value()}, {"extend_v", extend_v.has_value()}, {"retract_v", retract_v.has_value()},
              {"travel", travel.has_value()}, {"halt_s", halt_s.has_value()}, {"let_go", let_go.has_value()},
              {"temperature_deg_c", temperature_k.has_value()}, {"cracked_deg", cracked_rad.has_value()},
              {"bleed", bleed.has_value()}});
  return step;
}

}  // namespace

Procedure parse_procedure(const std::string& text, const std::string& file_name) {
  TomlNode document = read_document(text, file_name);
  Procedure procedure;
  const TomlNode* steps = nullptr;
  Problems problems(document);
  problems.look_in([&] {
    TableReader top(file_name, &document, "");
    for (const char* table : {"oil", "pump", "synchroniser", "panel", "branch"})
      if (const TomlNode* found = top.take(table)) top.refuse(*found, "belongs to a rig file: is this one, and not a procedure?");
    top.take("format_version");
    procedure.name = top.text("name").value_or("");
    const auto max_strokes = top.whole("max_strokes", 1, 1000);
    steps = top.take("step");
    top.finish();
    procedure.max_strokes = max_strokes.value_or(procedure.max_strokes);
    if (!steps) top.missing("step", "at least one table [[step]]");
    bool tables = steps->kind == TomlNode::Kind::array;
    for (const auto& step : steps->items) tables = tables && step.kind == TomlNode::Kind::table;
    if (!tables) top.refuse(*steps, "every step is a table [[step]], with double brackets");
  });
  const auto in_place = [&](const std::function<void()>& job) {
    try {
      job();
    } catch (const FileError&) {
      throw;
    } catch (const InputError& e) {
      throw placed(e, document, file_name);
    }
  };
  for (std::size_t n = 0; steps && n < steps->items.size(); ++n)
    problems.look_in([&] {
      const std::string path = "step " + std::to_string(n + 1);
      in_place([&] { procedure.steps.push_back(read_step(TableReader(file_name, &steps->items[n], path), path)); });
    });
  problems.tell();
  in_place([&] { check(procedure); });
  return procedure;
}

Procedure load_procedure(const std::string& path) { return parse_procedure(read_text(path), path); }

Procedure parse_procedure(const std::string& text, const std::string& file_name, const Rig& rig) {
  Procedure procedure = parse_procedure(text, file_name);
  try {
    check(procedure, rig);
  } catch (const InputError& e) {
    throw placed(e, read_document(text, file_name), file_name);
  }
  return procedure;
}

Procedure load_procedure(const std::string& path, const Rig& rig) { return parse_procedure(read_text(path), path, rig); }

}  // namespace evenstroke
