#pragma once
#include <string>
#include <variant>
#include <vector>

#include "evenstroke/solver/odeint_stepper.hpp"
#include "evenstroke/solver/rodas5p.hpp"

namespace evenstroke {

/// The formulas a run can be integrated with: ours, and one of another make to compare with.
enum class Method { rodas5p, odeint_rosenbrock4 };

const char* to_string(Method);
/// InputError, with the nearest known name, for any other.
Method method_by_name(const std::string& name);

/// Either stepper under one contract, that of Rodas5p; one branch per call, none inside a step.
class Stepper {
 public:
  Stepper(Method method, const Pattern& pattern, std::vector<double> abs_tol, double rel_tol);

  template <class S>
    requires AutonomousSystem<S, double>
  StepResult<double> attempt(S& system, const double* y, double h, bool retry = false) {
    return own() ? own()->attempt(system, y, h, retry) : other().attempt(system, y, h, retry);
  }
  const double* new_state() const { return own() ? own()->new_state() : other().new_state(); }
  void dense(double s, const double* y, double* out) const {
    if (own()) own()->dense(s, y, out);
    else other().dense(s, y, out);
  }
  const Counts& counts() const { return own() ? own()->counts() : other().counts(); }

 private:
  using Either = std::variant<Rodas5p<double>, OdeintRosenbrock4>;
  Rodas5p<double>* own() { return std::get_if<Rodas5p<double>>(&either_); }
  const Rodas5p<double>* own() const { return std::get_if<Rodas5p<double>>(&either_); }
  OdeintRosenbrock4& other() { return std::get<OdeintRosenbrock4>(either_); }
  const OdeintRosenbrock4& other() const { return std::get<OdeintRosenbrock4>(either_); }

  Either either_;
};

}  // namespace evenstroke
