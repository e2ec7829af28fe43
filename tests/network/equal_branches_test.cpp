#include "evenstroke/network/equal_branches.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <numeric>
#include <set>

#include "support/bench.hpp"

using namespace evenstroke;
using testing::workshop_rig;

namespace {

using Groups = std::set<std::vector<int>>;

/// Branches a, ab, c ... all alike; one name begins with another.
Rig alike(std::size_t branches, SynchroniserKind kind) {
  Rig r = workshop_rig(kind);
  r.branches[1].name = "ab";
  while (r.branches.size() < branches) {
    r.branches.push_back(r.branches[0]);
    r.branches.back().name = std::string(1, static_cast<char>('a' + r.branches.size() - 1));
  }
  return r;
}

Network network(const Rig& r, const Connections& joints = {}) {
  std::vector<int> order(r.branches.size());
  std::iota(order.begin(), order.end(), 0);
  return make_network(r, order, joints);
}

/// A slug in every rod line, bubbles of both classes in every cap line, a pocket in every cap chamber.
Contents filled(const Network& n) {
  Contents c = make_contents(n, {{}, {}, false, false, true});
  for (std::size_t p = 0; p < n.places.size(); ++p) {
    const std::string& name = n.places[p].name;
    if (name.ends_with(".cap_chamber")) c.masses[p].pocket_kg = 1e-6;
    if (name.ends_with(".rod_line"))
      c.line[p].queue[c.line[p].queue.count++] = {.oil_kg = 1e-6, .gas_kg = 1e-7, .slug = true};
    if (!name.ends_with(".cap_line")) continue;
    for (Swarm& s : c.line[p].bubbles) {
      s.cloud.resize(2 * Swarm::capacity);
      s.count = {1, 0};
      s.cloud[0] = {0.2, 0.4, 1e-8};
      s.kg = 1e-8;
    }
  }
  return c;
}

/// By name: one group for whatever is called the same in each of these branches.
Groups expected(const Network& n, const std::vector<std::string>& branches) {
  std::map<std::string, std::vector<int>> alike;
  for (const std::string& branch : branches) {
    const auto add = [&](const std::string& name, std::size_t state) {
      if (name.starts_with(branch + ".")) alike[name.substr(branch.size())].push_back(static_cast<int>(state));
    };
    for (std::size_t e = 0; e < n.edges.size(); ++e) add(n.edges[e].name, e);
    for (std::size_t a = 0; a < n.axes.size(); ++a) add(n.axes[a].name, n.edges.size() + a);
  }
  Groups g;
  for (const auto& [name, states] : alike) {
    REQUIRE(states.size() == branches.size());
    g.insert(states);
  }
  REQUIRE(g.size() >= 5);   // of two lines at least three ends, the leak past the piston, the rod
  return g;
}

Groups found(const Network& n, const Contents& c) {
  const auto list = equal_states(n, c);
  const Groups g(list.begin(), list.end());
  REQUIRE(g.size() == list.size());
  return g;
}

void up(double& v) { v = std::nextafter(v, 1e300); }

constexpr std::array kinds{SynchroniserKind::tee, SynchroniserKind::metering_pistons};

}  // namespace

