#include <algorithm>
#include <charconv>

#include "evenstroke/base/suggest.hpp"
#include "evenstroke/io/connections.hpp"
#include "evenstroke/io/files.hpp"
#include "evenstroke/io/problems.hpp"
#include "evenstroke/io/step_words.hpp"
#include "evenstroke/io/table_reader.hpp"
#include "evenstroke/rig/tables.hpp"

namespace evenstroke {
namespace {

/// Tables in which a rig file has this key, in any unit; of a branch's own the one that serves all.
std::string table_of(const std::string& key) {
  Rig rig;
  rig.branches = {{}};
  rig.branches[0].name = "*";
  std::string found;
  visit_tables(rig, [&](const std::string& prefix, const auto& part) {
    const std::size_t star = prefix.find(".*."), dot = prefix.find('.');
    const std::string table = prefix.substr(0, star == std::string::npos ? dot : star);
    const std::string head = star == std::string::npos ? prefix.substr(dot + 1) : prefix.substr(star + 3);
    for (const auto& f : fields<std::remove_cvref_t<decltype(part)>>())
      if (find_spelling(key, head + std::string(f.name), f.quantity) && found.find(table) == std::string::npos)
        found += (found.empty() ? "" : "] or [") + table;
  });
  return found;
}

int grade_number(const std::string& grade) {
  constexpr std::string_view head = "ISO VG ";
  int vg = 0;
  const char* end = grade.data() + grade.size();
  if (!grade.starts_with(head) || std::from_chars(grade.data() + head.size(), end, vg).ptr != end) return 0;
  return vg;
}

void read_oil(TableReader& in, Oil& oil) {
  const TomlNode* grade = in.take("grade");
  const TomlNode* index = in.take("viscosity_index");
  if (grade) {
    const int vg = grade_number(grade->text);
    if (grade->kind != TomlNode::Kind::text || vg == 0)
      in.refuse(*grade, "must be an ISO 3448 grade, as in \"ISO VG 22\"");
    if (index && index->kind != TomlNode::Kind::number) in.refuse(*index, "must be a number, without quotation marks");
    try {
      oil = oil_by_grade(vg, index ? index->number : 100);
    } catch (const InputError& e) {
      in.refuse(index && e.field.find("index") != std::string::npos ? *index : *grade, e.rule);
    }
  } else if (index) {
    in.refuse(*index, "belongs to a grade: give grade as well");
  }
  Oil points;
  in.fields_of(points);
  if (grade && !(std::isnan(points.nu_40_m2_per_s) && std::isnan(points.nu_100_m2_per_s)))
    in.refuse(*grade, "a grade fixes the viscosities: give either grade or nu_40 and nu_100");
  if (const auto name = in.text("name")) oil.name = *name;
  in.fields_of(oil);
  in.finish();
  if (!grade && (std::isnan(oil.nu_40_m2_per_s) || std::isnan(oil.nu_100_m2_per_s)))
    in.missing("grade", "grade = \"ISO VG ...\", or both nu_40_cst and nu_100_cst");
}

template <class P>
void read_struct(const std::string& file, const TomlNode* table, const std::string& name, P& p) {
  TableReader in(file, table, name, &table_of);
  in.fields_of(p);
  in.finish();
  in.require(p);
}

/// Of the parts that only one kind has: read for that kind, and said where they belong for the others.
template <class P>
void fields_of_kind(TableReader& in, P& part, bool there, const std::string& kind) {
  if (there) return in.fields_of(part);
  for (const auto& f : fields<P>())
    for (const Spelling& s : unit_spellings(f.quantity))
      if (const TomlNode* node = in.take(std::string(f.name) + std::string(s.suffix))) in.refuse(*node, "belongs to " + kind);
}

void read_synchroniser(TableReader in, Rig& rig) {
  const auto kind = in.choice("kind", synchroniser_kinds());
  if (kind) rig.synchroniser.kind = static_cast<SynchroniserKind>(*kind);
  in.fields_of(rig.synchroniser);
  const auto any = !kind;                                     // nothing is known yet: whatever it is may stand here
  fields_of_kind(in, rig.spool, any || counts(rig, rig.spool), "kind = \"spool_divider\" or \"divider_combiner\"");
  fields_of_kind(in, rig.rotary, any || counts(rig, rig.rotary), "kind = \"rotary_divider\"");
  fields_of_kind(in, rig.series, any || counts(rig, rig.series), "kind = \"series_pair\"");
  in.finish();
  if (!kind) in.missing("kind", "kind = \"tee\", \"metering_pistons\", \"spool_divider\", \"divider_combiner\", "
                                "\"rotary_divider\" or \"series_pair\"");
  in.require(rig.synchroniser);
}

void read_valve_block(TableReader in, Rig& rig) {
  if (const auto circuit = in.choice("circuit", circuit_kinds())) rig.valve_block.circuit = static_cast<CircuitKind>(*circuit);
  in.fields_of(rig.valve_block);
  in.fields_of(rig.locks);
  fields_of_kind(in, rig.closed, counts(rig, rig.closed), "circuit = \"closed\"");
  in.finish();
  in.require(rig.valve_block);
}

void read_panel(TableReader in, Panel& p) {
  const auto kind = in.choice("kind", {"guided", "hinged"});
  in.fields_of(p);
  in.finish();
  p.kind = static_cast<PanelKind>(kind.value_or(0));
  in.require(p);
}

/// Keys of [branch] or [branch.left]. The rod line is as the cap line where it is not told otherwise.
void read_branch(TableReader& in, Branch& b, Line& rod_line) {
  in.fields_of(b.cylinder);
  in.fields_of(b.cap_line, "cap_line_");
  in.fields_of(rod_line, "rod_line_");
  in.fields_of(b.outlet);
  if (const auto attitude = in.choice("attitude", attitudes())) b.cylinder.attitude = static_cast<Attitude>(*attitude);
}

void read_branches(const std::string& file, const TomlNode* table, std::vector<Branch>& branches) {
  TableReader shared(file, table, "branch", &table_of);
  std::vector<std::pair<std::string, const TomlNode*>> own;
  if (table)
    for (const auto& item : table->items)
      if (item.kind == TomlNode::Kind::table) own.emplace_back(item.key, shared.take(item.key));
  // Left and right are a pair: who tells one of them something of its own means both.
  if (own.empty() || (own.size() == 1 && own[0].first == "left")) own.resize(1), own[0].first = "left";
  if (own.size() == 1 && own[0].first == "left") own.emplace_back("right", nullptr);
  if (own.size() == 1 && own[0].first == "right") own.insert(own.begin(), {"left", nullptr});
  const auto given = [&](const char* name) { return std::any_of(own.begin(), own.end(), [&](const auto& o) { return o.first == name; }); };
  for (const auto& [name, node] : own) {               // one cylinder may well be called "lift"
    const std::string other = given("right") ? "left" : "right";
    std::vector<std::string> near{other};
    if (given("left") || given("right")) near.push_back(given("right") ? "right" : "left");
    const std::string meant = own.size() > 2 || given(other.c_str()) ? "" : did_you_mean(name, near);
    if (name != "left" && name != "right" && !meant.empty())
      shared.refuse(*node, "would be a branch of its own" + meant + "; if it is one, give it a name less like that");
    if (name == "left" || name == "right" || !node) continue;
    for (const TomlNode& inner : node->items)
      if (inner.kind == TomlNode::Kind::table)
        shared.refuse(*node, "a branch's name has no dot: is [branch." + name + "_" + inner.key + "] meant?");
  }
  Branch all, unread;
  read_branch(shared, all, unread.rod_line);
  shared.finish();
  for (const auto& [name, node] : own) {
    TableReader in(file, node, "branch." + name, &table_of);
    Branch b = all;
    b.name = name;
    read_branch(in, b, unread.rod_line);
    in.finish();
    b.rod_line = b.cap_line;
    shared.fields_of(b.rod_line, "rod_line_");
    in.fields_of(b.rod_line, "rod_line_");
    const TableReader& place = node ? in : shared;
    std::vector<FileError> lacks = place.lacking(b.cylinder);
    for (const FileError& e : place.lacking(b.cap_line, "cap_line_")) lacks.push_back(e);
    if (!lacks.empty()) throw FileError(std::move(lacks));
    branches.push_back(std::move(b));
  }
}

}  // namespace

Rig parse_rig(const std::string& text, const std::string& file_name) {
  TomlNode document = read_document(text, file_name);
  Rig rig;
  const TomlNode *oil = nullptr, *pump = nullptr, *valve_block = nullptr, *reservoir = nullptr, *synchroniser = nullptr,
                 *panel = nullptr, *air = nullptr, *branch = nullptr, *connections = nullptr, *observer = nullptr;
  Problems problems(document);
  problems.look_in([&] {
    TableReader top(file_name, &document, "", &table_of);
    if (const TomlNode* step = top.take("step")) top.refuse(*step, "belongs to a procedure file: is this one, and not a rig?");
    top.take("format_version");
    rig.name = top.text("name").value_or("");
    oil = top.table("oil"), pump = top.table("pump"), valve_block = top.table("valve_block");
    reservoir = top.table("reservoir"), synchroniser = top.table("synchroniser"), panel = top.table("panel");
    air = top.table("air"), branch = top.table("branch"), observer = top.table("observer");
    connections = top.table("connections");
    top.finish();
  });
  const auto all_of = [&](const TomlNode* table, const char* name, auto& part) {
    problems.look_in([&] { read_struct(file_name, table, name, part); });
  };
  problems.look_in([&] {
    TableReader in(file_name, oil, "oil", &table_of);
    read_oil(in, rig.oil);
  });
  all_of(pump, "pump", rig.pump);
  problems.look_in([&] { read_valve_block(TableReader(file_name, valve_block, "valve_block", &table_of), rig); });
  all_of(reservoir, "reservoir", rig.reservoir);
  problems.look_in([&] { read_synchroniser(TableReader(file_name, synchroniser, "synchroniser", &table_of), rig); });
  problems.look_in([&] { read_panel(TableReader(file_name, panel, "panel", &table_of), rig.panel); });
  all_of(air, "air", rig.air);
  all_of(observer, "observer", rig.observer);
  problems.look_in([&] {
    rig.branches.clear();
    read_branches(file_name, branch, rig.branches);
  });
  problems.tell();
  try {
    check(rig);
  } catch (const InputError& e) {
    throw placed(e, document, file_name);
  }
  if (connections) check_connections(*connections, rig, file_name);
  return rig;
}

const std::vector<std::string>& synchroniser_kinds() {
  static const std::vector<std::string> words{"tee", "metering_pistons", "spool_divider", "divider_combiner", "rotary_divider",
                                              "series_pair"};
  return words;
}

const std::vector<std::string>& circuit_kinds() {
  static const std::vector<std::string> words{"open", "closed"};
  return words;
}

Rig load_rig(const std::string& path) { return parse_rig(read_text(path), path); }

}  // namespace evenstroke
