#include "evenstroke/base/quantity.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

using Row = std::span<const Spelling>;

// The closed list of spellings, SI first. Factors are exact by definition (SI Brochure; litre 1e-3 m3, bar 1e5 Pa,
// stokes 1e-4 m2/s, 0 deg C = 273.15 K).
constexpr Spelling k_ratio[] = {{"", "-"}};
constexpr Spelling k_length[] = {{"_m", "m"}, {"_mm", "mm", 1, 1e3}};
constexpr Spelling k_area[] = {{"_m2", "m2"}, {"_mm2", "mm2", 1, 1e6}, {"_cm2", "cm2", 1, 1e4}};
constexpr Spelling k_volume[] = {{"_m3", "m3"}, {"_ml", "mL", 1, 1e6}, {"_l", "L", 1, 1e3}};
constexpr Spelling k_mass[] = {{"_kg", "kg"}};
constexpr Spelling k_force[] = {{"_n", "N"}, {"_kn", "kN", 1e3}};
constexpr Spelling k_time[] = {{"_s", "s"}, {"_min", "min", 60}};
constexpr Spelling k_angle[] = {{"_rad", "rad"}, {"_deg", "deg", std::numbers::pi, 180}};
constexpr Spelling k_temperature[] = {{"_k", "K"}, {"_deg_c", "deg C", 1, 1, 273.15}};
constexpr Spelling k_gradient[] = {{"_k_per_m", "K/m"}};
constexpr Spelling k_abs[] = {{"_pa_abs", "Pa abs"}, {"_bar_abs", "bar abs", 1e5}};
constexpr Spelling k_gauge[] = {{"_pa_gauge", "Pa gauge"}, {"_bar_gauge", "bar gauge", 1e5}};
constexpr Spelling k_diff[] = {{"_pa_diff", "Pa"}, {"_bar", "bar", 1e5}};
constexpr Spelling k_modulus[] = {{"_pa", "Pa"}, {"_gpa", "GPa", 1e9}};
constexpr Spelling k_flow[] = {{"_m3_per_s", "m3/s"}, {"_l_per_min", "L/min", 1, 6e4}};
constexpr Spelling k_displacement[] = {{"_m3_per_rad", "m3/rad"},
                                         {"_cm3_per_rev", "cm3/rev", 1, 2e6 * std::numbers::pi},
                                         {"_m3_per_rev", "m3/rev", 1, 2 * std::numbers::pi}};
constexpr Spelling k_voltage[] = {{"_v", "V"}};
constexpr Spelling k_resistance[] = {{"_ohm", "ohm"}};
constexpr Spelling k_motor[] = {{"_v_s", "V s"}};
constexpr Spelling k_torque[] = {{"_n_m", "N m"}};
constexpr Spelling k_torsion[] = {{"_n_m_per_rad", "N m/rad"}};
constexpr Spelling k_viscosity[] = {{"_m2_per_s", "m2/s"}, {"_cst", "cSt", 1, 1e6}};
constexpr Spelling k_density[] = {{"_kg_per_m3", "kg/m3"}};
constexpr Spelling k_expansion[] = {{"_per_k", "1/K"}};
constexpr Spelling k_conductance[] = {{"_m3_per_s_pa", "m3/(s Pa)"}};
constexpr Spelling k_viscous[] = {{"_n_s_per_m", "N s/m"}};
constexpr Spelling k_tension[] = {{"_n_per_m", "N/m"}};
constexpr Spelling k_compressibility[] = {{"_per_pa", "1/Pa"}, {"_per_bar", "1/bar", 1, 1e5}};
constexpr Spelling k_diffusivity[] = {{"_m2_per_s", "m2/s"}};
constexpr Spelling k_speed[] = {{"_m_per_s", "m/s"}};
constexpr Spelling k_drag_torque[] = {{"_n_m_s", "N m s"}};

