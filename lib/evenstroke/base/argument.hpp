#pragma once
#include <cmath>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke {

/// Refuses the argument of a law that is no finite number above 0 (`positive`) or from 0 up (`not_negative`).
inline void positive(const char* field, double value, const char* unit) {
  if (!(value > 0 && std::isfinite(value))) throw InputError(field, number_text(value), unit, "must be above 0");
}
inline void not_negative(const char* field, double value, const char* unit) {
  if (!(value >= 0 && std::isfinite(value))) throw InputError(field, number_text(value), unit, "must not be negative");
}

}  // namespace evenstroke
