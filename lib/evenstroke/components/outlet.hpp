#pragma once
#include "evenstroke/base/field.hpp"

namespace evenstroke {

/// What distinguishes one outlet of a synchroniser from the others: it delivers (1 + dividing_error) times its nominal share.
///   metering pistons: area of its piston      rotary divider: displacement of its section      spool divider: its fixed orifice
/// No meaning at a tee or in a series pair, where nothing is divided.
struct Outlet {
  double dividing_error = 0;
};
template <>
std::span<const Field<Outlet>> fields<Outlet>();
void check(const Outlet&, const std::string& where);

}  // namespace evenstroke
