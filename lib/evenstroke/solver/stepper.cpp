#include "evenstroke/solver/stepper.hpp"

#include <utility>

#include "evenstroke/base/suggest.hpp"

namespace evenstroke {

const char* to_string(Method method) {
  return method == Method::rodas5p ? "rodas5p" : "odeint_rosenbrock4";
}

Method method_by_name(const std::string& name) {
  std::vector<std::string> known;
  for (const Method m : {Method::rodas5p, Method::odeint_rosenbrock4}) {
    if (name == to_string(m)) return m;
    known.push_back(to_string(m));
  }
  throw InputError("method", "\"" + name + "\"", "",
                   "must be \"" + known[0] + "\" or \"" + known[1] + "\"" + did_you_mean(name, known));
}

Stepper::Stepper(Method method, const Pattern& pattern, std::vector<double> abs_tol, double rel_tol)
    : either_(method == Method::rodas5p ? Either(Rodas5p<double>(pattern, std::move(abs_tol), rel_tol))
                                        : Either(OdeintRosenbrock4(pattern, std::move(abs_tol), rel_tol))) {}

}  // namespace evenstroke
