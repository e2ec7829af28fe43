#include <cmath>
#include <memory>

#include "bind.hpp"
#include "evenstroke/base/quantity.hpp"
#include "evenstroke/transport/march.hpp"

namespace evenstroke::binding {
namespace {

using Vector = py::array_t<double, py::array::c_style | py::array::forcecast>;

std::vector<int> given_order(const Rig& rig) {
  std::vector<int> order;
  for (std::size_t i = 0; i < rig.branches.size(); ++i) order.push_back(static_cast<int>(i));
  return order;
}

/// The flow equations of a rig with its contents frozen once and every rod and the carriage sliding one way.
class FlowSegment {
 public:
  FlowSegment(const Rig& rig, const Contents& contents, const Drive& drive, bool inertance)
      : net_(make_network(as_warm(rig, contents), given_order(rig))), model_(frozen(net_, fit(contents, net_), inertance)) {
    model_.set_drive(drive);
    for (int a = 0; a < model_.axes(); ++a) model_.set_motion(a, drive.retract ? -1 : 1);
  }
  FlowSegment(const FlowSegment&) = delete;  // the model refers to the network beside it
  FlowSegment& operator=(const FlowSegment&) = delete;

  int size() const { return model_.size(); }

  std::vector<std::string> names() const {
    std::vector<std::string> n;
    for (const Edge& e : net_.edges) n.push_back(e.name + "_volume_m3");
    for (const Axis& a : net_.axes) n.push_back(a.name + "_travelled_m");
    n.push_back("elapsed_s");
    for (const int e : model_.inert()) n.push_back(net_.edges[at(e)].name + "_flow_m3_per_s");
    return n;
  }

  Vector rhs(const Vector& y) {
    Vector f(size());
    model_.rhs(state(y), f.mutable_data());
    return f;
  }

  Vector jacobian(const Vector& y) {
    const Pattern& pattern = model_.pattern();
    std::vector<double> values(at(pattern.slots()));
    model_.jacobian(state(y), values.data());
    const py::ssize_t n = size();
    Vector dense({n, n});
    std::fill_n(dense.mutable_data(), n * n, 0.0);
    for (int row = 0; row < size(); ++row)
      for (int s = pattern.row_start[at(row)]; s < pattern.row_start[at(row + 1)]; ++s)
        dense.mutable_at(row, pattern.col[at(s)]) = values[at(s)];
    return dense;
  }

  py::dict pressures(const Vector& y) {
    model_.evaluate(state(y));
    py::dict d;
    for (std::size_t p = 0; p < net_.places.size(); ++p)
      d[py::str(net_.places[p].name)] = model_.pressure(static_cast<int>(p));
    return d;
  }

  Vector integrate(double time_s, double rel_tol, double abs_volume_m3, double abs_position_m,
                   double abs_flow_m3_per_s, const std::string& solver) {
    check_range("", "time", Quantity::time, time_s, 1e-9, 3600);
    std::vector<double> tolerance(net_.edges.size(), abs_volume_m3), y(at(size()), 0.0);
    tolerance.insert(tolerance.end(), net_.axes.size(), abs_position_m);
    tolerance.push_back(1);   // the clock is exact
    tolerance.resize(at(size()), abs_flow_m3_per_s);
    Stepper stepper(solver_by_name(solver), model_.pattern(), tolerance, rel_tol);
    double t = 0, h = 1e-6 * time_s;
    bool retry = false;
    constexpr long most_steps = 1000000;
    while (t < time_s) {
      const double step = std::min(h, time_s - t);
      const StepResult<double> r = stepper.attempt(model_, y.data(), step, retry);
      retry = !r.accepted;
      h = r.h_next;
      if (r.accepted) {
        std::copy_n(stepper.new_state(), y.size(), y.begin());
        t = step < time_s - t ? t + step : time_s;
      } else if (h < 1e-14 * time_s || stepper.counts().rejected > most_steps) {
        throw std::runtime_error("the flow equations could not be continued at " + number_text(t) + " s");
      }
    }
    Vector out(size());
    std::copy(y.begin(), y.end(), out.mutable_data());
    return out;
  }

 private:
  static std::size_t at(int i) { return static_cast<std::size_t>(i); }

  static FlowModel<double> frozen(const Network& net, const Contents& c, bool inertance) {
    Contents closed = c;
    March march(net, {.inertance = inertance});
    march.close(closed);
    return march.engine().model();
  }

  const double* state(const Vector& y) const {
    if (y.ndim() != 1 || y.shape(0) != size())
      throw InputError("y", "", "", "must hold " + std::to_string(size()) + " numbers in one row");
    return y.data();
  }

  Network net_;
  FlowModel<double> model_;
};

}  // namespace

void bind_flow_segment(py::module_& m) {
  const Resolution usual;
  py::classh<FlowSegment>(m, "FlowSegment", R"doc(The flow equations of one stretch of time, for checking by others.

Contents are frozen as they stand; every rod and the carriage slides outward (inward with ``retract``), stops and
friction's stick are left out. The state is, per edge, the volume that left its first end, then per rod and carriage the
distance travelled, then the time elapsed, then with ``inertance`` the flow in each half of a line; it starts at zero.

Parameters
----------
rig : Rig
contents : Contents
extend, retract, motor, bypass_open, on_panel : bool
    Valve, motor, bypass valves, and whether the panel rests on the rods.
inertance : bool
    Oil in lines takes time to be set going.

Attributes
----------
size : int
    Number of states.
names : list of str
    Of the states, with units.)doc")
      .def(py::init(
               [](const Rig& rig, const Contents& c, bool extend, bool retract, bool motor, bool bypass, bool panel, bool inertance) {
                 const Drive drive{.motor = motor, .extend = extend, .retract = retract, .bypass_open = bypass, .on_panel = panel};
                 return std::make_unique<FlowSegment>(rig, c, drive, inertance);
               }),
           py::arg("rig"), py::arg("contents"), py::kw_only(), py::arg("extend") = true, py::arg("retract") = false,
           py::arg("motor") = true, py::arg("bypass_open") = false, py::arg("on_panel") = false,
           py::arg("inertance") = usual.inertance)
      .def_property_readonly("size", &FlowSegment::size)
      .def_property_readonly("names", &FlowSegment::names)
      .def("rhs", &FlowSegment::rhs, py::arg("y"), "Rates [m3/s, m/s, 1, m3/s2], shape (size,), at a state of that shape.")
      .def("jacobian", &FlowSegment::jacobian, py::arg("y"),
           "Derivatives of the rates by the state, shape (size, size).")
      .def("pressures", &FlowSegment::pressures, py::arg("y"), "Pressure [Pa abs] per place at a state, as a dict.")
      .def("integrate", &FlowSegment::integrate, py::arg("time_s"), py::kw_only(), py::arg("rel_tol") = usual.rel_tol,
           py::arg("abs_volume_m3") = 1e-13, py::arg("abs_position_m") = usual.abs_position_m,
           py::arg("abs_flow_m3_per_s") = 1e-10,
           py::arg("solver") = to_string(Method::rodas5p),
           R"doc(State after a time, by one of the two steppers a run can be integrated with.

Parameters
----------
time_s : float, s, 1e-9 to 3600
rel_tol, abs_volume_m3, abs_position_m, abs_flow_m3_per_s : float
    Tolerances of a step.
solver : {"rodas5p", "odeint_rosenbrock4"}

Returns
-------
array of float, shape (size,)

Raises
------
InputError
    A time out of range, or another word for the solver.)doc");
}

}  // namespace evenstroke::binding
