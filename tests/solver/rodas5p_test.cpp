#include "evenstroke/solver/rodas5p.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <new>
#include <vector>

#include "solver/problems.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::problems;

namespace {
std::atomic<long> allocations{0};
}

// Replaced for the whole test program, to count. Not inlined, or the compiler sees free() meet new and warns.
[[gnu::noinline]] void* operator new(std::size_t bytes) {
  ++allocations;
  if (void* p = std::malloc(bytes ? bytes : 1)) return p;
  throw std::bad_alloc();
}
[[gnu::noinline]] void* operator new(std::size_t bytes, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(bytes ? bytes : 1);
}
[[gnu::noinline]] void operator delete(void* p) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, std::size_t) noexcept { std::free(p); }

namespace {

/// y' = lambda (y - cos t) - sin t, t' = 1:  y = cos t for every lambda (Prothero and Robinson).
struct ProtheroRobinson {
  double lambda;
  Pattern pattern = make_pattern(2, {{0, 1}});
  int size() const { return 2; }
  void rhs(const double* y, double* f) const {
    f[0] = lambda * (y[0] - std::cos(y[1])) - std::sin(y[1]);
    f[1] = 1;
  }
  void jacobian(const double* y, double* v) const {
    v[0] = lambda;
    v[1] = lambda * std::sin(y[1]) - std::cos(y[1]);
    v[2] = 0;
  }
};

template <class S>
Rodas5p<double> loose(const S& s) {  // tolerances so wide that every finite step is accepted; error = RMS of estimate
  return Rodas5p<double>(s.pattern, Vector(static_cast<std::size_t>(s.size()), 1.0), 0.0);
}

/// Error of component 0 after `steps` equal steps over [t0, t0 + 1].
template <class S>
double global_error(S system, Vector y, double exact_end, int steps) {
  auto stepper = loose(system);
  for (int i = 0; i < steps; ++i) {
    REQUIRE(stepper.attempt(system, y.data(), 1.0 / steps).accepted);
    y.assign(stepper.new_state(), stepper.new_state() + system.size());
  }
  return std::abs(y[0] - exact_end);
}

/// Modulus of the stability function at z = re + i im.
double amplification(double re, double im) {
  Spiral system{re, im};
  Rodas5p<double> stepper(system.pattern, {1e300, 1e300}, 0.0);
  const double y[] = {1, 0};
  REQUIRE(stepper.attempt(system, y, 1.0).accepted);
  return std::hypot(stepper.new_state()[0], stepper.new_state()[1]);
}

}  // namespace

