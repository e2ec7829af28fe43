#include <cmath>

#include "bind.hpp"
#include "evenstroke/network/network.hpp"
#include "evenstroke/io/files.hpp"
#include "evenstroke/io/step_words.hpp"

namespace evenstroke::binding {
namespace {

Rig replaced(const Rig& rig, const py::kwargs& values) {
  Rig copy = rig;
  for (const auto& [path, value] : values) {
    const std::string name = path.cast<std::string>();
    set_field(copy, name, given<double>("number", name, value));
  }
  check(copy);
  return copy;
}

py::object pair_or_none(double low, double high) {
  if (std::isnan(low)) return py::none();
  return py::make_tuple(low, high);
}

std::string kind_text(const Rig& rig) {
  return synchroniser_kinds()[static_cast<std::size_t>(rig.synchroniser.kind)];
}

}  // namespace

void bind_rig(py::module_& m) {
  py::classh<RigField> field(m, "Field", R"doc(One number of a rig.

Attributes
----------
path : str
    Name with SI unit, as in ``"branch.left.cap_line_bore_m"``.
value : float, SI
range : tuple of two float, SI
    Hard limits, inclusive; a value outside is an InputError.
band : tuple of two float, SI, or None
    Where the unknown truth lies; None: taken as known.
evidence : str
    Key of the source in the table of evidence.
help : str
    One sentence.)doc");
  field.def_readonly("path", &RigField::path)
      .def_readonly("value", &RigField::value)
      .def_property_readonly("range", [](const RigField& f) { return py::make_tuple(f.low, f.high); })
      .def_property_readonly("band", [](const RigField& f) { return pair_or_none(f.band_low, f.band_high); })
      .def_readonly("evidence", &RigField::evidence)
      .def_readonly("help", &RigField::help)
      .def("__repr__", [](const RigField& f) {
        return "<Field " + f.path + " = " + number_text(f.value) +
               (std::isnan(f.band_low) ? "" : ", band " + number_text(f.band_low) + " to " + number_text(f.band_high)) +
               ">";
      });

  py::classh<Rig> rig(m, "Rig", R"doc(What is bolted together; made by `load_rig`, unchangeable.

`replace` gives a changed copy. Rigs compare by value, copy and pickle.

Attributes
----------
name : str
branches : tuple of str
    Names of the cylinders' branches, in the order of the file.
parts : tuple of str
    What can be dry or opened: ``"left.cylinder"``, ``"left.cap_line"``, ...
attitudes : dict of str to str
    How each cylinder stands: ``"rod_up"``, ``"rod_down"``, ``"level"``.
synchroniser : str
    ``"tee"``, ``"metering_pistons"``, ``"spool_divider"``, ``"divider_combiner"``, ``"rotary_divider"`` or
    ``"series_pair"``.
circuit : str
    ``"open"``: return to the reservoir; ``"closed"``: the pump turns both ways.
bleed_points : tuple of str
    Where a bleed screw can be cracked (``bleed`` of a step): every passage and chamber.
has_bypass : bool
    Whether there are bypass valves: a tee and a series pair have none.
panel : str
    ``"guided"`` or ``"hinged"``.
oil : str)doc");
  rig.def_readonly("name", &Rig::name)
      .def_property_readonly("branches",
                             [](const Rig& r) {
                               py::list names;
                               for (const Branch& b : r.branches) names.append(b.name);
                               return py::tuple(names);
                             })
      .def_property_readonly("attitudes",
                             [](const Rig& r) {
                               py::dict ways;
                               for (const Branch& b : r.branches)
                                 ways[py::str(b.name)] = attitudes()[static_cast<std::size_t>(b.cylinder.attitude)];
                               return ways;
                             })
      .def_property_readonly("parts", [](const Rig& r) { return py::tuple(py::cast(part_names(r))); })
      .def_property_readonly("synchroniser", &kind_text)
      .def_property_readonly("bleed_points", [](const Rig& r) { return py::tuple(py::cast(bleed_points(r))); })
      .def_property_readonly("has_bypass", [](const Rig& r) { return has_bypass(r.synchroniser.kind); })
      .def_property_readonly("circuit", [](const Rig& r) { return circuit_kinds()[static_cast<std::size_t>(r.valve_block.circuit)]; })
      .def_property_readonly("panel", [](const Rig& r) { return r.panel.kind == PanelKind::hinged ? "hinged" : "guided"; })
      .def_property_readonly("oil", [](const Rig& r) { return r.oil.name; })
      .def("fields", &rig_fields, R"doc(Every number of the rig, in a fixed order.

Returns
-------
list of Field)doc")
      .def("get", &get_field, py::arg("path"), R"doc(Value of a field.

Parameters
----------
path : str
    As in ``"air.slug_slip"``; ``"branch.bore_m"`` where all branches agree.

Returns
-------
float, SI

Raises
------
InputError
    Unknown path, or branches that differ.)doc")
      .def("replace", &replaced, R"doc(A copy with other values.

Parameters
----------
**values : float, SI
    Field path to value: ``rig.replace(**{"branch.left.cap_line_length_m": 3.0})``.

Returns
-------
Rig

Raises
------
InputError
    Unknown path, what is no number, or a value or combination that is refused.)doc")
      .def("__repr__", [](const Rig& r) {
        std::string text = "<Rig \"" + r.name + "\": ";
        for (std::size_t i = 0; i < r.branches.size(); ++i) text += (i ? ", " : "") + r.branches[i].name;
        return text + "; " + kind_text(r) + "; " + r.oil.name + ">";
      });
  value_type<Rig>(rig);
}

}  // namespace evenstroke::binding
