#include "evenstroke/analysis/sample.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "support/bench.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

std::vector<double> dimension(const std::vector<double>& u, std::size_t dimensions, std::size_t d) {
  std::vector<double> x;
  for (std::size_t i = d; i < u.size(); i += dimensions) x.push_back(u[i]);
  return x;
}

/// Points per interval when [0, 1) is cut into `parts` equal ones.
std::vector<int> hits(const std::vector<double>& x, std::size_t parts) {
  std::vector<int> n(parts);
  for (const double v : x) ++n[static_cast<std::size_t>(v * static_cast<double>(parts))];
  return n;
}

}  // namespace

TEST_SUITE("analysis/sample") {
  TEST_CASE("law: as many numbers as points times dimensions, all in [0, 1)") {
    const std::vector<double> u = sobol_points(1000, 25, 7);
    REQUIRE(u.size() == 25000);
    for (const double v : u) CHECK((v >= 0 && v < 1));
    CHECK(sobol_points(0, 3, 7).empty());
    CHECK(sobol_points(5, 0, 7).empty());
  }
  // Each coordinate of a Sobol' sequence is a (0, 1)-sequence in base 2 (Sobol' 1967, from memory), and a digital shift
  // only renames the intervals. Holds from the sequence's own first point, which therefore must not be left out.
  TEST_CASE("reference: the first 2^k points of each dimension fill each of 2^k equal intervals once") {
    constexpr std::size_t dimensions = 25, most = 512;
    for (const std::uint64_t seed : {0U, 1U, 12345U}) {
      const std::vector<double> u = sobol_points(most, dimensions, seed);
      for (std::size_t d = 0; d < dimensions; ++d) {
        const std::vector<double> x = dimension(u, dimensions, d);
        for (std::size_t n = 2; n <= most; n *= 2) {
          CAPTURE(seed);
          CAPTURE(d);
          CAPTURE(n);
          CHECK(hits({x.begin(), x.begin() + static_cast<std::ptrdiff_t>(n)}, n) == std::vector<int>(n, 1));
        }
      }
    }
  }
  // The first two dimensions of Sobol's sequence are a (0, 2)-sequence in base 2 (Niederreiter 1992, from memory):
  // a box of area 1/n, however narrow, holds one of the first n = 2^k points. A lost pairing of dimensions breaks it.
  TEST_CASE("reference: the first two dimensions together fill every elementary box of area 2^-k once") {
    constexpr std::size_t n = 256;
    const std::vector<double> u = sobol_points(n, 2, 3);
    for (std::size_t wide = 1; wide <= n; wide *= 2) {
      CAPTURE(wide);
      const std::size_t high = n / wide;
      std::set<std::size_t> boxes;
      for (std::size_t i = 0; i < n; ++i) {
        const auto column = static_cast<std::size_t>(u[2 * i] * static_cast<double>(wide));
        boxes.insert(column * high + static_cast<std::size_t>(u[2 * i + 1] * static_cast<double>(high)));
      }
      CHECK(boxes.size() == n);
    }
  }
  TEST_CASE("law: a seed gives the same points again, another seed gives others in every dimension") {
    const std::vector<double> a = sobol_points(64, 5, 1), b = sobol_points(64, 5, 2);
    CHECK(a == sobol_points(64, 5, 1));
    for (std::size_t d = 0; d < 5; ++d) {
      CAPTURE(d);
      CHECK(dimension(a, 5, d) != dimension(b, 5, d));
      for (std::size_t other = 0; other < d; ++other) CHECK(a[d] != a[other]);   // a shift of its own: no common corner
    }
  }
  TEST_CASE("law: a longer call begins with the points of a shorter one") {
    const std::vector<double> longer = sobol_points(300, 6, 9), shorter = sobol_points(37, 6, 9);
    CHECK(std::vector<double>(longer.begin(), longer.begin() + static_cast<std::ptrdiff_t>(shorter.size())) == shorter);
  }
  TEST_CASE("law: members have every banded field of the rig, and no other, with values inside its band") {
    const Rig rig = workshop_rig(SynchroniserKind::metering_pistons);
    constexpr std::size_t members = 64;
    const Table t = members_from_bands(rig, members, 4);
    CHECK(t.row_count() == members);
    REQUIRE(t.value.size() == members * t.column.size());
    std::size_t banded = 0;
    for (const RigField& f : rig_fields(rig)) {
      CAPTURE(f.path);
      const auto at = std::find(t.column.begin(), t.column.end(), f.path);
      CHECK((at != t.column.end()) == !std::isnan(f.band_low));
      if (at == t.column.end()) continue;
      ++banded;
      std::vector<double> share = dimension(t.value, t.column.size(), static_cast<std::size_t>(at - t.column.begin()));
      for (double& v : share) {
        CHECK(v >= f.band_low);
        CHECK(v <= f.band_high);
        v = (v - f.band_low) / (f.band_high - f.band_low);
      }
      for (const int n : hits(share, 8)) CHECK(std::abs(n - 8) <= 1);   // uniform; 1: rounding at an interval's edge
    }
    CHECK(t.column.size() == banded);
  }
  TEST_CASE("law: each branch's unknowns are drawn by themselves, and every member is a rig that can be built") {
    const Rig rig = workshop_rig(SynchroniserKind::metering_pistons);
    const Table t = members_from_bands(rig, 32, 4);
    const auto column = [&](const char* path) {
      const auto at = std::find(t.column.begin(), t.column.end(), path);
      REQUIRE(at != t.column.end());
      return dimension(t.value, t.column.size(), static_cast<std::size_t>(at - t.column.begin()));
    };
    CHECK(column("air.joint_m3").size() == 32);
    CHECK(column("branch.a.cap_clearance_m3") != column("branch.b.cap_clearance_m3"));
    for (std::size_t row = 0; row < t.row_count(); ++row) {
      Rig member = rig;
      for (std::size_t c = 0; c < t.column.size(); ++c)
        set_field(member, t.column[c], t.value[row * t.column.size() + c]);
      CHECK_NOTHROW(check(member));
    }
    CHECK(t.value != members_from_bands(rig, 32, 5).value);
  }
}