TEST_SUITE("solver/rodas5p") {
  TEST_CASE("reference: the stages stand at the times printed in the paper") {
    // alpha_i of Rodas5P: Steinebach 2023, doi 10.1007/s10543-023-00967-x; here they follow from a, c and gamma.
    const double alpha[] = {0, 0.6358126895828704, 0.4095798393397535, 0.9769306725060716, 0.4288403609558664, 1, 1, 1};
    struct Clock {
      Vector seen;
      int size() const { return 1; }
      void rhs(const double* y, double* f) {
        seen.push_back(y[0]);
        f[0] = 1;
      }
      void jacobian(const double*, double* v) const { v[0] = 0; }
    } clock;
    Rodas5p<double> stepper(make_pattern(1, {}), {1.0}, 0.0);
    const double start = 0;
    REQUIRE(stepper.attempt(clock, &start, 1.0).accepted);
    REQUIRE(clock.seen.size() == 8);
    for (std::size_t i = 0; i < 8; ++i) CHECK(near(clock.seen[i], alpha[i], 0, 2e-13));
    CHECK(near(stepper.new_state()[0], 1.0, 1e-13, 0));
  }

  TEST_CASE("order: global error falls with the fifth power of the step") {
    const double exact = TwoExponentials::exact(1)[0];
    for (int steps : {16, 32}) {
      CAPTURE(steps);
      const Vector y0 = TwoExponentials::exact(0);
      const double coarse = global_error(TwoExponentials{}, y0, exact, steps);
      const double fine = global_error(TwoExponentials{}, y0, exact, 2 * steps);
      CHECK(near(std::log2(coarse / fine), 5.0, 0, 0.35));
    }
  }

  TEST_CASE("order: embedded and dense formulas have order 4, so their error in one step is fifth order") {
    TwoExponentials system;
    auto stepper = loose(system);
    const double t = 0.7;
    const Vector y = TwoExponentials::exact(t);
    double estimate[2], dense[2];
    for (int i : {0, 1}) {
      const double h = i == 0 ? 0.02 : 0.01;
      const auto r = stepper.attempt(system, y.data(), h);
      REQUIRE(r.accepted);
      estimate[i] = r.error;
      dense[i] = 0;
      for (double s : {0.2, 0.4, 0.6, 0.8}) {
        Vector out(3);
        stepper.dense(s, y.data(), out.data());
        dense[i] = std::max(dense[i], std::abs(out[0] - TwoExponentials::exact(t + s * h)[0]));
        CHECK(near(out[2], t + s * h, 1e-13, 0));
      }
    }
    CHECK(near(std::log2(estimate[0] / estimate[1]), 5.0, 0, 0.35));
    CHECK(near(std::log2(dense[0] / dense[1]), 5.0, 0, 0.35));
  }

  TEST_CASE("order: stiffness does not break the order down to first or second") {
    for (double lambda : {-1e2, -1e4, -1e6, -1e8}) {
      CAPTURE(lambda);
      const double coarse = global_error(ProtheroRobinson{lambda}, {1, 0}, std::cos(1.0), 8);
      const double fine = global_error(ProtheroRobinson{lambda}, {1, 0}, std::cos(1.0), 16);
      CAPTURE(coarse);
      CAPTURE(fine);
      CHECK((std::log2(coarse / fine) > 2.5 || coarse < 1e-13));  // at the largest lambda only rounding is left
      CHECK(coarse < 1e-5);
    }
  }

  TEST_CASE("limit: L-stable: infinitely fast modes vanish in one step, oscillations never grow") {
    CHECK(amplification(-1e8, 0) < 1e-5);
    CHECK(amplification(-1e12, 0) < 1e-9);
    CHECK(amplification(-1e8, 1e8) < 1e-5);
    for (double w = 1e-2; w < 1e7; w *= 1.17) {
      CAPTURE(w);
      CHECK(amplification(0, w) <= 1 + 1e-12);
      CHECK(amplification(-0.5 * w, w) < 1);
    }
    CHECK(near(amplification(-0.01, 0), std::exp(-0.01), 1e-13, 0));
  }

  TEST_CASE("limit: dense output meets both ends of the step") {
    TwoExponentials system;
    auto stepper = loose(system);
    const Vector y = TwoExponentials::exact(0.5);
    REQUIRE(stepper.attempt(system, y.data(), 0.1).accepted);
    Vector out(3);
    stepper.dense(0, y.data(), out.data());
    CHECK(out == y);
    stepper.dense(1, y.data(), out.data());
    CHECK(out == Vector(stepper.new_state(), stepper.new_state() + 3));
  }

  TEST_CASE("check: not-a-number is rejected, from f, from the Jacobian or in a late stage, and the retry succeeds") {
    Draining system;
    Rodas5p<double> stepper(system.pattern, {1e-3}, 1e-3);
    const double inside = 1, outside = -1, edge = 0;
    for (const double* y : {&outside, &edge}) {  // f is NaN; f is finite and the Jacobian infinite
      const auto r = stepper.attempt(system, y, 0.1);
      CHECK_FALSE(r.accepted);
      CHECK(r.reason == Reason::not_finite);
      CHECK(r.h_next == 0.1 / 4);
      CHECK_FALSE(std::isnan(r.error));
    }
    auto r = stepper.attempt(system, &inside, 8.0);  // some stage lands below zero
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::not_finite);
    int tries = 1;
    while (!r.accepted && tries++ < 20) r = stepper.attempt(system, &inside, r.h_next, true);
    CHECK(r.accepted);
    CHECK(stepper.counts().jacobians == 3);  // one per state, none for retries
    CHECK(stepper.counts().steps == 1);
    CHECK(stepper.counts().rejected == tries + 1);
    CHECK_FALSE(system.asked_nan);  // the attempt ends at the first bad stage; laws never see its values
  }

  TEST_CASE("check: a state that overflows in the last addition is rejected, though its error estimate is zero") {
    struct Constant {
      int size() const { return 1; }
      void rhs(const double*, double* f) const { f[0] = 1e300; }
      void jacobian(const double*, double* v) const { v[0] = 0; }
    } system;
    Rodas5p<double> stepper(make_pattern(1, {}), {1.0}, 1e-6);
    const double y = std::numeric_limits<double>::max();
    const auto r = stepper.attempt(system, &y, 1.0);
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::not_finite);
  }

  TEST_CASE("law: the controller knows the order: a retry lands at 0.9 to the fifth power of the tolerance") {
    TwoExponentials system;
    Rodas5p<double> stepper(system.pattern, {1e-10, 1e-10, 1e-10}, 0.0);
    const Vector y = TwoExponentials::exact(0.7);
    const auto first = stepper.attempt(system, y.data(), 0.02);
    REQUIRE(first.reason == Reason::error_too_large);
    REQUIRE(first.error < 1000);
    const auto second = stepper.attempt(system, y.data(), first.h_next, true);
    CHECK(second.accepted);
    CHECK(near(second.error, std::pow(0.9, 5), 0.1, 0));
  }

  TEST_CASE("check: a step whose matrix is singular is rejected for its pivot") {
    const double h = 0.5;
    Spiral system{1 / (h * Rodas5pTable::gamma), 0};
    auto stepper = loose(system);
    const double y[] = {1, 0};
    const auto r = stepper.attempt(system, y, h);
    CHECK_FALSE(r.accepted);
    CHECK(r.reason == Reason::pivot);
    CHECK(r.h_next == h / 4);
  }

  TEST_CASE("law: the step grows at most sixfold, shrinks at most fivefold and does not grow after a rejection") {
    Spiral slow{-1, 0}, fast{-1, 3e3};
    Rodas5p<double> stepper(slow.pattern, {1e-6, 1e-6}, 1e-6);
    const double y[] = {1, 0};
    CHECK(stepper.attempt(slow, y, 1e-6).h_next == 1e-6 * 6);
    auto r = stepper.attempt(fast, y, 1.0);
    CHECK(r.reason == Reason::error_too_large);
    CHECK(r.error > 1);
    while (!r.accepted) {
      const double h = r.h_next;
      r = stepper.attempt(fast, y, h, true);
      CHECK(r.h_next <= h);
      CHECK(r.h_next >= 0.2 * h * (1 - 1e-15));
    }
    const double rejected_h = stepper.attempt(fast, y, 1.0).h_next;
    CHECK(rejected_h >= 0.2);
    CHECK(stepper.attempt(slow, y, 1e-6).h_next == 1e-6 * 6);  // a fresh start forgets the rejection
  }

  TEST_CASE("law: a restart leaves no trace: same state and step, same bits, whatever came before") {
    TwoExponentials system;
    auto stepper = loose(system), fresh = loose(system);
    const Vector y = TwoExponentials::exact(0.3), other = TwoExponentials::exact(0.9);
    REQUIRE(stepper.attempt(system, other.data(), 0.2).accepted);
    const auto a = stepper.attempt(system, y.data(), 0.1), b = fresh.attempt(system, y.data(), 0.1);
    CHECK(a.error == b.error);
    auto first = loose(system);
    CHECK(first.attempt(system, y.data(), 0.1, true).error == b.error);  // a retry of nothing is a plain attempt
    for (int i = 0; i < 3; ++i) CHECK(stepper.new_state()[i] == fresh.new_state()[i]);
  }

  TEST_CASE("check: steps and dense output allocate nothing, accepted or rejected") {
    TwoExponentials system;
    Rodas5p<double> stepper(system.pattern, {1e-9, 1e-9, 1e-9}, 1e-9);
    const Vector y = TwoExponentials::exact(0.3);
    Vector out(3);
    const long before = allocations;
    const bool rejected = !stepper.attempt(system, y.data(), 1.0).accepted;
    const bool accepted = stepper.attempt(system, y.data(), 1e-3, true).accepted;
    stepper.dense(0.5, y.data(), out.data());
    const long after = allocations;
    CHECK(after == before);
    CHECK(rejected);
    CHECK(accepted);
    std::vector<Vector> kept(1, out);
    CHECK(kept.back().data() != out.data());
    CHECK(allocations > after);  // the counter does count
  }

  TEST_CASE("check: tolerances, step and system that make no sense are the caller's mistake") {
    Draining system;
    CHECK_THROWS_AS(Rodas5p<double>(system.pattern, {1e-6, 1e-6}, 1e-6), InputError);
    CHECK_THROWS_AS(Rodas5p<double>(system.pattern, {0.0}, 1e-6), InputError);
    CHECK_THROWS_AS(Rodas5p<double>(system.pattern, {1e-6}, -1e-6), InputError);
    CHECK_THROWS_AS(Rodas5p<double>(system.pattern, {std::nan("")}, 1e-6), InputError);
    auto stepper = loose(system);
    const double y = 1;
    for (double h : {0.0, -1.0, std::nan(""), std::numeric_limits<double>::infinity()})
      CHECK_THROWS_AS(stepper.attempt(system, &y, h), InputError);
    Spiral two{-1, 0};
    CHECK_THROWS_AS(stepper.attempt(two, &y, 0.1), InputError);
  }
}
