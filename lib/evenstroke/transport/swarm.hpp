#pragma once
#include "evenstroke/air/streamtubes.hpp"
#include "evenstroke/network/contents.hpp"
#include "evenstroke/transport/clouds.hpp"
#include "evenstroke/transport/slug_path.hpp"

namespace evenstroke {

/// Of a bubble of the class, at p0.
inline double diameter_m(const AirInputs& a, BubbleClass k) { return k == coarse ? a.coarse_m : a.fine_m; }

/// How one class of bubbles moves in one line over one quantum. Volumes as shares of the line's, towards the far end.
struct SwarmMotion {
  double near = 0, far = 0;        ///< oil and gas that entered at the near end; that left at the far end (signed)
  double d_over_bore = 0;          ///< bubble over bore at the line's pressure
  double rise = 0;                 ///< U dt/length: own speed along a vertical run
  double creams = 0;               ///< U cos dt/(D - d): own way across the line, over what is free [-]
  const SlugPath* slugs = nullptr; ///< without: the line swells evenly
};

struct Passed {
  double near_kg = 0, far_kg = 0;  ///< left by either end
};

/// Bubbles ride on the laminar profile. First they rise along the run by rise * sin(incline); at a high point and at
/// the ends they gather, only flow carries them out. Then what stands at x in tube k moves by
/// speed_k (near + x (far - near)), or as the slugs let it: exact and reversible when both ends flow alike. Once they
/// have risen by a band they climb into the tubes above, where the tubes have any. What comes in fills what its tube's
/// motion opens at that end, shared among tubes by flow; without motion it gathers at the mouth. Clouds that touch and
/// are alike join; beyond the capacity pairs that move least mass: that is added to `merged_kg`. `in_near_kg`,
/// `in_far_kg`: bubbles that came in with the volumes.
/// tests: tests/transport/swarm_test.cpp, swarm_laminar_test.cpp, swarm_rise_test.cpp, swarm_cream_test.cpp,
/// swarm_store_test.cpp, swarm_random_test.cpp
Passed move(Swarm&, const Streamtubes&, const SwarmMotion&, const Profile&, double length_m, double in_near_kg,
            double in_far_kg, double* merged_kg);
/// What would leave, without moving anything and without rise and creaming.
Passed peek(const Swarm&, const Streamtubes&, const SwarmMotion&);
/// Adds bubbles evenly over a stretch, shared among tubes by area.
void fill(Swarm&, const Streamtubes&, double from, double to, double kg);
/// The same for several at once, in order from the near end, none over another.
void fill(Swarm&, const Streamtubes&, const Clouds& pieces);
/// The same bubbles in another number of tubes: each goes to the tubes that share its part of the section.
void regrid(Swarm&, const Streamtubes&);

/// Multiplies every cloud by its own factor: `share(from, to)` of it stays; returns what was taken [kg].
template <class F>
double keep(Swarm& s, F&& share) {
  if (s.kg <= 0) return 0;
  Sum taken, left;
  for (std::size_t k = 0; k < s.count.size(); ++k) {
    Cloud* const first = s.cloud.data() + k * Swarm::capacity;
    Cloud* to = first;
    for (const Cloud* c = first; c != first + s.count[k]; ++c) {
      const double stays = c->kg * share(c->from, c->to);
      taken.add(c->kg - stays);
      if (stays <= 0) continue;
      left.add(stays);
      *to++ = {c->from, c->to, stays};
    }
    s.count[k] = static_cast<int>(to - first);
  }
  s.kg = left.value();
  if (s.kg <= 0) s.creaming = 0;
  return taken.value();
}

}  // namespace evenstroke
