#pragma once
#include <string>
#include <utility>
#include <vector>

#include "evenstroke/network/network.hpp"

namespace evenstroke::testing {

inline Connections open_joints(std::vector<std::string> parted, Opening line_end, Opening port = Opening::capped) {
  Connections c;
  c.parted = std::move(parted);
  c.line_end = line_end;
  c.port = port;
  return c;
}

}  // namespace evenstroke::testing
