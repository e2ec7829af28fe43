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

}  // namespace evenstroke
