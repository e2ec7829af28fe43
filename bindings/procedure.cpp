#include "evenstroke/procedure/procedure.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "bind.hpp"
#include "evenstroke/base/quantity.hpp"
#include "evenstroke/base/suggest.hpp"
#include "evenstroke/io/step_words.hpp"

namespace evenstroke::binding {
namespace {

/// Which of the words it is.
std::size_t which(const char* field, const py::object& value, const std::vector<std::string>& words) {
  const auto word = given<std::string>("word", field, value);
  const auto found = std::find(words.begin(), words.end(), word);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  std::string list;
  for (const auto& w : words) list += (list.empty() ? "\"" : " or \"") + w + "\"";
  throw InputError(field, word, "", "must be " + list + did_you_mean(word, words));
}

std::vector<std::string> names(const char* field, const py::object& value, std::string (*rule)(const std::string&)) {
  auto list = given<std::vector<std::string>>("names", field, value);
  for (auto name = list.begin(); name != list.end(); ++name) {
    const std::string broken = std::find(list.begin(), name, *name) != name ? "is named twice" : rule(*name);
    if (!broken.empty()) throw InputError(field, *name, "", broken);
  }
  return list;
}

constexpr double zero_deg_c_k = 273.15;
const std::vector<std::string> valves{"closed", "open"};   // in the order of false and true
/// Attributes of a step after its kind.
constexpr const char* step_keys[] = {"bypass", "strokes", "dwell_s", "rods", "repeat", "stand_s", "parted", "line_end",
                                     "port", "attitude", "by_hand", "hand_n", "hand_speed_m_per_s", "valve", "bursts",
                                     "motor_s", "clear_m3", "refill", "press_s", "held_n", "extend_v", "retract_v", "travel",
                                     "halt_s", "let_go", "temperature_deg_c", "cracked_deg", "bleed"};

/// Refuses what belongs to steps of another kind, unless it says no more than the default does.
void check_keys(const Step& s) {
  const py::object mine = py::cast(s), usual = py::cast(Step());
  for (const char* key : step_keys) {
    if (mine.attr(key).equal(usual.attr(key))) continue;
    std::string rule = misplaced(key, s.kind);
    if (rule.empty() && (key == std::string("line_end") || key == std::string("port"))) rule = nothing_parted(s, true);
    if (rule.empty() && key == std::string("held_n")) rule = nothing_held(s, true);
    if (!rule.empty()) throw InputError(key, py::repr(mine.attr(key)).cast<std::string>(), "", rule);
  }
}

Step step(const py::object& kind, const py::object& bypass, const py::object& strokes, const py::object& dwell_s,
          const py::object& rods, const py::object& repeat, const py::object& stand_s, const py::object& parted,
          const py::object& line_end, const py::object& port, const py::object& attitude, const py::object& by_hand,
          const py::object& hand_n, const py::object& hand_speed, const py::object& valve, const py::object& bursts,
          const py::object& motor_s, const py::object& clear_m3, const py::object& refill, const py::object& press_s,
          const py::object& held_n, const py::object& extend_v, const py::object& retract_v, const py::object& travel,
          const py::object& halt_s, const py::object& let_go, const py::object& temperature_deg_c, const py::object& cracked_deg,
          const py::object& bleed) {
  Step s;
  s.kind = static_cast<StepKind>(which("kind", kind, step_kinds()));
  s.bypass_open = which("bypass", bypass, valves) == 1;
  s.strokes = given<int>("whole", "strokes", strokes, 1, 1000);
  s.dwell_s = given<double>("number", "dwell_s", dwell_s);
  s.rods = static_cast<Rods>(which("rods", rods, loads()));
  s.repeat = given<bool>("flag", "repeat", repeat);
  s.stand_s = given<double>("number", "stand_s", stand_s);
  s.joints.parted = names("parted", parted, &joint_rule);
  s.joints.line_end = static_cast<Opening>(which("line_end", line_end, openings()));
  s.joints.port = static_cast<Opening>(which("port", port, port_openings()));
  s.joints.attitude = attitude.is_none() ? -1 : static_cast<int>(which("attitude", attitude, attitudes()));
  s.joints.by_hand = names("by_hand", by_hand, &name_rule);
  s.joints.hand_n = given<double>("number", "hand_n", hand_n);
  s.joints.hand_m_per_s = given<double>("number", "hand_speed_m_per_s", hand_speed);
  s.retract = which("valve", valve, valve_positions()) == 1;
  s.bursts = given<int>("whole", "bursts", bursts, 1, 1000);
  s.motor_s = given<double>("number", "motor_s", motor_s);
  s.clear_m3 = given<double>("number", "clear_m3", clear_m3);
  s.refill = given<bool>("flag", "refill", refill);
  s.press_s = given<double>("number", "press_s", press_s);
  s.held_n = given<double>("number", "held_n", held_n);
  const auto ranged = [](const char* field, Quantity q, std::size_t spelling, const py::object& value, double low, double high) {
    if (value.is_none()) return 0.0;                       // as the rig says
    const double x = given<double>("number", field, value);
    return check_range_as("", field, q, unit_spellings(q)[spelling], x, low, high);
  };
  s.extend_v = ranged("extend", Quantity::voltage, 0, extend_v, 1, 400);
  s.retract_v = ranged("retract", Quantity::voltage, 0, retract_v, 1, 400);
  s.travel = given<double>("number", "travel", travel);
  s.halt_s = given<double>("number", "halt_s", halt_s);
  s.let_go = given<bool>("flag", "let_go", let_go);
  s.temperature_k = ranged("temperature", Quantity::temperature, 1, temperature_deg_c, 233.15, 393.15);
  s.cracked_rad = ranged("cracked", Quantity::angle, 1, cracked_deg, 0, 100 * std::numbers::pi / 180);
  s.joints.bled = names("bleed", bleed, &place_rule);
  check_keys(s);
  return s;
}

const std::string& kind(const Step& s) { return step_kinds()[static_cast<std::size_t>(s.kind)]; }
const std::string& bypass(const Step& s) { return valves[s.bypass_open]; }
const std::string& valve(const Step& s) { return valve_positions()[s.retract]; }
const std::string& rods(const Step& s) { return loads()[static_cast<std::size_t>(s.rods)]; }
const std::string& opening(Opening o) { return openings()[static_cast<std::size_t>(o)]; }
py::object attitude(const Step& s) {
  if (s.joints.attitude < 0) return py::none();
  return py::str(attitudes()[static_cast<std::size_t>(s.joints.attitude)]);
}
/// None where the rig's own holds, as 0 says.
py::object or_none(double value) { return value == 0 ? py::object(py::none()) : py::float_(value); }
py::object temperature(const Step& s) {   // without the last digits that the way over kelvin leaves
  if (s.temperature_k == 0) return py::none();
  return py::float_(std::round(1e9 * (s.temperature_k - zero_deg_c_k)) / 1e9);
}
py::tuple tuple(const std::vector<std::string>& list) { return py::tuple(py::cast(list)); }

/// What makes the step again: of a cycle everything, of the others what is not as usual.
std::string step_text(const Step& s) {
  const py::object mine = py::cast(s), usual = py::cast(Step());
  std::string text = s.kind == StepKind::stroke ? "" : "kind='" + kind(s) + "'";
  for (const char* key : step_keys) {
    const py::object value = mine.attr(key);
    const bool told = s.kind == StepKind::stroke ? misplaced(key, s.kind).empty() : !value.equal(usual.attr(key));
    if (told) text += (text.empty() ? "" : ", ") + std::string(key) + "=" + py::repr(value).cast<std::string>();
  }
  return "Step(" + text + ")";
}

/// "2 open", "3 by hand", "stand 600 s"
std::string short_text(const Step& s) {
  switch (s.kind) {
    case StepKind::stroke: return std::to_string(s.strokes) + " " + (s.cracked_rad > 0 ? "cracked" : bypass(s));
    case StepKind::hand: return std::to_string(s.strokes) + " by hand";
    case StepKind::stand: return "stand " + number_text(s.stand_s) + " s";
    case StepKind::flush: return "flush";
    case StepKind::refill: return "refill";
    case StepKind::compare: return "compare";
  }
  return "";
}
}  // namespace

void bind_procedure(py::module_& m) {
  const Step usual;
  py::classh<Step> one(m, "Step", R"doc(One step of a procedure: strokes by power or hand, a stand, a flush, filling up, a comparison.

Every parameter is an attribute, too. Powered strokes (``kind="cycle"``) have every joint made. The other steps are done
on the way to the next powered stroke; only powered strokes are counted. A joint that is parted lets go its pressure
and spills; one that is made shuts in ``air.joint_m3`` of the rig.

Parameters
----------
kind : {"cycle", "hand", "stand", "flush", "refill", "compare"}
    Bleed strokes under power: extend, dwell, retract, dwell. The same with rods that a hand moves, pump off. Nothing is
    moved, time passes: oil drains, bubbles rise, air dissolves or comes out. The pump sends oil through what the joints
    leave open. Reservoir and container are filled up to where they stood at the start. One powered stroke is made to read
    the rods, with a halt half way and a push against the upper stops; it is not counted.
bypass : {"closed", "open"}
    The bypass valves of the synchroniser.
strokes : int, 1 to 1000, of a cycle or by hand
dwell_s : float, s, 0 to 3600, default 10, of a cycle, by hand, of a flush or a comparison
    At each stop, after each burst: motor off, valve left where it is.
rods : {"free", "panel", "held"}, of a cycle or a comparison
    They carry nothing, the panel, or nothing and neighbours are held together by hand.
repeat : bool
    Belongs to the block that is repeated until the end.
stand_s : float, s, 0 to 864000, default 60, of a stand
parted : list of str, by hand, of a stand or a flush
    Joints between a line and its cylinder that are taken apart: ``"left.cap_port"``, ``"right.rod_port"``; and between
    the valve block and what leads on from it, which is capped: ``"valve_block.a"`` (lifting side), ``"valve_block.b"``.
line_end : {"capped", "air", "container", "joined"}
    What the lines' ends at parted joints look into: nothing, the air, a container of oil; or the two of a branch are
    joined to each other.
port : {"capped", "air", "container"}
    The same of the ports.
attitude : {"rod_up", "rod_down", "level"} or None, of a cycle, by hand, of a stand or a flush
    All cylinders are turned this way for the step; None: they stay as they stand.
by_hand : list of str, by hand
    Branches whose rod a hand moves, at least one.
hand_n : float, N, 1 to 5000, default 200, by hand
    The hand's force at rest.
hand_speed_m_per_s : float, m/s, 1e-4 to 1, default 0.05, by hand
    Its speed against no force; its force falls straight from one to the other.
valve : {"extend", "retract"}, of a flush
    How the directional valve stands.
bursts : int, 1 to 1000, of a flush
    The motor is switched on so many times at most.
motor_s : float, s, 0.1 to 3600, default 60, of a flush
    For so long each time.
clear_m3 : float, m3, 0 to 1, of a flush
    It ends once so much oil has come out without a bubble that can be seen (``observer.visible_m``,
    ``observer.visible_share`` of the rig); 0: after all bursts.
refill : bool, of a flush
    Fill up before each burst.
press_s : float, s, 0 to 600, default 0, of a cycle
    At each stop the motor stays on for so long, against the relief valve, before the dwell.
held_n : float, N, 1 to 5000, default 300, of rods that are held
    Force at which the hands give way.
extend_v, retract_v : float, V, 1 to 400, or None, of a cycle
    At the motor while the rods go out, and in; more than the idle pump takes. None: the supply of the rig.
travel : float, 0.05 to 1, default 1, of a cycle
    The stroke turns once the rods, in the mean, are out so far, as a share of the whole stroke; it ends at the lower stops.
halt_s : float, s, 0 to 86400, default 2, of a comparison
    The halt half way: motor off, valve left where it is. What the rods come back meanwhile is told.
let_go : bool, of a stand
    At its end, and with each kelvin of a change of temperature, the directional valve is put both ways for two seconds
    each, motor off: neither side keeps its pressure.
temperature_deg_c : float, deg C, -40 to 120, or None, of a stand
    Oil, air and walls warm or cool to it, evenly over the stand, and keep it. None: they stay as they are.
cracked_deg : float, deg, 0 to 100, or None
    Bypass valves that are not open are turned by hand so far from shut; ``synchroniser.bypass_turn`` of the rig opens them
    all the way. None: shut.
bleed : list of str, of a cycle, a stand or a flush
    Places, as in ``"left.outlet"``, whose bleed screw is cracked (``valve_block.bleed_area``), a hose from it in the container:
    gas comes out first. A cap chamber or an outlet under load sinks through it.

Raises
------
InputError
    Another word, no whole number of strokes, no number, no list of names, a joint's name of another form, ends without
    a parted joint, a force of hands that hold nothing, and what belongs to steps of another kind. Ranges are looked at
    by `Procedure`, names of branches by `run`.)doc");
  one.def(py::init(&step), py::kw_only(), py::arg("kind") = kind(usual), py::arg("bypass") = bypass(usual),
          py::arg("strokes") = usual.strokes, py::arg("dwell_s") = usual.dwell_s, py::arg("rods") = rods(usual),
          py::arg("repeat") = usual.repeat, py::arg("stand_s") = usual.stand_s, py::arg("parted") = py::tuple(),
          py::arg("line_end") = opening(usual.joints.line_end), py::arg("port") = opening(usual.joints.port),
          py::arg("attitude") = attitude(usual), py::arg("by_hand") = py::tuple(),
          py::arg("hand_n") = usual.joints.hand_n, py::arg("hand_speed_m_per_s") = usual.joints.hand_m_per_s,
          py::arg("valve") = valve(usual), py::arg("bursts") = usual.bursts, py::arg("motor_s") = usual.motor_s,
          py::arg("clear_m3") = usual.clear_m3, py::arg("refill") = usual.refill, py::arg("press_s") = usual.press_s,
          py::arg("held_n") = usual.held_n, py::arg("extend_v") = py::none(), py::arg("retract_v") = py::none(),
          py::arg("travel") = usual.travel, py::arg("halt_s") = usual.halt_s, py::arg("let_go") = usual.let_go,
          py::arg("temperature_deg_c") = py::none(), py::arg("cracked_deg") = py::none(), py::arg("bleed") = py::tuple())
      .def_property_readonly("kind", &kind)
      .def_property_readonly("bypass", &bypass)
      .def_readonly("strokes", &Step::strokes)
      .def_readonly("dwell_s", &Step::dwell_s)
      .def_property_readonly("rods", &rods)
      .def_readonly("repeat", &Step::repeat)
      .def_readonly("stand_s", &Step::stand_s)
      .def_property_readonly("parted", [](const Step& s) { return tuple(s.joints.parted); })
      .def_property_readonly("line_end", [](const Step& s) { return opening(s.joints.line_end); })
      .def_property_readonly("port", [](const Step& s) { return opening(s.joints.port); })
      .def_property_readonly("attitude", &attitude)
      .def_property_readonly("by_hand", [](const Step& s) { return tuple(s.joints.by_hand); })
      .def_property_readonly("hand_n", [](const Step& s) { return s.joints.hand_n; })
      .def_property_readonly("hand_speed_m_per_s", [](const Step& s) { return s.joints.hand_m_per_s; })
      .def_property_readonly("valve", &valve)
      .def_readonly("bursts", &Step::bursts)
      .def_readonly("motor_s", &Step::motor_s)
      .def_readonly("clear_m3", &Step::clear_m3)
      .def_readonly("refill", &Step::refill)
      .def_readonly("press_s", &Step::press_s)
      .def_readonly("held_n", &Step::held_n)
      .def_property_readonly("extend_v", [](const Step& s) { return or_none(s.extend_v); })
      .def_property_readonly("retract_v", [](const Step& s) { return or_none(s.retract_v); })
      .def_readonly("travel", &Step::travel)
      .def_readonly("halt_s", &Step::halt_s)
      .def_readonly("let_go", &Step::let_go)
      .def_property_readonly("temperature_deg_c", &temperature)
      .def_property_readonly("cracked_deg", [](const Step& s) {
        return or_none(std::round(1e9 * s.cracked_rad * 180 / std::numbers::pi) / 1e9);
      })
      .def_property_readonly("bleed", [](const Step& s) { return tuple(s.joints.bled); })
      .def("__repr__", &step_text);
  value_type<Step>(one);

  py::classh<Procedure> all(m, "Procedure", R"doc(Ordered steps, top to bottom, then the repeated block again and again.

Parameters
----------
steps : list of Step
    At least one; those marked ``repeat`` stand together at the end, the last is one of them, and so is at least one
    step of powered strokes.
name : str
max_strokes : int, 1 to 1000, default 60
    Powered strokes, after which a run gives up.

Raises
------
InputError
    A range, repeated steps that do not stand together at the end, none of them powered, or a step by hand that names
    no branch.)doc");
  all.def(py::init([](const py::object& steps, const py::object& name, const py::object& max_strokes) {
            Procedure p{given<std::string>("word", "name", name),
                        given<std::vector<Step>>("all_of", "steps", steps, py::type::of<Step>()),
                        given<int>("whole", "max_strokes", max_strokes, 1, 1000)};
            check(p);
            return p;
          }),
          py::kw_only(), py::arg("steps"), py::arg("name") = "", py::arg("max_strokes") = Procedure().max_strokes)
      .def_readonly("name", &Procedure::name)
      .def_property_readonly("steps", [](const Procedure& p) { return py::tuple(py::cast(p.steps)); })
      .def_readonly("max_strokes", &Procedure::max_strokes)
      .def("__repr__", [](const Procedure& p) {
        std::string text = "<Procedure \"" + p.name + "\", up to " + std::to_string(p.max_strokes) + " strokes:";
        for (const Step& s : p.steps)
          text += " " + short_text(s) + (s.repeat ? " (repeated)" : "") + (&s == &p.steps.back() ? "" : ",");
        return text + ">";
      });
  value_type<Procedure>(all);
}

}  // namespace evenstroke::binding
