#include "evenstroke/io/step_words.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "evenstroke/io/files.hpp"
#include "support/bad_file.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;
using testing::check_refused;
using Names = std::vector<std::string>;

namespace {

const auto read = [](const std::string& text, const std::string& name) { parse_procedure(text, name); };

const std::string cycle = "kind = \"cycle\"\n", stand = "kind = \"stand\"\nrepeat = false\n",
                  hand = "kind = \"hand\"\nby_hand = [\"left\"]\nrepeat = false\n";

/// One step that begins in line 3, then the strokes that every procedure needs.
std::string with(const std::string& step) {
  return "format_version = 1\n[[step]]\n" + step + "\n[[step]]\n" + cycle;
}
std::vector<Step> steps(const std::string& step) { return parse_procedure(with(step), "p").steps; }

struct Bad {
  std::string entry;   ///< comes right after the lines of `before`
  int column;
  std::string key, value, rule;
};
template <class Read>
void refused(const std::string& before, const Bad& bad, Read by) {
  const int line = 3 + static_cast<int>(std::count(before.begin(), before.end(), '\n'));
  check_refused({with(before + bad.entry), line, bad.column, "step 1." + bad.key, bad.value, bad.rule}, by);
}
void refused(const std::string& before, const Bad& bad) { refused(before, bad, read); }

}  // namespace

