#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

namespace {

// Laminar line without mixing or diffusion, from a fresh fill (Levenspiel, Chemical Reaction Engineering, 3rd ed. 1999,
// convection model): of the old, 1/(4 theta^2) in what comes out and 1/(4 theta) left inside, from theta = 1/2 on.
double inventory(double theta) { return 1 / (4 * theta); }

/// Root mean square of the relative error over many throughputs, of what is left and of what comes out.
struct Errors {
  double left = 0, out = 0;
};
Errors errors(int k) {
  const Streamtubes tubes = make_streamtubes(k);
  Swarm s = full(tubes);
  Errors e;
  int n = 0;
  double theta = 0;
  while (theta < 20) {
    const double step = 0.01 * std::max(theta, 0.5), from = theta;
    theta += step;
    const Passed p = move(s, tubes, {step, step, 0, 0, 0}, level, 1, 0, 0, nullptr);
    if (theta < 1) continue;
    const double left = s.kg / inventory(theta) - 1, out = p.far_kg / (inventory(from) - inventory(theta)) - 1;
    e.left += left * left, e.out += out * out;
    ++n;
  }
  return {std::sqrt(e.left / n), std::sqrt(e.out / n)};
}

}  // namespace

TEST_SUITE("transport/swarm_laminar") {
  TEST_CASE("reference: outlet 1 % after 5 line volumes, inventory 1 % after 25 (Levenspiel 1999, convection model)") {
    const Streamtubes tubes = make_streamtubes(512);
    Swarm s = full(tubes);
    flow(s, tubes, 4);
    const double mean = flow(s, tubes, 2).far_kg / 2;   // over 4 to 6, since a tube ends at one instant
    CHECK(near(mean * 4 * 6 / (5 * 5), 0.01, 5e-3, 0));   // mean of 1/(4 theta^2) to its value at 5
    flow(s, tubes, 19);
    CHECK(near(s.kg, 0.01, 5e-3, 0));
  }

  TEST_CASE("law: fresh bubbles come through first after half a line volume") {
    const Streamtubes tubes = make_streamtubes(512);
    Swarm s;
    CHECK(flow(s, tubes, 0.5, 1).far_kg == 0);
    CHECK(flow(s, tubes, 0.02, 1).far_kg > 0);
  }

  TEST_CASE("order: what is left is of order 2 in the width of the tubes, ln(4K)/(K - 1), what comes out of order 1") {
    std::vector<double> left, out, width;   // tubes grow by one factor, exp(width), from 1/(4K) to 1
    for (const int k : {16, 32, 64, 128}) {
      const Errors e = errors(k);
      left.push_back(e.left);
      out.push_back(e.out);
      width.push_back(std::log(4.0 * k) / (k - 1));
      MESSAGE(k << " tubes: left " << e.left << ", out " << e.out);
    }
    for (std::size_t i = 1; i < left.size(); ++i) {
      CAPTURE(i);
      const double finer = std::log(width[i - 1] / width[i]);
      CHECK(near(std::log(left[i - 1] / left[i]) / finer, 2, 0, 0.15));
      CHECK(near(std::log(out[i - 1] / out[i]) / finer, 1, 0, 0.25));
    }
    CHECK(left.front() < 0.02);
    CHECK(left.back() < 5e-4);
  }

  TEST_CASE("law: of V_s drawn into a fresh line V_l (2 theta - 1)^2/(4 theta) reaches its other end") {
    const Streamtubes tubes = make_streamtubes(512);
    for (const double theta : {0.4, 0.6, 0.75, 1.0, 1.5, 2.0, 4.0}) {
      CAPTURE(theta);
      for (const int portions : {1, 50}) {
        Swarm s;
        const double out = flow(s, tubes, -theta, 1, 0, portions).near_kg;
        const double expected = theta > 0.5 ? (2 * theta - 1) * (2 * theta - 1) / (4 * theta) : 0;
        CHECK(near(out, expected, 5e-3, 1e-14));
        CHECK(near(out + s.kg, theta, 1e-13, 0));
      }
    }
  }

  TEST_CASE("law: strokes that go and come back leave 1/(4 theta) of the line's bubbles in it for ever") {
    const Streamtubes tubes = make_streamtubes(512);
    for (const double theta : {0.5, 0.8, 2.0}) {
      CAPTURE(theta);
      Swarm s = full(tubes);
      for (int stroke = 0; stroke < 6; ++stroke) {
        flow(s, tubes, -theta);                               // out to the vessel, clean oil behind
        CHECK(near(s.kg, 1 / (4 * theta), 5e-3, 0));
        flow(s, tubes, theta);                                // and clean oil back
      }
    }
    Swarm s = full(tubes);
    flow(s, tubes, -0.3);
    CHECK(near(s.kg, 0.7, 1e-12, 0));                        // under half a line volume: all that flowed
  }

  TEST_CASE("law: bubbles of diameter d are all out after 1/(2 [1 - (1 - d/D)^2]) line volumes, not before") {
    const Streamtubes tubes = make_streamtubes(512);
    for (const double d : {0.025, 0.075, 0.125, 0.25, 0.5}) {
      CAPTURE(d);
      const double clear = 1 / (2 * (1 - (1 - d) * (1 - d)));
      Swarm s = full(tubes);
      flow(s, tubes, 0.99 * clear, 0, d);
      CHECK(s.kg > 0);
      flow(s, tubes, 0.01 * clear, 0, d);
      CHECK(near(s.kg, 0, 0, 1e-6));
    }
    Swarm s = full(tubes);
    flow(s, tubes, 1, 0, 1.0);                               // as large as the bore: a plug
    CHECK(near(s.kg, 0, 0, 1e-12));
  }
}
