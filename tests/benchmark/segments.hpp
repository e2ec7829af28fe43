#pragma once
#include <functional>
#include <memory>
#include <ostream>
#include <string>
#include <vector>

#include "evenstroke/flow/model.hpp"

namespace evenstroke::benchmark {

/// One stretch of the flow equations: contents frozen, rods and carriage moving or held as they were, no stops.
/// State zero at its start; times at which solutions are compared are denser there, where pressures jump.
struct Segment {
  std::string name;
  std::unique_ptr<Network> net;
  Drive drive;
  std::vector<Closure<double>> closure;   ///< per place
  std::vector<double> volume_m3;          ///< per place
  std::vector<double> position_m;         ///< per axis
  std::vector<int> motion;                ///< per axis
  std::vector<double> abs_tol;            ///< per state, as a run has it at rel_tol 1e-5
  std::vector<double> time_s;             ///< rising, the last is the end
  std::unique_ptr<FlowModel<double>> model;   ///< refers to *net
  std::vector<double> reference;          ///< states at these times, row by row
  std::vector<double> scale;              ///< per state: what an error of 1 is; see error_of

  std::size_t size() const { return abs_tol.size(); }
  double end_s() const { return time_s.back(); }
  double base_rel_tol = 1e-5;             ///< at which abs_tol holds
  /// Absolute tolerances for a relative one: both shrink together.
  std::vector<double> abs_tol_at(double rel_tol) const;
};

struct Work {
  long steps = 0, rejected = 0, rhs = 0, jacobians = 0, factorisations = 0;
};

/// One integration: its states at the segment's times, and the time of integrating alone, without setting up.
struct Solved {
  bool reached = false;                   ///< false: gave up, or asked for more right-hand sides than it may
  std::vector<double> y;
  double seconds = 0;
  Work work;
};

/// A solver in one setting. `family`: settings of which the best is taken, point by point.
struct Solver {
  std::string family, setting;
  std::function<Solved(Segment&, double rel_tol, long most_rhs)> solve;
};

/// All segments, with their references.
std::vector<Segment> make_segments(const std::string& examples);

/// For solvers that choose none themselves: the one that a run begins with.
inline constexpr double first_step_s = 1e-4;

/// Largest over states and times of |y - reference|/(abs_tol/base_rel_tol + largest |reference| of the state): the norm in
/// which every solver is given its tolerances.
double error_of(const Segment&, const std::vector<double>& y);

/// Everything that solvers in Python need, with states at random and what the model makes of them.
void write_json(std::ostream&, std::vector<Segment>&);

Solver ours();
std::vector<Solver> cvode(), arkode(), odeint();

}  // namespace evenstroke::benchmark
