#include <algorithm>
#include <set>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/error.hpp"

// From a draft without problems to the design, and the notes on what the file gives and does not.
namespace lashband::io {
namespace {

/// Calls `act` with every solid of the carrier.
template <class Act>
void for_each_solid(thermal::Carrier& carrier, const Act& act) {
  if (auto* plain = std::get_if<thermal::PlainCarrier>(&carrier.build)) {
    act(plain->solid);
  } else if (auto* path = std::get_if<thermal::PathCarrier>(&carrier.build)) {
    for (thermal::PathSegment& segment : path->segments) {
      act(segment.solid);
    }
  } else {
    auto& insert = std::get<thermal::InsertCarrier>(carrier.build);
    act(insert.insert.solid);
    act(insert.case_part.solid);
  }
}

template <class T>
T&& present(std::optional<T>& entry) {
  if (!entry) {
    throw Error("an entry of the input was lost without a problem being reported");
  }
  return std::move(*entry);
}

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

/// Materials in use, in the order of first use, by whether their elongation has an uncertainty.
std::vector<std::string> materials_in_use(const Draft& draft, bool with_uncertainty) {
  std::vector<std::string> ids;
  for (const SolidUse& use : draft.solids) {
    const materials::Material& material = *use.solid.material;
    if (material.elongation().uncertainty().has_value() == with_uncertainty &&
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
  missing.add("bearing clearance", "shaft", "shafts", remarks.without_bearings);
  missing.add("accuracy_class (run-out, pitch and helix deviations)", "gear", "gears",
              remarks.without_class);
  missing.add("uncertainty of the elongation", "material", "materials",
              materials_in_use(draft, false));
  if (!missing.text().empty()) {
    add(design, "not considered", "",
        "what the file does not give adds nothing to the bands: " + missing.text());
  }
}

void note_what_is_not_used(const Draft& draft, design::Design& design) {
  const Remarks& remarks = draft.remarks;
  Enumeration later;
  later.add("bearings", "shaft", "shafts", remarks.with_bearings);
  later.add("accuracy_class", "gear", "gears", remarks.with_class);
  later.add("uncertainty of the elongation", "material", "materials",
            materials_in_use(draft, true));
  if (!later.text().empty()) {
    add(design, "not yet in the band", "",
        "read, but not yet in the bands of this version: " + later.text());
  }
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
  for (const auto& [mesh, basis] : remarks.judged_worst_case) {
    add(design, "basis", "mesh " + in_quotes(mesh),
        "the basis " + in_quotes(basis) +
            " is not computed by this version; the requirements are judged on the worst case, "
            "which "
            "is stricter");
  }
}

void note_polyamide(const Draft& draft, design::Design& design) {
  for (const auto& entry : draft.gears) {
    const materials::Material& material = *entry->gear.solid.material;
    if (material.record().family == "polyamide") {
      add(design, "moisture", "gear " + in_quotes(entry->gear.id),
          "the polyamide " + in_quotes(material.id()) +
              " swells with moisture, by up to some tenths of a percent; the file gives no such "
              "strain, so none is considered");
    }
  }
}

void note_unused(const Draft& draft, design::Design& design,
                 const std::vector<std::size_t>& unused_zones,
                 const std::set<std::size_t>& dropped) {
  for (const std::size_t zone : unused_zones) {
    add(design, "unused", "zone " + in_quotes(draft.zones.name(zone)),
        std::string("no carrier and no gear is in this zone") +
            (dropped.contains(zone)
                 ? "; it is left out, since not every condition gives its temperature"
                 : ""));
  }
  for (const std::string& id : draft.materials.unused_own()) {
    add(design, "unused", "material " + in_quotes(id), "no carrier and no gear is made of it");
  }
  std::set<std::size_t> meshed;
  for (const auto& mesh : draft.meshes) {
    meshed.insert({mesh->gear_1, mesh->gear_2});
  }
  std::set<std::size_t> carrying;
  for (std::size_t i = 0; i < draft.gears.size(); ++i) {
    carrying.insert(draft.gears[i]->gear.shaft);
    if (!meshed.contains(i)) {
      add(design, "unused", "gear " + in_quotes(draft.gears[i]->gear.id), "it is in no mesh");
    }
  }
  for (std::size_t i = 0; i < draft.shafts.size(); ++i) {
    if (!carrying.contains(i)) {
      add(design, "unused", "shaft " + in_quotes(draft.shafts[i]->id), "no gear sits on it");
    }
  }
}

bool has_every_level(const Draft& draft, std::size_t zone) {
  return std::all_of(
      draft.conditions.begin(), draft.conditions.end(),
      [zone](const auto& condition) { return condition->by_zone[zone].has_value(); });
}

}  // namespace

design::Design finished(Draft& draft) {
  design::Design design;
  design.title = draft.title;
  design.reference_temperature = draft.reference_temperature;

  // A zone that nothing is in and that a condition leaves out has no temperature to show.
  std::vector<bool> used(draft.zones.size(), false);
  for (const SolidUse& use : draft.solids) {
    used[static_cast<std::size_t>(use.solid.zone)] = true;
  }
  std::vector<std::size_t> unused_zones;
  std::set<std::size_t> dropped;
  std::vector<std::size_t> new_index(draft.zones.size(), 0);
  for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
    if (!used[zone]) {
      unused_zones.push_back(zone);
    }
    if (!used[zone] && !has_every_level(draft, zone)) {
      dropped.insert(zone);
    } else {
      new_index[zone] = design.zones.size();
      design.zones.push_back(draft.zones.name(zone));
    }
  }
  note_unused(draft, design, unused_zones, dropped);
  note_polyamide(draft, design);
  note_what_is_not_used(draft, design);
  note_what_is_not_given(draft, design);
  for (const std::string& sentence : draft.remarks.beyond_range) {
    add(design, "extrapolated", "", sentence);
  }

  const auto renumber = [&new_index](thermal::Solid& solid) {
    solid.zone = thermal::ZoneIndex{new_index[static_cast<std::size_t>(solid.zone)]};
  };
  for (auto& entry : draft.carriers) {
    design.carriers.push_back(present(entry));
    for_each_solid(design.carriers.back(), renumber);
  }
  design.carrier_in_use = draft.carrier_in_use;
  for (auto& entry : draft.shafts) {
    design.shafts.push_back(present(entry));
  }
  for (auto& entry : draft.gears) {
    design.gears.push_back(present(entry).gear);
    renumber(design.gears.back().solid);
  }
  for (auto& entry : draft.meshes) {
    design.meshes.push_back(present(entry));
  }
  for (auto& entry : draft.conditions) {
    ConditionDraft condition = present(entry);
    std::vector<units::Temperature> by_zone;
    for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
      if (!dropped.contains(zone)) {
        by_zone.push_back(present(condition.by_zone[zone]));
      }
    }
    design.conditions.push_back(
        {condition.id, thermal::TemperatureState(std::move(by_zone)), condition.speed});
  }
  if (draft.soak) {
    design.soak = draft.soak->soak;
  }
  return design;
}

}  // namespace lashband::io
