#pragma once
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/field.hpp"
#include "evenstroke/io/toml_reader.hpp"

namespace evenstroke {

/// Reads one TOML table strictly: every key is asked for by name, what nobody asked for is refused by `finish`.
class TableReader {
 public:
  /// `table` may be nullptr: not in the file. `path` is how the table is called: "branch.left"; "" for the whole file.
  /// `elsewhere` tells of a key that is unknown here which table it belongs in, or an empty text.
  TableReader(std::string file, const TomlNode* table, std::string path, std::string (*elsewhere)(const std::string&) = nullptr);

  const TomlNode* take(const std::string& key);                     ///< any kind, or nullptr
  std::optional<std::string> text(const std::string& key);
  std::optional<bool> yes_or_no(const std::string& key);
  std::optional<int> whole(const std::string& key, int low, int high);
  std::optional<std::size_t> choice(const std::string& key, const std::vector<std::string>& words);
  /// A list of texts, each once; `rule` gives what a text breaks, or an empty text. Refused at the text's own place.
  std::optional<std::vector<std::string>> names(const std::string& key, std::string (*rule)(const std::string&));
  const TomlNode* table(const std::string& key);
  /// A number in any spelling of its quantity, as SI.
  std::optional<double> number(const std::string& name, Quantity, double low, double high);

  /// All fields of a parameter struct that the table gives; `prefix` stands before the name: "cap_line_".
  template <class P>
  void fields_of(P& p, const std::string& prefix = "") {
    for (const auto& f : fields<P>())
      if (const auto v = number(prefix + std::string(f.name), f.quantity, f.low, f.high)) p.*(f.member) = *v;
  }
  /// What a struct still lacks of the values that the caller must give.
  template <class P>
  std::vector<FileError> lacking(const P& p, const std::string& prefix = "") const {
    std::vector<FileError> all;
    for (const auto& f : fields<P>())
      if (std::isnan(p.*(f.member)))
        all.push_back(lacks(prefix + std::string(f.name) + std::string(si_suffix(f.quantity)),
                            spellings(prefix + std::string(f.name), f.quantity)));
    return all;
  }
  /// Refuses it for that.
  template <class P>
  void require(const P& p) const {
    if (std::vector<FileError> all = lacking(p); !all.empty()) throw FileError(std::move(all));
  }

  void finish() const;                                              ///< refuses keys nobody asked for
  [[noreturn]] void missing(const std::string& key, const std::string& how) const { throw lacks(key, how); }
  [[noreturn]] void refuse(const TomlNode& entry, const std::string& rule, const std::string& unit = "") const;

 private:
  FileError lacks(const std::string& key, const std::string& how) const;
  [[noreturn]] void refuse_unknown(const TomlNode& entry) const;
  std::string file_, path_;
  const TomlNode* table_;
  std::string (*elsewhere_)(const std::string&);
  std::vector<std::string> keys_;                                   ///< asked for, without unit
  std::vector<std::pair<std::string, Quantity>> names_;             ///< asked for, with units
};

/// The whole document; refuses one whose format_version is not 1.
TomlNode read_document(const std::string& text, const std::string& file_name);
/// A rule broken by values that were each in range: the same error at the place of the key (or table) in the file.
/// `field` is a path with SI key: "branch.left.stroke_m" is found as stroke_mm in [branch.left], else in [branch].
FileError placed(const InputError&, const TomlNode& document, const std::string& file_name);

}  // namespace evenstroke
