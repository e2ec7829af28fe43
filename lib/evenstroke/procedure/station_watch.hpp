#pragma once
#include <array>
#include <vector>

#include "evenstroke/network/network.hpp"
#include "evenstroke/solver/crossing.hpp"

namespace evenstroke {

inline constexpr std::array<double, 3> stations{0.25, 0.50, 0.75};   ///< of the travel, where mismatch is read

/// Where the rods stand as their mean passes the stations on its way out.   tests: tests/procedure/compare_test.cpp
class StationWatch {
 public:
  explicit StationWatch(const Network& n) : rods_(static_cast<std::size_t>(n.branches())) {
    for (std::size_t i = 0; i < rods_; ++i) travel_m_ += n.axes[i].travel_m / static_cast<double>(rods_);
  }
  /// After a flow step with the positions x(s, rod) over it, s in 0..1.
  template <class Position>
  void look(const Position& x) {
    const auto mean = [&](double s) {
      double sum = 0;
      for (std::size_t i = 0; i < rods_; ++i) sum += x(s, static_cast<int>(i)) / static_cast<double>(rods_);
      return sum;
    };
    while (!all() && mean(1) >= stations[passed_] * travel_m_) {
      const double target = stations[passed_] * travel_m_;
      const double s = mean(0) >= target ? 0.0 : first_root([&](double u) { return mean(u) - target; }, 0.0, 1.0, 1e-9);
      for (std::size_t i = 0; i < rods_; ++i) position_m_[passed_].push_back(x(s, static_cast<int>(i)));
      ++passed_;
    }
  }
  double travel_m() const { return travel_m_; }        ///< mean of the rods'
  std::size_t passed() const { return passed_; }
  bool all() const { return passed_ == stations.size(); }
  const std::vector<double>& position_m(std::size_t station) const { return position_m_[station]; }   ///< in network order

 private:
  std::size_t rods_, passed_ = 0;
  double travel_m_ = 0;
  std::array<std::vector<double>, stations.size()> position_m_;
};

}  // namespace evenstroke
