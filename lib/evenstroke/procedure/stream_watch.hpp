#pragma once
#include "evenstroke/rig/rig.hpp"
#include "evenstroke/transport/queue.hpp"

namespace evenstroke {

/// What a person sees of a stream that runs into the reservoir or a container: bubbles or none, a millilitre at a time.
/// Seen are gas in bulk, and bubbles of at least `visible_m`, where they are more than `visible_share` of the volume at p0.
/// tests: tests/procedure/stream_watch_test.cpp
class StreamWatch {
 public:
  StreamWatch(const Rig&, double oil_kg_per_m3, double gas_m3_per_kg);

  void look(const Bundle& came);                     ///< in one quantum
  double oil_m3() const { return oil_m3_; }          ///< that came, all in all
  double clear_m3() const { return clear_m3_; }      ///< since bubbles were last seen
  bool bubbles_seen() const { return seen_; }        ///< ever

 private:
  static constexpr double glance_m3 = 1e-6;
  bool coarse_, fine_, seen_ = false;
  double share_, oil_kg_per_m3_, gas_m3_per_kg_;
  double oil_m3_ = 0, clear_m3_ = 0;
  double now_oil_m3_ = 0, now_gas_m3_ = 0;           // of the millilitre that is coming
};

}  // namespace evenstroke
