#include "evenstroke/solver/odeint.hpp"

#include <algorithm>
#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <boost/numeric/odeint/integrate/integrate_const.hpp>
#include <boost/numeric/odeint/integrate/integrate_times.hpp>
#include <boost/numeric/odeint/stepper/controlled_step_result.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4.hpp>
#include <boost/numeric/odeint/stepper/stepper_categories.hpp>
#include <limits>
#include <utility>

namespace evenstroke {

namespace odeint = boost::numeric::odeint;
namespace ublas = boost::numeric::ublas;

struct OdeintFormula::Parts {
  explicit Parts(std::size_t n) : y(n), y_new(n), error(n) {}
  odeint::rosenbrock4<double> method;
  ublas::vector<double> y, y_new, error;
};

OdeintFormula::OdeintFormula(std::size_t states) : parts_(std::make_unique<Parts>(states)) {}
OdeintFormula::~OdeintFormula() = default;
OdeintFormula::OdeintFormula(OdeintFormula&&) noexcept = default;
OdeintFormula& OdeintFormula::operator=(OdeintFormula&&) noexcept = default;

const double* OdeintFormula::new_state() const { return &parts_->y_new[0]; }
const double* OdeintFormula::error() const { return &parts_->error[0]; }
void OdeintFormula::keep_dense() { parts_->method.prepare_dense_output(); }

bool OdeintFormula::step(const OdeintSystem& system, const double* y, double h) {
  using Vector = ublas::vector<double>;
  const auto rhs = [&](const Vector& at, Vector& f, double) { system.rhs(&at[0], &f[0]); };
  const auto jacobian = [&](const Vector& at, ublas::matrix<double>& full, double, Vector& df_dt) {
    system.jacobian(&at[0], &full.data()[0]);
    df_dt.clear();
  };
  std::copy(y, y + parts_->y.size(), parts_->y.begin());
  try {
    parts_->method.do_step(std::make_pair(rhs, jacobian), parts_->y, 0.0, parts_->y_new, h, parts_->error);
  } catch (const ublas::singular&) {
    return false;
  }
  return true;
}

void OdeintFormula::dense(double s, const double* y, double* out) {
  std::copy(y, y + parts_->y.size(), parts_->y.begin());
  parts_->method.calc_state(s, parts_->error, parts_->y, 0.0, parts_->y_new, 1.0);   // the estimate has served
  std::copy(parts_->error.begin(), parts_->error.end(), out);
}

namespace {

using State = std::vector<double>;
struct Nothing {};   // Odeint hands a system round; the guest brings its own

/// What Odeint asks of any stepper.
struct StepperTypes {
  using state_type = State;
  using deriv_type = State;
  using value_type = double;
  using time_type = double;
  using order_type = unsigned short;
};

struct Controlled : StepperTypes {
  using stepper_category = odeint::controlled_stepper_tag;

  OdeintGuest& guest;
  State y_new;
  bool failed = false;

  explicit Controlled(OdeintGuest& g) : guest(g), y_new(g.y.size()) {}
  odeint::controlled_step_result try_step(Nothing, State& y, double& t, double& h) {
    const bool retry = failed && y == guest.y && t == guest.t;
    const double taken = h;
    failed = !guest.attempt(y.data(), h, retry, y_new.data());
    if (!failed) {
      y = y_new;
      t += taken;
    }
    guest.y = y;
    guest.t = t;
    return failed ? odeint::fail : odeint::success;
  }
};

struct DenseOutput : StepperTypes {
  using stepper_category = odeint::dense_output_stepper_tag;

  OdeintGuest& guest;
  State y_old, y_new;
  double h = 0, t_old = 0;

  explicit DenseOutput(OdeintGuest& g) : guest(g), y_old(g.y), y_new(g.y) {}
  void initialize(const State& y, double t, double first_h) {
    // Odeint asks for the rest of the time, then refuses a step that rounding carries past the end, for ever: asked
    // again for a step that was not taken, it gets one a few roundings shorter.
    const bool refused = t == guest.t && first_h == h;
    h = refused ? first_h * (1 - 8 * std::numeric_limits<double>::epsilon()) : first_h;
    if (&y != &guest.y) guest.y = y;
    guest.t = t;
  }
  std::pair<double, double> do_step(Nothing) {
    double taken = h;
    for (bool retry = false; !guest.attempt(guest.y.data(), h, retry, y_new.data()); retry = true) taken = h;
    y_old = guest.y;
    t_old = guest.t;
    guest.y = y_new;
    guest.t += taken;
    return {t_old, guest.t};
  }
  void calc_state(double t, State& y) const { guest.dense((t - t_old) / (guest.t - t_old), y_old.data(), y.data()); }
  const State& current_state() const { return guest.y; }
  double current_time() const { return guest.t; }
  double current_time_step() const { return h; }
  const State& previous_state() const { return y_old; }
  double previous_time() const { return t_old; }
};

}  // namespace

std::vector<double> odeint_loop(OdeintGuest& guest, OdeintLoop loop, OdeintConcept by,
                                const std::vector<double>& time_s, double h_s,
                                const std::function<void(const std::vector<double>&, double)>& see) {
  State y = guest.y;
  const auto drive = [&](auto face) {
    const auto ref = std::ref(face);
    const double first = time_s.front(), last = time_s.back();
    if (loop == OdeintLoop::adaptive) odeint::integrate_adaptive(ref, Nothing{}, y, first, last, h_s, std::ref(see));
    if (loop == OdeintLoop::constant)
      odeint::integrate_const(ref, Nothing{}, y, first, last, time_s[1] - first, std::ref(see));
    if (loop == OdeintLoop::times)
      odeint::integrate_times(ref, Nothing{}, y, time_s.begin(), time_s.end(), h_s, std::ref(see));
  };
  if (by == OdeintConcept::controlled) drive(Controlled(guest));
  else drive(DenseOutput(guest));
  return y;
}

}  // namespace evenstroke
