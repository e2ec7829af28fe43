#include <doctest/doctest.h>

#include "evenstroke/transport/exchange.hpp"
#include "support/near.hpp"
#include "transport/hand.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/trickle") {
  TEST_CASE("law: bubbles that rise to a port while it draws enter the line as bubbles, however time is cut") {
    for (const double p_pa_abs : {p0_pa_abs, 10e5})
      for (const int quanta : {10, 100, 1000}) {
        CAPTURE(p_pa_abs);
        CAPTURE(quanta);
        Rig r = bleed_rig(10);
        r.branches[0].cylinder.attitude = Attitude::rod_down;
        Hand h(r);
        Exchange exchange(h.net, 1);
        exchange.start();
        for (double& p : h.c.pressure_pa_abs) p = p_pa_abs;
        h.c.position_m[0] = 0.1;
        const double volume = available_m3(h.net, h.c, h.net.place("left.cap_chamber")), gas = 0.05 * volume;
        Masses& m = h.at("left.cap_chamber");
        m = {.oil_kg = (volume - gas) * h.rho(), .coarse_kg = gas * p_pa_abs / h.net.gas_j_per_kg};
        const double all_kg = m.coarse_kg, drawn = 0.6 * volume / quanta, area = cap_area_m2(r.branches[0].cylinder);
        h.transport.begin(h.c);
        for (int i = 0; i < quanta; ++i) {
          h.c.position_m[0] -= drawn / area;
          h.flow("left.cap_line.far", -drawn).flow("left.cap_line.near", -drawn);
          h.transport.move(h.c, h.volume, 20.0 / quanta);
          exchange.settle(h.c, 20.0 / quanta);
        }
        const Masses line = total(h.c.line[static_cast<std::size_t>(h.net.place("left.cap_line"))]);
        CHECK(line.coarse_kg > 0.85 * all_kg);
        CHECK(line.pocket_kg <= 1e-9 * all_kg);
      }
  }
}