TEST_SUITE("network/equal_branches") {
  TEST_CASE("law: of equal branches every edge and rod stands in a group with its like, and nothing else does") {
    for (const SynchroniserKind kind : kinds)
      for (const std::size_t count : {2U, 3U, 4U}) {
        CAPTURE(count);
        const Network n = network(alike(count, kind));
        std::vector<std::string> names;
        for (const Branch& b : n.rig.branches) names.push_back(b.name);
        CHECK(found(n, filled(n)) == expected(n, names));
      }
    Rig one = alike(2, SynchroniserKind::tee);
    one.branches.pop_back();
    CHECK(equal_states(network(one), filled(network(one))).empty());
  }

  TEST_CASE("law: one parameter of one branch off by its last bit, and that branch has no like") {
    for (const SynchroniserKind kind : kinds) {
      const Rig r = alike(3, kind);
      const Contents c = filled(network(r));             // the same for all: only the parameter differs
      int fields = 0;
      for (const RigField& f : rig_fields(r)) {
        if (!f.path.starts_with("branch.ab.")) continue;
        CAPTURE(f.path);
        Rig other = r;
        set_field(other, f.path, std::nextafter(f.value, 1e300));
        ++fields;
        CHECK(found(network(other), c) == expected(network(other), {"a", "c"}));
      }
      CHECK(fields >= 20);
      Rig turned = r;
      turned.branches[1].cylinder.attitude =
          r.branches[1].cylinder.attitude == Attitude::level ? Attitude::rod_up : Attitude::level;
      CHECK(found(network(turned), c) == expected(network(turned), {"a", "c"}));
      const Network uneven = network(workshop_rig(kind, false));   // loads as 7 to 9
      CHECK(equal_states(uneven, filled(uneven)).empty());
    }
  }

  TEST_CASE("law: one content of one branch off by its last bit, and that branch has no like") {
    const Network n = network(alike(3, SynchroniserKind::metering_pistons));
    const auto at = [&](const char* name) { return static_cast<std::size_t>(n.place(name)); };
    const std::size_t chamber = at("ab.cap_chamber"), slugs = at("ab.rod_line"), bubbles = at("ab.cap_line");
    const std::size_t rod = 1;
    REQUIRE(n.axes[rod].name == "ab.rod");
    const std::map<std::string, std::function<void(Contents&)>> changes{
        {"oil", [&](Contents& c) { up(c.masses[chamber].oil_kg); }},
        {"pocket", [&](Contents& c) { up(c.masses[chamber].pocket_kg); }},
        {"coarse", [&](Contents& c) { up(c.masses[chamber].coarse_kg); }},
        {"fine", [&](Contents& c) { up(c.masses[chamber].fine_kg); }},
        {"dissolved", [&](Contents& c) { up(c.masses[chamber].dissolved_kg); }},
        {"pressure", [&](Contents& c) { up(c.pressure_pa_abs[chamber]); }},
        {"warmth", [&](Contents& c) { up(c.pocket_k[slugs]); }},
        {"slug's gas", [&](Contents& c) { up(c.line[slugs].queue[1].gas_kg); }},
        {"slug's film", [&](Contents& c) { up(c.line[slugs].queue[1].oil_kg); }},
        {"air dissolved in a line", [&](Contents& c) { up(c.line[slugs].queue[0].dissolved_kg); }},
        {"slug or not", [&](Contents& c) { c.line[slugs].queue[1].slug = false; }},
        {"cloud's start", [&](Contents& c) { up(c.line[bubbles].bubbles[fine].cloud[0].from); }},
        {"cloud's end", [&](Contents& c) { up(c.line[bubbles].bubbles[coarse].cloud[0].to); }},
        {"cloud's gas", [&](Contents& c) { up(c.line[bubbles].bubbles[coarse].cloud[0].kg); }},
        {"position", [&](Contents& c) { up(c.position_m[rod]); }},
        {"motion", [&](Contents& c) { c.motion[rod] = 1; }},
        {"rest", [&](Contents& c) { up(c.rest_s[rod]); }}};
    for (const auto& [what, change] : changes) {
      const std::string shown = what;
      CAPTURE(shown);
      Contents c = filled(n);
      change(c);
      CHECK(found(n, c) == expected(n, {"a", "c"}));
    }
  }

  TEST_CASE("law: a joint parted or a hand on one rod only, and that branch has no like; on both, they are alike") {
    for (const SynchroniserKind kind : kinds) {
      const Rig r = alike(2, kind);
      const auto with = [&](const Connections& j) {
        const Network n = network(r, j);
        return found(n, filled(n));
      };
      const auto pair = [&](const Connections& j) { return expected(network(r, j), {"a", "ab"}); };
      for (const char* port : {".cap_port", ".rod_port"})
        for (const Opening end : {Opening::capped, Opening::air, Opening::container}) {
          CAPTURE(std::string(port));
          Connections one;
          one.parted = {std::string("ab") + port};
          one.line_end = one.port = end;
          Connections both = one;
          both.parted.push_back(std::string("a") + port);
          CHECK(with(one).empty());
          CHECK(with(both) == pair(both));
        }
      Connections hand;
      hand.by_hand = {"a"};
      CHECK(with(hand).empty());
      hand.by_hand.push_back("ab");
      CHECK(with(hand) == pair(hand));
    }
  }
}
