#include <map>
#include <set>
#include <tuple>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/error.hpp"

// Whether every solid of a draft can be followed to every temperature of the file.
namespace lashband::io {
namespace {

/// A temperature that one zone takes, and how messages call the state.
struct UsedLevel {
  units::Temperature level;
  std::string state;  ///< "condition \"cold soak\"", "soak"
  Field place;
  std::string where{};  ///< of a record: " (cold_start.csv, line 14)"
};

/// All uses of one material at one temperature: what is asked of it, and by whom first.
struct MaterialUse {
  const SolidUse* first = nullptr;
  const SolidUse* of_youngs_modulus = nullptr;
  const SolidUse* of_poissons_ratio = nullptr;
};

/// Every level at which solids of the zone are used, the reference temperature left out.
std::vector<UsedLevel> levels_of_zone(const Draft& draft, std::size_t zone) {
  std::vector<UsedLevel> levels;
  for (const auto& condition : draft.conditions) {
    if (condition && condition->by_zone[zone]) {
      levels.push_back({*condition->by_zone[zone], "condition " + in_quotes(condition->id),
                        condition->written.at(zone)});
    }
  }
  if (draft.soak) {
    levels.push_back({draft.soak->soak.from, "soak", draft.soak->from});
    levels.push_back({draft.soak->soak.to, "soak", draft.soak->to});
  }
  for (const auto& history : draft.histories) {
    if (!history) {
      continue;
    }
    for (const HistoryLevel& level : history->levels) {
      if (level.zone == zone) {
        levels.push_back(
            {level.level, "history " + in_quotes(history->id), level.place, level.where});
      }
    }
  }
  return levels;
}

std::string range_text(const materials::TemperatureRange& range) {
  return units::format(range.low) + " to " + units::format(range.high);
}

/// Reports zones that are in use and have no temperature in a condition, once each.
void check_zones_have_levels(const Draft& draft) {
  for (const auto& condition : draft.conditions) {
    if (!condition) {
      continue;
    }
    std::set<std::size_t> reported;
    for (const SolidUse& use : draft.solids) {
      const auto zone = static_cast<std::size_t>(use.solid.zone);
      if (!condition->written.contains(zone) && reported.insert(zone).second) {
        condition->zones.report("the zone " + in_quotes(draft.zones.name(zone)) +
                                " has no temperature here; needed is one, since the " + use.user +
                                " is in it");
      }
    }
  }
}

/// Reports zones that are in use and that the network has no body or boundary for, or a record no
/// column, once each.
void check_zones_have_histories(const Draft& draft) {
  std::map<std::size_t, const SolidUse*> in_use;
  for (const SolidUse& use : draft.solids) {
    in_use.emplace(static_cast<std::size_t>(use.solid.zone), &use);
  }
  const auto report = [&draft](const Field& place, std::size_t zone, const SolidUse& use,
                               const std::string& lacking) {
    place.report("the zone " + in_quotes(draft.zones.name(zone)) + " has no " + lacking +
                 "; needed is one, since the " + use.user + " is in it");
  };
  bool has_run = false;
  for (const auto& history : draft.histories) {
    if (!history) {
      continue;
    }
    const auto* record = std::get_if<RecordDraft>(&history->course);
    has_run = has_run || record == nullptr;
    for (const auto& [zone, use] : in_use) {
      if (record != nullptr && !record->by_zone[zone]) {
        report(history->self, zone, *use, "column in " + in_quotes(record->file));
      }
    }
  }
  if (!has_run || !draft.network->zones_known) {
    return;
  }
  for (const auto& [zone, use] : in_use) {
    if (!draft.network->zones_written.contains(zone)) {
      report(draft.network->self, zone, *use, "body or boundary in the network");
    }
  }
}

/// "material \"C45\" is extrapolated from -60 degC to 250 degC to 260 degC (…)"
std::string extrapolation_text(const materials::Material& material, units::Temperature used,
                               const std::string& where) {
  return "material " + in_quotes(material.id()) + " is extrapolated from " +
         range_text(material.range()) + " to " + units::format(used) + " (" + where + ")";
}

/// Reports materials that are not known at the reference temperature, each where it is first used,
/// and yields them; says so in a remark where extrapolation is allowed.
std::set<const materials::Material*> check_reference_temperature(Draft& draft) {
  std::set<const materials::Material*> seen;
  std::set<const materials::Material*> unusable;
  for (const SolidUse& use : draft.solids) {
    const materials::Material& material = *use.solid.material;
    if (!seen.insert(&material).second ||
        materials::contains(material.range(), draft.reference_temperature)) {
      continue;
    }
    if (draft.options.extrapolation == materials::Extrapolation::allow) {
      draft.remarks.beyond_range.push_back(
          extrapolation_text(material, draft.reference_temperature, "reference temperature"));
      continue;
    }
    unusable.insert(&material);
    use.material_field.report("the material " + in_quotes(material.id()) +
                              " is not known at the reference temperature, " +
                              units::format(draft.reference_temperature) + "; allowed is " +
                              range_text(material.range()));
  }
  return unusable;
}

/// Reports what `look_up`, asked of the solid's material, throws at a level.
template <class LookUp>
void check_look_up(const SolidUse& use, units::Temperature level, const UsedLevel& used,
                   const LookUp& look_up) {
  try {
    static_cast<void>(look_up(*use.solid.material));
  } catch (const MaterialError& error) {
    used.place.report("the " + use.user + " cannot be used at " + units::format(level) +
                      used.where + ": " + error.what());
  }
}

/// Checks one material at one level of its zone; says so in a remark where extrapolation is
/// allowed.
void check_level(Draft& draft, const MaterialUse& use, const UsedLevel& used) {
  const SolidUse& first = *use.first;
  const materials::Material& material = *first.solid.material;
  const materials::Extrapolation extrapolation = draft.options.extrapolation;
  const std::string& zone = draft.zones.name(static_cast<std::size_t>(first.solid.zone));
  const units::Temperature level = units::celsius(used.level.value() + first.excess.value());
  const bool is_warmer = first.excess.value() != 0.0;
  if (!materials::contains(material.range(), level)) {
    if (extrapolation == materials::Extrapolation::refuse) {
      used.place.report(
          "the zone " + in_quotes(zone) + " reaches " + units::format(used.level) + used.where +
          (is_warmer ? ", with the " + first.user + " at " + units::format(level) : std::string()) +
          ", outside the range of its material " + in_quotes(material.id()) + "; allowed is " +
          range_text(material.range()));
      return;
    }
    draft.remarks.beyond_range.push_back(
        extrapolation_text(material, level,
                           used.state + used.where + ", zone " + in_quotes(zone) +
                               (is_warmer ? ", " + first.user : "")));
  }
  check_look_up(first, level, used, [&](const materials::Material& m) {
    return m.elongation().between(draft.reference_temperature, level, extrapolation);
  });
  if (use.of_youngs_modulus != nullptr) {
    check_look_up(*use.of_youngs_modulus, level, used, [&](const materials::Material& m) {
      return m.youngs_modulus(level, extrapolation);
    });
  }
  if (use.of_poissons_ratio != nullptr) {
    check_look_up(*use.of_poissons_ratio, level, used, [&](const materials::Material& m) {
      const units::Ratio ratio = m.poissons_ratio(level, extrapolation);
      if (!(ratio.value() >= 0.0)) {
        throw MaterialError("the poissons_ratio of material " + in_quotes(m.id()) +
                            " is below 0, and the theory of fits wants one from 0 on");
      }
      return ratio;
    });
  }
}

}  // namespace

void check_temperatures(Draft& draft) {
  check_zones_have_levels(draft);
  check_zones_have_histories(draft);
  // Many solids share material and zone; each such pair is looked at once.
  std::vector<MaterialUse> distinct;
  std::map<std::tuple<const materials::Material*, thermal::ZoneIndex, double>, std::size_t> places;
  for (const SolidUse& use : draft.solids) {
    const auto [entry, is_new] = places.emplace(
        std::tuple(use.solid.material.get(), use.solid.zone, use.excess.value()), distinct.size());
    if (is_new) {
      distinct.push_back({&use});
    }
    MaterialUse& together = distinct[entry->second];
    if (use.needs.youngs_modulus && together.of_youngs_modulus == nullptr) {
      together.of_youngs_modulus = &use;
    }
    if (use.needs.poissons_ratio && together.of_poissons_ratio == nullptr) {
      together.of_poissons_ratio = &use;
    }
  }
  const std::set<const materials::Material*> unusable = check_reference_temperature(draft);
  for (const MaterialUse& use : distinct) {
    const thermal::Solid& solid = use.first->solid;
    if (unusable.contains(solid.material.get())) {
      continue;
    }
    for (const UsedLevel& used : levels_of_zone(draft, static_cast<std::size_t>(solid.zone))) {
      check_level(draft, use, used);
    }
  }
}

}  // namespace lashband::io
