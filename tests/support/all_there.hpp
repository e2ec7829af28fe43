#pragma once
#include "evenstroke/network/contents.hpp"

namespace evenstroke::testing {

/// What no transfer may change: all that is there and what has crossed the border.
inline double oil_all_kg(const Contents& c) {
  return total(c).oil_kg + c.ledger.oil_spilled_kg - c.ledger.oil_refilled_kg;
}
inline double air_all_kg(const Contents& c) { return air_kg(c) + c.ledger.air_vented_kg - c.ledger.air_ingested_kg; }

}  // namespace evenstroke::testing
