#pragma once
#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// What one connection carries in one quantum [kg].
using Bundle = Masses;

/// Oil and gas of a line at one pressure; all volumes of a queue are taken at it.
struct LineState {
  double oil_m3_per_kg;    ///< of the liquid at the line's pressure
  double gas_m3_per_kg;    ///< R T/p
  double bore_m;
};

double volume_m3(const Parcel&, const LineState&);

enum class End { near, far };

/// Takes `volume` from one end, first in first out; less when the line holds less.
Bundle pop(Queue&, End, double volume_m3, const LineState&);
/// Lays a bundle into one end: oil with its dispersed gas, and its pocket gas as a slug, which joins a slug at the mouth.
/// Keeps the number of parcels bounded; returns the gas moved by merging [kg] (0 while there is room).
double push(Queue&, End, const Bundle&, const LineState&);
/// Slugs overtake the oil: each moves on by (k - 1) of the volume that passes it, oil from its front to its back. While
/// it comes in, that oil stays along it as its film: gas that comes in over many quanta is one slug, however fine they
/// are; when it leaves, it sheds the film.
/// `near_m3`, `far_m3`: volumes that entered at the near end and left at the far end, signed towards the far end.
void overtake(Queue&, double near_m3, double far_m3, double duration_s, const LineState&, const AirInputs&, double mu_pa_s);

/// Middle of each slug's gas, weighted by mass, as a volume from the near end [m3]; 0 when there is none.
double slug_position_m3(const Queue&, const LineState&);

}  // namespace evenstroke
