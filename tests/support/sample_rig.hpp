#pragma once
#include <string>
#include <vector>

namespace evenstroke::testing {

/// A small valid rig file, line by line, so that a test can spoil one line and say where the error must be found.
inline std::vector<std::string> sample_lines() {
  return {
      "format_version = 1",             // 1
      "[oil]",                          // 2
      "nu_40_cst = 22",                 // 3
      "nu_100_cst = 4.5",               // 4
      "[pump]",                         // 5
      "displacement_cm3_per_rev = 0.5", // 6
      "supply_v = 12",                  // 7
      "[valve_block]",                  // 8
      "relief_bar_gauge = 90",          // 9
      "[synchroniser]",                 // 10
      "kind = \"metering_pistons\"",    // 11
      "[panel]",                        // 12
      "mass_kg = 80",                   // 13
      "[branch]",                       // 14
      "rod_mm = 12",                    // 15
      "cap_line_bore_mm = 4",           // 16
      "[branch.right]",                 // 17
      "bore_mm = 20",                   // 18
      "  stroke_mm = 250",              // 19
      "cap_line_length_m = 2",          // 20
      "rod_line_length_m = 1",          // 21
      "[branch.left]",                  // 22
      "bore_mm = 25",                   // 23
      "stroke_mm = 160",                // 24
      "cap_line_length_m = 1.5",        // 25
      "attitude = \"level\"",           // 26
  };
}

inline std::string join(const std::vector<std::string>& lines) {
  std::string text;
  for (const auto& line : lines) text += line + "\n";
  return text;
}

/// The sample with line `number` (from 1) replaced; 0 appends.
inline std::string sample_with(std::size_t number, const std::string& line) {
  auto lines = sample_lines();
  if (number == 0) lines.push_back(line);
  else lines[number - 1] = line;
  return join(lines);
}

}  // namespace evenstroke::testing
