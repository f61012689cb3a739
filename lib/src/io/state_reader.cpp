#include <utility>

#include "io/design_draft.hpp"

namespace lashband::io {
namespace {

constexpr std::string_view every_zone = "all";
constexpr std::string_view soak_name = "soak";
constexpr int fewest_points = 2;
constexpr int most_points = 10000;
constexpr ValueRule level{"a temperature level", rules::any};

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

/// The force of each mesh that is named.
void read_mesh_forces(Draft& draft, ConditionDraft& condition, const Field& field) {
  if (!read_object(field, "an object that gives meshes their force")) {
    return;
  }
  for (const json::Member& member : std::get<json::Object>(field.value().data)) {
    const Field value(field.file(), member.value, json::pointer_to(field.pointer(), member.key));
    const auto force =
        read_quantity<units::Force>(value, {"a force of at least 0", rules::not_below_zero});
    const auto mesh = draft.mesh_names.find_key(member, value);
    if (force && mesh) {
      condition.mesh_force.insert_or_assign(*mesh, *force);
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
  if (id && is_name_of_soak(*id)) {
    id_field.report("read " + in_quotes(*id) +
                    ", which names points of the soak; allowed is a name that is not \"soak\" and "
                    "does not begin with \"soak \"");
  }
  ConditionDraft condition{id.value_or(""), {}, {}, object->required("zones"),
                           std::nullopt,    {}, {}};
  read_zone_levels(draft, condition);
  read_speed(draft, condition, object->optional("speed"));
  read_mesh_forces(draft, condition, object->optional("mesh_force"));
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

bool is_empty_list(const Field& field) {
  const auto* list = field.given() ? std::get_if<json::List>(&field.value().data) : nullptr;
  return list != nullptr && list->empty();
}

/// Reports a file that has no temperature to look at.
void check_there_is_a_state(const Field& conditions, const Field& soak, const Field& histories) {
  const auto gives_one = [](const Field& list) { return list.given() && !is_empty_list(list); };
  if (soak.given() || gives_one(conditions) || gives_one(histories)) {
    return;
  }
  constexpr std::string_view needed =
      "needed is at least one condition, a \"soak\" or a history, so that there is a temperature "
      "to "
      "look at";
  const Field& place = conditions.given() ? conditions : histories;
  place.report((place.given() ? "read an empty list, and nothing else gives a temperature; "
                              : R"(the keys "conditions", "soak" and "histories" are missing; )") +
               std::string(needed));
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

bool is_name_of_soak(const std::string& name) {
  return name == soak_name || name.rfind(std::string(soak_name) + " ", 0) == 0;
}

void read_states(Draft& draft, const Field& conditions, const Field& soak, const Field& histories) {
  if (const auto entries =
          read_list(conditions, "a list of up to 1000 conditions", 0, most_entries)) {
    for (const Field& entry : *entries) {
      draft.conditions.push_back(read_condition(draft, entry));
    }
  }
  draft.soak = read_soak(soak);
  check_there_is_a_state(conditions, soak, histories);
}

}  // namespace lashband::io
