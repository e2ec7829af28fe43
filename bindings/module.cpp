#include <pybind11/pybind11.h>

PYBIND11_MODULE(_core, m) {
  m.doc() = "Compiled part of evenstroke.";
  m.attr("__version__") = EVENSTROKE_VERSION;
}
