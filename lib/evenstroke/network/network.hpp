#pragma once
#include <string>
#include <vector>

#include "evenstroke/components/counterbalance.hpp"
#include "evenstroke/components/leak.hpp"
#include "evenstroke/components/opening.hpp"
#include "evenstroke/components/orifice.hpp"
#include "evenstroke/components/pilot_check.hpp"
#include "evenstroke/rig/rig.hpp"
#include "evenstroke/solver/pattern.hpp"

namespace evenstroke {

/// How a place holds gas: a passage mixes it, a chamber lets it collect under a roof, a line keeps it in order.
enum class PlaceKind { passage, chamber, line };

/// Heights along a line's run: near end, one high or low point between, far end; straight between them.
struct Profile {
  double near_m = 0, peak_m = 0, peak_share = 0, far_m = 0;   ///< peak_share 0: no point between
  double height_m(double share) const;
  double sin_incline(double share, double length_m) const;    ///< rise per length there, towards the far end; -1 ... 1
};

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
  double height_m = 0;          ///< of the point its pressure belongs to, above the valve block: port, middle of a line
  double trap_m3 = 0;           ///< of a passage: its high point, above the mouths
  Profile profile = {};         ///< of a line
};

/// Other ends of edges: the reservoir at p0 on its surface, the container, the open air.
inline constexpr int reservoir_place = -1, container_place = -2, air_place = -3;

/// What the two ends of a parted joint look into. Line ends of a branch may also be joined to each other.
enum class Opening { capped, air, container, joined };

/// How the joints stand in a step; all are made unless named here.
struct Connections {
  /// "left.cap_port", "right.rod_port": line and cylinder taken apart there; "valve_block.a", "valve_block.b": the valve
  /// block and what leads on from its port (there `port` counts; what leads on is capped).
  std::vector<std::string> parted;
  Opening line_end = Opening::capped, port = Opening::capped;
  std::vector<std::string> by_hand;         ///< branches whose rod a hand moves
  double hand_n = 200, hand_m_per_s = 0.05; ///< its force at rest, and its speed against no force; straight between
  int attitude = -1;                        ///< all cylinders turned this way (an Attitude); -1: as they stand
  std::vector<std::string> bled = {};       ///< places whose bleed screw is cracked, a hose from it in the container
};

/// spill: a relief or check valve; section: of a rotary divider; released: an orifice that a pilot holds open
enum class EdgeKind { pump, relief, orifice, line, leak, counterbalance, seal, spill, section, released };
/// What closes an edge: a closed one has zero conductance, so one pattern serves every step.
enum class Switch { always, motor, extend, retract, bypass, motor_extend, motor_retract, standing };

inline constexpr int no_pilot = -9;

struct Edge {
  std::string name;
  EdgeKind kind;
  Switch gate = Switch::always;
  int from, to;                 ///< places; positive volume leaves `from`
  int law;                      ///< index into the network's list of laws of that kind
  int pilot = no_pilot;         ///< place whose pressure helps to open a counterbalance or pilot-operated check valve
  double area_m2 = 0;           ///< of an orifice
  int axis = -1;                ///< what moves it: the axis that opens an orifice, the shaft of a section
  int opening = -1;             ///< of an orifice that an axis opens: its law
  int release = -1;             ///< of a released orifice: its law
  double inertia_kg_per_m4 = 0; ///< of a line: rho L/A of this part of it, counted only where a run asks for it
  bool top = false;             ///< of a bleed screw: draws from the highest point, gas comes first; lets nothing back
  double from_share = 0;        ///< of two lines whose ends are joined: share of the resistance on the side of `from`
};

/// spool: of a divider, its position counts from the middle; shaft: of a rotary divider, an angle without stops [rad, N m]
enum class AxisKind { rod, carriage, spool, shaft };

/// What moves: massless, sticks below breakaway, stops at both ends.
///   B x' = sum(slope p) - fixed - load - k_c coupling -+ running friction + hand - k x - flow forces + sum(D dp)
struct Axis {
  std::string name;             ///< "left.rod", "synchroniser.carriage"
  double travel_m, viscous_n_s_per_m, breakaway_n, running_n;
  double dwell_growth = 0;      ///< of breakaway, per decade of rest
  double fixed_n = 0;           ///< force of the atmosphere against extension
  double hand_n = 0, hand_m_per_s = 1;   ///< force line of a hand that moves it
  int branch = -1;              ///< of a rod
  AxisKind kind = AxisKind::rod;
  double low_m = 0;             ///< lower stop; the upper one is travel_m
  double spring_n_per_m = 0;    ///< draws it to position zero
};

/// A flow force: c A(x) |dp| of an orifice that an axis opens, towards its shutting.
struct FlowForce { int edge; double per_m2; };

/// A rig as one flat network: the union of all connections a procedure can use. Constant while anything runs.
struct Network {
  Rig rig;                      ///< branches in the network's own (canonical) order
  std::vector<int> given;       ///< network branch -> branch of the rig as given
  std::vector<Place> places;
  std::vector<Edge> edges;
  std::vector<Axis> axes;       ///< rods first, in branch order; then the synchroniser's own if it has one
  PumpLaw<double> pump;
  ReliefLaw<double> relief;
  std::vector<OrificeLaw<double>> orifices;
  std::vector<LineLaw<double>> lines;
  std::vector<LeakLaw<double>> leaks;
  std::vector<CounterbalanceLaw<double>> counterbalances;
  std::vector<ReliefLaw<double>> seals;             ///< past a rod seal, from the air into a rod chamber
  std::vector<ReliefLaw<double>> spills;            ///< make-up checks, relief valves of outlets
  std::vector<OpeningLaw<double>> openings;
  bool reversing_spool = false;                     ///< a divider/combiner: its edges open the other way while oil comes back
  std::vector<PilotLaw<double>> releases;
  struct Section { double m3_per_rad, slip_m3_per_s_pa; };
  std::vector<Section> sections;
  std::vector<FlowForce> flow_forces;
  LiquidLaw<double> liquid;
  double rho0_kg_per_m3, mu_pa_s, gas_j_per_kg;   ///< oil density at p0; viscosity; R T of the air
  std::vector<PanelLaw<double>> panel;            ///< per rod, when on the panel
  double coupling_n_per_m = 0;                    ///< k_c, when on the panel
  Pattern pattern;                               ///< of the flow's Jacobian: edges, axes, the clock

  int branches() const { return static_cast<int>(rig.branches.size()); }
  int place(const std::string& name) const;       ///< throws InputError for an unknown name
  bool has_carriage() const { return axes.back().kind == AxisKind::carriage; }
};

/// The pump's law at another voltage than the rig's; 0: at that.
PumpLaw<double> pump_at(const Network&, double supply_v);

/// Where a bleed screw can sit: every passage and chamber, not a line. Names of places.
std::vector<std::string> bleed_points(const Rig&);

/// The pattern with one more state for each line edge: its flow, which the pressures at its ends set going.
Pattern inertance_pattern(const Network&);

/// `order[i]` = branch of `rig` that stands at place i of the network. Places and axes do not depend on the connections.
Network make_network(const Rig& rig, const std::vector<int>& order, const Connections& = {});
/// The same with the branches as they stand in the rig.
Network make_network(const Rig& rig);

}  // namespace evenstroke
