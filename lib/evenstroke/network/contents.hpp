#pragma once
#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "evenstroke/air/modulus.hpp"
#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// What a place holds, in mass [kg]: oil, gas collected in a pocket, gas dispersed in the oil.
struct Masses {
  double oil_kg = 0, pocket_kg = 0, dispersed_kg = 0;
  double gas_kg() const { return pocket_kg + dispersed_kg; }
};

/// A stretch of a line: oil with dispersed gas, or a slug (gas that fills the bore, with the film of oil along it).
struct Parcel {
  double oil_kg = 0, gas_kg = 0;
  bool slug = false;
};

/// A line's contents in order, from its near end (valve block) to its far end (cylinder). A plain value of fixed size.
struct Queue {
  static constexpr int capacity = 32;
  std::array<Parcel, capacity + 4> parcel{};
  int count = 0;
  Parcel& operator[](int i) { return parcel[static_cast<std::size_t>(i)]; }
  const Parcel& operator[](int i) const { return parcel[static_cast<std::size_t>(i)]; }
};
Masses total(const Queue&);

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
  std::vector<Queue> queue;              ///< per place; used by lines only
  std::vector<double> pressure_pa_abs;   ///< per place
  std::vector<std::string> axis;
  std::vector<double> position_m;        ///< per axis
  std::vector<int> motion;               ///< per axis: 0 held, +1 sliding out, -1 sliding in
  double reservoir_oil_kg = 0;
  Ledger ledger;
  double time_s = 0, motor_on_s = 0;
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

/// The same contents in the order of another network of the same parts; nothing else changes.
Contents reordered(const Contents&, const Network&);
/// The same contents laid into another network of the same parts: by name; oil re-fitted so that every place keeps its pressure.
Contents fit(const Contents&, const Network&);

double available_m3(const Network&, const Contents&, int place);   ///< geometric volume at the present position
Masses held(const Contents&, int place);                            ///< of any place, line or not
Masses total(const Contents&);                                      ///< all places and the reservoir's oil

}  // namespace evenstroke
