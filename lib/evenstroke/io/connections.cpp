#include "evenstroke/io/connections.hpp"

#include <algorithm>
#include <map>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/suggest.hpp"

namespace evenstroke {
namespace {

struct Link {
  std::string line;
  std::vector<std::string> ends;
};

std::vector<Link> circuit(const Rig& rig) {
  std::vector<Link> links;
  if (rig.synchroniser.kind == SynchroniserKind::series_pair) {
    for (std::size_t i = 0; i < rig.branches.size(); ++i) {
      const std::string& name = rig.branches[i].name;
      const bool last = i + 1 == rig.branches.size();
      links.push_back({name + ".cap_line", {i == 0 ? "valve_block.a" : rig.branches[i - 1].name + ".link.out", name + ".cylinder.cap"}});
      links.push_back({name + ".rod_line", {last ? "valve_block.b" : name + ".link.in", name + ".cylinder.rod"}});
    }
    return links;
  }
  for (const auto& b : rig.branches) {
    links.push_back({b.name + ".cap_line", {"synchroniser." + b.name, b.name + ".cylinder.cap"}});
    links.push_back({b.name + ".rod_line", {"valve_block." + b.name, b.name + ".cylinder.rod"}});
  }
  return links;
}

std::string sentence(const Link& link) {
  return "in this kind of circuit " + link.line + " joins " + link.ends[0] + " and " + link.ends[1];
}

}  // namespace

void check_connections(const TomlNode& table, const Rig& rig, const std::string& file_name) {
  const std::vector<Link> links = circuit(rig);
  std::vector<std::string> lines, ports;
  for (const auto& link : links) {
    lines.push_back(link.line);
    ports.insert(ports.end(), link.ends.begin(), link.ends.end());
  }
  std::map<std::string, std::string> taken;   // port -> line
  const auto refuse = [&](const TomlNode& at, const std::string& line, const std::string& value,
                          const std::string& rule) {
    const std::string field = line.empty() ? "connections" : "connections.\"" + line + "\"";
    throw FileError(file_name, at.line, at.column, field, value, "", rule);
  };
  for (const auto& entry : table.items) {
    const auto link = std::find_if(links.begin(), links.end(), [&](const Link& l) { return l.line == entry.key; });
    if (link == links.end()) refuse(entry, entry.key, "", "this rig has no such line" + did_you_mean(entry.key, lines));
    if (entry.kind != TomlNode::Kind::array || entry.items.size() != 2)
      refuse(entry, entry.key, entry.value_text(), "a line has two ends: " + sentence(*link));
    for (const auto& end : entry.items) {
      if (end.kind != TomlNode::Kind::text) refuse(end, entry.key, end.value_text(), "a port's name is a text");
      if (std::find(ports.begin(), ports.end(), end.text) == ports.end())
        refuse(end, entry.key, end.value_text(), "this rig has no such port" + did_you_mean(end.text, ports));
      const auto [other, fresh] = taken.emplace(end.text, entry.key);
      if (!fresh) refuse(end, entry.key, end.value_text(), "this port already carries an end of " + other->second);
    }
  }
  for (const auto& link : links) {
    const TomlNode* entry = table.find(link.line);
    if (!entry) refuse(table, "", "", "line " + link.line + " has no ends: " + sentence(link));
    for (const auto& end : entry->items)
      if (end.text != link.ends[0] && end.text != link.ends[1])
        refuse(end, entry->key, end.value_text(), sentence(link));
  }
}

}  // namespace evenstroke
