#include "sundials.hpp"

#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <stdexcept>

namespace evenstroke::benchmark {
namespace {

/// Values in slot order behind the interface of a SUNMatrix; the pattern holds the whole diagonal.
struct Slots {
  const Pattern* pattern;
  std::vector<double> value;
};
Slots& slots(SUNMatrix m) { return *static_cast<Slots*>(m->content); }

SUNMatrix new_slots(const Pattern& pattern, SUNContext context) {
  SUNMatrix m = SUNMatNewEmpty(context);
  m->content = new Slots{&pattern, std::vector<double>(pattern.col.size(), 0.0)};
  m->ops->getid = [](SUNMatrix) { return SUNMATRIX_CUSTOM; };
  m->ops->clone = [](SUNMatrix a) { return new_slots(*slots(a).pattern, a->sunctx); };
  m->ops->destroy = [](SUNMatrix a) {
    delete static_cast<Slots*>(a->content);
    SUNMatFreeEmpty(a);
  };
  m->ops->zero = [](SUNMatrix a) {
    std::fill(slots(a).value.begin(), slots(a).value.end(), 0.0);
    return 0;
  };
  m->ops->copy = [](SUNMatrix a, SUNMatrix b) {
    slots(b).value = slots(a).value;
    return 0;
  };
  m->ops->scaleaddi = [](realtype c, SUNMatrix a) {
    Slots& s = slots(a);
    for (double& v : s.value) v *= c;
    for (int i = 0; i < s.pattern->n; ++i) s.value[static_cast<std::size_t>(s.pattern->slot(i, i))] += 1;
    return 0;
  };
  return m;
}

struct Sparse {
  explicit Sparse(const Pattern& p) : lu(p), minus(p.col.size()) {}
  SparseLu<double> lu;                    // of diag I - J: given 0 and minus the matrix
  std::vector<double> minus;
};
Sparse& sparse(SUNLinearSolver s) { return *static_cast<Sparse*>(s->content); }

SUNLinearSolver new_sparse(const Pattern& pattern, SUNContext context) {
  SUNLinearSolver s = SUNLinSolNewEmpty(context);
  s->content = new Sparse(pattern);
  s->ops->gettype = [](SUNLinearSolver) { return SUNLINEARSOLVER_DIRECT; };
  s->ops->getid = [](SUNLinearSolver) { return SUNLINEARSOLVER_CUSTOM; };
  s->ops->initialize = [](SUNLinearSolver) { return 0; };
  s->ops->setup = [](SUNLinearSolver a, SUNMatrix m) {
    const std::vector<double>& value = slots(m).value;
    std::transform(value.begin(), value.end(), sparse(a).minus.begin(), [](double v) { return -v; });
    return sparse(a).lu.factor(sparse(a).minus.data(), 0.0) ? 0 : 1;
  };
  s->ops->solve = [](SUNLinearSolver a, SUNMatrix, N_Vector x, N_Vector b, realtype) {
    std::copy_n(N_VGetArrayPointer(b), sparse(a).lu.size(), N_VGetArrayPointer(x));
    sparse(a).lu.solve(N_VGetArrayPointer(x));
    return 0;
  };
  s->ops->free = [](SUNLinearSolver a) {
    delete static_cast<Sparse*>(a->content);
    SUNLinSolFreeEmpty(a);
    return 0;
  };
  return s;
}

}  // namespace

SundialsProblem::SundialsProblem(Segment& s, double rel_tol, bool by_sparse)
    : segment(s), sparse_(by_sparse), slot_(s.model->pattern().col.size()) {
  const auto n = static_cast<sunindextype>(s.size());
  if (SUNContext_Create(nullptr, &context) != 0) throw std::runtime_error("SUNDIALS gives no context");
  y = N_VNew_Serial(n, context);
  abs_tol = N_VNew_Serial(n, context);
  N_VConst(0, y);
  std::ranges::copy(s.abs_tol_at(rel_tol), N_VGetArrayPointer(abs_tol));
  matrix = by_sparse ? new_slots(s.model->pattern(), context) : SUNDenseMatrix(n, n, context);
  linear = by_sparse ? new_sparse(s.model->pattern(), context) : SUNLinSol_Dense(y, matrix, context);
}

SundialsProblem::~SundialsProblem() {
  SUNLinSolFree(linear);
  SUNMatDestroy(matrix);
  N_VDestroy(abs_tol);
  N_VDestroy(y);
  SUNContext_Free(&context);
}

int SundialsProblem::rhs(realtype, N_Vector y, N_Vector f, void* problem) {
  static_cast<SundialsProblem*>(problem)->segment.model->rhs(N_VGetArrayPointer(y), N_VGetArrayPointer(f));
  return 0;
}

int SundialsProblem::jacobian(realtype, N_Vector y, N_Vector, SUNMatrix j, void* problem, N_Vector, N_Vector, N_Vector) {
  SundialsProblem& p = *static_cast<SundialsProblem*>(problem);
  const Pattern& pattern = p.segment.model->pattern();
  double* to = p.sparse_ ? slots(j).value.data() : p.slot_.data();
  p.segment.model->jacobian(N_VGetArrayPointer(y), to);
  if (p.sparse_) return 0;
  SUNMatZero(j);
  double* full = SUNDenseMatrix_Data(j);   // column by column
  const auto n = static_cast<std::size_t>(pattern.n);
  for (std::size_t row = 0; row < n; ++row)
    for (int s = pattern.row_start[row]; s < pattern.row_start[row + 1]; ++s) {
      const auto slot = static_cast<std::size_t>(s);
      full[static_cast<std::size_t>(pattern.col[slot]) * n + row] = to[slot];
    }
  return 0;
}

}  // namespace evenstroke::benchmark
