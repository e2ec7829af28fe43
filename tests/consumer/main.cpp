// Uses a template from a header, a value from a file and a refusal: each would fail to link if a part were not installed.
#include <cstdio>

#include "evenstroke/base/error.hpp"
#include "evenstroke/io/files.hpp"

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const evenstroke::Rig rig = evenstroke::load_rig(argv[1]);
  std::printf("%s: %zu branches\n", rig.name.c_str(), rig.branches.size());
  if (rig.branches.empty()) return 1;
  try {
    evenstroke::parse_rig("format_version = 1\nbore = ", "cut_off.toml");
  } catch (const evenstroke::FileError& error) {
    std::printf("refused as it should be: %s\n", error.what());
    return error.line == 2 ? 0 : 1;
  }
  return 1;
}
