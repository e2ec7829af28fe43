#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "evenstroke/air/slug.hpp"
#include "transport/parcels.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

constexpr double line_ml = 25;
const double area = std::numbers::pi / 4 * 16e-6;

/// Fresh oil in at one end, out at the other; positive towards the far end. Returns the gas that came out [kg].
double stroke(Queue& q, double volume_ml, double time_s, const AirInputs& air, int portions = 40) {
  const double v = std::abs(volume_ml) * ml / portions, way = volume_ml > 0 ? 1 : -1;
  double out_kg = 0;
  for (int i = 0; i < portions; ++i) {
    push(q, way > 0 ? End::near : End::far, {.oil_kg = v / state.oil_m3_per_kg}, state);
    overtake(q, way * v, way * v, time_s / portions, state, air, mu_pa_s);
    out_kg += pop(q, way > 0 ? End::far : End::near, v, state).pocket_kg;
  }
  return out_kg;
}

double time_at_l_per_min(double volume_ml, double flow) { return volume_ml / (flow * 1e3 / 60); }

/// Stroke out towards the near end in which gas comes out first; 0 if none of `most` does.
int leaves_in(double share_from_near, double stroke_ml, const AirInputs& out, const AirInputs& in, double out_s,
              double in_s, int most) {
  Queue q = line({oil(share_from_near * line_ml), slug(0.1), oil(line_ml * (1 - share_from_near) - 0.1)});
  for (int n = 1; n <= most; ++n) {
    if (stroke(q, -stroke_ml, out_s, out) > 0) return n;
    stroke(q, stroke_ml, in_s, in);
  }
  return 0;
}

}  // namespace

TEST_SUITE("transport/slug_strokes") {
  TEST_CASE("law: out fast and in slowly, the same volume, moves a slug by (k_out - k_in) V_s (ratchet)") {
    AirInputs air;
    air.slug_slip = 1;
    const double sigma = air.surface_tension_n_per_m, v_ml = 3, fast = 1.0, slow = 0.2;   // flows in L/min
    const double k_out = slug_speed_ratio(fast * 1e-3 / 60 / area, mu_pa_s, sigma);
    const double k_in = slug_speed_ratio(slow * 1e-3 / 60 / area, mu_pa_s, sigma);
    Queue q = line({oil(14), slug(0.5), oil(10.5)});
    stroke(q, -v_ml, time_at_l_per_min(v_ml, fast), air);
    CHECK(near(ml_of(q[0]), 14 - k_out * v_ml, 1e-10, 0));
    stroke(q, v_ml, time_at_l_per_min(v_ml, slow), air);
    CHECK(near(14 - ml_of(q[0]), (k_out - k_in) * v_ml, 1e-10, 0));
    CHECK(k_out - k_in > 0.3);
  }

  TEST_CASE("limit: no slip, no ratchet; equal flows, no ratchet") {
    for (const double slip : {0.0, 1.0}) {
      AirInputs air;
      air.slug_slip = slip;
      Queue q = line({oil(14), slug(0.5), oil(10.5)});
      stroke(q, -3, 1, air);
      stroke(q, 3, slip > 0 ? 1 : 5, air);
      CHECK(near(ml_of(q[0]), 14, 1e-11, 0));
    }
  }

  TEST_CASE("law: a slug leaves in stroke 1 + ceil((xi/theta - k_out)/(k_out - k_in)), with any ratios and places") {
    for (const double xi : {0.3, 0.55, 0.95})
      for (const double theta : {0.11, 0.23, 0.31})
        for (const double k_out : {1.9, 2.356}) {
          const double k_in = 1.41, more = (xi / theta - k_out) / (k_out - k_in);
          CAPTURE(xi);
          CAPTURE(theta);
          CAPTURE(k_out);
          if (std::abs(more - std::round(more)) < 0.02) continue;   // on the edge between two strokes
          const int n = more <= 0 ? 1 : 1 + static_cast<int>(std::ceil(more));
          const int counted = leaves_in(xi, theta * line_ml, constant_ratio(k_out), constant_ratio(k_in), 1, 1, 60);
          CHECK(counted == n);
        }
  }

  TEST_CASE("law: the same count with the film law's k at two flows; never when the way in is as fast as the way out") {
    AirInputs air;
    air.slug_slip = 1;
    const double xi = 0.9, theta = 0.23, v = theta * line_ml, fast = 1.0, slow = 0.1;
    const double k_out = slug_speed_ratio(fast * 1e-3 / 60 / area, mu_pa_s, air.surface_tension_n_per_m);
    const double k_in = slug_speed_ratio(slow * 1e-3 / 60 / area, mu_pa_s, air.surface_tension_n_per_m);
    const double more = (xi / theta - k_out) / (k_out - k_in);
    const int n = 1 + static_cast<int>(std::ceil(more));
    CHECK(n > 1);
    CHECK(leaves_in(xi, v, air, air, time_at_l_per_min(v, fast), time_at_l_per_min(v, slow), 60) == n);
    CHECK(leaves_in(xi, v, air, air, time_at_l_per_min(v, fast), time_at_l_per_min(v, fast), 60) == 0);
  }
}
