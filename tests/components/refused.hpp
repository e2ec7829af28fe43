#pragma once
#include <string>

#include "evenstroke/base/error.hpp"

namespace evenstroke::testing {

/// The field that `check` refuses, empty when it accepts: `CHECK(refused(line) == "part.bore_m")`.
template <class P>
std::string refused(const P& p) {
  try {
    check(p, "part");
  } catch (const InputError& e) {
    return e.field;
  }
  return "";
}

}  // namespace evenstroke::testing

namespace evenstroke {
using testing::refused;
}  // namespace evenstroke
