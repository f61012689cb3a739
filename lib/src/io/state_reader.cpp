#include <set>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/error.hpp"

namespace lashband::io {
namespace {

constexpr std::string_view every_zone = "all";
constexpr std::string_view soak_name = "soak";
constexpr int fewest_points = 2;
constexpr int most_points = 10000;
constexpr ValueRule level{"a temperature level", rules::any};

/// A temperature at which solids of one zone are used, and how messages call the state.
struct UsedLevel {
  units::Temperature level;
  std::string state;  ///< "condition \"cold soak\"", "soak"
  Field place;
};

/// The temperatures of one condition, zone by zone; "all" stands for every zone not named.
void read_zone_levels(Draft& draft, ConditionDraft& condition) {
  const auto object = read_object(
      condition.zones, "an object that gives each zone its temperature, or \"all\" of them");
  if (!object) {
    return;
  }
  const auto& members = std::get<json::Object>(condition.zones.value().data);
  condition.by_zone.assign(draft.zones.size(), std::nullopt);
  const auto give = [&condition](std::size_t zone, const std::optional<units::Temperature>& value,
                                 const Field& field) {
    condition.by_zone[zone] = value;
    condition.written.insert_or_assign(zone, field);
  };
  const auto field_of = [&condition](const json::Member& member) {
    return Field(condition.zones.file(), member.value,
                 json::pointer_to(condition.zones.pointer(), member.key));
  };
  if (const json::Member* all = json::find(members, every_zone)) {
    const Field field = field_of(*all);
    const auto value = read_quantity<units::Temperature>(field, level);
    for (std::size_t zone = 0; zone < draft.zones.size(); ++zone) {
      give(zone, value, field);
    }
  }
  for (const json::Member& member : members) {
    if (member.key == every_zone) {
      continue;
    }
    const Field field = field_of(member);
    const auto value = read_quantity<units::Temperature>(field, level);
    if (const auto zone = draft.zones.find_key(member, field)) {
      give(*zone, value, field);
    }
  }
}

std::optional<ConditionDraft> read_condition(Draft& draft, const Field& entry) {
  auto object = read_object(entry, "a condition, an object with id and zones");
  if (!object) {
    draft.condition_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the condition's name");
  draft.condition_names.add(id, id_field);
  if (id && (*id == soak_name || id->rfind(std::string(soak_name) + " ", 0) == 0)) {
    id_field.report("read " + in_quotes(*id) +
                    ", which names points of the soak; allowed is a name that is not \"soak\" and "
                    "does not begin with \"soak \"");
  }
  ConditionDraft condition{id.value_or(""), {}, {}, object->required("zones"), std::nullopt};
  read_zone_levels(draft, condition);
  condition.speed = read_quantity<units::AngularVelocity>(
      object->optional("speed"), {"a speed of at least 0", rules::not_below_zero});
  object->refuse_unknown_keys();
  return condition.by_zone.empty() ? std::nullopt : std::optional(std::move(condition));
}

std::optional<SoakDraft> read_soak(const Field& field) {
  auto object = read_object(field, "an object with from, to and points");
  if (!object) {
    return std::nullopt;
  }
  const Field from_field = object->required("from");
  const Field to_field = object->required("to");
  const auto from = read_quantity<units::Temperature>(from_field, level);
  const auto to = read_quantity<units::Temperature>(to_field, level);
  const auto points =
      read_whole_number(object->required("points"), "a whole number", fewest_points, most_points);
  object->refuse_unknown_keys();
  if (from && to && !(from->value() < to->value())) {
    to_field.report("read " + to_field.as_read() +
                    "; allowed is a temperature level above \"from\", " + from_field.as_read());
    return std::nullopt;
  }
  if (!from || !to || !points) {
    return std::nullopt;
  }
  return SoakDraft{design::Soak{*from, *to, static_cast<std::size_t>(*points)}, from_field,
                   to_field};
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

/// Checks one solid at one level; says so in a remark where extrapolation is allowed.
void check_level(Draft& draft, const SolidUse& use, const UsedLevel& used) {
  const materials::Material& material = *use.solid.material;
  const std::string& zone = draft.zones.name(static_cast<std::size_t>(use.solid.zone));
  if (!materials::contains(material.range(), used.level)) {
    if (draft.options.extrapolation == materials::Extrapolation::refuse) {
      used.place.report("the zone " + in_quotes(zone) + " reaches " + units::format(used.level) +
                        ", outside the range of its material " + in_quotes(material.id()) +
                        "; allowed is " + range_text(material.range()));
      return;
    }
    draft.remarks.beyond_range.push_back(
        extrapolation_text(material, used.level, used.state + ", zone " + in_quotes(zone)));
  }
  try {
    static_cast<void>(material.elongation().between(draft.reference_temperature, used.level,
                                                    draft.options.extrapolation));
    if (use.needs_youngs_modulus) {
      static_cast<void>(material.youngs_modulus(used.level, draft.options.extrapolation));
    }
  } catch (const MaterialError& error) {
    used.place.report("the " + use.user + " cannot be used at " + units::format(used.level) + ": " +
                      error.what());
  }
}

}  // namespace

void read_zones(Draft& draft, const Field& field) {
  const auto entries = read_list(field, "a list of 1 to 1000 zone names", 1, most_entries);
  if (!entries) {
    draft.zones.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    const auto name = read_name(entry, "a zone's name");
    draft.zones.add(name, entry);
    if (name && *name == every_zone) {
      entry.report("read \"all\", which stands for every zone; allowed is another name");
    }
  }
}

std::optional<thermal::Solid> read_solid(Draft& draft, ObjectReader& object,
                                         const std::string& user, bool needs_youngs_modulus) {
  const Field material_field = object.required("material");
  MaterialPointer material = draft.materials.find(material_field);
  const auto zone = draft.zones.find(object.required("zone"));
  if (!material) {
    return std::nullopt;
  }
  bool good = true;
  const auto need = [&](std::string_view property, std::string_view why) {
    if (!materials::gives(material->record(), property)) {
      material_field.report("the material " + in_quotes(material->id()) + " has no " +
                            std::string(property) + "; needed is one that has, " +
                            std::string(why));
      good = false;
    }
  };
  need("elongation", "to follow the temperature");
  if (needs_youngs_modulus) {
    need("youngs_modulus", "where a section is given");
  }
  if (!good || !zone) {
    return std::nullopt;
  }
  const thermal::Solid solid{std::move(material), thermal::ZoneIndex{*zone}};
  draft.solids.push_back({solid, user, needs_youngs_modulus, material_field});
  return solid;
}

void read_states(Draft& draft, const Field& conditions, const Field& soak) {
  if (const auto entries =
          read_list(conditions, "a list of up to 1000 conditions", 0, most_entries)) {
    for (const Field& entry : *entries) {
      draft.conditions.push_back(read_condition(draft, entry));
    }
    if (entries->empty() && !soak.given()) {
      conditions.report(
          "read an empty list and no \"soak\"; needed is at least one condition or a \"soak\", so "
          "that there is a temperature to look at");
    }
  }
  draft.soak = read_soak(soak);
  if (!conditions.given() && !soak.given()) {
    conditions.report(
        "the keys \"conditions\" and \"soak\" are missing; needed is at least one of them, so that "
        "there is a temperature to look at");
  }
}

void check_temperatures(Draft& draft) {
  check_zones_have_levels(draft);
  // Many solids share material and zone; each such pair is looked at once, with Young's modulus if
  // any of them needs it.
  std::vector<SolidUse> distinct;
  std::map<std::pair<const materials::Material*, thermal::ZoneIndex>, std::size_t> place_of;
  for (const SolidUse& use : draft.solids) {
    const auto [entry, is_new] =
        place_of.emplace(std::pair(use.solid.material.get(), use.solid.zone), distinct.size());
    if (is_new) {
      distinct.push_back(use);
    } else if (use.needs_youngs_modulus && !distinct[entry->second].needs_youngs_modulus) {
      distinct[entry->second] = use;
    }
  }
  const std::set<const materials::Material*> unusable = check_reference_temperature(draft);
  for (const SolidUse& use : distinct) {
    if (unusable.contains(use.solid.material.get())) {
      continue;
    }
    for (const UsedLevel& used : levels_of_zone(draft, static_cast<std::size_t>(use.solid.zone))) {
      check_level(draft, use, used);
    }
  }
}

}  // namespace lashband::io
