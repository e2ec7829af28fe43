// Which edge passes what flow has sent through it before which other: Transport::arrange, and one round of them all.
#include <algorithm>
#include <cmath>

#include "evenstroke/transport/transport.hpp"

namespace evenstroke {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

/// Tanks give before they get anything. Passages and lines wait for what they get; a ring is cut at last, at a passage: what
/// comes into a line after it has given would not be carried on. A passage that gives first has no more than what fills it, so
/// more than half of that goes round in portions: what it cannot give would stay in it once it has got, at hundreds of bar.
int Transport::arrange(const Contents& c, const std::vector<double>& volume) {
  const auto passed = [&](int place) {                    // past a piston at its stop: through chambers, one next to empty
    for (const std::size_t e : past_pistons_)
      if (volume[e] != 0 && (net_.edges[e].from == place || net_.edges[e].to == place)) return true;
    return false;
  };
  std::fill(waiting_.begin(), waiting_.end(), 0);
  std::fill(cut_.begin(), cut_.end(), char(0));
  turns_.clear();
  const auto take = [&](std::size_t e, bool as_passage) {
    turns_.push_back({static_cast<int>(e), as_passage});
    done_[e] = 1;
    if (const int to = taker(e, volume); to >= 0) --waiting_[at(to)];
  };
  std::size_t all = 0;
  for (std::size_t e = 0; e < net_.edges.size(); ++e) {
    done_[e] = volume[e] == 0;
    if (done_[e]) continue;
    ++all;
    if (const int to = taker(e, volume); to >= 0) ++waiting_[at(to)];
  }
  for (std::size_t e = 0; e < net_.edges.size(); ++e)
    if (!done_[e] && donor(e, volume) < 0) take(e, false);
  double most = 0;                                        // that a passage gives first, over what it holds
  for (bool forced = false; turns_.size() < all;) {
    const std::size_t before = turns_.size();
    for (std::size_t e = 0; e < net_.edges.size(); ++e) {
      if (done_[e]) continue;
      const int from = donor(e, volume);
      const PlaceKind kind = passed(from) ? PlaceKind::passage : net_.places[at(from)].kind;
      const bool passage = kind == PlaceKind::passage, early = kind != PlaceKind::chamber && waiting_[at(from)] > 0;
      if (early && !(forced && passage)) continue;
      forced = false;
      if (early) {
        cut_[at(from)] = 1;
        most = std::max(most, std::abs(volume[e]) / available_m3(net_, c, from));
      }
      take(e, passage);
    }
    forced = turns_.size() == before;                     // one cut opens the ring
  }
  return std::max(1, static_cast<int>(std::ceil(2 * most)));
}

void Transport::move_portion(Contents& c, const std::vector<double>& volume, double duration_s) {
  for (std::size_t p = 0; p < scale_.size(); ++p) scale_[p] = cut_[p] ? 1.0 : -1.0;
  std::fill(begun_.begin(), begun_.end(), char(0));
  reservoir_lot_ = c.reservoir;
  container_lot_ = c.container;
  for (LineEnds& l : lines_) {
    l.slid = false;
    l.in_near_m3 = l.in_far_m3 = 0;
    l.in_near_kg = l.in_far_kg = {};
    l.out = {};
  }
  for (const auto [edge, as_passage] : turns_) {
    const int from = donor(at(edge), volume);
    if (from >= 0 && net_.places[at(from)].kind == PlaceKind::line) slide(c, from, volume, duration_s);
    double& scale = scale_[at(std::max(0, from))];
    if (as_passage && scale < 0) scale = passage_scale(c, from, volume);
    const double asked = std::abs(volume[at(edge)]);
    pass(c, from, taker(at(edge), volume), edge, as_passage ? asked * scale : asked, duration_s);
  }
  for (const LineEnds& l : lines_) slide(c, static_cast<int>(l.place), volume, duration_s);
}

}  // namespace evenstroke
