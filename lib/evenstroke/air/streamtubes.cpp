#include "evenstroke/air/streamtubes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/air/bubble.hpp"

namespace evenstroke {
namespace {

constexpr int most_tubes = 512;
constexpr int most_tanks = 100000;

void count(const char* field, int value, int most) {
  if (value >= 1 && value <= most) return;
  throw InputError(field, std::to_string(value), "", "must be from 1 to " + std::to_string(most));
}

/// exp(-x) sum_{k < n} weight(k) x^k/k!: terms through logarithms, so that none overflows.
template <class Weight>
double poisson_sum(int n, double x, Weight weight) {
  if (x == 0) return weight(0);
  double sum = 0;
  for (int k = 0; k < n; ++k) sum += weight(k) * std::exp(k * std::log(x) - x - std::lgamma(k + 1.0));
  return std::min(1.0, sum);
}

}  // namespace

Streamtubes make_streamtubes(int tubes) {
  count("tubes", tubes, most_tubes);
  Streamtubes t{{0.0}, {}};
  const double first = 1.0 / (4.0 * tubes);
  for (int k = 1; k < tubes; ++k) t.edge.push_back(first * std::pow(first, -(k - 1.0) / (tubes - 1.0)));
  t.edge.push_back(1);
  for (std::size_t k = 1; k < t.edge.size(); ++k) t.share.push_back(t.edge[k] - t.edge[k - 1]);
  return t;
}

double tube_speed_ratio(double w_low, double w_high, double d_over_bore) {
  if (!(w_low >= 0 && w_low <= 1)) throw InputError("w_low", number_text(w_low), "", "must be from 0 to 1");
  if (!(w_high >= w_low && w_high <= 1)) throw InputError("w_high", number_text(w_high), "", "must be from w_low to 1");
  return SpeedProfile(d_over_bore).mean(w_low, w_high);
}

SpeedProfile::SpeedProfile(double d_over_bore) : wall_(1), axis_(1) {
  not_negative("d_over_bore", d_over_bore, "");
  if (d_over_bore >= 1) return;
  wall_ = creamed_speed_ratio(d_over_bore, 1);
  axis_ = 2;
}

double laminar_outlet(double theta) {
  not_negative("theta", theta, "");
  return theta < 0.5 ? 1 : 1 / (4 * theta * theta);
}

double laminar_inventory(double theta) {
  not_negative("theta", theta, "");
  return theta < 0.5 ? 1 - theta : 1 / (4 * theta);
}

double tanks_outlet(int n, double theta) {
  count("n", n, most_tanks);
  not_negative("theta", theta, "");
  return poisson_sum(n, n * theta, [](int) { return 1.0; });
}

double tanks_inventory(int n, double theta) {  // in the mean over i, term k stands in the tanks i = k + 1 .. n
  count("n", n, most_tanks);
  not_negative("theta", theta, "");
  return poisson_sum(n, n * theta, [n](int k) { return static_cast<double>(n - k) / n; });
}

double clear_volumes(double d_over_bore) {
  positive("d_over_bore", d_over_bore, "");
  return 1 / creamed_speed_ratio(d_over_bore, 1);
}

}  // namespace evenstroke
