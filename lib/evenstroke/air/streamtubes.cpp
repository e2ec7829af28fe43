#include "evenstroke/air/streamtubes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

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

/// Piece of a disc of radius 1: |x| in the strip, depth under the rim above in the band; its share of the area and its
/// mean 1 - r^2.
struct Cell {
  double share = 0, w = 0;
  int strip = -1, band = -1;
};

Cell cell(int strip, int band, int strips) {
  constexpr int slices = 1000;                             // midpoints in x, exact in z
  double area = 0, r2 = 0;
  for (int n = 0; n < slices; ++n) {
    const double x = (strip + (n + 0.5) / slices) / strips, chord = std::sqrt(std::max(0.0, 1 - x * x));
    const double b = chord - static_cast<double>(band) / strips, a = std::max(b - 1.0 / strips, -chord);
    if (b <= a) continue;
    area += b - a;
    r2 += x * x * (b - a) + (b * b * b - a * a * a) / 3;
  }
  if (area <= 0) return {};
  return {2 * area / (slices * strips * std::numbers::pi), 1 - r2 / area, strip, band};
}

}  // namespace

Streamtubes make_streamtubes(int tubes) {
  count("tubes", tubes, most_tubes);
  Streamtubes t;
  t.edge = {0.0};
  const double first = 1.0 / (4.0 * tubes);
  for (int k = 1; k < tubes; ++k) t.edge.push_back(first * std::pow(first, -(k - 1.0) / (tubes - 1.0)));
  t.edge.push_back(1);
  for (std::size_t k = 1; k < t.edge.size(); ++k) {
    t.share.push_back(t.edge[k] - t.edge[k - 1]);
    t.w.push_back((t.edge[k] + t.edge[k - 1]) / 2);
  }
  return t;
}

Streamtubes make_level_streamtubes(int tubes) {
  count("tubes", tubes, most_tubes);
  if (tubes == 1) return make_streamtubes(1);
  const int strips = std::max(1, static_cast<int>(std::sqrt(2 * tubes / std::numbers::pi))), bands = 2 * strips;
  std::vector<Cell> cells = {Cell{}};                      // the wall
  for (int i = 0; i < strips; ++i)
    for (int j = 0; j < bands; ++j)
      if (const Cell c = cell(i, j, strips); c.share > 0) cells.push_back(c);
  std::sort(cells.begin(), cells.end(), [](const Cell& a, const Cell& b) { return a.w < b.w; });
  Streamtubes t;
  t.edge = {0.0};
  t.band = 1.0 / bands;
  for (const Cell& c : cells) {
    t.share.push_back(c.share);
    t.w.push_back(c.w);
    t.edge.push_back(t.edge.back() + c.share);
  }
  t.edge.back() = 1;
  const auto find = [&](int strip, int band) {
    return static_cast<std::size_t>(std::find_if(cells.begin(), cells.end(), [&](const Cell& c) {
      return c.strip == strip && c.band == band; }) - cells.begin());
  };
  for (int i = 0; i < strips; ++i) {
    t.strip.emplace_back();
    for (int j = 0; j < bands; ++j)
      if (const std::size_t from = find(i, j); from < cells.size()) t.strip.back().emplace_back(from, j > 0 ? find(i, j - 1) : 0);
  }
  return t;
}

double tube_speed_ratio(double w_low, double w_high, double d_over_bore) {
  if (!(w_low >= 0 && w_low <= 1)) throw InputError("w_low", number_text(w_low), "", "must be from 0 to 1");
  if (!(w_high >= w_low && w_high <= 1)) throw InputError("w_high", number_text(w_high), "", "must be from w_low to 1");
  return SpeedProfile(d_over_bore).at((w_low + w_high) / 2);
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
