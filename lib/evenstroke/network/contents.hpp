#pragma once
#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "evenstroke/air/modulus.hpp"
#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// What a place holds, in mass [kg]: oil; gas collected in a pocket (in lines: slugs), coarse bubbles, fine bubbles; air
/// dissolved in the oil.
struct Masses {
  double oil_kg = 0, pocket_kg = 0, coarse_kg = 0, fine_kg = 0, dissolved_kg = 0;
  double bubbles_kg() const { return coarse_kg + fine_kg; }
  double gas_kg() const { return pocket_kg + coarse_kg + fine_kg; }   ///< free
  double air_kg() const { return gas_kg() + dissolved_kg; }
};

/// A stretch of a line: oil with the air dissolved in it, or a slug (gas that fills the bore, with the film of oil along it).
struct Parcel {
  double oil_kg = 0, gas_kg = 0, dissolved_kg = 0;
  bool slug = false;
};

/// A line's oil and slugs in order, from its near end (valve block) to its far end (cylinder). A value of fixed size.
struct Queue {
  static constexpr int capacity = 32;
  std::array<Parcel, capacity + 4> parcel{};
  int count = 0;
  int limit = capacity;                              ///< parcels beyond it are merged
  Parcel& operator[](int i) { return parcel[static_cast<std::size_t>(i)]; }
  const Parcel& operator[](int i) const { return parcel[static_cast<std::size_t>(i)]; }
};

/// Bubbles of one class between two points of a line (shares of its volume from the near end), in one streamtube.
struct Cloud {
  double from = 0, to = 0, kg = 0;
};

/// Bubbles of one class in a line: per streamtube, slowest first, clouds in order from the near end; empty while there
/// are none. They ride on the oil of the queue, each tube at its own speed.
struct Swarm {
  static constexpr int capacity = 16;                ///< clouds of one tube
  std::vector<Cloud> cloud;                          ///< tube by tube, `capacity` places each
  std::vector<int> count;                            ///< per tube
  double kg = 0;                                     ///< sum over all clouds
  int limit = capacity;                              ///< clouds of one tube beyond it are merged
  double creaming = 0;                               ///< risen across the line beyond whole bands, over what is free
};
enum BubbleClass { coarse = 0, fine = 1 };

/// Everything a line holds.
struct LineContents {
  Queue queue;
  std::array<Swarm, 2> bubbles;                      ///< coarse, fine
};
Masses total(const Queue&);
Masses total(const LineContents&);

/// An open vessel with a free surface: the reservoir, or a container that line ends are held into.
struct Tank {
  double oil_kg = 0, coarse_kg = 0, fine_kg = 0, dissolved_kg = 0;
  double foam_kg = 0;                                ///< air on its surface that has not burst yet
  double still_s = 0;                                ///< since it was last stirred
  double still_coarse_kg = 0, still_fine_kg = 0;     ///< bubbles it held then
  double air_kg() const { return coarse_kg + fine_kg + dissolved_kg + foam_kg; }
};

/// What has crossed the border of the circuit since the start [kg].
struct Ledger {
  double air_vented_kg = 0, air_ingested_kg = 0, oil_spilled_kg = 0, oil_refilled_kg = 0;
};

/// How contents came about, so that a member of an ensemble can make its own from its own rig.
struct Recipe {
  std::vector<std::string> dry, opened;
  bool rods_out = false;
  bool bled = false;       ///< no free air at all: the twin
  bool valid = false;      ///< false once anything has run
};

/// State of everything that can change, keyed by name; a plain value: copy, compare, fork, resume from it.
struct Contents {
  std::vector<std::string> place;        ///< the network's place names
  std::vector<Masses> masses;            ///< per place; a line's stand in its queue
  std::vector<LineContents> line;        ///< per place; used by lines only
  std::vector<double> pressure_pa_abs;   ///< per place
  std::vector<double> pocket_k;          ///< temperature of the pocket (slugs) per place
  std::vector<std::string> axis;
  std::vector<double> position_m;        ///< per axis
  std::vector<int> motion;               ///< per axis: 0 held, +1 sliding out, -1 sliding in
  std::vector<double> rest_s;            ///< per axis: how long it has been held
  Tank reservoir, container;
  Ledger ledger;
  double warmed_k = 0;                   ///< oil, air and walls are so much warmer than the rig says
  double time_s = 0, motor_on_s = 0;
  double running_s = 0, longest_running_s = 0;   ///< of the motor without a rest: now, at most
  Recipe recipe;
};

/// Contents after an exchange: dry parts full of air at p0, each opened line with one joint's worth of air at its cylinder
/// end, the rest full of oil at p0; the carriage at its lower stop, the rods in or out. Throws InputError for an unknown part.
Contents after_exchange(const Rig&, const std::vector<std::string>& dry, const std::vector<std::string>& opened,
                        bool rods_out = false);
Contents bled(const Rig&, bool rods_out = false);
Contents make_contents(const Network&, const Recipe&);

/// Throws InputError unless the contents come from a rig with the same parts.
void check(const Contents&, const Rig&);

/// The rig at the temperature that its contents have.
Rig as_warm(const Rig&, const Contents&);

/// The same contents in the order of another network of the same parts; nothing else changes.
Contents reordered(const Contents&, const Network&);
/// The same contents laid into another network of the same parts: by name; oil re-fitted so that every place keeps its pressure.
Contents fit(const Contents&, const Network&);

double available_m3(const Network&, const Contents&, int place);   ///< geometric volume at the present position
Masses held(const Contents&, int place);                            ///< of any place, line or not
Masses total(const Contents&);                                      ///< all places and the oil of both tanks, without its air
double gas_j(const Network&, const Contents&, int place);           ///< sum of m R T over its free gas [J]
double air_kg(const Contents&);                                     ///< free and dissolved, in all places and both tanks

}  // namespace evenstroke
