#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// What a person at the bench can see.   tests: tests/procedure/stream_watch_test.cpp
struct Observer {
  double visible_m = 0.2e-3;       ///< diameter at p0 of the smallest bubble seen in a stream of oil
  double visible_share = 2e-3;     ///< least share of such bubbles in a stream at p0 that is seen [-]
  double rod_mark_m = 0.5e-3;      ///< rods are read to this
  double level_mark_m = 1e-3;      ///< the reservoir's level is read to this
};
template <>
std::span<const Field<Observer>> fields<Observer>();
void check(const Observer&, const std::string& where);

}  // namespace evenstroke
