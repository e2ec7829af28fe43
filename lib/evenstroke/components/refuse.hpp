#pragma once
#include <string>
#include <string_view>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke {

/// Throws the InputError of a rule that ties several fields together; names and units as `check_range` writes them.
[[noreturn]] inline void refuse(const std::string& where, std::string_view name, Quantity q, double value_si,
                                const std::string& rule) {
  const Spelling& si = unit_spellings(q).front();
  throw InputError(field_path(where, std::string(name) + std::string(si.suffix)), number_text(value_si),
                   std::string(si.unit), rule);
}

/// The same for the argument of a function that stands in no field table.
inline void require_positive(std::string_view name, double value, std::string_view unit) {
  if (value > 0 && value <= 1e300) return;
  throw InputError(std::string(name), number_text(value), std::string(unit), "must be positive and finite");
}

}  // namespace evenstroke
