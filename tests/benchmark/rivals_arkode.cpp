#include <arkode/arkode_arkstep.h>

#include "sundials.hpp"

namespace evenstroke::benchmark {
namespace {

/// Diagonally implicit Runge-Kutta with an explicit first stage, stiffly accurate, by the given table.
Solved solve(Segment& s, double rel_tol, long most_rhs, const char* table, bool sparse) {
  SundialsProblem p(s, rel_tol, sparse);
  void* memory = ARKStepCreate(nullptr, SundialsProblem::rhs, 0, p.y, p.context);
  ARKStepSVtolerances(memory, rel_tol, p.abs_tol);
  ARKStepSetUserData(memory, &p);
  ARKStepSetErrFile(memory, nullptr);
  ARKStepSetTableName(memory, table, "ARKODE_ERK_NONE");
  ARKStepSetLinearSolver(memory, p.linear, p.matrix);
  ARKStepSetJacFn(memory, SundialsProblem::jacobian);
  ARKStepSetDeduceImplicitRhs(memory, 1);   // saves a right-hand side per stage
  ARKStepSetMaxNumSteps(memory, most_rhs);
  Solved r = integrate(p, [&](double out, realtype* t) { return ARKStepEvolve(memory, out, p.y, t, ARK_NORMAL); });
  Work& w = r.work;
  long explicit_rhs = 0;
  ARKStepGetNumSteps(memory, &w.steps);
  ARKStepGetNumErrTestFails(memory, &w.rejected);
  ARKStepGetNumRhsEvals(memory, &explicit_rhs, &w.rhs);
  ARKStepGetNumJacEvals(memory, &w.jacobians);
  ARKStepGetNumLinSolvSetups(memory, &w.factorisations);
  ARKStepFree(&memory);
  return r;
}

}  // namespace

std::vector<Solver> arkode() {
  std::vector<Solver> all;
  for (const bool sparse : {false, true})
    for (const char* table : {"ARKODE_TRBDF2_3_3_2", "ARKODE_ESDIRK436L2SA_6_3_4", "ARKODE_ESDIRK547L2SA2_7_4_5"})
      all.push_back({sparse ? "ARKODE ESDIRK, our sparse LU" : "ARKODE ESDIRK, dense LU", table + 7,
                     [=](Segment& s, double rel_tol, long most) { return solve(s, rel_tol, most, table, sparse); }});
  return all;
}

}  // namespace evenstroke::benchmark
