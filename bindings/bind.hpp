#pragma once
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <functional>
#include <string>

#include "archive.hpp"
#include "evenstroke/solver/stepper.hpp"

namespace evenstroke::binding {

namespace py = pybind11;

// One function per folder of the library; module.cpp calls them in this order.
void bind_base(py::module_&);
void bind_rig(py::module_&);
void bind_procedure(py::module_&);
void bind_network(py::module_&);
void bind_run(py::module_&);
void bind_analysis(py::module_&);
void bind_io(py::module_&);
void bind_laws(py::module_&);
void bind_air_laws(py::module_&);   // called by bind_laws
void bind_flow_segment(py::module_&);

/// ==, hash, pickle and with it copy for a value type. Pickles carry the version that wrote them.
template <class T, class Class>
void value_type(Class& c) {
  c.def("__eq__", [](const T& a, const py::object& other) -> py::object {
    if (!py::isinstance<T>(other)) return py::reinterpret_borrow<py::object>(Py_NotImplemented);
    return py::bool_(to_bytes(a) == to_bytes(other.cast<const T&>()));
  });
  c.def("__hash__", [](const T& a) { return std::hash<std::string>()(to_bytes(a)); });
  c.def(py::pickle([](const T& a) { return py::make_tuple(EVENSTROKE_VERSION, py::bytes(to_bytes(a))); },
                   [](const py::tuple& state) {
                     if (state.size() != 2 || state[0].cast<std::string>() != EVENSTROKE_VERSION)
                       throw py::value_error(
                           "a pickle is read by the version of evenstroke that wrote it, here " EVENSTROKE_VERSION);
                     return from_bytes<T>(state[1].cast<std::string>());
                   }));
}

/// Read-only view of numbers that `owner` keeps; the view keeps the owner.
inline py::array view(const double* data, std::size_t count, std::size_t stride, const py::handle& owner) {
  py::array_t<double> a({static_cast<py::ssize_t>(count)}, {static_cast<py::ssize_t>(stride * sizeof(double))}, data,
                        owner);
  a.attr("setflags")(py::arg("write") = false);
  return a;
}

/// What Python gave as a number, word or list; evenstroke/errors.py refuses the rest by its argument.
template <class T, class... Rules>
T given(const char* as, const std::string& name, const py::handle& value, Rules... rules) {
  return py::module_::import("evenstroke.errors").attr(as)(name, value, rules...).template cast<T>();
}

/// The library calls it a method, Python's arguments call it solver.
inline Method solver_by_name(const std::string& name) {
  try {
    return method_by_name(name);
  } catch (const InputError& e) {
    throw InputError("solver", e.value, e.unit, e.rule);
  }
}

inline bool rods_out(const py::object& value) {
  const auto word = given<std::string>("word", "rods", value);
  if (word != "in" && word != "out") throw InputError("rods", word, "", "must be \"in\" or \"out\"");
  return word == "out";
}

}  // namespace evenstroke::binding
