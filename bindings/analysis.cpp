#include <cmath>
#include <cstdint>

#include "evenstroke/analysis/answer.hpp"
#include "evenstroke/analysis/sample.hpp"
#include "interruptible.hpp"

namespace evenstroke::binding {
namespace {

using Matrix = py::array_t<double, py::array::c_style | py::array::forcecast>;

BatchOptions batch_options(const RunOptions& run, int threads, JobLine& line) {
  BatchOptions b;
  b.run = run;
  b.run.stop = &line.stop;
  b.threads = threads;
  b.progress = [&line](std::size_t done, std::size_t of) {
    line.of = of;
    line.done = done;
    return !line.stop;
  };
  return b;
}

Table table(std::vector<std::string> columns, const Matrix& values, std::size_t rows) {
  Table t;
  t.column = std::move(columns);
  t.rows = rows;
  if (!t.column.empty()) t.value.assign(values.data(), values.data() + values.size());
  return t;
}

std::vector<Run> batch(const std::vector<Rig>& rigs, const std::vector<Contents>& contents,
                       const std::vector<Procedure>& procedures, const std::vector<std::string>& columns,
                       const Matrix& values, std::size_t rows, const RunOptions& o, int threads,
                       const py::object& progress) {
  return interruptible(progress, [=, t = table(columns, values, rows)](JobLine& line) {
    return run_batch(rigs, contents, procedures, t, batch_options(o, threads, line));
  });
}

Answer answer(const Rig& rig, const Contents& contents, const Procedure& procedure, double confidence,
              std::size_t members, std::uint64_t seed, const RunOptions& o, int threads, const py::object& progress) {
  return interruptible(progress, [=](JobLine& line) {
    AnswerOptions a;
    a.confidence = confidence;
    a.members = members;
    a.seed = seed;
    a.batch = batch_options(o, threads, line);
    return strokes_to_parallel(rig, contents, procedure, a);
  });
}

py::dict columns_of(const Table& t) {
  py::dict d;
  const std::size_t width = t.column.size();
  for (std::size_t c = 0; c < width; ++c) {
    py::array_t<double> a(static_cast<py::ssize_t>(t.row_count()));
    for (std::size_t r = 0; r < t.row_count(); ++r) a.mutable_at(r) = t.value[r * width + c];
    d[py::str(t.column[c])] = a;
  }
  return d;
}

py::array_t<double> sobol(std::size_t points, std::size_t dimensions, std::uint64_t seed) {
  const std::vector<double> u = sobol_points(points, dimensions, seed);
  py::array_t<double> a({points, dimensions});
  std::copy(u.begin(), u.end(), a.mutable_data());
  return a;
}

double sample_quantile(std::vector<double> values, double q) {
  if (values.empty()) throw InputError("values", "", "", "needs at least one number");
  for (const double v : values)
    if (std::isnan(v)) throw InputError("values", "NaN", "", "must not hold NaN; infinity is allowed");
  if (!(q >= 0 && q <= 1)) throw InputError("q", std::to_string(q), "", "must lie between 0 and 1");
  return quantile(std::move(values), q);
}

void bind_answer(py::module_& m) {
  py::classh<Count> count(m, "Count", R"doc(A number of strokes with its band, over all members of the stated inputs.

Members that never finish count as infinitely many strokes.

Attributes
----------
possible : bool
    The median member gets there.
strokes, low, high : float
    Median, and the quantiles (1 -+ confidence)/2; infinity: never, or not within the limit.
p_never, p_not_within : float, 0 to 1
    Share of members that never get there; share not inside, or not confirmed, at the limit of strokes.
own_error : float
    Half the widest range that median, low or high are known to with these members, each end with 95 %; infinity: too few
    to know an end.
defined : bool
    False: the question has no answer on this circuit.
member : array of float
    Per member; infinity: never or not within; NaN: failed, not reached, or not defined.
text : str
    ``"4 (3 to 7)"``.)doc");
  count.def_readonly("possible", &Count::possible)
      .def_readonly("strokes", &Count::strokes)
      .def_readonly("low", &Count::low)
      .def_readonly("high", &Count::high)
      .def_readonly("p_never", &Count::p_never)
      .def_readonly("p_not_within", &Count::p_not_within)
      .def_readonly("own_error", &Count::own_error)
      .def_readonly("defined", &Count::defined)
      .def_property_readonly("member",
                             [](const py::object& self) {
                               const auto& v = self.cast<const Count&>().member;
                               return view(v.data(), v.size(), 1, self);
                             })
      .def_readonly("text", &Count::text)
      .def("__repr__", [](const Count& c) { return "<Count: " + c.text + ">"; });
  value_type<Count>(count);

  py::classh<Leftover> leftover(m, "Leftover", R"doc(Free air still in a place at the end of the nominal run.

Attributes
----------
place : str
free_air_m3 : float, m3
    At 101325 Pa and 20 deg C.
matters : bool
    Stands between the pump and a rod on the side that lifts.)doc");
  leftover.def_readonly("place", &Leftover::place)
      .def_readonly("free_air_m3", &Leftover::free_air_m3)
      .def_readonly("matters", &Leftover::matters)
      .def("__repr__", [](const Leftover& l) {
        char text[160];
        std::snprintf(text, sizeof text, "<Leftover: %.3g ml in %s%s>", l.free_air_m3 * 1e6, l.place.c_str(),
                      l.matters ? "" : ", no matter");
        return std::string(text);
      });
  value_type<Leftover>(leftover);

  py::classh<Answer> answer_class(m, "Answer", "The numbers of an answer; `evenstroke.Answer` stands on it.");
  answer_class.def_readonly("bled", &Answer::bled)
      .def_readonly("parallel", &Answer::parallel)
      .def_readonly("members", &Answer::members)
      .def_readonly("failed", &Answer::failed)
      .def_readonly("tolerance_m", &Answer::tolerance_m)
      .def_readonly("confidence", &Answer::confidence)
      .def_readonly("max_strokes", &Answer::max_strokes)
      .def_readonly("limiting", &Answer::limiting)
      .def_readonly("reason", &Answer::reason)
      .def_property_readonly("table", [](const Answer& a) { return columns_of(a.table); })
      .def_readonly("nominal", &Answer::nominal)
      .def_readonly("complete", &Answer::complete);
  value_type<Answer>(answer_class);
}

}  // namespace

void bind_analysis(py::module_& m) {
  bind_answer(m);
  m.def("run_batch", &batch);
  m.def("strokes_to_parallel", &answer);
  m.def("sobol_points", &sobol, py::kw_only(), py::arg("points"), py::arg("dimensions"), py::arg("seed") = 1,
        R"doc(Sobol' points with a digital shift drawn from the seed.

Parameters
----------
points, dimensions : int, >= 0
seed : int, 0 to 2**64 - 1

Returns
-------
array of float, shape (points, dimensions)
    In [0, 1). A row depends on its index and the seed only.)doc");
  m.def(
      "members_from_bands",
      [](const Rig& rig, const py::object& members, const py::object& seed) {
        return columns_of(members_from_bands(rig, given<std::size_t>("whole", "members", members, 1, 65536),
                                             given<std::uint64_t>("whole", "seed", seed, 0, UINT64_MAX)));
      },
      py::arg("rig"), py::kw_only(), py::arg("members"), py::arg("seed") = 1,
      R"doc(Variants of a rig, uniform in the band of every field that has one.

Parameters
----------
rig : Rig
members : int, 1 to 65536
seed : int, 0 to 2**64 - 1

Returns
-------
dict of str to array of float, shape (members,), SI
    Field path to values; what `run_batch` takes as ``rows``.

Raises
------
InputError
    No whole number in range.)doc");
  m.def("quantile", &sample_quantile, py::arg("values"), py::arg("q"),
        R"doc(Order-statistic quantile: the smallest value with at least the share q at or below it.

Parameters
----------
values : sequence of float
    At least one; infinity is allowed, NaN is not.
q : float, 0 to 1

Returns
-------
float

Raises
------
InputError
    No value, NaN, or q outside 0 to 1.

References
----------
Type 1 of Hyndman and Fan, "Sample quantiles in statistical packages", The American Statistician 50 (1996) 361.)doc");
}

}  // namespace evenstroke::binding
