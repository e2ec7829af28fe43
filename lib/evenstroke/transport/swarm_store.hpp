#pragma once
#include "evenstroke/transport/swarm.hpp"

namespace evenstroke {

// How a swarm keeps the clouds of its tubes.
inline Cloud* clouds_of(Swarm& s, std::size_t tube) { return s.cloud.data() + tube * Swarm::capacity; }
inline const Cloud* clouds_of(const Swarm& s, std::size_t tube) { return s.cloud.data() + tube * Swarm::capacity; }
void load(Clouds&, const Swarm&, std::size_t tube);
void store(Swarm&, std::size_t tube, const Clouds&, Sum& kg);   ///< what has mass; clouds that fit
void make_places(Swarm&, const Streamtubes&);                   ///< allocates only where there were none for them

/// All have risen by a further share of what is free across the line: for every band of it they move into the tube above,
/// strip by strip, so that what gets to the wall is spread over the band.
void climb(Swarm&, const Streamtubes&, double rises, Sum& moved_kg);

}  // namespace evenstroke
