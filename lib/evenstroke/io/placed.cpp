#include "evenstroke/io/table_reader.hpp"

namespace evenstroke {
namespace {

struct Found {
  const TomlNode* entry = nullptr;   ///< the key, or the table it would stand in
  std::string field;                 ///< how the file calls it; empty when only the table was found
  std::string unit;
};

/// The key in this table whose SI spelling is `si_key`, in whatever unit it is written.
bool same_quantity(const std::string& key, const std::string& si_key, std::string& unit) {
  if (key == si_key) return true;
  for (int q = 0; q <= static_cast<int>(Quantity::speed); ++q) {
    const auto quantity = static_cast<Quantity>(q);
    const std::string suffix(si_suffix(quantity));
    if (suffix.empty() || !si_key.ends_with(suffix)) continue;
    if (const Spelling* s = find_spelling(key, si_key.substr(0, si_key.size() - suffix.size()), quantity)) {
      unit = s->unit;
      return true;
    }
  }
  return false;
}

/// "step 2" is the second entry of the array "step".
const TomlNode* numbered(const TomlNode& table, const std::string& word) {
  const auto space = word.find(' ');
  const TomlNode* list = space == std::string::npos ? nullptr : table.find(word.substr(0, space));
  if (!list || list->kind != TomlNode::Kind::array) return nullptr;
  for (std::size_t i = 0; i < list->items.size(); ++i)
    if (word.substr(space + 1) == std::to_string(i + 1)) return &list->items[i];
  return nullptr;
}

/// Walks down the path as far as it leads.
Found find(const TomlNode& document, const std::string& path) {
  Found found{&document, "", ""};
  std::string walked;
  std::size_t begin = 0;
  while (begin <= path.size()) {
    const std::size_t dot = std::min(path.find('.', begin), path.size());
    const std::string word = path.substr(begin, dot - begin);
    const TomlNode* next = found.entry->find(word);
    if (!next) next = numbered(*found.entry, word);
    if (!next && dot == path.size())
      for (const auto& item : found.entry->items)
        if (!next && same_quantity(item.key, word, found.unit)) next = &item;
    if (!next) return found;
    walked = field_path(walked, next->key.empty() ? word : next->key);
    found.entry = next;
    begin = dot + 1;
  }
  found.field = walked;
  return found;
}

}  // namespace

FileError placed(const InputError& e, const TomlNode& document, const std::string& file_name) {
  Found found = find(document, e.field);
  const auto first = e.field.find('.'), last = e.field.rfind('.');
  if (found.field.empty() && e.field.starts_with("branch.") && last > first) {
    const Found shared = find(document, "branch" + e.field.substr(last));
    if (!shared.field.empty()) found = shared;
  }
  if (found.entry->kind == TomlNode::Kind::array)   // one of a list of names
    for (const auto& item : found.entry->items)
      if (item.kind == TomlNode::Kind::text && item.text == e.value) found.entry = &item;
  const bool written = !found.field.empty() && found.entry->kind != TomlNode::Kind::table;
  return FileError(file_name, found.entry->line, found.entry->column, written ? found.field : e.field,
                   written ? found.entry->value_text() : e.value, written && !found.unit.empty() ? found.unit : e.unit,
                   e.rule);
}

}  // namespace evenstroke