TEST_SUITE("io/step_words") {
  TEST_CASE("check: a step by hand arrives as written") {
    const Step s = steps("kind = \"hand\"\nparted = [\"left.cap_port\", \"left.rod_port\"]\nline_end = \"container\"\n"
                         "port = \"air\"\nattitude = \"level\"\nby_hand = [\"left\"]\nhand_n = 150\n"
                         "hand_speed_m_per_s = 0.02\nstrokes = 4\ndwell_min = 0.5\nbypass = \"open\"\n"
                         "repeat = false")[0];
    CHECK(s.kind == StepKind::hand);
    CHECK(s.joints.parted == Names{"left.cap_port", "left.rod_port"});
    CHECK(s.joints.line_end == Opening::container);
    CHECK(s.joints.port == Opening::air);
    CHECK(s.joints.attitude == static_cast<int>(Attitude::level));
    CHECK(s.joints.by_hand == Names{"left"});
    CHECK(s.joints.hand_n == 150);
    CHECK(s.joints.hand_m_per_s == 0.02);
    CHECK(s.strokes == 4);
    CHECK(s.dwell_s == 30);
    CHECK(s.bypass_open);
    CHECK(!s.repeat);
  }
  TEST_CASE("check: a stand arrives as written, and the strokes after it are strokes") {
    const auto both = steps(stand + "stand_min = 90\nparted = [\"right.rod_port\"]");
    REQUIRE(both.size() == 2);
    CHECK(both[0].kind == StepKind::stand);
    CHECK(both[0].stand_s == 5400);
    CHECK(both[0].joints.parted == Names{"right.rod_port"});
    CHECK(both[1].kind == StepKind::stroke);
  }
  TEST_CASE("check: a flush arrives as written; a filling up has nothing to say") {
    const Step s = steps("kind = \"flush\"\nrepeat = false\nvalve = \"retract\"\nbypass = \"open\"\nbursts = 4\nmotor_min = 0.5\n"
                         "dwell_s = 7\nclear_ml = 50\nrefill = true\nparted = [\"a.cap_port\", \"a.rod_port\"]\nline_end = \"joined\"\n")[0];
    CHECK(s.kind == StepKind::flush);
    CHECK(s.retract);
    CHECK(s.bypass_open);
    CHECK(s.bursts == 4);
    CHECK(s.motor_s == 30);
    CHECK(s.dwell_s == 7);
    CHECK(s.clear_m3 == 50e-6);
    CHECK(s.refill);
    CHECK(s.joints.line_end == Opening::joined);
    CHECK(s.joints.parted.size() == 2);
    CHECK(steps("kind = \"refill\"\nrepeat = false\n")[0].kind == StepKind::refill);
  }
  TEST_CASE("check: a comparison, held rods, turned and pressing strokes arrive as written") {
    const Step look = steps("kind = \"compare\"\nrods = \"held\"\nheld_n = 150\nbypass = \"open\"\ndwell_s = 3\nrepeat = false")[0];
    CHECK(look.kind == StepKind::compare);
    CHECK(look.rods == Rods::held);
    CHECK(look.held_n == 150);
    CHECK(look.dwell_s == 3);
    CHECK(look.bypass_open);
    const Step press = steps("kind = \"cycle\"\npress_min = 2\nattitude = \"rod_down\"\nrepeat = false")[0];
    CHECK(press.press_s == 120);
    CHECK(press.joints.attitude == static_cast<int>(Attitude::rod_down));
    CHECK(steps("kind = \"cycle\"\nrods = \"held\"")[0].held_n == Step{}.held_n);
  }
  TEST_CASE("check: voltages, a short way, a longer halt, warming and letting go arrive as written") {
    const Step s = steps("kind = \"cycle\"\nextend_v = 9\nretract_v = 6.5\ntravel = 0.5")[0];
    CHECK(s.extend_v == 9);
    CHECK(s.retract_v == 6.5);
    CHECK(s.travel == 0.5);
    CHECK(steps("kind = \"compare\"\nhalt_min = 5\nrepeat = false")[0].halt_s == 300);
    const Step warm = steps(stand + "temperature_deg_c = 40\nlet_go = true")[0];
    CHECK(warm.temperature_k == 313.15);
    CHECK(warm.let_go);
    const Step usual = steps(stand)[0];
    CHECK(usual.temperature_k == 0);
    CHECK(!usual.let_go);
    CHECK(usual.halt_s == 2);
    CHECK(usual.travel == 1);
  }
  TEST_CASE("check: these written wrongly are refused at their line") {
    const std::string look = "kind = \"compare\"\nrepeat = false\n";
    refused(cycle, {"extend_v = 0", 1, "extend_v", "0", "between 1 and 400 V"});
    refused(cycle, {"retract_v = \"6\"", 1, "retract_v", "\"6\"", "without quotation marks"});
    refused(cycle, {"retract = 6", 1, "retract", "6", "write retract_v"});
    refused(cycle, {"retrakt_v = 6", 1, "retrakt_v", "6", "did you mean retract_v?"});
    refused(cycle, {"travel = 1.5", 1, "travel", "1.5", "between 0.05 and 1"});
    refused(cycle, {"travel_mm = 50", 1, "travel_mm", "50", "write travel"});
    refused(cycle, {"travel = nan", 1, "travel", "nan", "finite"});
    refused(cycle, {"temperature_deg_c = 40", 1, "temperature_deg_c", "40", "belongs to a step of kind \"stand\""});
    refused(cycle, {"let_go = true", 1, "let_go", "true", "belongs to a step of kind \"stand\""});
    refused(cycle, {"halt_s = 4", 1, "halt_s", "4", "belongs to a step of kind \"compare\""});
    refused(look, {"halt_s = 90000", 1, "halt_s", "90000", "between 0 and 86400 s"});
    refused(look, {"travel = 0.5", 1, "travel", "0.5", "belongs to a step of kind \"cycle\""});
    refused(stand, {"temperature_deg_c = 400", 1, "temperature_deg_c", "400", "between -40 and 120 deg C"});
    refused(stand, {"temperature = 40", 1, "temperature", "40", "write temperature_k or temperature_deg_c"});
    refused(stand, {"temprature_deg_c = 40", 1, "temprature_deg_c", "40", "did you mean temperature_deg_c?"});
    refused(stand, {"let_go = 1", 1, "let_go", "1", "true or false"});
    refused(stand, {"extend_v = 6", 1, "extend_v", "6", "belongs to a step of kind \"cycle\""});
  }
  TEST_CASE("check: the same written wrongly is refused at its line") {
    const std::string look = "kind = \"compare\"\nrepeat = false\n", held = look + "rods = \"held\"\n";
    refused(held, {"held_n = 0", 1, "held_n", "0", "between 1 and 5000 N"});
    refused(held, {"held_n = \"300\"", 1, "held_n", "\"300\"", "without quotation marks"});
    refused(held, {"held_n = nan", 1, "held_n", "nan", "finite"});
    refused(held, {"held = 300", 1, "held", "300", "write held_n"});
    refused(held, {"hled_n = 300", 1, "hled_n", "300", "did you mean held_n?"});
    refused(look, {"held_n = 300", 1, "held_n", "300", "no rods are held"});
    refused(look, {"rods = \"hled\"", 1, "rods", "\"hled\"", "did you mean held?"});
    refused(look, {"strokes = 2", 1, "strokes", "2", "this one is of kind \"compare\""});
    refused(look, {"press_s = 2", 1, "press_s", "2", "belongs to a step of kind \"cycle\""});
    refused(look, {"attitude = \"level\"", 1, "attitude", "\"level\"", "this one is of kind \"compare\""});
    refused(stand, {"rods = \"held\"", 1, "rods", "\"held\"", "of kind \"cycle\" or \"compare\""});
    refused(cycle, {"press_s = -1", 1, "press_s", "-1", "between 0 and 600 s"});
    refused(cycle, {"press_s = inf", 1, "press_s", "inf", "finite"});
    refused(cycle, {"press = 9", 1, "press", "9", "write press_s or press_min"});
    refused("", {"kind = \"comapre\"", 1, "kind", "\"comapre\"", "did you mean compare?"});
  }
  TEST_CASE("check: what is not given for a hand or a stand has the default") {
    const Step usual, by_hand = steps(hand)[0], standing = steps(stand)[0];
    CHECK(by_hand.joints.hand_n == usual.joints.hand_n);
    CHECK(by_hand.joints.hand_m_per_s == usual.joints.hand_m_per_s);
    CHECK(by_hand.joints.attitude == -1);
    CHECK(by_hand.joints.parted.empty());
    CHECK(by_hand.dwell_s == usual.dwell_s);
    CHECK(standing.joints.line_end == Opening::capped);
    CHECK(standing.joints.port == Opening::capped);
    CHECK(standing.stand_s == usual.stand_s);
  }
  TEST_CASE("check: wrong words, units and ranges are refused at their line") {
    refused(hand, {"hand_n = 0.5", 1, "hand_n", "0.5", "between 1 and 5000 N"});
    refused(hand, {"hand = 50", 1, "hand", "50", "write hand_n"});
    refused(hand, {"hand_speed_m_per_s = 2", 1, "hand_speed_m_per_s", "2", "between 0.0001 and 1 m/s"});
    refused(hand, {"hand_sped_m_per_s = 1", 1, "hand_sped_m_per_s", "1", "did you mean hand_speed_m_per_s?"});
    refused(hand, {"atitude = \"level\"", 1, "atitude", "\"level\"", "did you mean attitude?"});
    refused(hand, {"attitude = \"rod_pu\"", 1, "attitude", "\"rod_pu\"", "did you mean rod_up?"});
    refused(stand, {"stand_s = -1", 1, "stand_s", "-1", "between 0 and 864000 s"});
    refused(stand, {"stand_h = 2", 1, "stand_h", "2", "write stand_s or stand_min"});
  }
  TEST_CASE("check: names of joints are refused at their own place, with the name that was meant") {
    refused(stand, {"parted = \"left.cap_port\"", 1, "parted", "\"left.cap_port\"", "list of texts"});
    refused(stand, {"parted = [\"left.rod_port\", \"left.cap_prot\"]", 28, "parted", "\"left.cap_prot\"",
                    "did you mean left.cap_port?"});
    refused(stand, {"parted = [\"left\"]", 11, "parted", "\"left\"", "as in \"left.cap_port\""});
    refused(stand, {"parted = [3]", 11, "parted", "3", "quotation marks"});
    refused(stand, {"parted = [\"a.cap_port\", \"a.cap_port\"]", 25, "parted", "\"a.cap_port\"", "named twice"});
    refused("kind = \"hand\"\n", {"by_hand = [\"\"]", 12, "by_hand", "\"\"", "name a branch"});
  }
  TEST_CASE("check: ends of joints are described with known words, and only where a joint is parted") {
    const std::string open = stand + "parted = [\"a.cap_port\"]\n";
    refused(open, {"port = \"open\"", 1, "port", "\"open\"", "must be \"capped\" or \"air\" or \"container\""});
    refused(open, {"line_end = \"contaner\"", 1, "line_end", "\"contaner\"", "did you mean container?"});
    refused(open, {"port = \"joined\"", 1, "port", "\"joined\"", "must be \"capped\" or \"air\" or \"container\""});
    refused(stand, {"port = \"air\"", 1, "port", "\"air\"", "no joint is parted"});
    refused(hand, {"line_end = \"capped\"", 1, "line_end", "\"capped\"", "no joint is parted"});
  }
  TEST_CASE("check: a key of another kind of step is refused at its line, whatever its unit") {
    refused(cycle, {"parted = [\"a.cap_port\"]", 1, "parted", "[...]", "of kind \"hand\" or \"stand\""});
    refused(cycle, {"stand_min = 2", 1, "stand_min", "2", "belongs to a step of kind \"stand\""});
    refused("kind = \"refill\"\nrepeat = false\n", {"attitude = \"level\"", 1, "attitude", "\"level\"", "this one is of kind \"refill\""});
    refused(hand, {"rods = \"free\"", 1, "rods", "\"free\"", "of kind \"cycle\""});
    refused(hand, {"stand_s = 5", 1, "stand_s", "5", "of kind \"stand\""});
    refused(stand, {"strokes = 1", 1, "strokes", "1", "of kind \"cycle\" or \"hand\""});
    refused(stand, {"dwell_min = 1", 1, "dwell_min", "1", "of kind \"cycle\" or \"hand\""});
    refused(stand, {"by_hand = [\"left\"]", 1, "by_hand", "[...]", "of kind \"hand\""});
    refused(stand, {"hand_n = 20", 1, "hand_n", "20", "of kind \"hand\""});
    const std::string refill = "kind = \"refill\"\nrepeat = false\n";
    for (const char* line : {"motor_s = 5", "bursts = 2", "clear_ml = 9", "refill = true", "valve = \"retract\""}) {
      const std::string key = std::string(line).substr(0, std::string(line).find(' '));
      const std::string value = std::string(line).substr(key.size() + 3);
      refused(cycle, {line, 1, key, value, "belongs to a step of kind \"flush\""});
      refused(refill, {line, 1, key, value, "belongs to a step of kind \"flush\""});
    }
    refused(refill, {"bypass = \"open\"", 1, "bypass", "\"open\"", "this one is of kind \"refill\""});
  }
  TEST_CASE("check: somebody's hand, and strokes under power, must be there") {
    check_refused({with("kind = \"hand\"\nrepeat = false"), 2, 1, "step 1.by_hand", "", "at least one branch"}, read);
    check_refused({"format_version = 1\n[[step]]\nkind = \"stand\"\n", 2, 3, "step", "[...]", "powered strokes"}, read);
  }
  TEST_CASE("check: branches and joints that this rig lacks are refused at their own place in the file") {
    const Rig rig = parse_rig(testing::join(testing::sample_lines()), "rig");
    const auto here = [&](const std::string& text, const std::string& name) { parse_procedure(text, name, rig); };
    refused("kind = \"hand\"\nrepeat = false\n",
            {"by_hand = [\"left\", \"rihgt\"]", 20, "by_hand", "\"rihgt\"", "did you mean right?"}, here);
    refused(stand, {"parted = [\"lefft.cap_port\"]", 11, "parted", "\"lefft.cap_port\"", "did you mean left.cap_port?"}, here);
    CHECK_NOTHROW(here(with(hand + "parted = [\"right.rod_port\"]"), "p"));
  }
}
