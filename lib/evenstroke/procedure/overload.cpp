#include "evenstroke/procedure/overload.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/base/quantity.hpp"
#include "evenstroke/components/cylinder.hpp"

namespace evenstroke {
namespace {

constexpr double usual = 1.2;   // of the relief valve's setting: its override is rarely more

const Branch* branch_of(const Network& n, const Place& p) {
  return p.branch < 0 ? nullptr : &n.rig.branches[static_cast<std::size_t>(p.branch)];
}

double rating_pa_gauge(const Network& n, const Place& p) {
  if (p.part == "valve_block") return n.rig.valve_block.rating_pa_gauge;
  if (p.part == "synchroniser") return n.rig.synchroniser.rating_pa_gauge;
  const Branch& b = *branch_of(n, p);
  if (p.part.ends_with(".cap_line")) return b.cap_line.rating_pa_gauge;
  if (p.part.ends_with(".rod_line")) return b.rod_line.rating_pa_gauge;
  return b.cylinder.rating_pa_gauge;
}

std::string cause(const Network& n, const Place& p, double pa_gauge, bool warming) {
  if (!warming && pa_gauge <= usual * n.rig.valve_block.relief_pa_gauge)
    return "the relief valve does not hold the pressure below that: it opens at " + short_text(n.rig.valve_block.relief_pa_gauge / 1e5) +
           " bar, and further with flow";
  if (warming) return "oil that is shut in presses by about 10 bar a kelvin as it warms";
  const Branch* b = branch_of(n, p);
  const bool rod_side = p.name.ends_with(".rod_chamber") || p.name.ends_with(".rod_line") || p.name == "valve_block.b";
  if (rod_side) {
    const Cylinder& c = (b ? *b : n.rig.branches.front()).cylinder;
    return "a piston presses up to " + short_text(std::round(100 * cap_area_m2(c) / rod_area_m2(c)) / 100) +
           " times the pressure of its cap side out of its rod side, where the way out is throttled or shut";
  }
  if (!b) return "the relief valve opens further with flow";
  switch (n.rig.synchroniser.kind) {
    case SynchroniserKind::rotary_divider:
      return "a section whose outlet finds no way is driven by the others, up to " + std::to_string(n.branches()) +
             " times the pressure of the inlet; a relief valve at each outlet (synchroniser.outlet_relief) bounds it";
    case SynchroniserKind::metering_pistons:
      return "the metering pistons stand on one carriage: where one finds no way, its chamber gets the force of all";
    case SynchroniserKind::series_pair: return "a link between cylinders in series gets what the first one's piston presses out";
    default: return "the relief valve opens further with flow, and loads press on what is shut in";
  }
}

}  // namespace

std::vector<std::string> texts(const std::vector<Overload>& found) {
  std::vector<std::string> told;
  std::vector<char> done(found.size(), 0);
  for (std::size_t i = 0; i < found.size(); ++i) {
    const Overload& o = found[i];
    std::string parts;
    double highest = 0;
    for (std::size_t j = i; j < found.size(); ++j) {
      const Overload& p = found[j];
      if (done[j] || p.when != o.when || p.cause != o.cause || p.rating_pa_gauge != o.rating_pa_gauge) continue;
      done[j] = 1;
      parts += (parts.empty() ? "" : ", ") + p.part;
      highest = std::max(highest, p.highest_pa_abs);
    }
    if (parts.empty()) continue;
    const bool more = parts.find(',') != std::string::npos;
    const std::string made = o.rating_pa_gauge > 0 ? "made for " + short_text(o.rating_pa_gauge / 1e5) + " bar"
                                                   : "without a stated rating, and above what the relief valve opens at";
    told.push_back(o.when + ": " + parts + (more ? " were" : " was") + " pressed to " +
                   short_text(std::round((highest - p0_pa_abs) / 1e4) / 10) + " bar gauge, " + made + ": " + o.cause);
  }
  return told;
}

void OverloadWatch::look(const Network& n, const std::vector<double>& highest, const std::string& when, bool warming) {
  for (std::size_t i = 0; i < n.places.size(); ++i) {
    const Place& p = n.places[i];
    const double rating = rating_pa_gauge(n, p), limit = rating > 0 ? rating : usual * n.rig.valve_block.relief_pa_gauge;
    if (highest[i] - p0_pa_abs <= limit) continue;
    const auto known = std::find_if(found_.begin(), found_.end(), [&](const Overload& o) { return o.part == p.part; });
    if (known != found_.end() && known->highest_pa_abs >= highest[i]) continue;
    Overload& o = known != found_.end() ? *known : found_.emplace_back();
    o = {p.part, p.name, when, cause(n, p, highest[i] - p0_pa_abs, warming), highest[i], rating};
  }
}

}  // namespace evenstroke
