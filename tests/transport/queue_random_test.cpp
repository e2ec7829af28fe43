#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "transport/parcels.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/queue_random") {
  TEST_CASE("law: a hundred thousand random pushes, pops, overtakings and rises keep oil, gas and dissolved air") {
    std::mt19937_64 random(20240611);
    std::uniform_real_distribution<double> u(0, 1);
    Queue q;
    double least = 0;
    Masses in, out;
    const Profile bow{.near_m = 0, .peak_m = 0.8, .peak_share = 0.4, .far_m = 0.1};
    LineState wide = state;
    wide.bore_m = 6e-3;   // slugs of it rise
    int most = 0;
    for (int i = 0; i < 100000; ++i) {
      const End end = u(random) < 0.5 ? End::near : End::far;
      switch (static_cast<int>(4 * u(random))) {
        case 0: {
          Bundle b = bundle(oil(2 * u(random), u(random) < 0.5 ? 2e-4 * u(random) : 0.0));
          if (u(random) < 0.3) b.pocket_kg = slug(u(random)).gas_kg;
          in.oil_kg += b.oil_kg;
          in.pocket_kg += b.pocket_kg;
          in.dissolved_kg += b.dissolved_kg;
          push(q, end, b, state);
          break;
        }
        case 1: {
          const Bundle b = pop(q, end, 2.2 * u(random) * ml, state);
          out.oil_kg += b.oil_kg;
          out.pocket_kg += b.pocket_kg;
          out.dissolved_kg += b.dissolved_kg;
          break;
        }
        case 2: rise(q, bow, 1.5, 2 * u(random), wide, constant_ratio(1), mu_pa_s, rho); break;
        default: {
          const double passes = (4 * u(random) - 2) * ml;
          const AirInputs air = constant_ratio(i % 2 ? 0 : 1.7);
          overtake(q, passes, passes * (0.5 + u(random)), 0.1 + u(random), state, air, mu_pa_s);
        }
      }
      for (int j = 0; j < q.count; ++j) least = std::min({least, q[j].oil_kg, q[j].gas_kg, q[j].dissolved_kg});
      most = std::max(most, q.count);
    }
    CHECK(in.oil_kg > 1);
    CHECK(near(total(q).oil_kg + out.oil_kg, in.oil_kg, 1e-12, 0));
    CHECK(near(total(q).pocket_kg + out.pocket_kg, in.pocket_kg, 1e-12, 0));
    CHECK(near(total(q).dissolved_kg + out.dissolved_kg, in.dissolved_kg, 1e-12, 0));
    CHECK(least == 0.0);   // nothing negative
    CHECK(most >= Queue::capacity / 2);
    CHECK(most <= Queue::capacity + 2);   // a rising slug may leave oil behind it at either mouth
  }
}
