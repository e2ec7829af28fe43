#pragma once
#include <algorithm>
#include <cstddef>
#include <limits>
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Highest and lowest pressure anywhere, and for how long some place was below 0.7 bar abs (air comes out of oil and
/// seals draw; common practice, no source), flow step by flow step.
/// Contents are closed anew at each start of a quantum. A place whose pressure that moves by more than 1 % shows the
/// misfit of what was moved, not what oil does there, until it has flowed off: for a millisecond it and its neighbours
/// do not count.
/// tests: tests/procedure/pressure_watch_test.cpp
class PressureWatch {
 public:
  static constexpr double low_pa_abs = 0.7e5;
  PressureWatch(const Network&, const Contents&);

  /// Before the first step of a quantum: pressures as closed.
  void closed(const std::vector<double>& pa_abs);
  /// After each accepted step of `h` seconds, with the pressure of place p at its end.
  template <class Pressure>
  void step(double h, Pressure&& pa_abs) {
    bool low = false;
    for (std::size_t p = 0; p < hold_s_.size(); ++p) {
      hold_s_[p] -= h;
      last_pa_abs_[p] = pa_abs(p);
      if (hold_s_[p] > 0) continue;
      count(p);
      low = low || last_pa_abs_[p] < low_pa_abs;
    }
    if (low) low_s_ += h;
  }
  double highest_pa_abs() const { return highest_; }
  const std::vector<double>& highest_of() const { return highest_of_; }   ///< per place
  double lowest_pa_abs() const { return lowest_; }
  double low_s() const { return low_s_; }

 private:
  void count(std::size_t place) {
    const double p = last_pa_abs_[place];
    highest_of_[place] = std::max(highest_of_[place], p);
    highest_ = std::max(highest_, p);
    lowest_ = std::min(lowest_, p);
  }

  const Network& net_;
  std::vector<double> last_pa_abs_, hold_s_, highest_of_;
  double highest_ = 0, lowest_ = std::numeric_limits<double>::max(), low_s_ = 0;
};

}  // namespace evenstroke
