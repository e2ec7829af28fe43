#pragma once
#include <stdexcept>
#include <string>

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
  std::string file;
  int line = 0, column = 0;
};

}  // namespace evenstroke
