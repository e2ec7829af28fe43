#pragma once
#include <string>

#include "evenstroke/io/toml_reader.hpp"
#include "evenstroke/rig/rig.hpp"

namespace evenstroke {

/// The optional table [connections]: "left.cap_line" = ["synchroniser.left", "left.cylinder.cap"], one entry per line.
/// Throws FileError unless every line has two ends, on known ports, no port carries two ends, and the whole is the
/// circuit that a rig of this kind has: each cap line from the synchroniser, each rod line from the valve block.
void check_connections(const TomlNode& table, const Rig&, const std::string& file_name);

}  // namespace evenstroke
