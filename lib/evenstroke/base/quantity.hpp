#pragma once
#include <span>
#include <string>
#include <string_view>

namespace evenstroke {

/// What a number measures; decides the unit suffixes its key may carry.
enum class Quantity {
  ratio, count, length, area, volume, mass, force, time, angle, temperature, temperature_gradient,
  pressure_abs, pressure_gauge, pressure_diff, modulus, flow, displacement, voltage, resistance, motor_constant,
  torque, stiffness_torsion, viscosity_kinematic, density, expansion, conductance_laminar, friction_viscous,
  surface_tension, pump_slip, pump_drag, compressibility, diffusivity, speed, stiffness, drag_torque
};

/// One way to write a quantity: SI = value * multiply / divide + offset. Two numbers instead of one factor, so that
/// 9 mm is the same double as 0.009 m.
struct Spelling {
  std::string_view suffix;   ///< of the key: "_mm"; "" for a pure number
  std::string_view unit;     ///< for people: "mm"
  double multiply = 1, divide = 1, offset = 0;
};
std::span<const Spelling> unit_spellings(Quantity);          ///< SI first, then the shop units: a closed list
double to_si(const Spelling&, double value);
std::string_view si_suffix(Quantity);                        ///< "_m", "_pa_gauge", "" for a ratio
/// The spelling of a key such as "bore_mm" when it spells `name`; nullptr when it does not.
const Spelling* find_spelling(std::string_view key, std::string_view name, Quantity);
std::string spellings(std::string_view name, Quantity);      ///< "bore_m or bore_mm", for messages
bool is_unit_word(std::string_view word);                    ///< "mm", "bar", "psi": looks like a unit, allowed or not
std::string short_text(double value);                        ///< six digits at most, for people
std::string number_text(double value);                       ///< shortest text that reads back to the same number

/// "branch.left" + "bore_m" is "branch.left.bore_m"; a `where` that ends in "_" is a prefix of the key itself.
std::string field_path(const std::string& where, std::string_view key);
/// Throws InputError when the SI value is not finite or outside [low, high]; hints at a unit slip where the same number
/// in another unit would be in range ("looks like bar gauge; use ..._bar_gauge").
void check_range(const std::string& where, std::string_view name, Quantity, double value_si, double low, double high);
/// The same for a number as somebody wrote it; returns the SI value. The message stays in the writer's unit.
double check_range_as(const std::string& where, std::string_view name, Quantity, const Spelling&, double value,
                      double low, double high);

}  // namespace evenstroke
