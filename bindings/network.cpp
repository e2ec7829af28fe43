#include "evenstroke/network/contents.hpp"
#include "evenstroke/network/without_air.hpp"

#include "bind.hpp"

namespace evenstroke::binding {
namespace {

constexpr const char* class_names[] = {"coarse", "fine"};   // of BubbleClass

py::dict places(const Contents& c) {
  py::dict all;
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    const Masses m = held(c, static_cast<int>(p));
    py::dict one;
    one["oil_kg"] = m.oil_kg;
    one["pocket_kg"] = m.pocket_kg;
    one["coarse_kg"] = m.coarse_kg;
    one["fine_kg"] = m.fine_kg;
    one["dissolved_kg"] = m.dissolved_kg;
    one["free_air_m3"] = free_air_m3(m.gas_kg());
    one["pressure_pa_abs"] = c.pressure_pa_abs[p];
    one["pocket_k"] = c.pocket_k[p];
    all[py::str(c.place[p])] = one;
  }
  return all;
}

py::dict tank(const Tank& t) {
  py::dict one;
  one["oil_kg"] = t.oil_kg;
  one["coarse_kg"] = t.coarse_kg;
  one["fine_kg"] = t.fine_kg;
  one["dissolved_kg"] = t.dissolved_kg;
  one["foam_kg"] = t.foam_kg;
  return one;
}

const LineContents& line(const Contents& c, const std::string& place) {
  for (std::size_t p = 0; p < c.place.size(); ++p)
    if (c.place[p] == place) return c.line[p];
  throw InputError("place", place, "", "must be one of the names in places");
}

py::list parcels(const Contents& c, const std::string& place) {
  const Queue& q = line(c, place).queue;
  py::list list;
  for (int i = 0; i < q.count; ++i) {
    py::dict one;
    one["oil_kg"] = q[i].oil_kg;
    one["gas_kg"] = q[i].gas_kg;
    one["dissolved_kg"] = q[i].dissolved_kg;
    one["slug"] = q[i].slug;
    list.append(one);
  }
  return list;
}

/// Columns of equal length, one entry per cloud.
py::dict bubbles(const Contents& c, const std::string& place) {
  const LineContents& l = line(c, place);
  std::vector<std::string> kind;
  std::vector<int> tube;
  std::vector<double> from, to, kg;
  for (const BubbleClass b : {coarse, fine}) {
    const Swarm& s = l.bubbles[b];
    for (std::size_t t = 0; t < s.count.size(); ++t)
      for (int i = 0; i < s.count[t]; ++i) {
        const Cloud& cloud = s.cloud[t * Swarm::capacity + static_cast<std::size_t>(i)];
        kind.push_back(class_names[b]);
        tube.push_back(static_cast<int>(t));
        from.push_back(cloud.from);
        to.push_back(cloud.to);
        kg.push_back(cloud.kg);
      }
  }
  const auto numbers = [](const auto& v) {
    return py::array(py::array_t(static_cast<py::ssize_t>(v.size()), v.data()));
  };
  py::dict d;
  d["class"] = py::module_::import("numpy").attr("array")(kind, py::arg("dtype") = "U6");
  d["tube"] = numbers(tube);
  d["from"] = numbers(from);
  d["to"] = numbers(to);
  d["kg"] = numbers(kg);
  return d;
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
    Per place ``oil_kg``, ``pocket_kg`` (collected gas; in lines slugs), ``coarse_kg`` and ``fine_kg`` (bubbles),
    ``dissolved_kg`` (air in solution in the oil), ``free_air_m3`` (pocket and bubbles, at 101325 Pa and 20 deg C),
    ``pressure_pa_abs``, ``pocket_k`` (temperature of the pocket).
positions_m : dict of str to float, m
    Rods, and the synchroniser's carriage, from their lower stops.
reservoir, container : dict of str to float, kg
    What the reservoir holds, and the container that open ends of lines are held into: ``oil_kg``, ``coarse_kg``,
    ``fine_kg``, ``dissolved_kg``, and ``foam_kg``, the air on the surface that has not burst yet.
nothing_opened : bool
    Made by `after_exchange` with no part dry and no line opened.
warmed_k : float, K
    Oil, air and walls are so much warmer than the rig says.
running_s, longest_running_s : float, s
    How long the motor has run without a rest: now, and at most since the run began.
time_s, motor_on_s : float, s
    Since the exchange.
ledger : Ledger
free_air_m3, dissolved_air_m3 : float, m3
    All free air in the circuit, and all that is dissolved in the circuit's oil, at 101325 Pa and 20 deg C; without
    reservoir and container.)doc");
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
      .def("without_air", [](const Contents& c, const Rig& rig, const std::vector<std::string>& p) { return without_air(c, rig, p); },
           py::arg("rig"), py::arg("places"), R"doc(The same contents with oil where these places had free air.

Every place keeps its pressure; air in solution stays.

Parameters
----------
rig : Rig
    With the same parts.
places : list of str
    As in `places`.

Returns
-------
Contents

Raises
------
InputError
    A name that is no place of these contents, or contents of another rig.)doc")
      .def_property_readonly("places", &places)
      .def("parcels", &parcels, py::arg("place"), R"doc(What stands in a line, from the valve block to the cylinder.

Parameters
----------
place : str
    A line, as in ``"left.cap_line"``; other places have no order and give an empty list.

Returns
-------
list of dict
    ``oil_kg``, ``gas_kg``, ``dissolved_kg`` (air in solution), ``slug`` (True: gas that fills the bore, with its film
    of oil; False: oil). Bubbles stand apart, see `bubbles`.

Raises
------
InputError
    No place of this name.)doc")
      .def("bubbles", &bubbles, py::arg("place"), R"doc(Where a line's bubbles are.

Bubbles ride on the oil in streamtubes, each with its own speed; a cloud lies evenly between two points of one tube.

Parameters
----------
place : str
    A line, as in ``"left.cap_line"``; other places mix their bubbles and give empty arrays.

Returns
-------
dict of str to array, one entry per cloud
    ``class`` ("coarse" or "fine"), ``tube`` (from 0, the slowest, at the wall), ``from`` and ``to`` (shares of the
    line's volume from the valve block, 0 to 1), ``kg``.

Raises
------
InputError
    No place of this name.)doc")
      .def_property_readonly("positions_m", &positions)
      .def_property_readonly("reservoir", [](const Contents& c) { return tank(c.reservoir); })
      .def_property_readonly("container", [](const Contents& c) { return tank(c.container); })
      .def_property_readonly("nothing_opened", [](const Contents& c) {
        const Recipe& r = c.recipe;
        return r.valid && !r.bled && r.dry.empty() && r.opened.empty();
      })
      .def_readonly("warmed_k", &Contents::warmed_k)
      .def_readonly("running_s", &Contents::running_s)
      .def_readonly("longest_running_s", &Contents::longest_running_s)
      .def_readonly("time_s", &Contents::time_s)
      .def_readonly("motor_on_s", &Contents::motor_on_s)
      .def_readonly("ledger", &Contents::ledger)
      .def_property_readonly("free_air_m3", [](const Contents& c) { return free_air_m3(total(c).gas_kg()); })
      .def_property_readonly("dissolved_air_m3",
                             [](const Contents& c) { return free_air_m3(total(c).dissolved_kg); })
      .def("__repr__", [](const Contents& c) {
        char text[96];
        std::snprintf(text, sizeof text, "<Contents: %.3g ml of free air, after %.1f min>",
                      free_air_m3(total(c).gas_kg()) * 1e6, c.time_s / 60);
        return std::string(text);
      });
  value_type<Contents>(contents);
}

}  // namespace evenstroke::binding
