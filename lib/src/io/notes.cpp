#include <algorithm>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/units/format.hpp"

// What a reader of the results should know of the input: what it does not give, what is not used,
// what was looked up.
namespace lashband::io {
namespace {

void add(design::Design& design, std::string kind, std::string subject, std::string text) {
  design.notes.push_back({std::move(kind), std::move(subject), std::move(text)});
}

/// Collects "what of whom" for one sentence.
class Enumeration {
 public:
  void add(std::string_view what, std::string_view owner, std::string_view owners,
           const std::vector<std::string>& names) {
    if (names.empty()) {
      return;
    }
    text_ += text_.empty() ? "" : "; ";
    text_ += std::string(what) + " of " + std::string(names.size() == 1 ? owner : owners) + " " +
             listed(names);
  }
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  std::string text_;
};

/// Materials whose elongation an expansion group scatters.
std::set<std::string> grouped_materials(const Draft& draft) {
  std::set<std::string> ids;
  for (const design::ExpansionGroup& group : draft.expansion_groups) {
    ids.insert(group.materials.begin(), group.materials.end());
  }
  return ids;
}

/// Materials in use, in the order of first use, whose elongation has no uncertainty of its own and
/// none of a group.
std::vector<std::string> materials_without_uncertainty(const Draft& draft) {
  const std::set<std::string> grouped = grouped_materials(draft);
  std::vector<std::string> ids;
  for (const SolidUse& use : draft.solids) {
    const materials::Material& material = *use.solid.material;
    if (use.needs.elongation && !material.elongation().uncertainty().has_value() &&
        !grouped.contains(material.id()) &&
        std::find(ids.begin(), ids.end(), material.id()) == ids.end()) {
      ids.push_back(material.id());
    }
  }
  return ids;
}

void note_what_is_not_given(const Draft& draft, design::Design& design) {
  const Remarks& remarks = draft.remarks;
  Enumeration missing;
  missing.add("thickness_allowance", "gear", "gears", remarks.without_allowance);
  missing.add("deviation of the centre distance", "mesh", "meshes", remarks.without_deviation);
  missing.add("axis_parallelism", "mesh", "meshes", remarks.without_parallelism);
  missing.add("bearing clearance", "shaft", "shafts", remarks.without_bearings);
  missing.add("outer_fit", "bearing", "bearings", remarks.without_outer_fit);
  missing.add("inner_fit", "bearing", "bearings", remarks.without_inner_fit);
  missing.add("accuracy_class (run-out, pitch and helix deviations)", "gear", "gears",
              remarks.without_class);
  missing.add("run_out", "gear", "gears", remarks.without_run_out);
  missing.add("pitch_deviation", "gear", "gears", remarks.without_pitch_deviation);
  missing.add("helix_deviation", "gear", "gears", remarks.without_helix_deviation);
  missing.add("uncertainty of the elongation", "material", "materials",
              materials_without_uncertainty(draft));
  if (!missing.text().empty()) {
    add(design, "not considered", "",
        "what the file does not give adds nothing to the bands: " + missing.text());
  }
}

void note_what_is_not_used(const Draft& draft, design::Design& design) {
  const Remarks& remarks = draft.remarks;
  Enumeration inertias;
  inertias.add("inertia", "shaft", "shafts", remarks.with_inertia);
  if (!inertias.text().empty()) {
    add(design, "not analysed", "inertia",
        "read, but used by no analysis of this version: " + inertias.text());
  }
  for (const std::string& section : remarks.sections) {
    add(design, "not analysed", section,
        "the section " + in_quotes(section) + " is not analysed by this version");
  }
}

/// A separation that goes with the force says nothing where no condition gives one. A torsional
/// model gives it wherever the train turns.
void note_separations_without_force(const Draft& draft, design::Design& design) {
  if (draft.torsion) {
    return;
  }
  for (std::size_t i = 0; i < draft.meshes.size(); ++i) {
    const design::Mesh& mesh = *draft.meshes[i];
    if (!mesh.separation || !mesh.separation->per_force) {
      continue;
    }
    const bool has_force =
        std::any_of(draft.conditions.begin(), draft.conditions.end(),
                    [i](const auto& condition) { return condition->mesh_force.contains(i); });
    if (!has_force) {
      add(design, "not considered", "mesh " + mesh.id,
          "the separation goes with the force, and no condition gives the mesh_force of this mesh");
    }
  }
}

void note_polyamide(const Draft& draft, design::Design& design) {
  for (const auto& entry : draft.gears) {
    const materials::Material& material = *entry->gear.solid.material;
    if (material.record().family == "polyamide" && !entry->gear.solid.moisture_strain) {
      add(design, "moisture", "gear " + entry->gear.id,
          "the polyamide " + in_quotes(material.id()) +
              " swells with moisture, by up to some tenths of a percent; the file gives no such "
              "strain, so none is considered");
    }
  }
}

/// Why a zone is left out that nothing is in.
std::string reason_to_leave_out(const Draft& draft, std::size_t zone) {
  const bool of_conditions =
      std::any_of(draft.conditions.begin(), draft.conditions.end(),
                  [zone](const auto& condition) { return !condition->by_zone[zone]; });
  return std::string("; it is left out, since not every ") +
         (of_conditions ? "condition" : "history") + " gives its temperature";
}

void note_unused(const Draft& draft, design::Design& design,
                 const std::set<std::size_t>& left_out) {
  std::set<std::size_t> used_zones;
  std::set<std::string> used_materials;  // whose elongation counts
  for (const SolidUse& use : draft.solids) {
    used_zones.insert(static_cast<std::size_t>(use.solid.zone));
    if (use.needs.elongation) {
      used_materials.insert(use.solid.material->id());
    }
  }
  for (const ZoneUse& use : draft.zone_uses) {
    used_zones.insert(use.zone);
  }
  for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
    if (!used_zones.contains(zone)) {
      add(design, "unused", "zone " + draft.zones.name(zone),
          std::string("no solid is in this zone") +
              (left_out.contains(zone) ? reason_to_leave_out(draft, zone) : std::string()));
    }
  }
  for (const std::string& id : draft.materials.unused_own()) {
    add(design, "unused", "material " + id, "no solid is made of it");
  }
  for (const design::ExpansionGroup& group : draft.expansion_groups) {
    if (std::none_of(group.materials.begin(), group.materials.end(),
                     [&](const std::string& id) { return used_materials.contains(id); })) {
      add(design, "unused", "expansion group " + group.id, "no solid is made of its materials");
    }
  }
  std::set<std::size_t> meshed;
  for (const auto& mesh : draft.meshes) {
    meshed.insert({mesh->gear_1, mesh->gear_2});
  }
  std::set<std::size_t> carrying;
  for (std::size_t i = 0; i < draft.gears.size(); ++i) {
    carrying.insert(draft.gears[i]->gear.shaft);
    if (!meshed.contains(i)) {
      add(design, "unused", "gear " + draft.gears[i]->gear.id, "it is in no mesh");
    }
  }
  for (std::size_t i = 0; i < draft.shafts.size(); ++i) {
    if (!carrying.contains(i)) {
      add(design, "unused", "shaft " + draft.shafts[i]->shaft.id, "no gear sits on it");
    }
  }
}

}  // namespace

