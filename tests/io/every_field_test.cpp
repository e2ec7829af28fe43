// Whatever number a rig has, a rig file can give: every field of the tables, written under its table, arrives.
#include <doctest/doctest.h>

#include <string>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/quantity.hpp"
#include "evenstroke/io/files.hpp"
#include "support/kinds.hpp"
#include "support/sample_rig.hpp"

using namespace evenstroke;

TEST_SUITE("io/every_field") {
  TEST_CASE("agreement: a file with one more key gives the rig that setting its field gives, for every field") {
    for (const SynchroniserKind kind : testing::all_kinds) {
      std::string lines;
      for (const std::string& line : testing::sample_lines()) {
        lines += (line.starts_with("kind = ") ? "kind = \"" + synchroniser_kinds()[static_cast<std::size_t>(kind)] + "\"" : line) + "\n";
        if (!line.starts_with("kind = ")) continue;
        if (is_spool(kind)) lines += "rated_flow_m3_per_s = 1.2e-5\n";
        if (kind == SynchroniserKind::rotary_divider) lines += "section_m3_per_rad = 3e-8\n";
      }
      for (const bool closed : {false, true}) {
        std::string text = lines;
        if (closed) text.insert(text.find("[valve_block]\n") + 14, "circuit = \"closed\"\n");
        const Rig rig = parse_rig(text, "rig");
        for (const RigField& f : rig_fields(rig)) {
          CAPTURE(static_cast<int>(kind));
          CAPTURE(f.path);
          const std::size_t dot = f.path.rfind('.');
          const std::string table = f.path.substr(0, dot), key = f.path.substr(dot + 1);
          const bool told = f.path.starts_with("oil.nu_") || text.find("\n" + key.substr(0, key.find('_'))) != std::string::npos;
          const bool elsewhere = f.path.starts_with("valve_block.shuttle") || f.path.starts_with("valve_block.makeup");
          if (told || f.path.starts_with("branch.right") || (elsewhere && !closed)) continue;
          Rig set = rig;
          const double value = f.value > 0 ? 0.5 * (f.value + std::min(f.high, 2 * f.value)) : 0.01 * f.high;
          try {
            set_field(set, f.path, value);
            check(set);
          } catch (const InputError&) {
            continue;                                      // not alone: a port inside its clearance, a hinge's triangle
          }
          const std::string more = "\n[" + table + "]\n" + key + " = " + number_text(value) + "\n";
          std::string file = text;
          if (const std::size_t at = file.find("[" + table + "]\n"); at != std::string::npos)
            file.insert(file.find('\n', at) + 1, key + " = " + number_text(value) + "\n");
          else file += more;
          try {
            const double read = get_field(parse_rig(file, "rig"), f.path);
            CHECK(read == get_field(set, f.path));
          } catch (const FileError& e) {
            const std::string rule = e.what();             // belongs to another kind: said so, and true
            CHECK_MESSAGE(rule.find("belongs to kind") != std::string::npos, rule);
          }
        }
      }
    }
  }
}
