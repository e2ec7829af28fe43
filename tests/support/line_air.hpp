#pragma once
#include <doctest/doctest.h>

#include "evenstroke/transport/swarm.hpp"
#include "support/bleed_bench.hpp"
#include "support/near.hpp"

namespace evenstroke::testing {

/// Oil and air inside and past the border; no step may change either by more than round-off.
class KeptBooks {
 public:
  explicit KeptBooks(const Contents& c) : oil_kg_(oil(c)), air_kg_(air(c)) {}
  void check(const Contents& c) const {
    const Ledger& l = c.ledger;
    CHECK(near(oil(c), oil_kg_, 0, 1e-12 * (oil_kg_ + l.oil_spilled_kg)));
    CHECK(near(air(c), air_kg_, 0, 1e-12 * (air_kg_ + l.air_vented_kg + l.air_ingested_kg)));
  }

 private:
  static double oil(const Contents& c) { return total(c).oil_kg + c.ledger.oil_spilled_kg - c.ledger.oil_refilled_kg; }
  static double air(const Contents& c) { return air_kg(c) + c.ledger.air_vented_kg - c.ledger.air_ingested_kg; }
  double oil_kg_, air_kg_;
};

/// Bubbles evenly over a stretch of a line, in exchange for oil of it; `m3` at the line's pressure.
inline void lay_bubbles(const Network& n, Contents& c, const std::string& line, BubbleClass k, double from, double to,
                        double m3, const Streamtubes& tubes) {
  const auto p = static_cast<std::size_t>(n.place(line));
  fill(c.line[p].bubbles[k], tubes, from, to, m3 * c.pressure_pa_abs[p] / n.gas_j_per_kg);
  c.line[p].queue[0].oil_kg -= m3 * n.rho0_kg_per_m3 / relative_volume(n.liquid, c.pressure_pa_abs[p]);
  c.recipe.valid = false;
}

}  // namespace evenstroke::testing
