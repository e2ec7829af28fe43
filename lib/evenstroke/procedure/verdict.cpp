#include "evenstroke/procedure/verdict.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/transport/queue.hpp"

namespace evenstroke {
namespace {

constexpr int strokes_in_a_row = 4;
constexpr const char* alone = "one rod has none to be in step with: what is left of the air is all there is to see";

bool inside(const Run& run, const StrokeRow& r, bool air_part) {
  const Check& c = run.on_load ? r.load : r.free;
  if (c.state != CheckState::ok) return false;
  const std::array<double, 3> e = air_part ? r.air_part_m : c.mismatch_m;
  return std::all_of(e.begin(), e.end(), [&](double x) { return std::abs(x) <= run.tolerance_m; });
}

/// Strokes up to the last that are inside the tolerance, counted back from it.
int run_length(const Run& run, bool air_part) {
  int n = 0;
  for (auto r = run.strokes.rbegin(); r != run.strokes.rend() && r->stroke > 0 && inside(run, *r, air_part); ++r) ++n;
  return n;
}

}  // namespace

const char* to_string(Answered a) {
  switch (a) {
    case Answered::reached: return "reached";
    case Answered::never: return "never";
    case Answered::not_within: return "not within";
    case Answered::not_defined: return "not defined";
    case Answered::undecided: break;
  }
  return "undecided";
}

VerdictKeeper::VerdictKeeper(const Network& n) : net_(n) {}

/// Free gas of every place as a volume at p0, and for lines where their slugs are.
std::vector<double> VerdictKeeper::snapshot(const Contents& c, double costs_m3) const {
  std::vector<double> s;
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    s.push_back(free_air_m3(held(c, static_cast<int>(p)).gas_kg()));
    if (net_.places[p].kind != PlaceKind::line) continue;
    const double gas_m3_per_kg = net_.gas_j_per_kg / p0_pa_abs;
    const LineState state{1 / net_.rho0_kg_per_m3, gas_m3_per_kg, gas_m3_per_kg, net_.places[p].bore_m};
    const bool matters = free_air_m3(total(c.line[p].queue).pocket_kg) > 0.01 * costs_m3;
    s.push_back(matters ? slug_position_m3(c.line[p].queue, state) : 0.0);
  }
  return s;
}

void VerdictKeeper::judge(Verdict& v, const Run& run, bool air_part) const {
  if (v.answered != Answered::undecided) return;
  if (run_length(run, air_part) >= strokes_in_a_row) {
    v.answered = Answered::reached;
    v.stroke = run.strokes.back().stroke - strokes_in_a_row + 1;
  }
}

void VerdictKeeper::update(Run& run, const Contents& c, bool pass_complete) {
  const Check& twin = run.on_load ? run.twin_load : run.twin_free;
  const bool coupled = run.on_load && net_.coupling_n_per_m > 0;
  const auto settle = [](Verdict& v, Answered answered, const char* reason) {
    if (v.answered != Answered::undecided) return false;
    v = {answered, 0, reason};
    return true;
  };
  if (twin.state != CheckState::ok)
    for (const bool whole : {false, true})
      by_twin_[whole] |= settle(whole ? run.parallel : run.bled, Answered::not_defined,
                                "even without any air the rods do not get through three quarters of their travel");
  if (net_.rig.synchroniser.kind == SynchroniserKind::tee && !coupled)
    settle(run.bled, Answered::not_defined, "a tee does not keep free rods together even without air");
  if (std::abs(twin.worst_m()) > run.tolerance_m)
    by_twin_[1] |= settle(run.parallel, Answered::never,
                          "without any air the rods would still be outside the tolerance: bleeding cannot cure this");
  if (net_.branches() > 1) judge(run.bled, run, true), judge(run.parallel, run, false);
  if (!pass_complete) return;
  const double costs_m3 = run.tolerance_m * cap_area_m2(net_.rig.branches.front().cylinder);
  const std::vector<double> now = snapshot(c, costs_m3);
  const int stroke = run.strokes.back().stroke, pass = stroke - last_stroke_;
  if (!last_pass_.empty()) {
    still_ = true;
    for (std::size_t i = 0; i < now.size(); ++i) still_ = still_ && std::abs(now[i] - last_pass_[i]) <= 0.01 * costs_m3;
    if (still_ && net_.branches() == 1)
      for (Verdict* v : {&run.bled, &run.parallel}) settle(*v, Answered::not_defined, alone);
    if (still_)   // the next pass will be like this one: inside all through, or never four in a row
      for (Verdict* v : {&run.bled, &run.parallel})
        if (run_length(run, v == &run.bled) < std::min(pass, strokes_in_a_row - 1))
          settle(*v, Answered::never, "gone through once more, the repeated steps move no gas and no slug");
  }
  last_pass_ = now;
  last_stroke_ = stroke;
}

void VerdictKeeper::warmed(Run& run) {
  if (by_twin_[0]) run.bled = {};
  if (by_twin_[1]) run.parallel = {};
  by_twin_ = {};
}

void VerdictKeeper::close(Run& run, int limit) const {
  for (Verdict* v : {&run.bled, &run.parallel}) {
    if (v->answered != Answered::undecided || !run.status.ok()) continue;
    if (net_.branches() == 1) {
      *v = {Answered::not_defined, 0, alone};
      continue;
    }
    std::string reason = "not within " + std::to_string(limit) + " strokes";
    const int inside = run_length(run, v == &run.bled);
    if (inside > 0)
      reason = "inside since stroke " + std::to_string(run.strokes.back().stroke - inside + 1) +
               ", but of the three strokes that must confirm it some lie beyond " + std::to_string(limit);
    else if (!last_pass_.empty() && !still_)
      reason += ", and still moving";
    const auto unread = std::count_if(run.strokes.begin(), run.strokes.end(), [&](const StrokeRow& r) {
      return r.stroke > 0 && (run.on_load ? r.load : r.free).state != CheckState::ok;
    });
    const bool shut = std::any_of(run.strokes.begin(), run.strokes.end(), [](const StrokeRow& r) { return r.stroke > 0 && !r.bypass_open; });
    if (unread > 0)
      reason += "; after " + std::to_string(unread) + " of them nothing could be read (the check column says why" +
                (shut && net_.has_carriage() ? "; strokes with the bypass open re-phase)" : ")");
    *v = {Answered::not_within, 0, reason};
  }
}

}  // namespace evenstroke
