#include "evenstroke/procedure/stall.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/base/quantity.hpp"

namespace evenstroke {

Stall::Stall(const Network& n, const Contents& c)
    : net_(n), position_m_(c.position_m), pressure_pa_abs_(c.pressure_pa_abs) {
  for (std::size_t e = 0; e < n.edges.size(); ++e)
    if (n.edges[e].kind == EdgeKind::pump) pump_.push_back(e);
}

bool Stall::operator()(const Contents& now, double duration_s, const std::vector<double>& volume_m3) {
  constexpr double lasting_s = 1.0;
  for (const std::size_t e : pump_) {
    const auto to = static_cast<std::size_t>(net_.edges[e].to);
    if (e == pump_.front() || now.pressure_pa_abs[to] > now.pressure_pa_abs[behind_]) behind_ = to;
    pumped_m3_ += volume_m3[e];
  }
  over_pa_ = now.pressure_pa_abs[behind_] - p0_pa_abs;
  still_s_ += duration_s;
  if (relief_open() ? creeps(now, net_.branches()) : dead_head(now)) return still_s_ > lasting_s;
  position_m_ = now.position_m;
  pressure_pa_abs_ = now.pressure_pa_abs;
  still_s_ = pumped_m3_ = 0;
  return false;
}

bool Stall::creeps(const Contents& now, int axes) const {
  constexpr double creep_m_per_s = 1e-4;
  for (std::size_t a = 0; a < static_cast<std::size_t>(axes); ++a)
    if (std::abs(now.position_m[a] - position_m_[a]) > creep_m_per_s * still_s_) return false;
  return true;
}

bool Stall::dead_head(const Contents& now) const {
  constexpr double trickle = 0.02, steady = 0.01;          // of the flow against nothing; of the pump's pressure
  if (pumped_m3_ > trickle * net_.pump.q0 * still_s_) return false;
  for (std::size_t p = 0; p < pressure_pa_abs_.size(); ++p)
    if (std::abs(now.pressure_pa_abs[p] - pressure_pa_abs_[p]) > steady * over_pa_) return false;
  return creeps(now, static_cast<int>(net_.axes.size()));
}

Held Stall::why(const Contents& now) const {
  const auto bar = [](double pa) { return number_text(std::round(pa / 1e4) / 10) + " bar gauge"; };
  const std::string where = bar(over_pa_) + " in " + net_.places[behind_].name;
  Held h{"the relief valve is open at " + where + ", and that is not enough", over_pa_ + p0_pa_abs};
  if (!relief_open())
    h.text = "the pump is at its dead head, " + where + "; the relief valve would open at " +
             bar(net_.relief.crack_pa_diff);
  const auto n = static_cast<std::size_t>(net_.branches());
  if (net_.has_carriage() && now.position_m[n] == net_.axes[n].travel_m)
    h.text += "; the metering carriage is at its upper stop: its oil went into air, open the bypass or fill the lines";
  return h;
}

}  // namespace evenstroke
