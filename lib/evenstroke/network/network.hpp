#pragma once
#include <string>
#include <vector>

#include "evenstroke/components/leak.hpp"
#include "evenstroke/components/orifice.hpp"
#include "evenstroke/rig/rig.hpp"
#include "evenstroke/solver/pattern.hpp"

namespace evenstroke {

/// How a place holds gas: a passage mixes it, a chamber lets it collect under a roof, a line keeps it in order.
enum class PlaceKind { passage, chamber, line };

/// One control volume: V = volume + slope * position(axis) + wall (p - p0).
struct Place {
  std::string name;             ///< "left.cap_chamber"
  std::string part;             ///< what is dry or opened with it: "left.cylinder"
  PlaceKind kind = PlaceKind::passage;
  double volume_m3 = 0;         ///< at position zero and p0
  int axis = -1;                ///< which rod or carriage bounds it; -1 = none
  double slope_m2 = 0;          ///< dV/dposition, signed; the same number is the force per pressure on the axis
  double wall_m3_per_pa = 0;
  int branch = -1;              ///< in the network's order; -1 = common to all
  double bore_m = 0;            ///< of a line
};

inline constexpr int reservoir_place = -1;   ///< the other end of an edge that leads to or from the reservoir at p0

enum class EdgeKind { pump, relief, orifice, line, leak };
/// What closes an edge: a closed one has zero conductance, so one pattern serves every step.
enum class Switch { always, motor, extend, retract, bypass };

struct Edge {
  std::string name;
  EdgeKind kind;
  Switch gate = Switch::always;
  int from, to;                 ///< places; positive volume leaves `from`
  int law;                      ///< index into the network's list of laws of that kind
};

/// A rod or the carriage: massless, sticks below breakaway, stops at both ends.
///   B x' = sum(slope p) - fixed - load - k_c coupling -+ running friction
struct Axis {
  std::string name;             ///< "left.rod", "synchroniser.carriage"
  double travel_m, viscous_n_s_per_m, breakaway_n, running_n;
  double fixed_n = 0;           ///< force of the atmosphere against extension
  int branch = -1;              ///< -1 = carriage
};

/// A rig as one flat network: the union of all connections a procedure can use. Constant while anything runs.
struct Network {
  Rig rig;                      ///< branches in the network's own (canonical) order
  std::vector<int> given;       ///< network branch -> branch of the rig as given
  std::vector<Place> places;
  std::vector<Edge> edges;
  std::vector<Axis> axes;       ///< rods first, in branch order; then the carriage if there is one
  PumpLaw<double> pump;
  ReliefLaw<double> relief;
  std::vector<OrificeLaw<double>> orifices;
  std::vector<LineLaw<double>> lines;
  std::vector<LeakLaw<double>> leaks;
  LiquidLaw<double> liquid;
  double rho0_kg_per_m3, mu_pa_s, gas_j_per_kg;   ///< oil density at p0; viscosity; R T of the air
  std::vector<double> panel_load_n;               ///< per rod, when on the panel
  double coupling_n_per_m = 0;                    ///< k_c, when on the panel
  Pattern pattern;                               ///< of the flow's Jacobian: edges, then axes

  int branches() const { return static_cast<int>(rig.branches.size()); }
  int place(const std::string& name) const;       ///< throws InputError for an unknown name
  bool has_carriage() const { return axes.size() > rig.branches.size(); }
};

/// `order[i]` = branch of `rig` that stands at place i of the network.
Network make_network(const Rig& rig, const std::vector<int>& order);
/// The same with the branches as they stand in the rig.
Network make_network(const Rig& rig);

}  // namespace evenstroke
