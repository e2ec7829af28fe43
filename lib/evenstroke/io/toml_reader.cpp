#include "evenstroke/io/toml_reader.hpp"

// Bad text can break what the parser asserts about itself ("[=", "07:3"); without assertions it then goes on undefined.
// Its own hook makes each of them an exception in every build; assertions must be on for it to be called.
namespace evenstroke {
struct ParserLost {};
constexpr void parser_expects(bool met) {
  if (!met) throw ParserLost{};
}
}  // namespace evenstroke
#undef NDEBUG
#define TOML_ASSERT(condition) evenstroke::parser_expects(static_cast<bool>(condition))
#include <toml++/toml.h>

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string_view>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/quantity.hpp"

namespace evenstroke {
namespace {

TomlNode convert(const toml::node& node);

void convert_table(const toml::table& table, TomlNode& out) {
  for (auto&& [key, value] : table) {
    TomlNode item = convert(value);
    item.key = std::string(key.str());
    item.line = static_cast<int>(key.source().begin.line);
    item.column = static_cast<int>(key.source().begin.column);
    out.items.push_back(std::move(item));
  }
  std::stable_sort(out.items.begin(), out.items.end(), [](const TomlNode& a, const TomlNode& b) {
    return a.line != b.line ? a.line < b.line : a.column < b.column;
  });
}

TomlNode convert(const toml::node& node) {
  TomlNode out;
  out.line = static_cast<int>(node.source().begin.line);
  out.column = static_cast<int>(node.source().begin.column);
  using Kind = TomlNode::Kind;
  if (const auto* table = node.as_table()) {
    convert_table(*table, out);
  } else if (const auto* array = node.as_array()) {
    out.kind = Kind::array;
    for (const auto& item : *array) out.items.push_back(convert(item));
  } else if (const auto* text = node.as_string()) {
    out.kind = Kind::text;
    out.text = text->get();
  } else if (const auto* whole = node.as_integer()) {
    out.kind = Kind::number;
    out.number = static_cast<double>(whole->get());
  } else if (const auto* real = node.as_floating_point()) {
    out.kind = Kind::number;
    out.number = real->get();
  } else if (const auto* boolean = node.as_boolean()) {
    out.kind = Kind::boolean;
    out.boolean = boolean->get();
  } else {
    out.kind = Kind::other;
  }
  return out;
}

std::string trimmed(std::string_view s) {
  while (!s.empty() && std::isspace(static_cast<unsigned char>(s.front()))) s.remove_prefix(1);
  while (!s.empty() && std::isspace(static_cast<unsigned char>(s.back()))) s.remove_suffix(1);
  return std::string(s);
}

/// "[[step]] # one" -> "step"
std::string header_name(const std::string& line) {
  const auto open = line.find_first_not_of("[ \t"), close = line.find_first_of("]#");
  return open == std::string::npos || close < open ? "" : trimmed(line.substr(open, close - open));
}

/// What a person sees at a line the parser refused: table, key and value, as far as they can be made out.
struct Sight {
  std::string field, value;
  int column = 1;   ///< where the line's first word begins
};

Sight look(const std::string& text, int line) {
  std::string table, raw, bare;
  std::size_t begin = 0;
  for (int n = 1; n <= line && begin <= text.size(); ++n) {
    if (bare.starts_with('[')) table = header_name(bare);
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    raw = text.substr(begin, end - begin);
    bare = trimmed(raw);
    begin = end + 1;
  }
  Sight sight;
  sight.column = static_cast<int>(std::min(raw.find_first_not_of(" \t"), raw.size())) + 1;
  if (bare.starts_with('[')) {
    sight.field = header_name(bare);
  } else if (const auto equals = bare.find('='); equals != std::string::npos) {
    sight.field = field_path(table, trimmed(bare.substr(0, equals)));
    sight.value = bare.substr(equals + 1);
    sight.value = trimmed(sight.value.substr(0, sight.value.find('#')));
  }
  return sight;
}

/// 1,5 where a number stands: a comma between two digits in a value without brackets, braces and quotes.
bool decimal_comma(const std::string& value) {
  if (value.find_first_of("[]{}\"'") != std::string::npos) return false;
  for (std::size_t i = 1; i + 1 < value.size(); ++i)
    if (value[i] == ',' && std::isdigit(static_cast<unsigned char>(value[i - 1])) &&
        std::isdigit(static_cast<unsigned char>(value[i + 1])))
      return true;
  return false;
}

constexpr const char* stands_alone = "a number stands alone: its unit is in the key, as in supply_v = 24";

/// 24 V, -10 °C for a key that says a unit itself: a number, and then its unit.
bool number_with_unit(const std::string& key, const std::string& value) {
  bool says_unit = false;
  for (std::size_t i = key.find('_'); i != std::string::npos && !says_unit; i = key.find('_', i + 1)) says_unit = is_unit_word(key.substr(i + 1));
  if (!says_unit) return false;
  std::size_t i = value.find_first_not_of("+-.0123456789eE_");
  if (i == 0 || i == std::string::npos || !std::isdigit(static_cast<unsigned char>(value[value[0] == '-' || value[0] == '+']))) return false;
  i = value.find_first_not_of(" \t", i);
  return i != std::string::npos && (std::isalpha(static_cast<unsigned char>(value[i])) || value[i] == '%' || value.compare(i, 2, "\xc2\xb0") == 0);
}

/// Column of the first letter beyond ASCII that stands in a line outside quotation marks and comments; 0: none.
int foreign_letter(std::string_view line) {
  char quote = 0;
  int column = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const auto byte = static_cast<unsigned char>(line[i]);
    column += (byte & 0xC0) != 0x80;                         // letters, not bytes
    if (quote) {
      if (line[i] == '\\' && quote == '"') ++i, ++column;
      else if (line[i] == quote) quote = 0;
    } else if (line[i] == '"' || line[i] == '\'') {
      quote = line[i];
    } else if (line[i] == '#') {
      return 0;
    } else if (byte >= 0xC2 && byte <= 0xF4) {
      return column;
    }
  }
  return 0;
}

/// The parser asks of such a letter whether it is a space, and goes astray at most of them. Texts over several lines are
/// left to it.
void refuse_foreign(const std::string& text, const std::string& file_name) {
  if (text.find("\"\"\"") != std::string::npos || text.find("'''") != std::string::npos) return;
  int line = 1;
  for (std::size_t begin = text.starts_with("\xef\xbb\xbf") ? 3 : 0; begin < text.size(); ++line) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    if (const int column = foreign_letter(std::string_view(text).substr(begin, end - begin))) {
      const Sight sight = look(text, line);
      const std::string rule = number_with_unit(sight.field, sight.value) ? stands_alone
                                   : "is not valid TOML: a letter beyond plain ones stands between quotation marks only";
      throw FileError(file_name, line, column, sight.field, sight.value, "", rule);
    }
    begin = end + 1;
  }
}

