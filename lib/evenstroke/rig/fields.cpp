#include <type_traits>

#include "evenstroke/base/error.hpp"
#include "evenstroke/base/suggest.hpp"
#include "evenstroke/rig/rig.hpp"
#include "evenstroke/rig/tables.hpp"

namespace evenstroke {
namespace {

/// Calls `use(struct, field row)` for every field the path names; "branch.<key>" names one per branch.
template <class R, class F>
void visit_path(R& rig, const std::string& path, F&& use) {
  bool found = false;
  const auto table = [&](const std::string& prefix, auto& p) {
    if (!path.starts_with(prefix)) return;
    for (const auto& f : fields<std::remove_cvref_t<decltype(p)>>())
      if (const Spelling* s = find_spelling(std::string_view(path).substr(prefix.size()), f.name, f.quantity);
          s && s->suffix == si_suffix(f.quantity)) {
        found = true;
        use(p, f);
      }
  };
  visit_tables(rig, table);
  for (auto& branch : rig.branches) visit_branch("branch.", branch, table);
  if (found) return;
  std::vector<std::string> known;
  for (const auto& f : rig_fields(rig)) known.push_back(f.path);
  throw InputError(path, "", "", "no such field in this rig" + did_you_mean(path, known));
}

}  // namespace

std::vector<RigField> rig_fields(const Rig& rig) {
  std::vector<RigField> list;
  visit_tables(rig, [&](const std::string& prefix, const auto& p) {
    const bool here = counts(rig, p);
    for (const auto& f : fields<std::remove_cvref_t<decltype(p)>>())
      list.push_back({prefix + std::string(f.name) + std::string(si_suffix(f.quantity)), p.*(f.member), f.low, f.high,
                      here ? f.band_low : no_band, here ? f.band_high : no_band, std::string(f.evidence), std::string(f.help)});
  });
  return list;
}

double get_field(const Rig& rig, const std::string& path) {
  double value = 0;
  bool first = true;
  visit_path(rig, path, [&](const auto& p, const auto& f) {
    const double here = p.*(f.member);
    if (!first && here != value)
      throw InputError(path, "", "",
                       "the branches differ: name one, as in branch." + rig.branches[0].name + path.substr(6));
    value = here;
    first = false;
  });
  return value;
}

void set_field(Rig& rig, const std::string& path, double value_si) {
  visit_path(rig, path, [&](auto& p, const auto& f) {
    std::string where = path.substr(0, path.size() - f.name.size() - si_suffix(f.quantity).size());
    if (where.ends_with('.')) where.pop_back();
    check_range(where, f.name, f.quantity, value_si, f.low, f.high);
    p.*(f.member) = value_si;
  });
}

}  // namespace evenstroke
