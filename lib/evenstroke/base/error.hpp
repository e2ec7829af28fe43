#pragma once
#include <stdexcept>
#include <string>
#include <vector>

namespace evenstroke {

/// The caller's mistake: names the field, the value given, its unit and the rule it breaks.
class InputError : public std::invalid_argument {
 public:
  InputError(std::string field, std::string value, std::string unit, std::string rule);
  std::string field, value, unit, rule;

 protected:
  InputError(const std::string& place, std::string field, std::string value, std::string unit, std::string rule);
};

/// The same for something written in a file: where it stands, too (line and column count from 1).
class FileError : public InputError {
 public:
  FileError(std::string file, int line, int column, std::string field, std::string value, std::string unit,
            std::string rule);
  /// All that is wrong in a file, at least one: the first of them, whose text tells every one, a line each.
  explicit FileError(std::vector<FileError> all);
  const char* what() const noexcept override { return text_.empty() ? InputError::what() : text_.c_str(); }
  std::string file;
  int line = 0, column = 0;
  std::vector<FileError> others;   ///< what else is wrong, in the order of the file

 private:
  std::string text_;
};

}  // namespace evenstroke
