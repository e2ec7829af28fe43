#include "evenstroke/io/connections.hpp"

#include <doctest/doctest.h>

#include <string>

#include "evenstroke/io/files.hpp"
#include "support/bad_file.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;
using testing::check_refused;

namespace {

const auto read = [](const std::string& text, const std::string& name) { parse_rig(text, name); };

/// The sample (26 lines) with [connections] in line 27 and its entries from line 28 on.
std::string connected(const std::string& l28, const std::string& l29, const std::string& l30, const std::string& l31) {
  return testing::join(testing::sample_lines()) + "[connections]\n" + l28 + "\n" + l29 + "\n" + l30 + "\n" + l31 + "\n";
}

const std::string left_cap = R"("left.cap_line" = ["synchroniser.left", "left.cylinder.cap"])";
const std::string right_cap = R"("right.cap_line" = ["right.cylinder.cap", "synchroniser.right"])";   // turned round
const std::string left_rod = R"("left.rod_line" = ["valve_block.left", "left.cylinder.rod"])";
const std::string right_rod = R"("right.rod_line" = ["valve_block.right", "right.cylinder.rod"])";
const std::string left_cap_path = "connections.\"left.cap_line\"";

}  // namespace

TEST_SUITE("io/connections") {
  TEST_CASE("check: the circuit may be spelt out, lines and ends in any order") {
    CHECK_NOTHROW(parse_rig(connected(left_cap, right_cap, left_rod, right_rod), "good"));
    CHECK_NOTHROW(parse_rig(connected(right_rod, left_rod, left_cap, right_cap), "good"));
  }
  TEST_CASE("check: a line without an end, with one end or with three") {
    check_refused({connected(left_cap, right_cap, left_rod, ""), 27, 2, "connections", "",
                   "line right.rod_line has no ends: in this kind of circuit right.rod_line joins valve_block.right "
                   "and right.cylinder.rod"}, read);
    check_refused({connected(R"("left.cap_line" = ["synchroniser.left"])", right_cap, left_rod, right_rod), 28, 1,
                   left_cap_path, "[...]", "a line has two ends"}, read);
    check_refused({connected(R"("left.cap_line" = ["synchroniser.left", "left.cylinder.cap", "valve_block.left"])",
                             right_cap, left_rod, right_rod), 28, 1, left_cap_path, "[...]", "two ends"}, read);
    check_refused({connected(R"("left.cap_line" = "synchroniser.left")", right_cap, left_rod, right_rod), 28, 1,
                   left_cap_path, "\"synchroniser.left\"", "a line has two ends"}, read);
  }
  TEST_CASE("check: two ends on one port") {
    check_refused({connected(left_cap, R"("right.cap_line" = ["synchroniser.left", "right.cylinder.cap"])", left_rod,
                             right_rod), 29, 21, "connections.\"right.cap_line\"", "\"synchroniser.left\"",
                   "already carries an end of left.cap_line"}, read);
    check_refused({connected(R"("left.cap_line" = ["left.cylinder.cap", "left.cylinder.cap"])", right_cap, left_rod,
                             right_rod), 28, 41, left_cap_path, "\"left.cylinder.cap\"", "already carries"}, read);
  }
  TEST_CASE("check: ports and lines that this rig does not have") {
    check_refused({connected(R"("left.cap_line" = ["synchroniser.lefd", "left.cylinder.cap"])", right_cap, left_rod,
                             right_rod), 28, 20, left_cap_path, "\"synchroniser.lefd\"",
                   "no such port; did you mean synchroniser.left?"}, read);
    check_refused({connected(left_cap, right_cap, left_rod, R"("mid.rod_line" = ["a", "b"])"), 31, 1,
                   "connections.\"mid.rod_line\"", "", "no such line"}, read);
    check_refused({connected(R"("left.cap_line" = [1, 2])", right_cap, left_rod, right_rod), 28, 20, left_cap_path, "1",
                   "a port's name is a text"}, read);
  }
  TEST_CASE("check: another circuit than this kind of rig has") {
    const std::string crossed_left = R"("left.cap_line" = ["synchroniser.right", "left.cylinder.cap"])";
    const std::string crossed_right = R"("right.cap_line" = ["synchroniser.left", "right.cylinder.cap"])";
    check_refused({connected(left_rod, crossed_right, crossed_left, right_rod), 29, 21,
                   "connections.\"right.cap_line\"", "\"synchroniser.left\"",
                   "right.cap_line joins synchroniser.right and right.cylinder.cap"}, read);
  }
}
