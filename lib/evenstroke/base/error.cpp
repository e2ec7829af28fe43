#include "evenstroke/base/error.hpp"

#include <utility>

namespace evenstroke {
namespace {

std::string sentence(const std::string& place, const std::string& field, const std::string& value,
                     const std::string& rule) {
  std::string text = place;
  if (!field.empty()) text += field + (value.empty() ? "" : " = " + value) + ": ";
  return text + rule;
}

/// Compilers and editors agree on file:line:column; a file that could not be read has no line.
std::string place_text(const std::string& file, int line, int column) {
  if (line <= 0) return file + ": ";
  return file + ":" + std::to_string(line) + ":" + std::to_string(column) + ": ";
}

}  // namespace

InputError::InputError(const std::string& place, std::string field_, std::string value_, std::string unit_,
                       std::string rule_)
    : std::invalid_argument(sentence(place, field_, value_, rule_)),
      field(std::move(field_)),
      value(std::move(value_)),
      unit(std::move(unit_)),
      rule(std::move(rule_)) {}

InputError::InputError(std::string field_, std::string value_, std::string unit_, std::string rule_)
    : InputError(std::string(), std::move(field_), std::move(value_), std::move(unit_), std::move(rule_)) {}

FileError::FileError(std::string file_, int line_, int column_, std::string field_, std::string value_,
                     std::string unit_, std::string rule_)
    : InputError(place_text(file_, line_, column_), std::move(field_), std::move(value_), std::move(unit_),
                 std::move(rule_)),
      file(std::move(file_)),
      line(line_),
      column(column_) {}

FileError::FileError(std::vector<FileError> all) : FileError(all.front()) {
  for (const FileError& e : all) text_ += (text_.empty() ? "" : "\n") + std::string(e.what());
  others.assign(all.begin() + 1, all.end());
}

}  // namespace evenstroke
