#pragma once
#include "evenstroke/transport/swarm.hpp"

namespace evenstroke {

// How a swarm keeps the clouds of its tubes.
inline Cloud* clouds_of(Swarm& s, std::size_t tube) { return s.cloud.data() + tube * Swarm::capacity; }
inline const Cloud* clouds_of(const Swarm& s, std::size_t tube) { return s.cloud.data() + tube * Swarm::capacity; }
void load(Clouds&, const Swarm&, std::size_t tube);
double store(Swarm&, std::size_t tube, Clouds&);    ///< tidies them first; returns what that moved [kg]
void make_places(Swarm&, const Streamtubes&);       ///< allocates only where there were none for these tubes
/// Part of every tube's clouds goes to the tube at the wall, where it stands; returns what tidying moved [kg].
double cream(Swarm&, double share);

}  // namespace evenstroke
