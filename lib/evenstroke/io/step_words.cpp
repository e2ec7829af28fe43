#include "evenstroke/io/step_words.hpp"

#include <algorithm>

#include "evenstroke/base/suggest.hpp"

namespace evenstroke {
namespace {

using Words = std::vector<std::string>;

/// Kinds that a key of a step belongs to; all of them when it is not listed.
Words kinds_of(const std::string& key) {
  const auto among = [&](const Words& keys) { return std::find(keys.begin(), keys.end(), key) != keys.end(); };
  if (key == "rods" || key == "held_n") return {"cycle", "compare"};
  if (among({"press_s", "extend_v", "retract_v", "travel"})) return {"cycle"};
  if (key == "halt_s") return {"compare"};
  if (key == "strokes") return {"cycle", "hand"};
  if (key == "dwell_s") return {"cycle", "hand", "flush", "compare"};
  if (key == "bypass" || key == "cracked_deg") return {"cycle", "hand", "stand", "flush", "compare"};
  if (among({"by_hand", "hand_n", "hand_speed_m_per_s"})) return {"hand"};
  if (key == "bleed") return {"cycle", "stand", "flush"};
  if (key == "attitude") return {"cycle", "hand", "stand", "flush"};
  if (among({"parted", "line_end", "port"})) return {"hand", "stand", "flush"};
  if (among({"stand_s", "temperature_deg_c", "let_go"})) return {"stand"};
  if (among({"valve", "bursts", "motor_s", "clear_m3", "refill"})) return {"flush"};
  return step_kinds();
}

}  // namespace

const std::vector<std::string>& step_kinds() {
  static const Words words{"cycle", "hand", "stand", "flush", "refill", "compare"};
  return words;
}

const std::vector<std::string>& loads() {
  static const Words words{"free", "panel", "held"};
  return words;
}

const std::vector<std::string>& openings() {
  static const Words words{"capped", "air", "container", "joined"};
  return words;
}

const std::vector<std::string>& port_openings() {
  static const Words words{openings().begin(), openings().end() - 1};
  return words;
}

const std::vector<std::string>& valve_positions() {
  static const Words words{"extend", "retract"};
  return words;
}

const std::vector<std::string>& attitudes() {
  static const Words words{"rod_up", "rod_down", "level"};
  return words;
}

std::string misplaced(const std::string& key, StepKind kind) {
  const Words kinds = kinds_of(key);
  const std::string& own = step_kinds()[static_cast<std::size_t>(kind)];
  if (std::find(kinds.begin(), kinds.end(), own) != kinds.end()) return "";
  std::string list;
  for (const auto& k : kinds) list += (list.empty() ? "\"" : " or \"") + k + "\"";
  return "belongs to a step of kind " + list + "; this one is of kind \"" + own + "\"";
}

std::string joint_rule(const std::string& name) {
  const auto dot = name.rfind('.');
  const std::string branch = dot == std::string::npos ? "" : name.substr(0, dot);
  const Words known{branch + ".cap_port", branch + ".rod_port", "valve_block.a", "valve_block.b"};
  if (!branch.empty() && std::find(known.begin(), known.end(), name) != known.end()) return "";
  return "must name a joint between a line and its cylinder, as in \"left.cap_port\", or a port of the valve block, as in "
         "\"valve_block.a\"" + (branch.empty() ? "" : did_you_mean(name, known));
}

std::string place_rule(const std::string& name) {
  return name.find('.') == std::string::npos ? "must name a place of the rig, as in \"left.outlet\" or \"valve_block.a\"" : "";
}

std::string name_rule(const std::string& name) { return name.empty() ? "must name a branch" : ""; }

std::string nothing_held(const Step& step, bool force_given) {
  if (!force_given || step.rods == Rods::held) return "";
  return "no rods are held: write rods = \"held\", or leave this out";
}

std::string nothing_parted(const Step& step, bool ends_given) {
  if (!ends_given || !step.joints.parted.empty()) return "";
  return "no joint is parted: name it in parted, or leave this out";
}

}  // namespace evenstroke
