#include "evenstroke/procedure/run.hpp"

#include <pybind11/native_enum.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "evenstroke/base/quantity.hpp"
#include "interruptible.hpp"

namespace evenstroke::binding {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
using Three = std::array<double, 3>;

double ranged(const char* name, Quantity q, double value, double low, double high) {
  check_range("", name, q, value, low, high);
  return value;
}

RunOptions options(std::optional<double> tolerance_mm, std::optional<long long> max_strokes, bool stop_at_verdict,
                   bool checks, bool record, long long max_samples, double quantum_share, double rel_tol,
                   double ln_pressure, long long streamtubes, long long parcels, bool inertance,
                   const std::string& solver) {
  RunOptions o;
  if (tolerance_mm)
    o.tolerance_m =
        check_range_as("", "tolerance", Quantity::length, unit_spellings(Quantity::length)[1], *tolerance_mm, 1e-6, 1);
  if (max_strokes)
    o.max_strokes =
        static_cast<int>(ranged("max_strokes", Quantity::count, static_cast<double>(*max_strokes), 1, 1000));
  o.stop_at_verdict = stop_at_verdict;
  o.checks = checks;
  o.record = record;
  o.max_samples = static_cast<int>(ranged("max_samples", Quantity::count, static_cast<double>(max_samples), 10, 1e7));
  o.resolution.quantum_share = ranged("quantum_share", Quantity::ratio, quantum_share, 1e-4, 0.5);
  o.resolution.rel_tol = ranged("rel_tol", Quantity::ratio, rel_tol, 1e-12, 1e-2);
  o.resolution.ln_pressure = ranged("ln_pressure", Quantity::ratio, ln_pressure, 1e-3, 2);
  o.resolution.streamtubes =
      static_cast<int>(ranged("streamtubes", Quantity::count, static_cast<double>(streamtubes), 1, 512));
  o.resolution.parcels = static_cast<int>(ranged("parcels", Quantity::count, static_cast<double>(parcels), 4, 32));
  o.resolution.inertance = inertance;
  o.resolution.method = solver_by_name(solver);
  return o;
}

Three known(const Check& c, const Three& values) { return c.state == CheckState::ok ? values : Three{nan, nan, nan}; }

/// Which rod stands least far out where the reading is largest; -1 where there is none.
int hindmost(const Check& c) {
  if (c.state != CheckState::ok) return -1;
  const auto size = [](double a, double b) { return std::abs(a) < std::abs(b); };
  const auto worst = std::max_element(c.mismatch_m.begin(), c.mismatch_m.end(), size) - c.mismatch_m.begin();
  const std::vector<double>& x = c.position_m[static_cast<std::size_t>(worst)];
  return x.empty() ? -1 : static_cast<int>(std::min_element(x.begin(), x.end()) - x.begin());
}

/// Columns of the table, SI; NaN where a check gave no reading.
py::dict rows(const Run& r) {
  const std::size_t n = r.strokes.size(), width = r.places.size();
  const auto vector = [&] { return py::array_t<double>(static_cast<py::ssize_t>(n)); };
  const auto matrix = [&](std::size_t k) { return py::array_t<double>({n, k}); };
  const auto column = [&](auto value) {
    auto a = vector();
    for (std::size_t i = 0; i < n; ++i) a.mutable_at(i) = static_cast<double>(value(r.strokes[i]));
    return a;
  };
  auto free = matrix(3), load = matrix(3), air = matrix(3), places = matrix(width);
  auto carriage = vector(), behind = vector();
  py::list state, index;
  const Check& twin = r.on_load ? r.twin_load : r.twin_free;
  for (std::size_t i = 0; i < n; ++i) {
    const StrokeRow& s = r.strokes[i];
    const Check& deciding = r.on_load ? s.load : s.free;
    const bool defined = r.bled.answered != Answered::not_defined && twin.state == CheckState::ok;
    const Three f = known(s.free, s.free.mismatch_m), l = known(s.load, s.load.mismatch_m),
                a = defined ? known(deciding, s.air_part_m) : Three{nan, nan, nan};
    for (std::size_t k = 0; k < 3; ++k) {
      free.mutable_at(i, k) = f[k];
      load.mutable_at(i, k) = l[k];
      air.mutable_at(i, k) = a[k];
    }
    for (std::size_t p = 0; p < width; ++p) places.mutable_at(i, p) = s.free_air_m3[p];
    carriage.mutable_at(i) = deciding.carriage_m;
    behind.mutable_at(i) = hindmost(deciding);
    state.append(to_string(deciding.state));
    index.append(s.apparent_index);                    // None where no pocket has told
  }
  py::dict d;
  d["stroke"] = column([](const StrokeRow& s) { return s.stroke; });
  d["step"] = column([](const StrokeRow& s) { return s.step; });
  d["reached_stops"] = column([](const StrokeRow& s) { return s.rods_reached_stops; });
  d["free_m"] = free;
  d["load_m"] = load;
  d["air_m"] = air;
  d["carriage_m"] = carriage;
  d["behind"] = behind;
  d["check"] = state;
  d["free_air_m3"] = places;
  d["pocket_m3"] = column([](const StrokeRow& s) { return s.pocket_m3; });
  d["coarse_m3"] = column([](const StrokeRow& s) { return s.coarse_m3; });
  d["fine_m3"] = column([](const StrokeRow& s) { return s.fine_m3; });
  d["dissolved_m3"] = column([](const StrokeRow& s) { return s.dissolved_m3; });
  d["apparent_index"] = index;
  d["vented_m3"] = column([](const StrokeRow& s) { return s.vented_m3; });
  d["level_m"] = column([](const StrokeRow& s) { return s.level_m; });
  d["time_s"] = column([](const StrokeRow& s) { return s.time_s; });
  d["motor_on_s"] = column([](const StrokeRow& s) { return s.motor_on_s; });
  d["highest_pa_abs"] = column([](const StrokeRow& s) { return s.highest_pa_abs; });
  d["lowest_pa_abs"] = column([](const StrokeRow& s) { return s.lowest_pa_abs; });
  d["low_pressure_s"] = column([](const StrokeRow& s) { return s.low_pressure_s; });
  return d;
}

/// What was done between strokes: columns, SI.
py::dict step_rows(const Run& r) {
  py::dict d;
  const auto column = [&](const char* name, auto member) {
    py::array_t<double> a(static_cast<py::ssize_t>(r.steps.size()));
    for (std::size_t i = 0; i < r.steps.size(); ++i) a.mutable_at(i) = static_cast<double>(r.steps[i].*member);
    d[name] = a;
  };
  column("step", &StepRow::step);
  column("stroke", &StepRow::stroke);
  column("time_s", &StepRow::time_s);
  column("motor_on_s", &StepRow::motor_on_s);
  column("bursts", &StepRow::bursts);
  column("out_m3", &StepRow::out_m3);
  column("clear_m3", &StepRow::clear_m3);
  column("bubbles_seen", &StepRow::bubbles_seen);
  column("refilled_m3", &StepRow::refilled_m3);
  column("spilled_m3", &StepRow::spilled_m3);
  column("vented_m3", &StepRow::vented_m3);
  column("drawn_in_m3", &StepRow::drawn_in_m3);
  column("free_air_m3", &StepRow::free_air_m3);
  column("level_m", &StepRow::level_m);
  column("highest_pa_abs", &StepRow::highest_pa_abs);
  column("lowest_pa_abs", &StepRow::lowest_pa_abs);
  column("oil_k", &StepRow::oil_k);
  const auto seen = [&](const char* name, auto member) {
    py::array_t<double> a(static_cast<py::ssize_t>(r.steps.size()));
    for (std::size_t i = 0; i < r.steps.size(); ++i) a.mutable_at(i) = r.steps[i].seen.*member;
    d[name] = a;
  };
  py::array_t<double> apart({r.steps.size(), stations.size()});
  for (std::size_t i = 0; i < r.steps.size(); ++i)
    for (std::size_t k = 0; k < stations.size(); ++k) apart.mutable_at(i, k) = r.steps[i].seen.mismatch_m[k];
  d["apart_m"] = apart;
  seen("apart_at_stop_m", &Comparison::at_stop_m);
  seen("first_s", &Comparison::first_s);
  seen("last_s", &Comparison::last_s);
  seen("back_m", &Comparison::back_m);
  seen("pressure_s", &Comparison::pressure_s);
  seen("current_a", &Comparison::current_a);
  seen("level_rise_m", &Comparison::level_rise_m);
  seen("held_n", &Comparison::held_n);
  return d;
}

py::array channel(const py::object& self, const std::string& name) {
  const Series& s = self.cast<const Run&>().series;
  for (std::size_t c = 0; c < s.channel.size(); ++c)
    if (s.channel[c] == name) return view(s.value.data() + c, s.time_s.size(), s.channel.size(), self);
  throw py::key_error(name);
}

void bind_options(py::module_& m) {
  const RunOptions usual;
  py::classh<RunOptions>(m, "RunOptions", "How a run is done; see `evenstroke.run`.")
      .def(py::init(&options), py::kw_only(), py::arg("tolerance_mm") = py::none(), py::arg("max_strokes") = py::none(),
           py::arg("stop_at_verdict") = usual.stop_at_verdict, py::arg("checks") = usual.checks,
           py::arg("record") = usual.record, py::arg("max_samples") = usual.max_samples,
           py::arg("quantum_share") = usual.resolution.quantum_share, py::arg("rel_tol") = usual.resolution.rel_tol,
           py::arg("ln_pressure") = usual.resolution.ln_pressure,
           py::arg("streamtubes") = usual.resolution.streamtubes, py::arg("parcels") = usual.resolution.parcels,
           py::arg("inertance") = usual.resolution.inertance, py::arg("solver") = to_string(usual.resolution.method));
}

void bind_parts(py::module_& m) {
  py::native_enum<Answered>(m, "Answered", "enum.Enum", "What a run says about one of the two questions.")
      .value("reached", Answered::reached)
      .value("never", Answered::never)
      .value("not_within", Answered::not_within)
      .value("not_defined", Answered::not_defined)
      .value("undecided", Answered::undecided)
      .finalize();

  py::classh<Verdict> verdict(m, "Verdict",
                              R"doc(First stroke after which this and the next three stay inside the tolerance.

Attributes
----------
answered : Answered
stroke : int or None
    None unless reached.
reason : str
    Why there is none.)doc");
  verdict.def_readonly("answered", &Verdict::answered)
      .def_property_readonly("stroke",
                             [](const Verdict& v) -> std::optional<int> {
                               if (v.answered != Answered::reached) return std::nullopt;
                               return v.stroke;
                             })
      .def_readonly("reason", &Verdict::reason)
      .def("__repr__", [](const Verdict& v) {
        std::string text = to_string(v.answered);
        if (v.answered == Answered::reached) text += " at stroke " + std::to_string(v.stroke);
        return v.reason.empty() ? text : text + ": " + v.reason;
      });
  value_type<Verdict>(verdict);

  py::classh<Check> check(m, "Check", R"doc(One check stroke: extend with the bypass closed from the lower stops.

Attributes
----------
state : str
    "ok", "not done", "not re-phased" (the carriage did not come home) or "not reached".
mismatch_m : list of three float, m
    First rod minus second as the mean passes 25, 50 and 75 % of the travel; more than two rods: largest minus smallest.
    NaN unless the state is "ok".
worst_m : float, m
    The largest of them in size, with its sign; NaN unless the state is "ok".
carriage_m : float, m
    Where the carriage stood before the stroke.)doc");
  check.def_property_readonly("state", [](const Check& c) { return to_string(c.state); })
      .def_property_readonly("mismatch_m", [](const Check& c) { return known(c, c.mismatch_m); })
      .def_property_readonly("worst_m", [](const Check& c) { return c.state == CheckState::ok ? c.worst_m() : nan; })
      .def_readonly("carriage_m", &Check::carriage_m)
      .def("__repr__", [](const Check& c) {
        if (c.state != CheckState::ok) return "<Check: " + std::string(to_string(c.state)) + ">";
        char text[96];
        std::snprintf(text, sizeof text, "<Check: %.3f, %.3f, %.3f mm>", c.mismatch_m[0] * 1e3, c.mismatch_m[1] * 1e3,
                      c.mismatch_m[2] * 1e3);
        return std::string(text);
      });
  value_type<Check>(check);

  py::classh<Overload> overload(m, "Overload", R"doc(A part that was pressed harder than it is made for.

Attributes
----------
part, place : str
    As in ``"right.cylinder"``, ``"right.rod_chamber"``.
when : str
    As in ``"stroke 3"``.
cause : str
    What drives pressure above the relief valve there.
highest_bar_gauge : float, bar gauge
rating_bar_gauge : float, bar gauge, or None
    None: the rig states none for the part; then what is more than a fifth above the relief valve's setting is told.)doc");
  overload.def_readonly("part", &Overload::part)
      .def_readonly("place", &Overload::place)
      .def_readonly("when", &Overload::when)
      .def_readonly("cause", &Overload::cause)
      .def_property_readonly("highest_bar_gauge", [](const Overload& o) { return (o.highest_pa_abs - p0_pa_abs) / 1e5; })
      .def_property_readonly("rating_bar_gauge", [](const Overload& o) {
        return o.rating_pa_gauge > 0 ? py::object(py::float_(o.rating_pa_gauge / 1e5)) : py::object(py::none());
      })
      .def("__repr__", [](const Overload& o) { return "<Overload: " + texts({o}).front() + ">"; });
  value_type<Overload>(overload);

  py::classh<Books> books(m, "Books", R"doc(What went in, came out and is left; printed with every result.

Attributes
----------
oil_rel_error, air_rel_error : float
    Mass lost or made, over the initial mass and everything that passed the border; the air is the free and the
    dissolved, in the circuit, the reservoir and the container.
ledger : Ledger
pump_work_j, hand_work_j, gravity_work_j, load_work_j, warmth_work_j : float, J
    Brought in by the pump, by hands on rods, by columns of oil that sink; taken out by the panel; brought in by warmth
    that presses on what is shut in.
stored_work_j : float, J
    Available work in compressed oil and gas at the end.
transport_error_m : float, m
    Flow and contents go forward in turns; where they meet again a place's content fits its room only
    nearly. The largest misfit of each meeting, summed over the worst stroke, as rod travel. Gas thinner
    than at 1 atm counts with its volume at 1 atm; oil, and gas under pressure, with the room it takes.
merged_gas_m3 : float, m3
    Free air that changed place where a line's parcels or clouds of bubbles had to be merged.)doc");
  books.def_readonly("oil_rel_error", &Books::oil_rel_error)
      .def_readonly("air_rel_error", &Books::air_rel_error)
      .def_readonly("ledger", &Books::ledger)
      .def_property_readonly("pump_work_j", [](const Books& b) { return b.energy.pump_j; })
      .def_property_readonly("hand_work_j", [](const Books& b) { return b.energy.hand_j; })
      .def_property_readonly("gravity_work_j", [](const Books& b) { return b.energy.gravity_j; })
      .def_property_readonly("load_work_j", [](const Books& b) { return b.energy.load_j; })
      .def_property_readonly("warmth_work_j", [](const Books& b) { return b.energy.warmth_j; })
      .def_readonly("stored_work_j", &Books::stored_j)
      .def_readonly("transport_error_m", &Books::transport_error_m)
      .def_readonly("merged_gas_m3", &Books::merged_gas_m3)
      .def("__repr__", [](const Books& b) {
        char text[128];
        std::snprintf(text, sizeof text, "<Books: oil off by %.1e, air off by %.1e, transport error %.2g mm>",
                      b.oil_rel_error, b.air_rel_error, b.transport_error_m * 1e3);
        return std::string(text);
      });
  value_type<Books>(books);
}

}  // namespace

void bind_run(py::module_& m) {
  bind_options(m);
  bind_parts(m);
  py::classh<Run> run_class(m, "Run", "The numbers of a run, SI; `evenstroke.Run` stands on it.");
  run_class.def_readonly("status", &Run::status)
      .def_readonly("books", &Run::books)
      .def_readonly("tolerance_m", &Run::tolerance_m)
      .def_readonly("places", &Run::places)
      .def_readonly("twin_free", &Run::twin_free)
      .def_readonly("twin_load", &Run::twin_load)
      .def_readonly("bled", &Run::bled)
      .def_readonly("parallel", &Run::parallel)
      .def_readonly("on_load", &Run::on_load)
      .def_readonly("overloads", &Run::overloads)
      .def_readonly("notes", &Run::notes)
      .def_readonly("contents", &Run::contents)
      .def_readonly("quanta", &Run::quanta)
      .def_property_readonly("counts",
                             [](const Run& r) {
                               py::dict d;
                               d["steps"] = r.counts.steps;
                               d["rejected"] = r.counts.rejected;
                               d["rhs"] = r.counts.rhs;
                               d["jacobians"] = r.counts.jacobians;
                               d["factorisations"] = r.counts.factorisations;
                               d["dense_factorisations"] = r.counts.dense_factorisations;
                               return d;
                             })
      .def_property_readonly("channels", [](const Run& r) { return r.series.channel; })
      .def("rows", &rows)
      .def("step_rows", &step_rows)
      .def("channel", &channel)
      .def("time_s", [](const py::object& self) {
        const Series& s = self.cast<const Run&>().series;
        return view(s.time_s.data(), s.time_s.size(), 1, self);
      });
  value_type<Run>(run_class);

  m.def("run", [](const Rig& rig, const Contents& contents, const Procedure& procedure, const RunOptions& o) {
    return interruptible(py::none(), [=](JobLine& line) {  // copies: nothing may change under the running thread
      RunOptions mine = o;
      mine.stop = &line.stop;
      return run(rig, contents, procedure, mine);
    });
  });
}

}  // namespace evenstroke::binding
