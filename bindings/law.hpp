#pragma once
#include <string>
#include <utility>

#include "bind.hpp"
#include "evenstroke/fluid/liquid.hpp"

namespace evenstroke::binding {

/// What the help of a law says; the parameters with their units follow from their names.
struct LawText {
  const char* summary;
  const char* unit;        ///< of the result; "" for a pure number
  const char* notes = "";  ///< valid range, equation, source
};

namespace law_text {

/// "bore_m" is in m: the longest suffix of the list that fits.
inline std::string unit_of(const std::string& name) {
  static constexpr std::pair<const char*, const char*> suffixes[] = {{"_m3_per_s", "m3/s"},
                                                                     {"_m2_per_s", "m2/s"},
                                                                     {"_m3_per_pa", "m3/Pa"},
                                                                     {"_m_per_s", "m/s"},
                                                                     {"_kg_per_m3", "kg/m3"},
                                                                     {"_per_s", "1/s"},
                                                                     {"_n_per_m", "N/m"},
                                                                     {"_per_k", "1/K"},
                                                                     {"_pa_abs", "Pa, absolute"},
                                                                     {"_pa_diff", "Pa, a difference"},
                                                                     {"_pa_gauge", "Pa, gauge"},
                                                                     {"_pa_s", "Pa s"},
                                                                     {"_pa", "Pa"},
                                                                     {"_m3", "m3"},
                                                                     {"_m2", "m2"},
                                                                     {"_kg", "kg"},
                                                                     {"_k", "K"},
                                                                     {"_j", "J"},
                                                                     {"_n", "N"},
                                                                     {"_s", "s"},
                                                                     {"_m", "m"}};
  for (const auto& [suffix, unit] : suffixes)
    if (name.ends_with(suffix)) return std::string(", ") + unit;
  return "";
}

inline std::string line(const char* name, const std::string& more) {
  if (std::string(name) == "rig") return "rig : Rig\n";
  return std::string(name) + " : float or array" + unit_of(name) + more + "\n";
}
/// In lines of at most 100 letters.
inline std::string wrapped(const std::string& text) {
  std::string out, word;
  std::size_t column = 0;
  for (const char c : text + " ") {
    if (c != ' ') {
      word += c;
      continue;
    }
    const bool next = column > 0 && column + 1 + word.size() > 100;
    out += (next ? "\n" : column > 0 ? " " : "") + word;
    column = next || column == 0 ? word.size() : column + 1 + word.size();
    word.clear();
  }
  return out;
}
inline std::string parameter(const py::kw_only&) { return ""; }
inline std::string parameter(const py::arg_v& a) {
  return line(a.name, ", default " + py::str(a.value).cast<std::string>());
}
inline std::string parameter(const py::arg& a) { return line(a.name, ""); }

}  // namespace law_text

template <class F, class... Args>
void law(py::module_& m, const char* name, F&& f, const LawText& text, const Args&... args) {
  std::string doc = std::string(text.summary) + "\n\nParameters\n----------\n";
  ((doc += law_text::parameter(args)), ...);
  doc += std::string("\nReturns\n-------\nfloat or array") + (*text.unit ? ", " : "") + text.unit + "\n";
  if (*text.notes) doc += std::string("\nNotes\n-----\n") + law_text::wrapped(text.notes) + "\n";
  m.def(name, std::forward<F>(f), args..., doc.c_str());
}

inline constexpr LiquidLaw<double> usual_liquid;
/// Made anew for each use: a Python object must not outlive the interpreter in a static.
inline py::arg_v k0() { return py::arg("k0_pa") = usual_liquid.k0_pa; }
inline py::arg_v slope() { return py::arg("slope") = usual_liquid.slope; }

}  // namespace evenstroke::binding
