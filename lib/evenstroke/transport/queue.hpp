#pragma once
#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// What one connection carries in one quantum [kg].
using Bundle = Masses;

/// Oil and gas of a line at one pressure; all volumes of a line are taken at it.
struct LineState {
  double oil_m3_per_kg;    ///< of the liquid at the line's pressure
  double gas_m3_per_kg;    ///< R T/p of bubbles
  double slug_m3_per_kg;   ///< R T/p of slugs, which may be warmer
  double bore_m;
};

LineState line_state(const Network&, const Contents&, std::size_t place);   ///< of any place, as it is now

double volume_m3(const Parcel&, const LineState&);

enum class End { near, far };

/// Takes `volume` of oil and slugs from one end, first in first out; less when the queue holds less. Of a slug the gas
/// leaves first; its film stays on the wall and becomes oil behind it.
Bundle pop(Queue&, End, double volume_m3, const LineState&);
/// Lays oil with its dissolved air, and pocket gas as a slug, into one end; a slug joins a slug at the mouth. Keeps the
/// number of parcels bounded; returns the air moved by merging [kg] (0 while there is room). Bubbles go into the
/// swarms.
double push(Queue&, End, const Bundle&, const LineState&);
/// Slugs overtake the oil: each moves on by (k - 1) of the volume that passes it, oil from its front to its back. While
/// it comes in, that oil stays along it as its film: gas that comes in over many quanta is one slug, however fine they
/// are.
/// `near_m3`, `far_m3`: volumes that entered at the near end and left at the far end, signed towards the far end.
void overtake(Queue&, double near_m3, double far_m3, double duration_s, const LineState&, const AirInputs&, double mu_pa_s);
/// Slugs of at least the bore's size rise through the oil, whatever flows: each moves along the run by rise(sin of the
/// incline at its middle) * bore area * duration, towards the higher end, oil from its front to its back.
void rise(Queue&, const Profile&, double length_m, double duration_s, const LineState&, const AirInputs&, double mu_pa_s,
          double rho_kg_per_m3);

/// An end open to the air: up to `volume` of the oil nearest to it runs out and as much air comes in behind, as a slug.
/// Returns the oil with its dissolved air, and the air that came in as pocket_kg; `air_kg_per_m3` at p0.
Bundle drain(Queue&, End, double volume_m3, double air_kg_per_m3, const LineState&);

/// Middle of each slug's gas, weighted by mass, as a volume from the near end [m3]; 0 when there is none.
double slug_position_m3(const Queue&, const LineState&);
/// Share of slugs in the volume between two points (shares of the queue's volume) [-].
double slug_share(const Queue&, double from, double to, const LineState&);
/// Weight of the oil column between two points of the run, from `from` to `to`, as the pressure it adds at `from` [Pa];
/// slugs weigh nothing.
double column_pa(const Queue&, const Profile&, double from, double to, const LineState&, double rho_kg_per_m3);

}  // namespace evenstroke
