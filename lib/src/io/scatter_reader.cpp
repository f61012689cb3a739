#include <algorithm>
#include <unordered_set>
#include <utility>

#include "io/design_draft.hpp"
#include "io/tolerance_reader.hpp"
#include "lashband/design/run.hpp"

// How contributors vary together: expansion groups and correlations.
namespace lashband::io {
namespace {

/// Where each material of a group was named first.
using GroupedMaterials = std::map<std::string, Field>;

/// The materials of one group; empty where some cannot be used.
std::vector<std::string> read_group_materials(Draft& draft, const Field& list,
                                              GroupedMaterials& grouped) {
  const auto entries = read_list(list, "a list of 1 to 1000 ids of materials", 1, most_entries);
  if (!entries) {
    return {};
  }
  std::vector<std::string> ids;
  for (const Field& entry : *entries) {
    const MaterialPointer material = draft.materials.look_up(entry);
    if (!material) {
      continue;
    }
    const auto [first, is_new] = grouped.emplace(material->id(), entry);
    if (!is_new) {
      entry.report("read the material " + in_quotes(material->id()) + " again, which stands at " +
                   entry.file().place(first->second.offset()) +
                   " in a group already; allowed is each material in one group");
      continue;
    }
    ids.push_back(material->id());
  }
  return ids.size() == entries->size() ? ids : std::vector<std::string>{};
}

/// A contributor as a correlation names it.
std::optional<std::string> read_contributor(const Field& field) {
  return read_name(field, "the id of a contributor, as the budget shows it");
}

/// The ids of a design's contributors, in their order and to look them up.
struct Contributors {
  explicit Contributors(const design::Design& design)
      : ids(design::contributor_ids(design)), known(ids.begin(), ids.end()) {}

  std::vector<std::string> ids;
  std::unordered_set<std::string> known;
};

void check_contributor(const Field& field, const std::string& id,
                       const Contributors& contributors) {
  if (contributors.known.contains(id)) {
    return;
  }
  std::string message = "read " + in_quotes(id) + ", which is no contributor of this design";
  if (field.file().suggests_names()) {
    const std::vector<std::string>& ids = contributors.ids;
    message += nearest_hint(id, ids) + (ids.empty() ? "; the design has none"
                                        : ids.size() == 1
                                            ? "; allowed is " + in_quotes(ids.front())
                                            : "; allowed are the contributors " + listed(ids));
  }
  field.report(std::move(message));
}

}  // namespace

void read_expansion_groups(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of up to 1000 expansion groups", 0, most_entries);
  if (!entries) {
    return;
  }
  Names names("expansion group", "expansion groups");
  GroupedMaterials grouped;
  for (const Field& entry : *entries) {
    auto object =
        read_object(entry, "an expansion group, an object with id, materials and uncertainty");
    if (!object) {
      continue;
    }
    const Field id_field = object->required("id");
    const auto id = read_name(id_field, "the group's name");
    names.add(id, id_field);
    auto materials = read_group_materials(draft, object->required("materials"), grouped);
    const auto uncertainty = read_quantity<units::Ratio>(
        object->required("uncertainty"), {"a ratio of at least 0 and below 1", [](double ratio) {
                                            return ratio >= 0.0 && ratio < 1.0;
                                          }});
    const auto shape = read_shape_about_zero(*object);
    object->refuse_unknown_keys();
    if (id && !materials.empty() && uncertainty && shape) {
      draft.expansion_groups.push_back({*id, std::move(materials), uncertainty->value(), *shape});
    }
  }
}

void read_correlations(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of up to 1000 correlations", 0, most_entries);
  if (!entries) {
    return;
  }
  std::map<std::pair<std::string, std::string>, Field> seen;
  for (const Field& entry : *entries) {
    auto object = read_object(entry, "a correlation, an object with between and coefficient");
    if (!object) {
      continue;
    }
    const Field between_field = object->required("between");
    const auto between = read_list(between_field, "a list of the ids of two contributors", 2, 2);
    const auto first = between ? read_contributor((*between)[0]) : std::nullopt;
    const auto second = between ? read_contributor((*between)[1]) : std::nullopt;
    const auto coefficient =
        read_number(object->required("coefficient"),
                    {"a number from -1 to 1", [](double r) { return r >= -1.0 && r <= 1.0; }});
    object->refuse_unknown_keys();
    if (!first || !second) {
      continue;
    }
    if (*first == *second) {
      between_field.report("read the contributor " + in_quotes(*first) +
                           " twice; allowed are two different contributors");
      continue;
    }
    const auto [earlier, is_new] = seen.emplace(std::minmax(*first, *second), between_field);
    if (!is_new) {
      between_field.report("read the pair of " + in_quotes(*first) + " and " + in_quotes(*second) +
                           " again, which stands at " +
                           entry.file().place(earlier->second.offset()) +
                           " already; allowed is each pair once");
      continue;
    }
    if (coefficient) {
      draft.correlations.push_back({{*first, *second, *coefficient}, (*between)[0], (*between)[1]});
    }
  }
}

void check_contributors(const Draft& draft, const design::Design& design) {
  if (!draft.correlations.empty()) {
    const Contributors contributors(design);
    for (const CorrelationDraft& entry : draft.correlations) {
      check_contributor(entry.first, entry.correlation.first, contributors);
      check_contributor(entry.second, entry.correlation.second, contributors);
    }
  }
  if (draft.own_terms.empty()) {
    return;
  }
  design::Design without_own_terms = design;
  for (design::Mesh& mesh : without_own_terms.meshes) {
    mesh.own_terms.clear();
  }
  const Contributors others(without_own_terms);
  for (const auto& [id, field] : draft.own_terms) {
    if (others.known.contains(id)) {
      field.report("read " + in_quotes(id) +
                   ", which another contributor of this design is called; allowed is another name");
    }
  }
}

}  // namespace lashband::io
