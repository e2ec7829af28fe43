#include "evenstroke/analysis/answer.hpp"

#include <algorithm>
#include <cmath>

#include "evenstroke/analysis/sample.hpp"
#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

std::string strokes_text(double strokes, int limit, const char* endless) {
  if (std::isfinite(strokes)) return std::to_string(static_cast<long>(strokes));
  return *endless ? endless : "> " + std::to_string(limit);
}

Count count(const std::vector<Run>& runs, Verdict Run::*verdict, double confidence, int limit) {
  Count c;
  std::size_t nevers = 0, late = 0, undefined = 0;
  std::vector<double> known;
  for (const Run& r : runs) {
    const Verdict& v = r.*verdict;
    double strokes = unknown;
    if (r.status.ok()) switch (v.answered) {
        case Answered::reached: strokes = v.stroke; break;
        case Answered::never: strokes = never; ++nevers; break;
        case Answered::not_within: strokes = never; ++late; break;
        case Answered::not_defined: ++undefined; break;
        case Answered::undecided: break;
      }
    c.member.push_back(strokes);
    if (!std::isnan(strokes)) known.push_back(strokes);
  }
  c.defined = undefined == 0;
  if (known.empty()) {
    c.own_error = never;
    c.text = c.defined ? "no member could be computed" : "not defined on this circuit";
    return c;
  }
  const auto n = static_cast<double>(known.size());
  c.p_never = static_cast<double>(nevers) / n;
  c.p_not_within = static_cast<double>(late) / n;
  c.strokes = quantile(known, 0.5);
  c.low = quantile(known, (1 - confidence) / 2);
  c.high = quantile(known, (1 + confidence) / 2);
  c.possible = std::isfinite(c.strokes);
  for (const double q : {0.5, (1 - confidence) / 2, (1 + confidence) / 2}) {
    const Known k = known_to(known, q);
    if (k.low < k.high) c.own_error = std::max(c.own_error, 0.5 * (k.high - k.low));
  }
  if (!std::isfinite(c.low)) {
    c.text = c.p_never >= 0.5 ? "never with this procedure" : "not within " + std::to_string(limit) + " strokes";
  } else {
    const char* endless = nevers > late ? "never" : "";
    c.text = strokes_text(c.strokes, limit, endless) + " (" + strokes_text(c.low, limit, endless) + " to " +
             strokes_text(c.high, limit, endless) + ")";
  }
  return c;
}

Table rows(const Table& t, std::size_t from, std::size_t to) {
  const auto at = [&](std::size_t row) { return t.value.begin() + static_cast<std::ptrdiff_t>(row * t.column.size()); };
  return {t.column, {at(from), at(to)}, to - from};
}

/// Places where air sets the rods apart: between the pump and the rods on the side that lifts; in a series pair from the
/// rod side of each to the cap side of the next.
bool on_lifting_side(const Rig& rig, const std::string& place) {
  const std::size_t dot = place.rfind('.');
  const std::string branch = place.substr(0, dot), kind = place.substr(dot + 1);
  if (rig.synchroniser.kind == SynchroniserKind::series_pair) {
    if (kind == "link") return true;
    if (kind == "rod_chamber" || kind == "rod_line") return branch != rig.branches.back().name;
    return (kind == "cap_chamber" || kind == "cap_line") && branch != rig.branches.front().name;
  }
  return kind == "cap_chamber" || kind == "cap_line" || kind == "outlet" || kind == "metering_chamber" || kind == "divider";
}

std::vector<Leftover> leftovers(const Rig& rig, const Run& run) {
  std::vector<Leftover> l;
  if (run.strokes.empty()) return l;
  constexpr double negligible_m3 = 1e-9;   // a microlitre
  for (std::size_t p = 0; p < run.places.size(); ++p) {
    const double air = run.strokes.back().free_air_m3[p];
    if (air > negligible_m3) l.push_back({run.places[p], air, on_lifting_side(rig, run.places[p])});
  }
  std::stable_sort(l.begin(), l.end(), [](const Leftover& a, const Leftover& b) {
    return a.matters != b.matters ? a.matters : a.free_air_m3 > b.free_air_m3;
  });
  return l;
}

}  // namespace

double quantile(std::vector<double> v, double q) {
  if (v.empty() || !(q >= 0 && q <= 1))
    throw InputError("quantile", std::to_string(q), "", "needs at least one value and a share between 0 and 1");
  std::sort(v.begin(), v.end());
  const double rank = std::ceil(q * static_cast<double>(v.size()) - 1e-9);
  const auto k = static_cast<std::size_t>(std::clamp(rank, 1.0, static_cast<double>(v.size())));
  return v[k - 1];
}

Known known_to(std::vector<double> v, double q) {
  constexpr double risk = 0.05;
  std::sort(v.begin(), v.end());
  const auto n = static_cast<double>(v.size());
  // So many values lie below the quantile: k of them with probability p(k)
  const auto p = [&](double k) {
    return std::exp(std::lgamma(n + 1) - std::lgamma(k + 1) - std::lgamma(n - k + 1) + k * std::log(q) + (n - k) * std::log1p(-q));
  };
  Known range{1, never};
  double below = 0, above = 0;
  for (std::size_t k = 0; k < v.size() && (below += p(static_cast<double>(k))) <= risk; ++k) range.low = v[k];
  for (std::size_t k = v.size(); k > 0 && (above += p(static_cast<double>(k))) <= risk; --k) range.high = v[k - 1];
  return range;
}

Answer strokes_to_parallel(const Rig& rig, const Contents& contents, const Procedure& procedure, const AnswerOptions& o) {
  if (!(o.confidence >= 0.5 && o.confidence <= 0.999))
    throw InputError("confidence", std::to_string(o.confidence), "", "must lie between 0.5 and 0.999");
  if (o.members != 0 && (o.members < 2 || o.members > 65536))
    throw InputError("members", std::to_string(o.members), "", "must lie between 2 and 65536");
  Answer a;
  a.confidence = o.confidence;
  a.max_strokes = o.batch.run.max_strokes > 0 ? o.batch.run.max_strokes : procedure.max_strokes;
  RunOptions nominal = o.batch.run;
  nominal.stop_at_verdict = true;
  a.nominal = run(rig, contents, procedure, nominal);
  a.tolerance_m = a.nominal.tolerance_m;
  BatchOptions batch = o.batch;
  batch.run.record = false;
  batch.run.stop_at_verdict = true;
  std::vector<Run> runs;
  for (std::size_t look = o.members > 0 ? o.members : first_look; a.complete; look *= 2) {
    a.table = members_from_bands(rig, look, o.seed);
    const std::size_t before = runs.size();
    if (o.batch.progress) batch.progress = [&](std::size_t done, std::size_t) { return o.batch.progress(before + done, look); };
    for (Run& r : run_batch({rig}, {contents}, {procedure}, rows(a.table, before, look), batch)) {
      if (r.status.outcome == Outcome::interrupted) a.complete = false;
      else if (!r.status.ok()) ++a.failed;
      runs.push_back(std::move(r));
    }
    a.bled = count(runs, &Run::bled, o.confidence, a.max_strokes);
    a.parallel = count(runs, &Run::parallel, o.confidence, a.max_strokes);
    if (o.members > 0 || look >= last_look || std::max(a.bled.own_error, a.parallel.own_error) <= 0.5) break;
  }
  a.members = runs.size();
  a.limiting = leftovers(rig, a.nominal);
  for (const Verdict* v : {&a.nominal.bled, &a.nominal.parallel})
    if (a.reason.empty() && v->answered == Answered::never) a.reason = v->reason;
  return a;
}

}  // namespace evenstroke
