#include <cvode/cvode.h>
#include <cvode/cvode_ls.h>

#include "sundials.hpp"

namespace evenstroke::benchmark {
namespace {

/// BDF with Newton: variable order up to `most_order`, with or without stability-limit detection.
Solved solve(Segment& s, double rel_tol, long most_rhs, int most_order, bool detect, bool sparse) {
  SundialsProblem p(s, rel_tol, sparse);
  void* memory = CVodeCreate(CV_BDF, p.context);
  CVodeInit(memory, SundialsProblem::rhs, 0, p.y);
  CVodeSVtolerances(memory, rel_tol, p.abs_tol);
  CVodeSetUserData(memory, &p);
  CVodeSetErrFile(memory, nullptr);       // what failed is told by the code it returns
  CVodeSetLinearSolver(memory, p.linear, p.matrix);
  CVodeSetJacFn(memory, SundialsProblem::jacobian);
  CVodeSetMaxOrd(memory, most_order);
  CVodeSetStabLimDet(memory, detect);
  CVodeSetMaxNumSteps(memory, most_rhs);
  Solved r = integrate(p, [&](double out, realtype* t) { return CVode(memory, out, p.y, t, CV_NORMAL); });
  Work& w = r.work;
  CVodeGetNumSteps(memory, &w.steps);
  CVodeGetNumErrTestFails(memory, &w.rejected);
  CVodeGetNumRhsEvals(memory, &w.rhs);
  CVodeGetNumJacEvals(memory, &w.jacobians);
  CVodeGetNumLinSolvSetups(memory, &w.factorisations);
  CVodeFree(&memory);
  return r;
}

}  // namespace

std::vector<Solver> cvode() {
  std::vector<Solver> all;
  for (const bool sparse : {false, true}) {
    const char* family = sparse ? "CVODE BDF, our sparse LU" : "CVODE BDF, dense LU";
    const auto add = [&](const char* setting, int order, bool detect) {
      all.push_back({family, setting, [=](Segment& s, double rel_tol, long most) {
        return solve(s, rel_tol, most, order, detect, sparse);
      }});
    };
    add("order 5", 5, false);
    add("order 2", 2, false);
    add("stability limit", 5, true);
  }
  return all;
}

}  // namespace evenstroke::benchmark
