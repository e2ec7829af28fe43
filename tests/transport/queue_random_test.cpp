#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "transport/parcels.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/queue_random") {
  TEST_CASE("law: a hundred thousand random pushes, pops and overtakings keep oil and gas") {
    std::mt19937_64 random(20240611);
    std::uniform_real_distribution<double> u(0, 1);
    Queue q;
    double oil_in = 0, gas_in = 0, oil_out = 0, gas_out = 0, least = 0;
    int most = 0;
    for (int i = 0; i < 100000; ++i) {
      const End end = u(random) < 0.5 ? End::near : End::far;
      switch (static_cast<int>(3 * u(random))) {
        case 0: {
          Bundle b = bundle(oil(2 * u(random), u(random) < 0.5 ? 0.2 * u(random) : 0.0));
          if (u(random) < 0.3) b.pocket_kg = slug(u(random)).gas_kg;
          oil_in += b.oil_kg;
          gas_in += b.gas_kg();
          push(q, end, b, state);
          break;
        }
        case 1: {
          const Bundle b = pop(q, end, 2.2 * u(random) * ml, state);
          oil_out += b.oil_kg;
          gas_out += b.gas_kg();
          break;
        }
        default: {
          const double passes = (4 * u(random) - 2) * ml;
          const AirInputs air = constant_ratio(i % 2 ? 0 : 1.7);
          overtake(q, passes, passes * (0.5 + u(random)), 0.1 + u(random), state, air, mu_pa_s);
        }
      }
      for (int j = 0; j < q.count; ++j) least = std::min({least, q[j].oil_kg, q[j].gas_kg});
      most = std::max(most, q.count);
    }
    CHECK(oil_in > 1);
    CHECK(near(total(q).oil_kg + oil_out, oil_in, 1e-12, 0));
    CHECK(near(total(q).gas_kg() + gas_out, gas_in, 1e-12, 0));
    CHECK(least == 0.0);   // nothing negative
    CHECK(most >= Queue::capacity / 2);
    CHECK(most <= Queue::capacity);
  }
}