[[noreturn]] void refuse(const toml::parse_error& e, const std::string& text, const std::string& file_name) {
  const int line = static_cast<int>(e.source().begin.line);
  int column = static_cast<int>(e.source().begin.column);
  const Sight sight = look(text, line);
  const std::string why(e.description());
  std::string rule = "is not valid TOML: " + why;
  if (decimal_comma(sight.value)) rule = "a decimal comma cannot be read: write a point, as in 1.5";
  if (number_with_unit(sight.field, sight.value)) rule = stands_alone;
  if (why.find("redefine") != std::string::npos) {
    rule = "is given twice (" + why + ")";
    column = sight.column;
  }
  throw FileError(file_name, line, column, sight.field, sight.value, "", rule);
}

/// The parser got lost and cannot say where: the first line with which it does.
[[noreturn]] void refuse_lost(const std::string& text, const std::string& file_name) {
  int line = 1;
  for (auto end = text.find('\n'); end != std::string::npos; end = text.find('\n', end + 1), ++line) {
    try {
      static_cast<void>(toml::parse(std::string_view(text).substr(0, end + 1)));
    } catch (const toml::parse_error&) {
    } catch (const ParserLost&) {
      break;
    }
  }
  const Sight sight = look(text, line);
  throw FileError(file_name, line, sight.column, sight.field, sight.value, "", "is not valid TOML");
}

}  // namespace

const TomlNode* TomlNode::find(const std::string& name) const {
  for (const auto& item : items)
    if (kind == Kind::table && item.key == name && item.kind != Kind::refused) return &item;
  return nullptr;
}

std::string TomlNode::value_text() const {
  switch (kind) {
    case Kind::table: return "{...}";
    case Kind::array: return "[...]";
    case Kind::text: return "\"" + text + "\"";
    case Kind::number: return number_text(number);
    case Kind::boolean: return boolean ? "true" : "false";
    case Kind::refused:
    case Kind::other: return "a date or time";
  }
  return "";
}

TomlNode read_toml(const std::string& text, const std::string& file_name) {
  if (trimmed(text).empty()) throw FileError(file_name, 1, 1, "", "", "", "the file is empty");
  if (const auto nul = text.find('\0'); nul != std::string::npos) {
    const auto lines = std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(nul), '\n');
    throw FileError(file_name, static_cast<int>(lines) + 1, 1, "", "", "",
                    "this is no text file: it holds a zero byte");
  }
  refuse_foreign(text, file_name);
  try {
    return convert(toml::parse(text, file_name));
  } catch (const toml::parse_error& e) {
    refuse(e, text, file_name);
  } catch (const ParserLost&) {
    refuse_lost(text, file_name);
  }
}

std::string read_text(const std::string& path) {
  std::error_code none;
  const auto status = std::filesystem::status(path, none);
  if (!std::filesystem::exists(status)) throw FileError(path, 0, 0, "", "", "", "there is no such file");
  if (std::filesystem::is_directory(status)) throw FileError(path, 0, 0, "", "", "", "is a directory, not a file");
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), std::fclose);
  std::string text;
  char block[4096];
  while (file) {
    const std::size_t got = std::fread(block, 1, sizeof block, file.get());
    text.append(block, got);
    if (got < sizeof block) break;
  }
  if (!file || std::ferror(file.get())) throw FileError(path, 0, 0, "", "", "", "the file cannot be read");
  return text;
}

}  // namespace evenstroke
