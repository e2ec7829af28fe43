#include "evenstroke/base/suggest.hpp"

#include <algorithm>

namespace evenstroke {

int edit_distance(std::string_view a, std::string_view b) {
  const std::size_t n = b.size() + 1;
  std::vector<int> before(n), last(n), row(n);
  for (std::size_t j = 0; j < n; ++j) last[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = static_cast<int>(i);
    for (std::size_t j = 1; j < n; ++j) {
      const int change = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    before.swap(last);
    last.swap(row);
  }
  return last.back();
}

std::string did_you_mean(std::string_view word, const std::vector<std::string>& known) {
  const std::string* best = nullptr;
  int best_distance = std::max(1, static_cast<int>(word.size()) / 3) + 1;
  for (const auto& k : known) {
    const int d = edit_distance(word, k);
    if (d < best_distance) best_distance = d, best = &k;
  }
  return best ? "; did you mean " + *best + "?" : "";
}

}  // namespace evenstroke
