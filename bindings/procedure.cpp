#include "evenstroke/procedure/procedure.hpp"

#include "bind.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke::binding {
namespace {

bool either(const char* field, const py::object& value, const char* yes, const char* no) {
  const auto word = given<std::string>("word", field, value);
  if (word != yes && word != no)
    throw InputError(field, word, "", "must be \"" + std::string(no) + "\" or \"" + yes + "\"");
  return word == yes;
}

Step step(const py::object& bypass, const py::object& strokes, const py::object& dwell_s, const py::object& rods,
          const py::object& repeat) {
  return {.bypass_open = either("bypass", bypass, "open", "closed"),
          .strokes = given<int>("whole", "strokes", strokes, 1, 1000),
          .dwell_s = given<double>("number", "dwell_s", dwell_s),
          .rods = either("rods", rods, "panel", "free") ? Rods::panel : Rods::free,
          .repeat = given<bool>("flag", "repeat", repeat)};
}

const char* bypass(const Step& s) { return s.bypass_open ? "open" : "closed"; }
const char* rods(const Step& s) { return s.rods == Rods::panel ? "panel" : "free"; }

std::string step_text(const Step& s) {
  return "Step(bypass=\"" + std::string(bypass(s)) + "\", strokes=" + std::to_string(s.strokes) +
         ", dwell_s=" + number_text(s.dwell_s) + ", rods=\"" + rods(s) + "\", repeat=" + (s.repeat ? "True" : "False") +
         ")";
}

}  // namespace

void bind_procedure(py::module_& m) {
  const Step usual;
  py::classh<Step> one(m, "Step", R"doc(Some bleed strokes of one kind: extend, dwell, retract, dwell.

Parameters
----------
bypass : {"closed", "open"}
    The bypass valves of the synchroniser.
strokes : int, 1 to 1000
dwell_s : float, s, 0 to 3600, default 10
    At each stop, motor off, valve left where it is.
rods : {"free", "panel"}
    What the rods carry.
repeat : bool
    Belongs to the block that is repeated until the end.

Raises
------
InputError
    Another word, no whole number of strokes, no number of seconds.)doc");
  one.def(py::init(&step), py::kw_only(), py::arg("bypass") = bypass(usual), py::arg("strokes") = usual.strokes,
          py::arg("dwell_s") = usual.dwell_s, py::arg("rods") = rods(usual), py::arg("repeat") = usual.repeat)
      .def_property_readonly("bypass", &bypass)
      .def_readonly("strokes", &Step::strokes)
      .def_readonly("dwell_s", &Step::dwell_s)
      .def_property_readonly("rods", &rods)
      .def_readonly("repeat", &Step::repeat)
      .def("__repr__", &step_text);
  value_type<Step>(one);

  py::classh<Procedure> all(m, "Procedure", R"doc(Ordered steps, top to bottom, then the repeated block again and again.

Parameters
----------
steps : list of Step
    At least one; those marked ``repeat`` stand together at the end, and the last is one of them.
name : str
max_strokes : int, 1 to 1000, default 60

Raises
------
InputError
    A range, or repeated steps that do not stand together at the end.)doc");
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
          text += " " + std::to_string(s.strokes) + " " + bypass(s) + (s.repeat ? " (repeated)" : "");
        return text + ">";
      });
  value_type<Procedure>(all);
}

}  // namespace evenstroke::binding
