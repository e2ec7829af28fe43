#pragma once
#include <limits>
#include <span>
#include <string>
#include <string_view>

#include "evenstroke/base/quantity.hpp"

namespace evenstroke {

/// A value the caller must give: `check` refuses it while it is NaN.
inline constexpr double required = std::numeric_limits<double>::quiet_NaN();

/// One row of a parameter struct's field table: it feeds TOML keys, Python names, checks, docs and sampling bands.
/// The default stands in the struct itself, `P{}.*member`; NaN there means required (or derived, then `help` says how).
template <class P>
struct Field {
  std::string_view name;      ///< without unit suffix: "bore"; the SI key is name + si_suffix(quantity)
  double P::*member;
  Quantity quantity;
  double low, high;           ///< hard range, SI, inclusive: outside is an error
  double band_low, band_high; ///< range of the unknown truth, SI, sampled uniformly; NaN, NaN: taken as known
  std::string_view evidence;  ///< key into base/evidence.csv
  std::string_view help;      ///< one sentence
};
inline constexpr double no_band = std::numeric_limits<double>::quiet_NaN();

/// The field table of a parameter struct; specialised in the struct's own .cpp.
template <class P>
std::span<const Field<P>> fields();

/// Throws InputError unless every field of `p` is finite and inside its hard range; `where` prefixes the field's name.
template <class P>
void check_fields(const P& p, const std::string& where) {
  for (const auto& f : fields<P>()) check_range(where, f.name, f.quantity, p.*(f.member), f.low, f.high);
}

}  // namespace evenstroke
