#include "evenstroke/io/toml_reader.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "evenstroke/io/files.hpp"
#include "support/bad_file.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;
using testing::check_refused;
using testing::sample_with;

namespace {

const auto read = [](const std::string& text, const std::string& name) { parse_rig(text, name); };

std::string refusal(const std::string& path) {
  try {
    load_rig(path);
  } catch (const FileError& e) {
    CHECK(e.file == path);
    return e.rule;
  }
  return "not refused";
}

}  // namespace

TEST_SUITE("io/toml_reader") {
  TEST_CASE("check: values keep key, place and kind, and tables the order of the file") {
    const TomlNode d = read_toml("zeta = 1\n[b]\n  y = \"t\"\n  x = 2.5\n[a]\nq = [true, 3]\n", "f");
    REQUIRE(d.items.size() == 3);
    CHECK(d.items[0].key == "zeta");
    CHECK(d.items[1].key == "b");
    CHECK(d.items[2].key == "a");
    const TomlNode *b = d.find("b"), *a = d.find("a");
    REQUIRE((a && b && b->items.size() == 2));
    CHECK(b->items[0].key == "y");
    CHECK(b->items[0].text == "t");
    CHECK(b->items[1].number == 2.5);
    CHECK(b->items[1].line == 4);
    CHECK(b->items[1].column == 3);
    REQUIRE(a->find("q"));
    CHECK(a->find("q")->items[0].boolean);
    CHECK(a->find("q")->items[1].number == 3);
    CHECK(a->find("none") == nullptr);
  }
  TEST_CASE("check: no text at all, and text that is no text") {
    check_refused({"", 1, 1, "", "", "empty"}, read);
    check_refused({" \n\t\n", 1, 1, "", "", "empty"}, read);
    check_refused({std::string("format_version = 1\n\x7f" "ELF\0\0", 25), 2, 1, "", "", "zero byte"}, read);
    check_refused({sample_with(7, "supply_v = 1\xff"), 7, 12, "pump.supply_v", "1\xff", "not valid TOML"}, read);
  }
  TEST_CASE("check: a doubled key, a doubled table, a decimal comma and a cut-off file are found where they stand") {
    check_refused({sample_with(21, "  bore_mm = 21"), 21, 3, "branch.right.bore_mm", "21", "given twice"}, read);
    check_refused({sample_with(0, "[pump]"), 27, 1, "pump", "", "given twice"}, read);
    check_refused({sample_with(20, "cap_line_length_m = 1,5"), 20, 22, "branch.right.cap_line_length_m", "1,5",
                   "write a point, as in 1.5"}, read);
    const std::string good = testing::join(testing::sample_lines());
    check_refused({good + "rod_mm = ", 27, 10, "branch.left.rod_mm", "", "not valid TOML"}, read);
    check_refused({good + "rod_mm", 27, 7, "", "", "not valid TOML"}, read);
    check_refused({good + "[branch.mid", 27, 12, "branch.mid", "", "not valid TOML"}, read);
    check_refused({good + "note = \"rod_", 27, 13, "branch.left.note", "\"rod_", "not valid TOML"}, read);
    check_refused({sample_with(3, "nu_40_cst = 22 cst"), 3, 16, "oil.nu_40_cst", "22 cst", "its unit is in the key"}, read);
    check_refused({sample_with(3, "nu_40_cst = -1.5 °C"), 3, 18, "oil.nu_40_cst", "-1.5 °C", "its unit is in the key"}, read);
  }
  TEST_CASE("regression: a header that begins with no key is refused, not walked into (toml++ 3.3 asserts there)") {
    check_refused({sample_with(5, "[=]"), 5, 1, "=", "", "not valid TOML"}, read);
    check_refused({sample_with(5, "[."), 5, 1, ".", "", "not valid TOML"}, read);
    check_refused({testing::join(testing::sample_lines()) + "[?", 27, 1, "?", "", "not valid TOML"}, read);
  }
  TEST_CASE("limit: a good file cut off anywhere, or with a byte spoilt, is read or refused, never worse") {
    const std::string good = testing::join(testing::sample_lines());
    const auto lines = static_cast<int>(testing::sample_lines().size());
    const auto try_text = [&](const std::string& text) {
      try {
        parse_rig(text, "cut");
        return true;
      } catch (const FileError& e) {
        CHECK((e.line >= 1 && e.line <= lines + 1 && e.column >= 1));
        CHECK(!e.rule.empty());
      }
      return false;
    };
    int read_well = 0;
    for (std::size_t n = 0; n < good.size(); ++n) read_well += try_text(good.substr(0, n)) ? 1 : 0;
    CHECK(read_well < 60);   // only where what is lost has a default, or a number has lost its last digits
    for (std::size_t n = 0; n < good.size(); ++n)
      for (const char c : {'\0', '\xff', '"', '[', '=', '\n', '.'}) {
        std::string spoilt = good;
        spoilt[n] = c;
        try_text(spoilt);
      }
    CHECK(try_text(good));
  }
  TEST_CASE("check: a file that is not there, a directory and an unreadable file are refused by name") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "evenstroke_toml_reader_test";
    fs::create_directories(folder);
    CHECK(refusal((folder / "none.toml").string()) == "there is no such file");
    CHECK(refusal(folder.string()) == "is a directory, not a file");
    const fs::path locked = folder / "locked.toml";
    std::ofstream(locked) << testing::join(testing::sample_lines());
    CHECK_NOTHROW(load_rig(locked.string()));
    CHECK(refusal((locked / "below.toml").string()) == "there is no such file");
    fs::permissions(locked, fs::perms::none);
    if (std::ifstream(locked).good()) MESSAGE("this user reads every file: the locked file is not tried");
    else CHECK(refusal(locked.string()) == "the file cannot be read");
    // Opens, but its first page cannot be read; only where the system has it.
    if (fs::exists("/proc/self/mem")) CHECK(refusal("/proc/self/mem") == "the file cannot be read");
    fs::remove_all(folder);
  }
  TEST_CASE("check: letters beyond ASCII stand in texts and comments, and nowhere else") {
    CHECK_NOTHROW(read(sample_with(1, "format_version = 1   # °C, größer\nname = \"Bühne \\\" µ\""), "f"));
    CHECK_NOTHROW(read(sample_with(1, "format_version = 1\nname = 'Bühne'"), "f"));
    CHECK_NOTHROW(read("\xef\xbb\xbf" + sample_with(1, "format_version = 1"), "f"));
    for (const char* odd : {"\u00b0", "\u00a1", "\u0416", "\u3001", "\u2003", "\U0001F600"}) {
      const std::string letter = odd;
      check_refused({sample_with(7, "supply_v = 12 " + letter), 7, 15, "pump.supply_v", "12 " + letter, ""}, read);
      check_refused({sample_with(7, letter + "supply_v = 12"), 7, 1, "pump." + letter + "supply_v", "12", "quotation marks"}, read);
    }
  }
}
