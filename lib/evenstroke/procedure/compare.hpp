#pragma once
#include <array>
#include <atomic>
#include <limits>

#include "evenstroke/procedure/procedure.hpp"
#include "evenstroke/transport/march.hpp"

namespace evenstroke {

class PressureWatch;

/// What a person reads in a stroke that is made to compare the rods, to the marks of the observer; NaN: nothing to read.
struct Comparison {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  std::array<double, 3> mismatch_m{none, none, none};   ///< as the mean passes 25, 50 and 75 % of the travel
  double at_stop_m = none;                 ///< the same where they end, at the upper stops or held back by what lags
  double first_s = none, last_s = none;    ///< from the motor's start until the first, the last rod is seen to move
  double back_m = none;                    ///< how far a rod springs back within two seconds when the motor stops half way
  double pressure_s = none;                ///< from the stops until nine tenths of the pump's last pressure
  double current_a = none;                 ///< of the motor then
  double level_rise_m = none;              ///< of the reservoir when the pressure at the stops is let go
  double held_n = none;                    ///< greatest force of the hands that hold the rods together
};

/// Brings the rods home, with the bypass opened for what is left; extends with a halt half way, presses at the stops, lets the
/// pressure go by setting the valve over (not under the panel, which would come down), retracts and rests.   tests: tests/procedure/compare_test.cpp
Outcome compare(March&, Contents&, const Step&, PressureWatch*, const std::atomic<bool>* stop, Comparison&);

/// x1 - x2 of two rods; of more, largest less smallest; 0 of one.
double mismatch_m(const std::vector<double>& position_m);

}  // namespace evenstroke
