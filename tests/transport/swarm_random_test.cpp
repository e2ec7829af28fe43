#include <doctest/doctest.h>

#include <random>
#include <vector>

#include "transport/swarms.hpp"

using namespace evenstroke;
using namespace evenstroke::testing;

TEST_SUITE("transport/swarm_random") {
  TEST_CASE("balance: five hundred random moves, fills and losses keep the books, the order and the number of clouds") {
    const Profile bow{.near_m = 0, .peak_m = 0.3, .peak_share = 0.4, .far_m = 0.1};
    for (const int k : {1, 12, 64}) {
      CAPTURE(k);
      std::mt19937_64 random(20240615);
      std::uniform_real_distribution<double> u(0, 1);
      const Streamtubes tubes = make_streamtubes(k);
      Swarm s;
      Sum books, in;
      double merged = 0;
      int most = 0;
      bool good = true, each = true;
      for (int i = 0; i < 500; ++i) {
        const double before = s.kg;
        Sum step;   // what the books say
        if (i % 10 == 0) {
          const double a = u(random), b = u(random), kg = 1e-7 * u(random);
          fill(s, tubes, std::min(a, b), std::max(a, b), kg);
          step.add(kg);
        } else if (i % 17 == 0) {
          step.add(-keep(s, [&](double from, double to) { return 1 - 0.1 * (0.5 * (from + to)); }));
        } else {
          const double v = 0.6 * (u(random) - 0.5), w = v + 0.1 * (u(random) - 0.5);
          const double near_kg = v > 0 ? 1e-6 * v * u(random) : 0, far_kg = w < 0 ? -1e-6 * w * u(random) : 0;
          const double cream = u(random) < 0.5 ? 0.05 * u(random) : 0.0;
          const SwarmMotion m{v, w, 0.4 * u(random), 0.05 * u(random), cream};
          const Passed p = move(s, tubes, m, bow, 1, near_kg, far_kg, &merged);
          good = good && p.near_kg >= 0 && p.far_kg >= 0 && (p.near_kg == 0 || v < 0) && (p.far_kg == 0 || w > 0);
          step.add(near_kg);
          step.add(far_kg);
          step.add(-p.near_kg);
          step.add(-p.far_kg);
        }
        books.add(step.value());
        in.add(std::max(0.0, step.value()));
        each = each && near(s.kg, before + step.value(), 1e-15, 1e-15 * before);
        good = good && in_order(s);
        most = std::max(most, largest_count(s));
      }
      CHECK(good);
      CHECK(each);
      CHECK(near(s.kg, books.value(), 0, 1e-14 * in.value()));
      CHECK(most == Swarm::capacity);
      CHECK(merged > 0);
      MESSAGE(k << " tubes: moved by merging " << merged / in.value() << " of what came in");
    }
  }

  TEST_CASE("law: a full tube joins pairs that move least until a place is free, and says how much") {
    const Streamtubes plug = make_streamtubes(1);
    for (const int shift : {0, 1, 3}) {
      CAPTURE(shift);
      Swarm s;
      double kg = 0, expected = 0, to = 0.05;
      std::vector<Cloud> laid;
      for (int i = 0; i < Swarm::capacity; ++i) {             // gaps twice as wide as the clouds; two are narrower
        const bool narrow = i % 6 == 2 && i < 12;
        const double from = to + (narrow ? 0.006 + 1e-4 * ((i + shift) % 4) : 0.026), part = 1 + i % 3;
        to = from + 0.013;
        fill(s, plug, from, to, part);
        laid.push_back({from, to, part});
        kg += part;
        if (!narrow) continue;
        const Cloud& a = laid[laid.size() - 2];               // gain of the gap, and of the thinner cloud
        const double density = (a.kg + part) / (to - a.from);
        expected += density * (from - a.to) + std::max(0.0, density * 0.013 - std::min(a.kg, part));
      }
      REQUIRE(s.count[0] == Swarm::capacity);
      double merged = 0;
      move(s, plug, {0.02, 0.02, 0, 0, 0}, level, 1, 10, 0, &merged);
      REQUIRE(s.count[0] == Swarm::capacity - 1);
      CHECK(near(s.kg, kg + 10, 1e-15, 0));
      CHECK(near(merged, expected, 1e-9, 0));
      std::size_t next = 0;
      for (int i = 1; i < s.count[0]; ++i) {                  // behind what came in
        CAPTURE(i);
        const Cloud c = cloud(s, 0, i), a = laid[next++];
        const bool joined = next < laid.size() && laid[next].from - a.to < 0.02;
        const Cloud b = joined ? laid[next++] : a;
        CHECK(near(c.from, a.from + 0.02, 1e-12, 0));
        CHECK(near(c.to, b.to + 0.02, 1e-12, 0));
        CHECK(near(c.kg, joined ? a.kg + b.kg : a.kg, 1e-15, 0));
      }
      CHECK(next == laid.size());
    }
  }

  TEST_CASE("limit: a front that comes into a full tube in slivers stays a front") {
    const Streamtubes plug = make_streamtubes(1);
    for (const int slivers : {4, 40, 400}) {
      CAPTURE(slivers);
      Swarm s;
      for (int i = 0; i < Swarm::capacity; ++i) fill(s, plug, 0.05 + 0.028 * i, 0.05 + 0.028 * i + 0.014, 1 + i % 2);
      double merged = 0;
      for (int i = 0; i < slivers; ++i) {
        const double v = 0.4 / slivers;
        move(s, plug, {v, v, 0, 0, 0}, level, 1, 100 * v, 0, &merged);
      }
      const Cloud came = cloud(s, 0, 0);                      // but for the first sliver, which may have made room
      CHECK((came.from == 0 && came.to < 0.4 + 1e-12 && came.to > 0.4 - 0.4 / slivers - 1e-12));
      CHECK(near(came.kg, 100 * came.to, 1e-12, 0));
    }
  }
}
