#include "bind.hpp"

PYBIND11_MODULE(_core, m) {
  using namespace evenstroke::binding;
  m.doc() = "Compiled part of evenstroke. The public names stand in the package.";
  m.attr("__version__") = EVENSTROKE_VERSION;
  bind_base(m);
  bind_rig(m);
  bind_procedure(m);
  bind_network(m);
  bind_run(m);
  bind_analysis(m);
  bind_io(m);
  auto laws = m.def_submodule("laws", "Laws of state and parameters.");
  bind_laws(laws);
  bind_flow_segment(laws);
}
