#pragma once
#include <string>
#include <vector>

#include "evenstroke/network/network.hpp"

namespace evenstroke {

/// A part that was pressed harder than it is made for; one without a stated rating, harder than a fifth above the relief valve.
struct Overload {
  std::string part, place;                 ///< "right.cylinder", "right.rod_chamber"
  std::string when, cause;                 ///< "stroke 3"; what drives pressure above the relief valve there
  double highest_pa_abs = 0;
  double rating_pa_gauge = 0;              ///< 0: none is stated
};
/// Sentences without their capitals; parts that one cause presses at one time are told together.
std::vector<std::string> texts(const std::vector<Overload>&);

/// Keeps the worst of each part.   tests: tests/procedure/overload_test.cpp
class OverloadWatch {
 public:
  /// Highest pressure of each place of the network meanwhile; `warming`: oil that was shut in grew warmer.
  void look(const Network&, const std::vector<double>& highest_pa_abs, const std::string& when, bool warming = false);
  const std::vector<Overload>& found() const { return found_; }

 private:
  std::vector<Overload> found_;
};

}  // namespace evenstroke
