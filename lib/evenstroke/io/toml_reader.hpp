#pragma once
#include <string>
#include <vector>

namespace evenstroke {

/// A TOML document as plain values, each with its place in the file, tables in the order of the file.
/// Keeps the parser out of every other file: it is slow to compile.
struct TomlNode {
  enum class Kind { table, array, text, number, boolean, other, refused };   ///< refused: told, and now as if not there
  Kind kind = Kind::table;
  std::string key;                ///< empty in an array
  int line = 1, column = 1;       ///< of the key; in an array, of the value
  std::string text;
  double number = 0;
  bool boolean = false;
  std::vector<TomlNode> items;    ///< of a table or an array

  const TomlNode* find(const std::string& name) const;   ///< entry of a table, or nullptr; not one that was refused
  std::string value_text() const;                        ///< for messages: -20, "tee", true
};

/// Throws FileError with line and column for whatever is not TOML: doubled key, decimal comma, cut-off text, no
/// text at all.
TomlNode read_toml(const std::string& text, const std::string& file_name);

/// Throws FileError when the file is missing, a directory or cannot be read.
std::string read_text(const std::string& path);

}  // namespace evenstroke
