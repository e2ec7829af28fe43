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
  if (!std::isfinite(c.low)) {
    c.text = c.p_never >= 0.5 ? "never with this procedure" : "not within " + std::to_string(limit) + " strokes";
  } else {
    const char* endless = nevers > late ? "never" : "";
    c.text = strokes_text(c.strokes, limit, endless) + " (" + strokes_text(c.low, limit, endless) + " to " +
             strokes_text(c.high, limit, endless) + ")";
  }
  return c;
}

/// Places between the pump and the rods on the side that lifts: what stays there is seen as mismatch.
bool on_lifting_side(const std::string& place) {
  for (const char* tail : {".cap_chamber", ".cap_line", ".outlet", ".metering_chamber"}) {
    const std::string t = tail;
    if (place.size() > t.size() && place.compare(place.size() - t.size(), t.size(), t) == 0) return true;
  }
  return false;
}

std::vector<Leftover> leftovers(const Run& run) {
  std::vector<Leftover> l;
  if (run.strokes.empty()) return l;
  constexpr double negligible_m3 = 1e-9;   // a microlitre
  for (std::size_t p = 0; p < run.places.size(); ++p) {
    const double air = run.strokes.back().free_air_m3[p];
    if (air > negligible_m3) l.push_back({run.places[p], air, on_lifting_side(run.places[p])});
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

Answer strokes_to_parallel(const Rig& rig, const Contents& contents, const Procedure& procedure, const AnswerOptions& o) {
  if (!(o.confidence >= 0.5 && o.confidence <= 0.999))
    throw InputError("confidence", std::to_string(o.confidence), "", "must lie between 0.5 and 0.999");
  if (o.members < 2 || o.members > 65536)
    throw InputError("members", std::to_string(o.members), "", "must lie between 2 and 65536");
  Answer a;
  a.confidence = o.confidence;
  a.max_strokes = o.batch.run.max_strokes > 0 ? o.batch.run.max_strokes : procedure.max_strokes;
  RunOptions nominal = o.batch.run;
  nominal.stop_at_verdict = true;
  a.nominal = run(rig, contents, procedure, nominal);
  a.tolerance_m = a.nominal.tolerance_m;
  a.table = members_from_bands(rig, o.members, o.seed);
  BatchOptions batch = o.batch;
  batch.run.record = false;
  batch.run.stop_at_verdict = true;
  const std::vector<Run> runs = run_batch({rig}, {contents}, {procedure}, a.table, batch);
  for (const Run& r : runs) {
    if (r.status.outcome == Outcome::interrupted) a.complete = false;
    else if (!r.status.ok()) ++a.failed;
  }
  a.members = runs.size();
  a.bled = count(runs, &Run::bled, o.confidence, a.max_strokes);
  a.parallel = count(runs, &Run::parallel, o.confidence, a.max_strokes);
  a.limiting = leftovers(a.nominal);
  for (const Verdict* v : {&a.nominal.bled, &a.nominal.parallel})
    if (a.reason.empty() && v->answered == Answered::never) a.reason = v->reason;
  return a;
}

}  // namespace evenstroke
