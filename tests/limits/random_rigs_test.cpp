// Cases drawn from the whole input space, one per seed: whatever is bolted together and done to it, a run ends in
// order, keeps its books and its energy, and holds no number that is none. EVENSTROKE_RANDOM_RIGS = how many (100).
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <iostream>
#include <map>
#include <sstream>

#include "evenstroke/procedure/run.hpp"
#include "support/random_rig.hpp"
#include "support/random_run.hpp"

using namespace evenstroke;
using testing::cases;
using testing::Features;
using testing::quick;
using testing::RandomCase;

namespace {

constexpr double absurd_m = 1;         // of stated error: several strokes, summed over coarse quanta
constexpr double least_m3 = -1e-15;   // of free air: a negative amount beyond round-off is no amount
// Squeezes may start 0.03 % off the wall's temperature and raise the pressure by a third only: dn = n^2 3e-4/ln(4/3)
constexpr double least_index = 1 - 1.1e-3, most_index = 1.4 + 2.1e-3;

Run run_case(const RandomCase& k, bool checks) {
  return evenstroke::run(k.rig, after_exchange(k.rig, k.dry, k.opened, k.rods_out), k.procedure, quick(checks));
}

bool finite(std::initializer_list<double> list) {
  return std::all_of(list.begin(), list.end(), [](double v) { return std::isfinite(v); });
}

bool good_rows(const Run& run) {
  for (const StrokeRow& r : run.strokes) {
    const double index = r.apparent_index.value_or(1);
    bool good = index > least_index && index < most_index;
    good = good && finite({r.pocket_m3, r.coarse_m3, r.fine_m3, r.dissolved_m3, r.vented_m3, r.level_m, r.time_s,
                           r.motor_on_s, r.highest_pa_abs, r.lowest_pa_abs, r.low_pressure_s});
    good = good && r.lowest_pa_abs <= r.highest_pa_abs && r.highest_pa_abs < 1e9;
    for (const double v : r.free_air_m3) good = good && std::isfinite(v) && v >= least_m3;
    for (const Check* c : {&r.free, &r.load})
      for (const double e : c->mismatch_m) good = good && std::isfinite(e);
    if (!good) return false;
  }
  for (const StepRow& s : run.steps) {
    bool good = finite({s.time_s, s.motor_on_s, s.out_m3, s.clear_m3, s.refilled_m3, s.spilled_m3, s.vented_m3, s.drawn_in_m3,
                        s.free_air_m3, s.level_m, s.highest_pa_abs, s.lowest_pa_abs});
    good = good && std::min({s.out_m3, s.refilled_m3, s.spilled_m3, s.vented_m3, s.drawn_in_m3, s.free_air_m3}) >= least_m3;
    if (!good || s.clear_m3 > s.out_m3 + 1e-15 || s.lowest_pa_abs > s.highest_pa_abs || s.highest_pa_abs > 1e9) return false;
  }
  return std::all_of(run.series.value.begin(), run.series.value.end(), [](double v) { return std::isfinite(v); });
}

bool good_contents(const Contents& c) {
  for (std::size_t p = 0; p < c.place.size(); ++p) {
    const Masses m = held(c, static_cast<int>(p));
    if (!finite({m.oil_kg, m.pocket_kg, m.coarse_kg, m.fine_kg, m.dissolved_kg})) return false;
    if (std::min({m.oil_kg, m.pocket_kg, m.coarse_kg, m.fine_kg, m.dissolved_kg}) < -1e-15) return false;
    const double pressure = c.pressure_pa_abs[p], warmth = c.pocket_k[p];
    if (!(pressure > 0 && warmth > 0) || !finite({pressure, warmth})) return false;
  }
  for (const Tank* t : {&c.reservoir, &c.container})
    if (!finite({t->oil_kg, t->coarse_kg, t->fine_kg, t->dissolved_kg, t->foam_kg}) || t->oil_kg < -1e-15) return false;
  for (std::size_t a = 0; a < c.axis.size(); ++a)
    if (!finite({c.position_m[a], c.rest_s[a]}) || (c.position_m[a] < 0 && !c.axis[a].starts_with("synchroniser."))) return false;
  return true;
}

/// Work in covers work out and what is stored, but for the stated error of transport at the highest pressure there was.
bool good_energy(const RandomCase& k, const Run& run) {
  const Books& b = run.books;
  const double in = b.energy.pump_j + b.energy.hand_j + b.energy.gravity_j + b.energy.warmth_j;
  double area = 1, highest = p0_pa_abs;
  for (const Branch& br : k.rig.branches) area = std::min(area, cap_area_m2(br.cylinder));
  for (const StrokeRow& r : run.strokes) highest = std::max(highest, r.highest_pa_abs);
  const double error = b.transport_error_m * area * (highest - p0_pa_abs) * static_cast<double>(run.strokes.size());
  return std::isfinite(error + in) && b.energy.load_j + b.stored_j <= in + 1e-3 * b.energy.pump_j + 1e-2 + error;
}

/// What must never be, whatever the status; empty when all is well.
std::string wrong(const RandomCase& k, const Run& run) {
  std::string list;
  if (!(run.books.oil_rel_error <= 1e-9)) list += "books of oil; ";
  if (!(run.books.air_rel_error <= 1e-9)) list += "books of air; ";
  if (!good_rows(run)) list += "number in rows or series; ";
  if (!good_contents(run.contents)) list += "number in contents; ";
  if (!good_energy(k, run)) list += "energy; ";
  if (!(run.books.transport_error_m < absurd_m)) list += "transport error; ";
  if (!run.status.ok() && (run.status.message.empty() || run.status.quantity.empty())) list += "status without cause; ";
  return list;
}

bool all_moved(const RandomCase& k, const Run& run) {
  const std::size_t width = run.series.channel.size();
  for (std::size_t rod = 0; rod < k.rig.branches.size(); ++rod) {
    double low = 1, high = 0;
    for (std::size_t s = 0; s < run.series.time_s.size(); ++s) {
      low = std::min(low, run.series.value[s * width + rod]);
      high = std::max(high, run.series.value[s * width + rod]);
    }
    if (high - low < 0.01) return false;
  }
  return true;
}

/// Bit for bit: every mismatch with the other sign, every amount on the other side.
bool mirrored(const Run& one, const Run& two) {
  bool same = one.strokes.size() == two.strokes.size() && one.status.outcome == two.status.outcome &&
              one.contents.time_s == two.contents.time_s && one.books.energy.pump_j == two.books.energy.pump_j;
  for (std::size_t n = 0; same && n < one.strokes.size(); ++n) {
    const StrokeRow &x = one.strokes[n], &y = two.strokes[n];
    same = x.time_s == y.time_s && x.vented_m3 == y.vented_m3 && x.free.state == y.free.state;
    for (std::size_t i = 0; i < stations.size(); ++i)
      same = same && x.free.mismatch_m[i] == -y.free.mismatch_m[i] && x.load.mismatch_m[i] == -y.load.mismatch_m[i];
  }
  for (std::size_t a = 0; same && a < 2; ++a) same = one.contents.position_m[a] == two.contents.position_m[1 - a];
  return same;
}

/// How the cases ended, cause by cause: a table for whoever runs many, its last line the summary.
struct Tally {
  struct Row { unsigned long count = 0; std::string seeds; };
  std::map<std::string, Row> row;
  std::map<std::string, unsigned long> status;
  unsigned long cases = 0, telling = 0, most_seed = 0;
  long most_steps = 0;

