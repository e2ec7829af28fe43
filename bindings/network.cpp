#include "evenstroke/network/contents.hpp"

#include "bind.hpp"

namespace evenstroke::binding {
namespace {

py::dict places(const Contents& c) {
  py::dict all;
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    const Masses m = held(c, static_cast<int>(p));
    py::dict one;
    one["oil_kg"] = m.oil_kg;
    one["pocket_kg"] = m.pocket_kg;
    one["dispersed_kg"] = m.dispersed_kg;
    one["free_air_m3"] = free_air_m3(m.gas_kg());
    one["pressure_pa_abs"] = c.pressure_pa_abs[p];
    all[py::str(c.place[p])] = one;
  }
  return all;
}

py::list parcels(const Contents& c, const std::string& place) {
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    if (c.place[p] != place) continue;
    py::list list;
    for (int i = 0; i < c.queue[p].count; ++i) {
      const Parcel& x = c.queue[p][i];
      py::dict one;
      one["oil_kg"] = x.oil_kg;
      one["gas_kg"] = x.gas_kg;
      one["slug"] = x.slug;
      list.append(one);
    }
    return list;
  }
  throw InputError("place", place, "", "must be one of the names in places");
}

py::dict positions(const Contents& c) {
  py::dict all;
  for (std::size_t a = 0; a < c.axis.size(); ++a) all[py::str(c.axis[a])] = c.position_m[a];
  return all;
}

}  // namespace

void bind_network(py::module_& m) {
  py::classh<Ledger> ledger(m, "Ledger", R"doc(What has crossed the border of the circuit since the start.

Attributes
----------
air_vented_kg, air_ingested_kg, oil_spilled_kg, oil_refilled_kg : float, kg, >= 0)doc");
  ledger.def_readonly("air_vented_kg", &Ledger::air_vented_kg)
      .def_readonly("air_ingested_kg", &Ledger::air_ingested_kg)
      .def_readonly("oil_spilled_kg", &Ledger::oil_spilled_kg)
      .def_readonly("oil_refilled_kg", &Ledger::oil_refilled_kg);
  value_type<Ledger>(ledger);

  py::classh<Contents> contents(m, "Contents",
                                R"doc(State of everything that can change: oil, air, rods, pressures, clock.

A value: it copies, compares and pickles; a run leaves its input as it was and returns new contents, from which another
run may go on. Made by `Contents.after_exchange` or `Contents.bled`.

Attributes
----------
places : dict of str to dict
    Per place ``oil_kg``, ``pocket_kg`` (collected gas), ``dispersed_kg`` (bubbles), ``free_air_m3`` (all gas, at
    101325 Pa and 20 deg C), ``pressure_pa_abs``.
positions_m : dict of str to float, m
    Rods, and the synchroniser's carriage, from their lower stops.
reservoir_oil_kg : float, kg
time_s, motor_on_s : float, s
    Since the exchange.
ledger : Ledger
free_air_m3 : float, m3
    All free air in the circuit, at 101325 Pa and 20 deg C.)doc");
  contents
      .def_static(
          "after_exchange",
          [](const Rig& rig, const py::object& dry, const py::object& opened, const py::object& rods) {
            using Names = std::vector<std::string>;
            return after_exchange(rig, given<Names>("names", "dry", dry), given<Names>("names", "opened", opened),
                                  rods_out(rods));
          },
          py::arg("rig"), py::kw_only(), py::arg("dry") = std::vector<std::string>(),
          py::arg("opened") = std::vector<std::string>(), py::arg("rods") = "in",
          R"doc(Contents after parts were exchanged.

Parameters
----------
rig : Rig
dry : list of str
    Parts full of air at 101325 Pa; names as in ``rig.parts``.
opened : list of str
    Lines that were opened: one joint's worth of air (``air.joint_m3``) at the cylinder end.
rods : {"in", "out"}
    Where the rods stand; the carriage is at its lower stop. All else is full of oil at 101325 Pa.

Returns
-------
Contents

Raises
------
InputError
    What is no list of names, or a name that is no part of this rig.)doc")
      .def_static(
          "bled", [](const Rig& rig, const py::object& rods) { return bled(rig, rods_out(rods)); }, py::arg("rig"),
          py::kw_only(), py::arg("rods") = "in", R"doc(Contents without any free air.

Parameters
----------
rig : Rig
rods : {"in", "out"}

Returns
-------
Contents)doc")
      .def_property_readonly("places", &places)
      .def("parcels", &parcels, py::arg("place"), R"doc(What stands in a line, from the valve block to the cylinder.

Parameters
----------
place : str
    A line, as in ``"left.cap_line"``; other places have no order and give an empty list.

Returns
-------
list of dict
    ``oil_kg``, ``gas_kg``, ``slug`` (gas that fills the bore).)doc")
      .def_property_readonly("positions_m", &positions)
      .def_readonly("reservoir_oil_kg", &Contents::reservoir_oil_kg)
      .def_readonly("time_s", &Contents::time_s)
      .def_readonly("motor_on_s", &Contents::motor_on_s)
      .def_readonly("ledger", &Contents::ledger)
      .def_property_readonly("free_air_m3", [](const Contents& c) { return free_air_m3(total(c).gas_kg()); })
      .def("__repr__", [](const Contents& c) {
        char text[96];
        std::snprintf(text, sizeof text, "<Contents: %.3g ml of free air, after %.1f min>",
                      free_air_m3(total(c).gas_kg()) * 1e6, c.time_s / 60);
        return std::string(text);
      });
  value_type<Contents>(contents);
}

}  // namespace evenstroke::binding