std::string in_mm(units::Length length) {
  constexpr int decimals = 4;
  return units::format_fixed(length, "mm", decimals) + " mm";
}

std::string in_um(units::Length length) {
  std::string text = units::format_fixed(length, "um", 1);
  if (text.ends_with(".0")) {
    text.resize(text.size() - 2);
  }
  return text + " um";
}

std::string band_text(const units::Band<units::Length>& band) {
  return "[" + in_quotes(in_um(band.low)) + ", " + in_quotes(in_um(band.high)) + "]";
}

void note_from_memory(Draft& draft, const std::string& subject, const std::string& what,
                      const std::string& found) {
  draft.remarks.looked_up.push_back(
      {"from memory", subject, what + ", from memory, verify before use: " + found});
}

void add_notes(const Draft& draft, design::Design& design, const std::set<std::size_t>& left_out) {
  note_unused(draft, design, left_out);
  note_polyamide(draft, design);
  note_what_is_not_used(draft, design);
  note_what_is_not_given(draft, design);
  note_separations_without_force(draft, design);
  design.notes.insert(design.notes.end(), draft.remarks.looked_up.begin(),
                      draft.remarks.looked_up.end());
  for (const std::string& sentence : draft.remarks.beyond_range) {
    add(design, "extrapolated", "", sentence);
  }
}

}  // namespace lashband::io
