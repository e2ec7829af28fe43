#pragma once
#include <cstddef>
#include <vector>

#include "evenstroke/flow/model.hpp"

namespace evenstroke {

/// The flow equations as seen from where a step sets out: the stepper knows only what the step itself moves, so
/// its relative tolerance is a share of that. A share of all that has passed since the contents were frozen would let
/// pressures err far beyond an opening's laminar zone (flow_tolerances) once much has passed and flow dies down:
/// steps then find a false rest, none growing, while the law still gives flow.
/// tests: tests/limits/random_found_test.cpp
class StepFrom {
 public:
  /// All three must outlive it; `sum` is room to work in, as long as `base`.
  StepFrom(FlowModel<double>& model, const std::vector<double>& base, std::vector<double>& sum)
      : model_(model), base_(base), sum_(sum) {}
  int size() const { return model_.size(); }
  void rhs(const double* moved, double* f) { model_.rhs(from_base(moved), f); }
  void jacobian(const double* moved, double* values) { model_.jacobian(from_base(moved), values); }

 private:
  const double* from_base(const double* moved) {
    for (std::size_t i = 0; i < base_.size(); ++i) sum_[i] = base_[i] + moved[i];
    return sum_.data();
  }

  FlowModel<double>& model_;
  const std::vector<double>& base_;
  std::vector<double>& sum_;
};

}  // namespace evenstroke
