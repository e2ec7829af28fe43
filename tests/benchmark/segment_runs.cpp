// One pass of every solver over every segment and tolerance; a line of JSON for each run on the standard output.
//   segment_runs EXAMPLES export           what solvers in Python need
//   segment_runs EXAMPLES versions         of what it was built with
//   segment_runs EXAMPLES pass SKIP        SKIP: file with lines "segment|family|setting|rel_tol" to leave out
#include <sundials/sundials_config.h>

#include <boost/version.hpp>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <set>

#include "segments.hpp"

using namespace evenstroke::benchmark;

namespace {

#ifdef __clang__
constexpr const char* compiler = "Clang";
#else
constexpr const char* compiler = "GCC";
#endif
constexpr long most_rhs = 1'000'000;   // more than this costs half a second and more: nobody would want it for a stretch

void report(const Segment& s, const Solver& by, double rel_tol, const Solved& r) {
  const Work& w = r.work;
  std::printf("{\"segment\": \"%s\", \"family\": \"%s\", \"setting\": \"%s\", \"rel_tol\": %g, "
              "\"reached\": %s, \"error\": %.6g, \"seconds\": %.6g, \"steps\": %ld, \"rejected\": %ld, \"rhs\": %ld, "
              "\"jacobians\": %ld, \"factorisations\": %ld}\n",
              s.name.c_str(), by.family.c_str(), by.setting.c_str(), rel_tol, r.reached ? "true" : "false",
              r.reached ? error_of(s, r.y) : 1e300, r.seconds, w.steps, w.rejected, w.rhs, w.jacobians, w.factorisations);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  if (std::string(argv[2]) == "versions") {
    std::printf("{\"%s\": \"%s\", \"SUNDIALS\": \"%s\", \"Boost\": \"%d.%d\"}\n", compiler, __VERSION__, SUNDIALS_VERSION,
                BOOST_VERSION / 100000, BOOST_VERSION / 100 % 1000);
    return 0;
  }
  std::vector<Segment> segments = make_segments(argv[1]);
  if (std::string(argv[2]) == "export") {
    write_json(std::cout, segments);
    return 0;
  }
  std::set<std::string> skip;
  std::ifstream file(argc > 3 ? argv[3] : "");
  for (std::string line; std::getline(file, line);) skip.insert(line);

  std::vector<Solver> solvers{ours()};
  for (const auto& more : {cvode(), arkode(), odeint()}) solvers.insert(solvers.end(), more.begin(), more.end());
  for (Segment& s : segments)
    for (int halves = 4; halves <= 20; ++halves)             // two tolerances a decade, 1e-2 to 1e-10
      for (const Solver& by : solvers) {
        if (by.setting == "explicit" && halves % 2 == 1) continue;   // slow: one will do
        const double rel_tol = std::pow(10.0, -halves / 2.0);
        char key[200];
        std::snprintf(key, sizeof key, "%s|%s|%s|%g", s.name.c_str(), by.family.c_str(), by.setting.c_str(), rel_tol);
        if (!skip.contains(key)) report(s, by, rel_tol, by.solve(s, rel_tol, most_rhs));
      }
}
