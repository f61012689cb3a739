#include <algorithm>
#include <array>
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

/// Something that is looked up of a material, and what in the needs asks for it.
struct LookUp {
  bool MaterialNeeds::*need;
  /// Throws MaterialError where it cannot be had at the level.
  void (*look_up)(const Draft& draft, const materials::Material& material,
                  units::Temperature level);
  bool at_reference;  ///< at the reference temperature
  bool at_levels;     ///< at every temperature of the zone
};

void look_up_elongation(const Draft& draft, const materials::Material& material,
                        units::Temperature level) {
  static_cast<void>(material.elongation().between(draft.reference_temperature, level,
                                                  draft.options.extrapolation));
}

void look_up_youngs_modulus(const Draft& draft, const materials::Material& material,
                            units::Temperature level) {
  static_cast<void>(material.youngs_modulus(level, draft.options.extrapolation));
}

void look_up_poissons_ratio(const Draft& draft, const materials::Material& material,
                            units::Temperature level) {
  const units::Ratio ratio = material.poissons_ratio(level, draft.options.extrapolation);
  if (!(ratio.value() >= 0.0)) {
    throw MaterialError("the poissons_ratio of material " + in_quotes(material.id()) +
                        " is below 0, and the theory of fits wants one from 0 on");
  }
}

void look_up_density(const Draft& draft, const materials::Material& material,
                     units::Temperature level) {
  static_cast<void>(material.density(level, draft.options.extrapolation));
}

void look_up_shear_stiffness(const Draft& draft, const materials::Material& material,
                             units::Temperature level) {
  if (materials::gives(material.record(), "shear_modulus")) {
    static_cast<void>(material.shear_modulus(level, draft.options.extrapolation));
  } else {
    static_cast<void>(material.youngs_modulus(level, draft.options.extrapolation));
    static_cast<void>(material.poissons_ratio(level, draft.options.extrapolation));
  }
}

void look_up_elastomer_modulus(const Draft& draft, const materials::Material& material,
                               units::Temperature level) {
  if (materials::gives(material.record(), "shear_modulus")) {
    static_cast<void>(material.shear_modulus(level, draft.options.extrapolation));
  }
}

void look_up_elastomer_loss(const Draft& draft, const materials::Material& material,
                            units::Temperature level) {
  if (materials::gives(material.record(), "loss_factor")) {
    static_cast<void>(material.loss_factor(level, draft.options.extrapolation));
  }
}

void look_up_elastomer_factor(const Draft& draft, const materials::Material& material,
                              units::Temperature level) {
  if (materials::gives(material.record(), "temperature_factor")) {
    static_cast<void>(material.temperature_factor(level, draft.options.extrapolation));
  }
}

/// In the order of messages. What fits ask for is looked up at the reference temperature by them.
constexpr std::array look_ups{
    LookUp{&MaterialNeeds::elongation, look_up_elongation, false, true},
    LookUp{&MaterialNeeds::youngs_modulus, look_up_youngs_modulus, false, true},
    LookUp{&MaterialNeeds::poissons_ratio, look_up_poissons_ratio, false, true},
    LookUp{&MaterialNeeds::density, look_up_density, true, false},
    LookUp{&MaterialNeeds::shear_stiffness, look_up_shear_stiffness, false, true},
    LookUp{&MaterialNeeds::elastomer_modulus, look_up_elastomer_modulus, true, false},
    LookUp{&MaterialNeeds::elastomer_loss, look_up_elastomer_loss, false, true},
    LookUp{&MaterialNeeds::elastomer_factor, look_up_elastomer_factor, true, true},
};

/// All uses of one material at one temperature: who asks first, and who for each look-up.
struct MaterialUse {
  const SolidUse* first = nullptr;
  std::array<const SolidUse*, look_ups.size()> asking{};
};

/// A zone that something is in, and what first.
struct ZoneInUse {
  std::size_t zone;
  std::string_view user;
};

/// Each zone once, in the order of the draft.
std::vector<ZoneInUse> zones_in_use(const Draft& draft) {
  std::vector<ZoneInUse> result;
  std::set<std::size_t> seen;
  for (const SolidUse& use : draft.solids) {
    const auto zone = static_cast<std::size_t>(use.solid.zone);
    if (seen.insert(zone).second) {
      result.push_back({zone, use.user});
    }
  }
  for (const ZoneUse& use : draft.zone_uses) {
    if (seen.insert(use.zone).second) {
      result.push_back({use.zone, use.user});
    }
  }
  return result;
}

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

std::string need_of(const ZoneInUse& in_use) {
  return "needed is one, since the " + std::string(in_use.user) + " is in it";
}

