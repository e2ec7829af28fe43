#include "evenstroke/transport/line_tubes.hpp"

#include <doctest/doctest.h>

#include "support/bench.hpp"
#include "support/near.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/line_tubes") {
  TEST_CASE("law: bubbles that rise across a level line within an hour ride in its cells, others and upright ones in rings") {
    Rig r = bench_rig(1, SynchroniserKind::tee, 1e-5);
    r.air.coarse_m = 1e-3;
    r.air.fine_m = 1e-6;
    const Network n = make_network(r);
    const auto line = static_cast<std::size_t>(n.place("a.cap_line"));
    const LineTubes tubes(n, 30);
    CHECK(tubes(line, coarse).band > 0);
    CHECK(tubes(line, fine).band == 0);
    CHECK(tubes(line, fine).share.size() == 30);
    CHECK(level_share(n.places[line]) == 1);
    r.branches[0].cylinder.height_m = r.branches[0].cap_line.length_m;
    const Network upright = make_network(r);
    CHECK(near(level_share(upright.places[line]), 0, 0, 1e-6));
    CHECK(LineTubes(upright, 30)(line, coarse).band == 0);
  }
}
