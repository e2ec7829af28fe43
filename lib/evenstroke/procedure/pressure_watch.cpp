#include "evenstroke/procedure/pressure_watch.hpp"

#include <algorithm>
#include <cmath>

namespace evenstroke {

PressureWatch::PressureWatch(const Network& n, const Contents& c)
    : net_(n), last_pa_abs_(c.pressure_pa_abs), hold_s_(c.place.size(), 0.0), highest_of_(c.place.size(), 0.0) {
  for (std::size_t p = 0; p < last_pa_abs_.size(); ++p) count(p);
}

void PressureWatch::closed(const std::vector<double>& pa_abs) {
  constexpr double jump = 0.01, settle_s = 1e-3;
  const auto jumped = [&](int place) {
    const auto p = static_cast<std::size_t>(place);
    return place >= 0 && std::abs(pa_abs[p] - last_pa_abs_[p]) > jump * last_pa_abs_[p];
  };
  for (const Edge& e : net_.edges) {
    if (!jumped(e.from) && !jumped(e.to)) continue;
    for (const int place : {e.from, e.to})
      if (place >= 0) hold_s_[static_cast<std::size_t>(place)] = settle_s;
  }
}

}  // namespace evenstroke