/// Reports zones that are in use and have no temperature in a condition, once each.
void check_zones_have_levels(const Draft& draft, const std::vector<ZoneInUse>& in_use) {
  for (const auto& condition : draft.conditions) {
    if (!condition) {
      continue;
    }
    for (const ZoneInUse& use : in_use) {
      if (!condition->written.contains(use.zone)) {
        condition->zones.report("the zone " + in_quotes(draft.zones.name(use.zone)) +
                                " has no temperature here; " + need_of(use));
      }
    }
  }
}

/// Reports zones that are in use and that the network has no body or boundary for, or a record no
/// column, once each.
void check_zones_have_histories(const Draft& draft, std::vector<ZoneInUse> in_use) {
  std::sort(in_use.begin(), in_use.end(),
            [](const ZoneInUse& a, const ZoneInUse& b) { return a.zone < b.zone; });
  const auto report = [&draft](const Field& place, const ZoneInUse& use,
                               const std::string& lacking) {
    place.report("the zone " + in_quotes(draft.zones.name(use.zone)) + " has no " + lacking + "; " +
                 need_of(use));
  };
  bool has_run = false;
  for (const auto& history : draft.histories) {
    if (!history) {
      continue;
    }
    const auto* record = std::get_if<RecordDraft>(&history->course);
    has_run = has_run || record == nullptr;
    for (const ZoneInUse& use : in_use) {
      if (record != nullptr && !record->by_zone[use.zone]) {
        report(history->self, use, "column in " + in_quotes(record->file));
      }
    }
  }
  if (!has_run || !draft.network->zones_known) {
    return;
  }
  for (const ZoneInUse& use : in_use) {
    if (!draft.network->zones_written.contains(use.zone)) {
      report(draft.network->self, use, "body or boundary in the network");
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

/// Reports what a look-up, asked of the solid's material, throws at a level.
void check_look_up(const Draft& draft, const SolidUse& use, units::Temperature level,
                   const UsedLevel& used, const LookUp& wanted) {
  try {
    wanted.look_up(draft, *use.solid.material, level);
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
  for (std::size_t i = 0; i < look_ups.size(); ++i) {
    if (look_ups[i].at_levels && use.asking[i] != nullptr) {
      check_look_up(draft, *use.asking[i], level, used, look_ups[i]);
    }
  }
}

/// Checks what is looked up at the reference temperature; reported where its material is named.
void check_at_reference(const Draft& draft, const MaterialUse& use) {
  for (std::size_t i = 0; i < look_ups.size(); ++i) {
    const SolidUse* asking = use.asking[i];
    if (!look_ups[i].at_reference || asking == nullptr) {
      continue;
    }
    try {
      look_ups[i].look_up(draft, *asking->solid.material, draft.reference_temperature);
    } catch (const MaterialError& error) {
      asking->material_field.report("the " + asking->user +
                                    " needs a value at the reference temperature: " + error.what());
    }
  }
}

void check_zone_uses(const Draft& draft) {
  for (const ZoneUse& use : draft.zone_uses) {
    if (!use.check) {
      continue;
    }
    for (const UsedLevel& used : levels_of_zone(draft, use.zone)) {
      use.check(used.level, used.place, used.where);
    }
  }
}

}  // namespace

void check_temperatures(Draft& draft) {
  const std::vector<ZoneInUse> in_use = zones_in_use(draft);
  check_zones_have_levels(draft, in_use);
  check_zones_have_histories(draft, in_use);
  check_zone_uses(draft);
  // Many solids share material and zone; each such pair is looked at once.
  std::vector<MaterialUse> distinct;
  std::map<std::tuple<const materials::Material*, thermal::ZoneIndex, double>, std::size_t> places;
  for (const SolidUse& use : draft.solids) {
    const auto [entry, is_new] = places.emplace(
        std::tuple(use.solid.material.get(), use.solid.zone, use.excess.value()), distinct.size());
    if (is_new) {
      distinct.push_back({&use, {}});
    }
    MaterialUse& together = distinct[entry->second];
    for (std::size_t i = 0; i < look_ups.size(); ++i) {
      if (use.needs.*look_ups[i].need && together.asking[i] == nullptr) {
        together.asking[i] = &use;
      }
    }
  }
  const std::set<const materials::Material*> unusable = check_reference_temperature(draft);
  for (const MaterialUse& use : distinct) {
    const thermal::Solid& solid = use.first->solid;
    if (unusable.contains(solid.material.get())) {
      continue;
    }
    check_at_reference(draft, use);
    for (const UsedLevel& used : levels_of_zone(draft, static_cast<std::size_t>(solid.zone))) {
      check_level(draft, use, used);
    }
  }
}

}  // namespace lashband::io
