#include <pybind11/native_enum.h>

#include "bind.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke::binding {
namespace {

py::dict parts_of(const FileError& e) {
  using namespace py::literals;
  return py::dict("field"_a = e.field, "value"_a = e.value, "unit"_a = e.unit, "rule"_a = e.rule, "file"_a = e.file,
                  "line"_a = e.line, "column"_a = e.column);
}

/// The error classes are Python's (evenstroke/errors.py), so that they pickle like any exception.
void raise(const char* name, const py::dict& parts, const char* text) {
  const py::object type = py::module_::import("evenstroke.errors").attr(name);
  py::set_error(type, type(text, **parts));
}

}  // namespace

void bind_base(py::module_& m) {
  py::register_local_exception_translator([](std::exception_ptr p) {
    using namespace py::literals;
    try {
      std::rethrow_exception(p);
    } catch (const FileError& e) {
      const py::object type = py::module_::import("evenstroke.errors").attr("FileError");
      py::list others;
      for (const FileError& other : e.others) others.append(type(other.what(), **parts_of(other)));
      py::dict parts = parts_of(e);
      parts["others"] = others;
      raise("FileError", parts, e.what());
    } catch (const InputError& e) {
      raise("InputError", py::dict("field"_a = e.field, "value"_a = e.value, "unit"_a = e.unit, "rule"_a = e.rule),
            e.what());
    }
  });

  py::native_enum<Outcome>(m, "Outcome", "enum.Enum",
                           "How a run ended; everything but `ok` is nature's or the solver's answer.")
      .value("ok", Outcome::ok)
      .value("interrupted", Outcome::interrupted)
      .value("step_budget", Outcome::step_budget)
      .value("step_too_small", Outcome::step_too_small)
      .value("pivot", Outcome::pivot)
      .value("not_finite", Outcome::not_finite)
      .value("stalled", Outcome::stalled)
      .finalize();

  py::classh<Status> status(m, "Status", R"doc(How a run ended, when, where and why.

Attributes
----------
ok : bool
outcome : Outcome
time_s : float, s
    Simulated time at the end; 0 while all is well.
quantity : str
    The quantity concerned, by part name and unit.
value : float
    Its last value, in that unit.
message : str
    One sentence with the likely cause.)doc");
  status.def_property_readonly("ok", &Status::ok)
      .def_readonly("outcome", &Status::outcome)
      .def_readonly("time_s", &Status::time_s)
      .def_readonly("quantity", &Status::quantity)
      .def_readonly("value", &Status::value)
      .def_readonly("message", &Status::message)
      .def("__repr__", [](const Status& s) {
        if (s.ok()) return std::string("ok");
        std::string text = std::string(to_string(s.outcome)) + " at " + number_text(s.time_s) + " s: " + s.message;
        if (!s.quantity.empty()) text += " (" + s.quantity + " = " + number_text(s.value) + ")";
        return text;
      });
  value_type<Status>(status);
}

}  // namespace evenstroke::binding