  void add(unsigned long seed, const Run& run) {
    ++cases;
    const std::string word = to_string(run.status.outcome);
    ++status[word];
    const long steps = run.counts.steps + run.counts.rejected;
    if (steps > most_steps && run.status.ok()) most_steps = steps, most_seed = seed;
    if (run.status.ok()) return;
    std::string cause = run.status.message;                // numbers out, so that one cause is one row
    cause.erase(std::remove_if(cause.begin(), cause.end(), [](char c) { return c >= '0' && c <= '9'; }), cause.end());
    Row& r = row[word + " | " + cause];
    ++r.count;
    r.seeds += " " + std::to_string(seed);
  }
  void print() const {
    std::ostringstream text;
    for (const auto& [cause, r] : row)
      text << "random | " << r.count << " | " << cause << " | seeds" << r.seeds << "\n";
    text << "random | most steps of a run that ended ok: " << most_steps << ", seed " << most_seed << "\n"
         << "random: " << cases << " cases,";
    for (const auto& [word, count] : status) text << " " << count << " " << word << ",";
    text << " " << telling << " vented gas and moved every rod\n";
    std::cout << text.str() << std::flush;
  }
};

}  // namespace

TEST_SUITE("limits/random_rigs") {
  TEST_CASE("balance: of random cases 95 % run through; each keeps oil, air, energy, finite numbers") {
    Tally tally;
    for (unsigned long seed = 0; seed < cases(); ++seed) {
      CAPTURE(seed);
      const RandomCase k = testing::random_case(seed);
      const bool checks = seed % 20 == 0;
      const Run run = run_case(k, checks);
      tally.add(seed, run);
      if (all_moved(k, run) && run.books.ledger.air_vented_kg > 0) ++tally.telling;
      const std::string found = wrong(k, run);
      if (found.empty()) continue;
      const Features least = testing::shrink(testing::all_features, [&](Features f) {
        const RandomCase smaller = testing::random_case(seed, f);
        return wrong(smaller, run_case(smaller, checks)) == found;
      });
      FAIL_CHECK("seed " << seed << ": " << found << "smallest with: " << testing::text(least));
    }
    tally.print();
    CHECK(static_cast<double>(tally.status["ok"]) >= 0.95 * static_cast<double>(cases()));
    CHECK(static_cast<double>(tally.telling) >= 0.5 * static_cast<double>(cases()));
  }

  TEST_CASE("balance: two branches exchanged, in random cases, turn the sign of every mismatch bit for bit") {
    unsigned long pairs = 0, seen = 0;
    for (unsigned long seed = 5000; pairs < cases() / 25; ++seed) {
      const RandomCase k = testing::random_case(seed);
      if (k.rig.branches.size() != 2 || k.rig.synchroniser.kind == SynchroniserKind::series_pair) continue;   // a chain has an order
      CAPTURE(seed);
      ++pairs;
      const Run one = run_case(k, true);
      CHECK(mirrored(one, run_case(testing::exchanged(k), true)));
      for (const StrokeRow& r : one.strokes)
        if (std::abs(r.free.worst_m()) > 1e-4 || std::abs(r.load.worst_m()) > 1e-4) {
          ++seen;   // there was a sign to turn
          break;
        }
    }
    std::cout << "random | pairs of exchanged branches: " << pairs << ", with a mismatch to turn in " << seen << "\n";
    CHECK(2 * seen >= pairs);
  }
}
