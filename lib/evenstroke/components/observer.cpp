#include "evenstroke/components/observer.hpp"

#include <array>

#include "evenstroke/components/refuse.hpp"

namespace evenstroke {

template <>
std::span<const Field<Observer>> fields<Observer>() {
  using enum Quantity;
  static constexpr std::array<Field<Observer>, 4> table = {{
      {"visible", &Observer::visible_m, length, 1e-6, 0.01, 0.1e-3, 0.5e-3, "visible_bubble",
       "Diameter of the smallest bubble that a person sees in a stream of oil."},
      {"visible_share", &Observer::visible_share, ratio, 0, 1, 5e-4, 1e-2, "visible_share",
       "Share of bubbles in a stream from which a person sees that there are some."},
      {"rod_mark", &Observer::rod_mark_m, length, 1e-6, 0.01, no_band, no_band, "rod_mark",
       "The difference of the rods, and how far one springs back, are read to this."},
      {"level_mark", &Observer::level_mark_m, length, 1e-6, 0.1, no_band, no_band, "level_mark",
       "The level of the reservoir is read to this."},
  }};
  return table;
}

void check(const Observer& o, const std::string& where) { check_fields(o, where); }

}  // namespace evenstroke
