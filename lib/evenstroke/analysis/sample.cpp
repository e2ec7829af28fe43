#include "evenstroke/analysis/sample.hpp"

#include <algorithm>
#include <boost/random/sobol.hpp>
#include <cmath>

#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

/// SplitMix64 (Steele, Lea and Flood 2014): a well-mixed word from a counter.
std::uint64_t mix(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15U;
  x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
  x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
  return x ^ (x >> 31U);
}

}  // namespace

std::vector<double> sobol_points(std::size_t points, std::size_t dimensions, std::uint64_t seed) {
  if (dimensions == 0) return {};
  boost::random::sobol engine(dimensions);   // 64-bit points, tables of Joe and Kuo 2008
  std::vector<double> u;
  u.reserve(points * dimensions);
  for (std::size_t i = 0; i < points; ++i)
    for (std::size_t d = 0; d < dimensions; ++d) {
      const std::uint64_t point = i == 0 ? 0 : engine();   // the engine leaves out the origin, which completes each 2^k
      const std::uint64_t shifted = point ^ mix(mix(seed) + d);
      u.push_back(static_cast<double>(shifted >> 11U) * 0x1p-53);
    }
  return u;
}

namespace {

/// A port must lie inside its clearance: no member may have less of it.
double least(const Rig& rig, const RigField& f) {
  for (const Branch& b : rig.branches) {
    const Cylinder& c = b.cylinder;
    if (f.path == "branch." + b.name + ".cap_clearance_m3" && c.attitude != Attitude::level)
      return std::max(f.band_low, c.cap_port_m * cap_area_m2(c));
    if (f.path == "branch." + b.name + ".rod_clearance_m3" && c.attitude != Attitude::level)
      return std::max(f.band_low, c.rod_port_m * rod_area_m2(c));
  }
  return f.band_low;
}

}  // namespace

Table members_from_bands(const Rig& rig, std::size_t members, std::uint64_t seed) {
  Table t;
  std::vector<RigField> banded;
  for (const RigField& f : rig_fields(rig))
    if (!std::isnan(f.band_low)) {
      banded.push_back(f);
      if (f.value < f.band_low || f.value > f.band_high) {  // who gives another value knows better: as wide, but round that
        const double half = (f.band_high - f.band_low) / 2;
        banded.back().band_low = std::max(f.low, f.value - half);
        banded.back().band_high = std::min(f.high, f.value + half);
      }
      t.column.push_back(f.path);
    }
  t.rows = members;
  t.value = sobol_points(members, banded.size(), seed);
  for (std::size_t i = 0; i < t.value.size(); ++i) {
    const RigField& f = banded[i % banded.size()];
    const double low = least(rig, f);
    t.value[i] = low + t.value[i] * (std::max(low, f.band_high) - low);
  }
  return t;
}

}  // namespace evenstroke
