#pragma once
#include <array>
#include <cstddef>
#include <cstring>
#include <optional>
#include <stdexcept>
#include <string>
#include <type_traits>
#include <vector>

#include "evenstroke/analysis/answer.hpp"
#include "evenstroke/rig/tables.hpp"

/// Values to bytes and back. Pickle, == and hash of the Python classes stand on it: equal means every number has the
/// same bits, NaN included. One list of members per struct serves both directions.
namespace evenstroke::binding {

template <class T>
concept Plain = std::is_arithmetic_v<T> || std::is_enum_v<T>;

struct Writer {
  std::string bytes;

  template <Plain T>
  void one(T& x) { bytes.append(reinterpret_cast<const char*>(&x), sizeof x); }
  std::size_t count(std::size_t n) {
    one(n);
    return n;
  }
  void text(std::string& s) {
    count(s.size());
    bytes += s;
  }
};

struct Reader {
  const std::string& bytes;
  std::size_t at = 0;

  void need(std::size_t n) const {
    if (bytes.size() - at < n) throw std::invalid_argument("the pickled bytes are cut short");
  }
  template <Plain T>
  void one(T& x) {
    need(sizeof x);
    std::memcpy(&x, bytes.data() + at, sizeof x);
    at += sizeof x;
  }
  std::size_t count(std::size_t) {
    std::size_t n = 0;
    one(n);
    need(n);   // every element takes at least a byte: a damaged count does not eat the memory
    return n;
  }
  void text(std::string& s) {
    const std::size_t n = count(0);
    s.assign(bytes, at, n);
    at += n;
  }
};

/// Number of members of an aggregate: how many braced initialisers it takes.
struct Anything {
  template <class T>
  operator T() const;   // NOLINT: never called
};
template <class T, class... A>
constexpr std::size_t member_count() {
  if constexpr (requires { T{A{}..., Anything{}}; }) return member_count<T, A..., Anything>();
  else return sizeof...(A);
}

/// All members of `T`, each once: a member that is forgotten here does not compile.
template <class T, class A, class... M>
void members(A& a, M&... m) {
  static_assert(member_count<T>() == sizeof...(M));
  (item(a, m), ...);
}

template <class A, Plain T>
void item(A& a, T& x) { a.one(x); }
template <class A>
void item(A& a, std::string& s) { a.text(s); }
template <class A>
void item(A& a, std::optional<double>& x) {
  bool there = x.has_value();
  a.one(there);
  double value = x.value_or(0);
  a.one(value);
  x = there ? std::optional(value) : std::nullopt;
}

template <class A> void item(A& a, Masses& x) {
  members<Masses>(a, x.oil_kg, x.pocket_kg, x.coarse_kg, x.fine_kg, x.dissolved_kg);
}
template <class A> void item(A& a, Parcel& x) { members<Parcel>(a, x.oil_kg, x.gas_kg, x.dissolved_kg, x.slug); }
template <class A> void item(A& a, Queue& x) { members<Queue>(a, x.count, x.limit, x.parcel); }
template <class A> void item(A& a, Cloud& x) { members<Cloud>(a, x.from, x.to, x.kg); }
template <class A> void item(A& a, Swarm& x) { members<Swarm>(a, x.cloud, x.count, x.kg, x.limit, x.creaming); }
template <class A> void item(A& a, LineContents& x) { members<LineContents>(a, x.queue, x.bubbles); }
template <class A> void item(A& a, Tank& x) {
  members<Tank>(a, x.oil_kg, x.coarse_kg, x.fine_kg, x.dissolved_kg, x.foam_kg, x.still_s, x.still_coarse_kg,
                x.still_fine_kg);
}
template <class A> void item(A& a, Ledger& x) {
  members<Ledger>(a, x.air_vented_kg, x.air_ingested_kg, x.oil_spilled_kg, x.oil_refilled_kg);
}
template <class A> void item(A& a, Recipe& x) { members<Recipe>(a, x.dry, x.opened, x.rods_out, x.bled, x.valid); }
template <class A> void item(A& a, Contents& x) {
  members<Contents>(a, x.place, x.masses, x.line, x.pressure_pa_abs, x.pocket_k, x.axis, x.position_m, x.motion,
                    x.rest_s, x.reservoir, x.container, x.ledger, x.warmed_k, x.time_s, x.motor_on_s, x.running_s,
                    x.longest_running_s, x.recipe);
}
template <class A> void item(A& a, Connections& x) {
  members<Connections>(a, x.parted, x.line_end, x.port, x.by_hand, x.hand_n, x.hand_m_per_s, x.attitude, x.bled);
}
template <class A> void item(A& a, Step& x) {
  members<Step>(a, x.kind, x.bypass_open, x.strokes, x.dwell_s, x.rods, x.held_n, x.press_s, x.repeat, x.stand_s,
                x.retract, x.bursts, x.motor_s, x.clear_m3, x.refill, x.joints,
                x.extend_v, x.retract_v, x.travel, x.halt_s, x.let_go, x.temperature_k, x.cracked_rad);
}
template <class A> void item(A& a, Procedure& x) { members<Procedure>(a, x.name, x.steps, x.max_strokes); }
template <class A> void item(A& a, Status& x) {
  members<Status>(a, x.outcome, x.time_s, x.quantity, x.value, x.message);
}
template <class A> void item(A& a, Check& x) { members<Check>(a, x.state, x.mismatch_m, x.position_m, x.carriage_m); }
template <class A> void item(A& a, StrokeRow& x) {
  members<StrokeRow>(a, x.stroke, x.step, x.bypass_open, x.free, x.load, x.free_air_m3, x.pocket_m3, x.coarse_m3,
                     x.fine_m3, x.dissolved_m3, x.apparent_index, x.vented_m3, x.level_m, x.time_s, x.motor_on_s,
                     x.highest_pa_abs, x.lowest_pa_abs, x.low_pressure_s, x.rods_reached_stops, x.air_part_m);
}
template <class A> void item(A& a, Comparison& x) {
  members<Comparison>(a, x.mismatch_m, x.at_stop_m, x.first_s, x.last_s, x.back_m, x.pressure_s, x.current_a, x.level_rise_m,
                      x.held_n);
}
template <class A> void item(A& a, StepRow& x) {
  members<StepRow>(a, x.step, x.stroke, x.time_s, x.motor_on_s, x.bursts, x.out_m3, x.clear_m3, x.bubbles_seen,
                   x.refilled_m3, x.spilled_m3, x.vented_m3, x.drawn_in_m3, x.free_air_m3, x.level_m, x.highest_pa_abs,
                   x.lowest_pa_abs, x.oil_k, x.seen);
}
template <class A> void item(A& a, Verdict& x) { members<Verdict>(a, x.answered, x.stroke, x.reason); }
template <class A> void item(A& a, Energy& x) { members<Energy>(a, x.pump_j, x.hand_j, x.gravity_j, x.load_j, x.warmth_j); }
template <class A> void item(A& a, Books& x) {
  members<Books>(a, x.oil_rel_error, x.air_rel_error, x.ledger, x.energy, x.stored_j, x.transport_error_m,
             x.merged_gas_m3);
}
template <class A> void item(A& a, Series& x) { members<Series>(a, x.channel, x.time_s, x.value); }
template <class A> void item(A& a, Counts& x) {
  members<Counts>(a, x.steps, x.rejected, x.rhs, x.jacobians, x.factorisations, x.dense_factorisations);
}
template <class A> void item(A& a, Overload& x) {
  members<Overload>(a, x.part, x.place, x.when, x.cause, x.highest_pa_abs, x.rating_pa_gauge);
}
template <class A> void item(A& a, Run& x) {
  members<Run>(a, x.status, x.books, x.tolerance_m, x.places, x.strokes, x.steps, x.twin_free, x.twin_load, x.bled, x.parallel,
               x.on_load, x.overloads, x.notes, x.series, x.contents, x.counts, x.quanta);
}
template <class A> void item(A& a, Table& x) { members<Table>(a, x.column, x.value, x.rows); }
template <class A> void item(A& a, Count& x) {
  members<Count>(a, x.possible, x.strokes, x.low, x.high, x.p_never, x.p_not_within, x.own_error, x.defined, x.member, x.text);
}
template <class A> void item(A& a, Leftover& x) { members<Leftover>(a, x.place, x.free_air_m3, x.matters); }
template <class A> void item(A& a, Answer& x) {
  members<Answer>(a, x.bled, x.parallel, x.members, x.failed, x.tolerance_m, x.confidence, x.max_strokes, x.limiting,
                  x.reason, x.table, x.nominal, x.complete);
}
// Beside the numbers of their field tables. A member more of either does not compile until it stands here.
template <class A> void item(A& a, Branch& x) {
  static_assert(member_count<Branch>() == 5, "tables serve the new member; raise this number");
  items(a, x.name, x.cylinder.attitude);
}
template <class A> void item(A& a, Rig& x) {
  static_assert(member_count<Rig>() == 15, "tables serve the new member; raise this number");
  items(a, x.name, x.oil.name, x.synchroniser.kind, x.valve_block.circuit, x.panel.kind, x.branches);
  visit_tables(x, [&](const std::string&, auto& part) {
    for (const auto& f : fields<std::remove_cvref_t<decltype(part)>>()) a.one(part.*(f.member));
  });
}

template <class A, class T>
void item(A& a, std::vector<T>& list) {
  list.resize(a.count(list.size()));
  for (T& x : list) item(a, x);
}
template <class A, class T, std::size_t n>
void item(A& a, std::array<T, n>& list) {
  for (T& x : list) item(a, x);
}
template <class A, class... T>
void items(A& a, T&... x) { (item(a, x), ...); }

template <class T>
std::string to_bytes(T value) {
  Writer w;
  item(w, value);
  return std::move(w.bytes);
}

template <class T>
T from_bytes(const std::string& bytes) {
  Reader r{bytes};
  T value;
  item(r, value);
  if (r.at != bytes.size()) throw std::invalid_argument("the pickled bytes are longer than their content");
  return value;
}

}  // namespace evenstroke::binding
