#pragma once
#include "evenstroke/components/line.hpp"

namespace evenstroke::testing {

inline Line plain(double bore_m, double length_m, double minor_loss = 0) {
  Line l;
  l.bore_m = bore_m;
  l.length_m = length_m;
  l.minor_loss = minor_loss;
  return l;
}

}  // namespace evenstroke::testing
