#include "evenstroke/procedure/order.hpp"

#include <algorithm>
#include <numeric>

#include "evenstroke/network/equal_branches.hpp"

namespace evenstroke {

std::vector<int> canonical_order(const Rig& rig, const Contents& c) {
  std::vector<std::vector<double>> key;
  for (std::size_t b = 0; b < rig.branches.size(); ++b) key.push_back(branch_key(rig, c, b));
  std::vector<int> order(rig.branches.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return key[static_cast<std::size_t>(a)] < key[static_cast<std::size_t>(b)];
  });
  return order;
}

}  // namespace evenstroke
