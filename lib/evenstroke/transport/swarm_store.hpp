#pragma once
#include "evenstroke/transport/swarm.hpp"

namespace evenstroke {

// How a swarm keeps the clouds of its tubes.
inline Cloud* clouds_of(Swarm& s, std::size_t tube) { return s.cloud.data() + tube * Swarm::capacity; }
inline const Cloud* clouds_of(const Swarm& s, std::size_t tube) { return s.cloud.data() + tube * Swarm::capacity; }
void load(Clouds&, const Swarm&, std::size_t tube);
void store(Swarm&, std::size_t tube, const Clouds&, Sum& kg);   ///< what has mass; clouds that fit
void make_places(Swarm&, const Streamtubes&);                   ///< allocates only where there were none for them

/// Bubbles come in that have not risen yet, so that on the mean the others have risen less.
void freshen(Swarm&, double added_kg);
/// Share of all tubes' bubbles that is moved to the wall now, a further `rises` of what is free across the line: a small one
/// is put to the swarm's account first.
double due_to_cream(Swarm&, double rises);
/// What sinks to the wall from all tubes, gathered in cells of the line; a cell that is not full keeps its extent.
class Sunk {
 public:
  void take(Clouds&, double share);
  Clouds clouds() const;

 private:
  void add(const Cloud&);
  static constexpr int cells = 2 * Swarm::capacity;
  std::array<Cloud, cells> cell_{};
};

}  // namespace evenstroke