// In the order of the enumeration.
constexpr std::array<Row, 35> k_rows = {
    Row(k_ratio),   Row(k_ratio),       Row(k_length),      Row(k_area),     Row(k_volume),     Row(k_mass),
    Row(k_force),   Row(k_time),        Row(k_angle),       Row(k_temperature), Row(k_gradient), Row(k_abs),
    Row(k_gauge),   Row(k_diff),        Row(k_modulus),     Row(k_flow),     Row(k_displacement), Row(k_voltage),
    Row(k_resistance), Row(k_motor),    Row(k_torque),      Row(k_torsion),  Row(k_viscosity),  Row(k_density),
    Row(k_expansion), Row(k_conductance), Row(k_viscous),   Row(k_tension),  Row(k_ratio),      Row(k_ratio),
    Row(k_compressibility), Row(k_diffusivity), Row(k_speed),       Row(k_tension),  Row(k_drag_torque)};
static_assert(k_rows.size() == static_cast<std::size_t>(Quantity::drag_torque) + 1);

// Units people write that are not on the list: they get "allowed spellings" instead of "unknown key".
constexpr std::string_view k_foreign[] = {"cm", "dm", "in", "inch", "ft", "um", "cm3", "dm3", "mm3", "cc", "pa", "kpa",
                                          "mpa", "psi", "g", "t", "lb", "c", "f", "ms", "h", "a", "st", "mm2_per_s",
                                          "ml_per_min", "ml_per_s", "ml_per_rev", "kw", "w", "rpm", "percent"};

double from_si(const Spelling& s, double si) { return (si - s.offset) * s.divide / s.multiply; }

}  // namespace

std::string short_text(double value) {
  std::array<char, 32> buffer{};
  std::snprintf(buffer.data(), buffer.size(), "%.6g", value);
  return buffer.data();
}

std::span<const Spelling> unit_spellings(Quantity q) { return k_rows[static_cast<std::size_t>(q)]; }

double to_si(const Spelling& s, double value) { return value * s.multiply / s.divide + s.offset; }

std::string_view si_suffix(Quantity q) { return unit_spellings(q).front().suffix; }

const Spelling* find_spelling(std::string_view key, std::string_view name, Quantity q) {
  if (!key.starts_with(name)) return nullptr;
  for (const auto& s : unit_spellings(q))
    if (key.substr(name.size()) == s.suffix) return &s;
  return nullptr;
}

std::string spellings(std::string_view name, Quantity q) {
  std::string text;
  for (const auto& s : unit_spellings(q))
    text += (text.empty() ? "" : " or ") + std::string(name) + std::string(s.suffix);
  return text;
}

bool is_unit_word(std::string_view word) {
  for (const auto& row : k_rows)
    for (const auto& s : row)
      if (!s.suffix.empty() && word == s.suffix.substr(1)) return true;
  for (const auto& w : k_foreign)
    if (word == w) return true;
  return false;
}

std::string number_text(double value) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value).ptr;
  return {buffer.data(), end};
}

std::string field_path(const std::string& where, std::string_view key) {
  const bool prefix = where.empty() || where.back() == '_';
  return where + (prefix ? "" : ".") + std::string(key);
}

void check_range(const std::string& where, std::string_view name, Quantity q, double value_si, double low,
                 double high) {
  check_range_as(where, name, q, unit_spellings(q).front(), value_si, low, high);
}

double check_range_as(const std::string& where, std::string_view name, Quantity q, const Spelling& written,
                      double value, double low, double high) {
  const double si = to_si(written, value);
  // -40 deg C is a rounding below 233.15 K: the bounds give way by that much.
  const auto inside = [&](double x) { return x >= low - 1e-12 * std::abs(low) && x <= high + 1e-12 * std::abs(high); };
  if (std::isfinite(si) && inside(si)) return si;
  const std::string unit(written.unit), shown = unit == "-" ? "" : " " + unit;
  std::string rule = std::isfinite(value) ? "must lie" : "must be a finite number";
  rule += " between " + short_text(from_si(written, low)) + " and " + short_text(from_si(written, high)) + shown;
  for (const auto& other : unit_spellings(q)) {
    const double meant = to_si(other, value);
    if (other.suffix != written.suffix && std::isfinite(value) && inside(meant))
      rule += "; looks like " + std::string(other.unit) + ": use " + std::string(name) + std::string(other.suffix);
  }
  throw InputError(field_path(where, std::string(name) + std::string(written.suffix)), number_text(value), unit, rule);
}

}  // namespace evenstroke
