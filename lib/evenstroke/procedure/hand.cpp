#include "evenstroke/procedure/hand.hpp"

#include <cmath>

#include "evenstroke/base/quantity.hpp"

namespace evenstroke {

std::string fell_short(const Axis& a, const HandMove& m) {
  const double stop_m = m.way > 0 ? a.travel_m : 0.0;
  constexpr double least_share = 1e-3;   // less is creep by leakage or compression
  if (std::abs(m.to_m - stop_m) <= least_share * a.travel_m) return "";
  const auto mm = [](double metres) { return number_text(std::round(metres * 1e4) / 10) + " mm"; };
  const std::string hand = "a hand of " + number_text(std::round(a.hand_n)) + " N ";
  const bool moved = std::abs(m.to_m - m.from_m) > least_share * a.travel_m;
  std::string text = hand + (moved ? "moved " : "did not move ") + a.name + (m.way > 0 ? " out" : " in");
  text += moved ? " from " + mm(m.from_m) + " only to " + mm(m.to_m) : " from " + mm(m.from_m);
  if (!m.held) return text + " of " + mm(a.travel_m) + ", where it still crept when the time was up";
  const double needed_n = a.hand_n + m.breakaway_n - m.way * m.outward_n;
  return text + " of " + mm(a.travel_m) + "; there it takes " + number_text(std::ceil(needed_n)) + " N";
}

}  // namespace evenstroke
