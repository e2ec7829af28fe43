#pragma once
#include <cstddef>
#include <functional>
#include <memory>
#include <vector>

namespace evenstroke {

/// Boost.Odeint behind plain numbers and functions: odeint.cpp is the only file that includes it. That file is compiled
/// as C++17, because ublas of Boost 1.74 calls members of std::allocator which C++20 took away; keep this header so.
struct OdeintSystem {
  std::function<void(const double* y, double* f)> rhs;
  std::function<void(const double* y, double* full)> jacobian;   ///< every entry, row by row
};

/// One step of Odeint's rosenbrock4, nothing judged.
class OdeintFormula {
 public:
  explicit OdeintFormula(std::size_t states);
  ~OdeintFormula();
  OdeintFormula(OdeintFormula&&) noexcept;
  OdeintFormula& operator=(OdeintFormula&&) noexcept;

  /// What the functions throw passes through. False when the matrix has a pivot of zero; results are then void.
  bool step(const OdeintSystem& system, const double* y, double h);
  const double* new_state() const;
  const double* error() const;
  void keep_dense();                                     ///< makes `dense` speak of the last step
  void dense(double s, const double* y, double* out);    ///< at the fraction s of that step, which began at y

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

/// A stepper of another make that Odeint is to drive, with the last point it accepted.
struct OdeintGuest {
  std::vector<double> y;
  double t = 0;
  /// Tries a step h from y, updates h, writes y_new and returns true when accepted. May throw to end everything.
  std::function<bool(const double* y, double& h, bool retry, double* y_new)> attempt;
  std::function<void(double s, const double* y_old, double* out)> dense;
};

/// Which of Odeint's loops drives the step, and by which of its concepts.
enum class OdeintLoop { adaptive, constant, times };
enum class OdeintConcept { controlled, dense_output };

/// Odeint's integrate function for that loop from the guest's y at time_s.front() to time_s.back(); `constant` takes
/// the gap between the first two instants, also as its first step. Returns the state it leaves.
std::vector<double> odeint_loop(OdeintGuest& guest, OdeintLoop loop, OdeintConcept by,
                                const std::vector<double>& time_s, double h_s,
                                const std::function<void(const std::vector<double>&, double)>& see);

}  // namespace evenstroke
