#include "evenstroke/io/problems.hpp"

#include <algorithm>
#include <string>

#include "evenstroke/base/quantity.hpp"

namespace evenstroke {
namespace {

bool is_missing(const FileError& e) { return e.rule.starts_with("is missing"); }

std::string last_word(const std::string& field) { return field.substr(field.rfind('.') + 1); }

/// The word that a message proposes, without it an empty one.
std::string meant(const FileError& e) {
  constexpr std::string_view ask = "did you mean ";
  const auto at = e.rule.rfind(ask);
  return at == std::string::npos ? "" : e.rule.substr(at + ask.size(), e.rule.size() - at - ask.size() - 1);
}

/// "branch.left.bore_m" is missing because "branch.bore_mm", "bore_bar", "boar_mm" or a whole table "branch" was refused.
bool follows(const FileError& missing, const FileError& refused, const std::string& other) {
  const std::string key = last_word(missing.field);
  if (key == other || missing.field.starts_with(refused.field + ".") || missing.field.starts_with(other + ".")) return true;
  for (int q = 0; q <= static_cast<int>(Quantity::speed); ++q) {
    const std::string unit(si_suffix(static_cast<Quantity>(q)));
    if (unit.empty() || !key.ends_with(unit)) continue;
    const std::string name = key.substr(0, key.size() - unit.size());
    if (other == name || other.starts_with(name + "_")) return true;
  }
  return false;
}

/// Takes the entry at this place out of play.
bool refuse(TomlNode& n, int line, int column) {
  for (TomlNode& item : n.items) {
    if (item.kind == TomlNode::Kind::refused) continue;
    if (item.line == line && item.column == column) return item.kind = TomlNode::Kind::refused, true;
    if (refuse(item, line, column)) return true;
  }
  return false;
}

}  // namespace

/// Unless it follows from one that is told already.
void Problems::add(const FileError& e) {
  for (const FileError& other : found_)
    if (is_missing(e) && (follows(e, other, last_word(other.field)) || follows(e, other, meant(other)))) return;
  found_.emplace_back(e.file, e.line, e.column, e.field, e.value, e.unit, e.rule);   // alone, without what came with it
}

void Problems::look_in(const std::function<void()>& read) {
  for (;;) {
    try {
      return read();
    } catch (const FileError& e) {
      add(e);
      for (const FileError& other : e.others) add(other);
      if (is_missing(e) || !refuse(document_, e.line, e.column)) return;
    }
  }
}

void Problems::tell() const {
  if (found_.empty()) return;
  std::vector<FileError> all = found_;
  std::stable_sort(all.begin(), all.end(), [](const FileError& a, const FileError& b) {
    if (is_missing(a) != is_missing(b)) return is_missing(b);   // a misspelt key first, then what is missing for it
    return a.line != b.line ? a.line < b.line : a.column < b.column;
  });
  throw FileError(std::move(all));
}

}  // namespace evenstroke
