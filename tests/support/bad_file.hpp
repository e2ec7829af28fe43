#pragma once
#include <doctest/doctest.h>

#include <string>

#include "evenstroke/base/error.hpp"

namespace evenstroke::testing {

/// What a refused file must say.
struct BadFile {
  std::string text;
  int line, column;
  std::string field, value, rule;   ///< of the rule, a part
};

/// Reads a bad text and compares every part of the refusal with what was wanted.
template <class Read>
void check_refused(const BadFile& bad, Read read) {
  CAPTURE(bad.field);
  CAPTURE(bad.rule);
  bool refused = false;
  try {
    read(bad.text, "some.toml");
  } catch (const FileError& e) {
    refused = true;
    CAPTURE(std::string(e.what()));
    CHECK(e.file == "some.toml");
    CHECK(e.line == bad.line);
    CHECK(e.column == bad.column);
    CHECK(e.field == bad.field);
    CHECK(e.value == bad.value);
    CHECK(e.rule.find(bad.rule) != std::string::npos);
    CHECK(std::string(e.what()).find("some.toml:" + std::to_string(bad.line) + ":") == 0);
  }
  CHECK(refused);
}

}  // namespace evenstroke::testing
