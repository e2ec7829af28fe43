#include "evenstroke/components/outlet.hpp"

#include <array>

namespace evenstroke {

template <>
std::span<const Field<Outlet>> fields<Outlet>() {
  static constexpr std::array<Field<Outlet>, 1> table = {{
      {"dividing_error", &Outlet::dividing_error, Quantity::ratio, -0.2, 0.2, -0.01, 0.01, "dividing_error",
       "What this outlet of a metering synchroniser or divider delivers beyond its nominal share, over that share."},
  }};
  return table;
}

void check(const Outlet& o, const std::string& where) { check_fields(o, where); }

}  // namespace evenstroke
