#include "evenstroke/procedure/stream_watch.hpp"

namespace evenstroke {

StreamWatch::StreamWatch(const Rig& rig, double oil_kg_per_m3, double gas_m3_per_kg)
    : coarse_(rig.air.coarse_m >= rig.observer.visible_m), fine_(rig.air.fine_m >= rig.observer.visible_m),
      share_(rig.observer.visible_share), oil_kg_per_m3_(oil_kg_per_m3), gas_m3_per_kg_(gas_m3_per_kg) {}

void StreamWatch::look(const Bundle& came) {
  const double seen_kg = came.pocket_kg + (coarse_ ? came.coarse_kg : 0.0) + (fine_ ? came.fine_kg : 0.0);
  const double oil = came.oil_kg / oil_kg_per_m3_;
  oil_m3_ += oil;
  now_oil_m3_ += oil;
  now_gas_m3_ += seen_kg * gas_m3_per_kg_;
  if (now_oil_m3_ + now_gas_m3_ < glance_m3) return;
  const bool bubbles = now_gas_m3_ > share_ * (now_oil_m3_ + now_gas_m3_);
  seen_ = seen_ || bubbles;
  clear_m3_ = bubbles ? 0.0 : clear_m3_ + now_oil_m3_;
  now_oil_m3_ = now_gas_m3_ = 0;
}

}  // namespace evenstroke
