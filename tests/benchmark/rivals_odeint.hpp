#pragma once
#include <functional>
#include <vector>

namespace evenstroke::benchmark {

/// Plain numbers and functions, because the file that includes Odeint is compiled as C++17 (as solver/odeint.cpp is).
struct OdeintProblem {
  std::size_t size = 0;
  double first_step_s = 0;
  std::vector<double> time_s;             ///< rising
  std::function<void(const double* y, double* f)> rhs;
  std::function<void(const double* y, double* full)> jacobian;   ///< row by row
};
struct OdeintSolution {
  bool reached = false;
  std::vector<double> y;
  double seconds = 0;
  long steps = 0, rhs = 0, jacobians = 0;   ///< every attempt of rosenbrock4 takes a Jacobian and factorises
};

/// From zero, by Odeint's own stepper, controller and dense output; one tolerance, absolute and relative, for all states.
OdeintSolution odeint_rosenbrock4(const OdeintProblem&, double tolerance, long most_rhs);
OdeintSolution odeint_dopri5(const OdeintProblem&, double tolerance, long most_rhs);

}  // namespace evenstroke::benchmark
