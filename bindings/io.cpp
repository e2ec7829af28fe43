#include "evenstroke/io/files.hpp"

#include "bind.hpp"

namespace evenstroke::binding {
namespace {

std::string path_text(const py::object& path) {
  return py::module_::import("os").attr("fsdecode")(path).cast<std::string>();
}

}  // namespace

void bind_io(py::module_& m) {
  m.def(
      "load_rig", [](const py::object& path) { return load_rig(path_text(path)); }, py::arg("path"),
      R"doc(Reads a rig file (TOML), strictly.

Parameters
----------
path : str or os.PathLike

Returns
-------
Rig

Raises
------
FileError
    A missing, unknown or doubled key, a wrong type, unit or range, with file, line, column, key and rule; or a file
    that cannot be read.)doc");
  m.def(
      "load_procedure",
      [](const py::object& path, const Rig* rig) {
        return rig ? load_procedure(path_text(path), *rig) : load_procedure(path_text(path));
      },
      py::arg("path"), py::arg("rig") = nullptr,
      R"doc(Reads a procedure file (TOML), strictly.

Parameters
----------
path : str or os.PathLike
rig : Rig, optional
    What the steps ask for must exist on it; else `run` says so, without the place in the file.

Returns
-------
Procedure

Raises
------
FileError
    As for `load_rig`.)doc");
  m.def("parse_rig", &parse_rig, py::arg("text"), py::kw_only(), py::arg("name") = "<text>",
        R"doc(The rig written in a string.

Parameters
----------
text : str
    What a rig file holds.
name : str, default "<text>"
    Stands in messages where a file's name would.

Returns
-------
Rig

Raises
------
FileError
    As for `load_rig`.)doc");
  m.def(
      "parse_procedure", [](const std::string& text, const Rig* rig, const std::string& name) {
        return rig ? parse_procedure(text, name, *rig) : parse_procedure(text, name);
      },
      py::arg("text"), py::arg("rig") = nullptr, py::kw_only(), py::arg("name") = "<text>",
      R"doc(The procedure written in a string.

Parameters
----------
text : str
    What a procedure file holds.
rig : Rig, optional
    As for `load_procedure`.
name : str, default "<text>"
    Stands in messages where a file's name would.

Returns
-------
Procedure

Raises
------
FileError
    As for `load_rig`.)doc");
}

}  // namespace evenstroke::binding
