#include "evenstroke/io/table_reader.hpp"

#include <algorithm>

#include "evenstroke/base/suggest.hpp"

namespace evenstroke {

TableReader::TableReader(std::string file, const TomlNode* table, std::string path, std::string (*elsewhere)(const std::string&))
    : file_(std::move(file)), path_(std::move(path)), table_(table), elsewhere_(elsewhere) {}

const TomlNode* TableReader::take(const std::string& key) {
  keys_.push_back(key);
  return table_ ? table_->find(key) : nullptr;
}

std::optional<std::string> TableReader::text(const std::string& key) {
  const TomlNode* entry = take(key);
  if (!entry) return {};
  if (entry->kind != TomlNode::Kind::text) refuse(*entry, "must be a text in quotation marks");
  return entry->text;
}

std::optional<bool> TableReader::yes_or_no(const std::string& key) {
  const TomlNode* entry = take(key);
  if (!entry) return {};
  if (entry->kind != TomlNode::Kind::boolean) refuse(*entry, "must be true or false, without quotation marks");
  return entry->boolean;
}

std::optional<int> TableReader::whole(const std::string& key, int low, int high) {
  const TomlNode* entry = take(key);
  if (!entry) return {};
  const double v = entry->number;
  if (entry->kind != TomlNode::Kind::number || !(v >= low && v <= high) || v != std::floor(v))
    refuse(*entry, "must be a whole number between " + std::to_string(low) + " and " + std::to_string(high));
  return static_cast<int>(v);
}

std::optional<std::size_t> TableReader::choice(const std::string& key, const std::vector<std::string>& words) {
  const TomlNode* entry = take(key);
  if (!entry) return {};
  const auto word = std::find(words.begin(), words.end(), entry->text);
  if (entry->kind == TomlNode::Kind::text && word != words.end()) return static_cast<std::size_t>(word - words.begin());
  std::string list;
  for (const auto& w : words) list += (list.empty() ? "\"" : " or \"") + w + "\"";
  refuse(*entry, "must be " + list + did_you_mean(entry->text, words));
}

std::optional<std::vector<std::string>> TableReader::names(const std::string& key,
                                                           std::string (*rule)(const std::string&)) {
  const TomlNode* entry = take(key);
  if (!entry) return {};
  if (entry->kind != TomlNode::Kind::array) refuse(*entry, "must be a list of texts, as in [\"...\"]");
  std::vector<std::string> list;
  for (const auto& item : entry->items) {
    if (item.kind == TomlNode::Kind::refused) continue;
    std::string broken = item.kind == TomlNode::Kind::text ? rule(item.text) : "must be a text in quotation marks";
    if (broken.empty() && std::find(list.begin(), list.end(), item.text) != list.end()) broken = "is named twice";
    if (!broken.empty())
      throw FileError(file_, item.line, item.column, field_path(path_, key), item.value_text(), "", broken);
    list.push_back(item.text);
  }
  return list;
}

const TomlNode* TableReader::table(const std::string& key) {
  const TomlNode* entry = take(key);
  if (entry && entry->kind != TomlNode::Kind::table)
    refuse(*entry, "must be a table: [" + field_path(path_, key) + "]");
  return entry;
}

std::optional<double> TableReader::number(const std::string& name, Quantity quantity, double low, double high) {
  names_.emplace_back(name, quantity);
  const TomlNode* entry = nullptr;
  const Spelling* spelling = nullptr;
  for (const auto& s : unit_spellings(quantity)) {
    const TomlNode* other = table_ ? table_->find(name + std::string(s.suffix)) : nullptr;
    if (!other) continue;
    if (entry) refuse(*other, "says the same as " + entry->key + ": give " + spellings(name, quantity) + ", not both");
    entry = other;
    spelling = &s;
  }
  if (!entry) return {};
  const std::string unit = spelling->unit == "-" ? "" : std::string(spelling->unit);
  if (entry->kind != TomlNode::Kind::number) refuse(*entry, "must be a number, without quotation marks", unit);
  try {
    return check_range_as(path_, name, quantity, *spelling, entry->number, low, high);
  } catch (const InputError& e) {
    refuse(*entry, e.rule, unit);
  }
}

void TableReader::finish() const {
  if (!table_) return;
  for (const auto& entry : table_->items) {
    if (entry.kind == TomlNode::Kind::refused) continue;
    bool known = std::find(keys_.begin(), keys_.end(), entry.key) != keys_.end();
    for (const auto& [name, quantity] : names_) known = known || find_spelling(entry.key, name, quantity);
    if (!known) refuse_unknown(entry);
  }
}

void TableReader::refuse_unknown(const TomlNode& entry) const {
  std::vector<std::string> known = keys_;
  for (const auto& [name, quantity] : names_) {
    const bool other_unit = entry.key.starts_with(name + "_") && is_unit_word(entry.key.substr(name.size() + 1));
    if (entry.key == name || other_unit)
      refuse(entry, std::string(other_unit ? "this unit is not known here" : "the unit is missing") + ": write " +
                        spellings(name, quantity));
    for (const auto& s : unit_spellings(quantity)) known.push_back(name + std::string(s.suffix));
  }
  const std::string where = elsewhere_ ? elsewhere_(entry.key) : "";   // word for word: tells more than what is spelt alike
  refuse(entry, "unknown key" + (where.empty() ? did_you_mean(entry.key, known) : " here; it belongs in [" + where + "]"));
}

FileError TableReader::lacks(const std::string& key, const std::string& how) const {
  return FileError(file_, table_ ? table_->line : 1, table_ ? table_->column : 1, field_path(path_, key), "", "",
                  "is missing: give " + how);
}

void TableReader::refuse(const TomlNode& entry, const std::string& rule, const std::string& unit) const {
  throw FileError(file_, entry.line, entry.column, field_path(path_, entry.key), entry.value_text(), unit, rule);
}

TomlNode read_document(const std::string& text, const std::string& file_name) {
  TomlNode document = read_toml(text, file_name);
  TableReader top(file_name, &document, "");
  if (!top.whole("format_version", 1, 1)) top.missing("format_version", "format_version = 1");
  return document;
}

}  // namespace evenstroke
