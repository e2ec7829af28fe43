#pragma once
#include <functional>
#include <vector>

#include "evenstroke/base/error.hpp"
#include "evenstroke/io/toml_reader.hpp"

namespace evenstroke {

/// All that is wrong in a file, told at once. What was refused is left out and the part read again, until nothing more is
/// found; a key that is missing for that reason is not told.
class Problems {
 public:
  explicit Problems(TomlNode& document) : document_(document) {}
  /// Runs it, and again after each refusal.
  void look_in(const std::function<void()>& read);
  /// Throws them, if there are any, in the order of the file; what is missing comes last.
  void tell() const;

 private:
  void add(const FileError&);
  TomlNode& document_;
  std::vector<FileError> found_;
};

}  // namespace evenstroke
