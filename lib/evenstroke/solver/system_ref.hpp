#pragma once
#include <concepts>

#include "evenstroke/solver/rodas5p.hpp"

namespace evenstroke {

/// Any autonomous system in double behind two function pointers, for code that is compiled once. Refers, does not own:
/// the system must outlive it. Too slow a call for the inside of Rodas5p's usual step.
class SystemRef {
 public:
  template <class S>
    requires(!std::same_as<S, SystemRef> && AutonomousSystem<S, double>)
  explicit SystemRef(S& system)
      : object_(&system), states_(static_cast<int>(system.size())),
        rhs_([](void* s, const double* y, double* f) { static_cast<S*>(s)->rhs(y, f); }),
        jacobian_([](void* s, const double* y, double* v) { static_cast<S*>(s)->jacobian(y, v); }) {}

  int size() const { return states_; }
  void rhs(const double* y, double* f) const { rhs_(object_, y, f); }
  void jacobian(const double* y, double* values) const { jacobian_(object_, y, values); }

 private:
  void* object_;
  int states_;
  void (*rhs_)(void*, const double*, double*);
  void (*jacobian_)(void*, const double*, double*);
};

}  // namespace evenstroke
