#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace evenstroke {

/// Letters to insert, drop, change or swap with a neighbour to turn one word into the other.
int edit_distance(std::string_view a, std::string_view b);
/// "; did you mean bore_mm?" for the nearest of the known words, empty when none is near (a third of the letters).
std::string did_you_mean(std::string_view word, const std::vector<std::string>& known);

}  // namespace evenstroke
