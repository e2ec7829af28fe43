#pragma once
#include <string>

#include "evenstroke/procedure/procedure.hpp"
#include "evenstroke/rig/rig.hpp"

namespace evenstroke {

/// Words of a rig file, in the order of the enumerations.
const std::vector<std::string>& synchroniser_kinds();
const std::vector<std::string>& circuit_kinds();

/// Strict TOML readers: a missing, unknown or doubled key, a wrong type, unit or range is a FileError naming file,
/// line, column, key and rule.
Rig load_rig(const std::string& path);
Procedure load_procedure(const std::string& path);
/// The same, and what it asks for must exist on the rig; the error names the place in the procedure's file.
Procedure load_procedure(const std::string& path, const Rig& rig);
Rig parse_rig(const std::string& text, const std::string& file_name);
Procedure parse_procedure(const std::string& text, const std::string& file_name);
Procedure parse_procedure(const std::string& text, const std::string& file_name, const Rig& rig);

}  // namespace evenstroke
