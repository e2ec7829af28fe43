#pragma once
#include <algorithm>
#include <stdexcept>
#include <string>
#include <vector>

#include "evenstroke/transport/transport.hpp"
#include "support/bleed_bench.hpp"

namespace evenstroke::testing {

inline constexpr double ml = 1e-6;

/// One cylinder on a tee with hand-made volumes through its edges; the pressures stay where they are.
struct Hand {
  Network net;
  Contents c;
  Transport transport;
  std::vector<double> volume;

  explicit Hand(const Rig& r, bool rods_out = true)
      : net(make_network(r, {0})), c(make_contents(net, {{}, {}, rods_out, true, true})), transport(net, 1),
        volume(net.edges.size(), 0.0) {}
  std::size_t edge(const std::string& name) const {
    for (std::size_t e = 0; e < net.edges.size(); ++e)
      if (net.edges[e].name == name) return e;
    throw std::runtime_error(name);
  }
  Hand& flow(const std::string& name, double m3) {
    volume[edge(name)] = m3;
    return *this;
  }
  void move() {
    transport.begin(c);
    transport.move(c, volume, 0.1);
    std::fill(volume.begin(), volume.end(), 0.0);
  }
  Masses& at(const std::string& name) { return c.masses[static_cast<std::size_t>(net.place(name))]; }
  Queue& queue(const std::string& name) { return c.line[static_cast<std::size_t>(net.place(name))].queue; }
  Swarm& bubbles(const std::string& name) { return c.line[static_cast<std::size_t>(net.place(name))].bubbles[fine]; }
  double gas_per_m3() const { return p0_pa_abs / net.gas_j_per_kg; }
  double rho() const { return net.rho0_kg_per_m3; }
};

}  // namespace evenstroke::testing
