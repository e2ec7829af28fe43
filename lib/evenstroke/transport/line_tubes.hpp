#pragma once
#include <array>
#include <vector>

#include "evenstroke/air/streamtubes.hpp"
#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Of a line: cosine of its middle's incline.
double level_share(const Place& line);

/// Which tubes the bubbles of a line ride in: rings, or the cells of a level line where they rise across it within an hour.
/// tests: tests/transport/line_tubes_test.cpp
class LineTubes {
 public:
  LineTubes(const Network&, int streamtubes);
  const Streamtubes& operator()(std::size_t place, BubbleClass k) const { return rises_[place][k] ? level_ : rings_; }

 private:
  Streamtubes rings_, level_;
  std::vector<std::array<bool, 2>> rises_;   // per place and class
};

}  // namespace evenstroke
