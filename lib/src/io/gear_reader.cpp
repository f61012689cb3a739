#include <cmath>
#include <numbers>
#include <utility>

#include "io/design_draft.hpp"
#include "lashband/error.hpp"

namespace lashband::io {
namespace {

constexpr double degree = std::numbers::pi / 180.0;
// A hair of tolerance on limits given in degrees, so that "45 deg" itself is allowed.
constexpr double angle_slack = 1e-12;

constexpr int fewest_teeth = 3;
constexpr int most_teeth = 10000;
/// Accuracy classes of ISO 1328-1:2013.
constexpr int finest_class = 1;
constexpr int coarsest_class = 11;

constexpr ValueRule length{"a length", rules::any};
constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule pressure_angle_rule{"an angle from 5 deg to 45 deg", [](double angle) {
                                          return angle >= 5.0 * degree - angle_slack &&
                                                 angle <= 45.0 * degree + angle_slack;
                                        }};
constexpr ValueRule helix_angle_rule{"an angle from 0 deg to 60 deg", [](double angle) {
                                       return angle >= 0.0 && angle <= 60.0 * degree + angle_slack;
                                     }};
constexpr ValueRule profile_shift_rule{"a number from -5 to 5",
                                       [](double x) { return std::abs(x) <= 5.0; }};
constexpr ValueRule rack_height_rule{"a number of modules above 0 and up to 3",
                                     [](double height) { return height > 0.0 && height <= 3.0; }};
constexpr ValueRule fillet_rule{"a number of modules from 0 to 1",
                                [](double radius) { return radius >= 0.0 && radius <= 1.0; }};

/// Takes a value over its default where the key is given; false where it cannot be read.
template <class T>
[[nodiscard]] bool take_given(T& place, const Field& field, const std::optional<T>& value) {
  if (value) {
    place = *value;
  }
  return value.has_value() || !field.given();
}

void read_bearing(const Field& entry) {
  auto object = read_object(entry,
                            "a bearing, an object with clearance and, where known, bore, "
                            "outside_diameter and at");
  if (!object) {
    return;
  }
  const Field bore_field = object->optional("bore");
  const Field outside_field = object->optional("outside_diameter");
  const auto bore = read_quantity<units::Length>(bore_field, length_above_zero);
  const auto outside = read_quantity<units::Length>(outside_field, length_above_zero);
  if (bore && outside && !(*outside > *bore)) {
    outside_field.report("read " + outside_field.as_read() +
                         "; allowed is a length above the bore, " + bore_field.as_read());
  }
  static_cast<void>(read_band(object->required("clearance")));
  static_cast<void>(read_quantity<units::Length>(object->optional("at"), length));
  object->refuse_unknown_keys();
}

std::optional<geometry::Point> read_point(const Field& field) {
  const auto entries = read_list(field, R"(a place [x, y], such as ["106.608 mm", "0 mm"])", 2, 2);
  if (!entries) {
    return std::nullopt;
  }
  const auto x = read_quantity<units::Length>((*entries)[0], length);
  const auto y = read_quantity<units::Length>((*entries)[1], length);
  return x && y ? std::optional(geometry::Point{*x, *y}) : std::nullopt;
}

std::optional<design::Shaft> read_shaft(Draft& draft, const Field& entry) {
  auto object = read_object(entry, "a shaft, an object with id");
  if (!object) {
    draft.shaft_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the shaft's name");
  draft.shaft_names.add(id, id_field);
  const Field at_field = object->optional("at");
  const auto at = read_point(at_field);
  const Field bearings_field = object->optional("bearings");
  if (const auto bearings =
          read_list(bearings_field, "a list of up to 1000 bearings", 0, most_entries)) {
    for (const Field& bearing : *bearings) {
      read_bearing(bearing);
    }
    (bearings->empty() ? draft.remarks.without_bearings : draft.remarks.with_bearings)
        .push_back(id.value_or(""));
  } else {
    draft.remarks.without_bearings.push_back(id.value_or(""));
  }
  if (read_quantity<units::Inertia>(object->optional("inertia"),
                                    {"a moment of inertia above 0", rules::above_zero})) {
    draft.remarks.with_inertia.push_back(id.value_or(""));
  }
  object->refuse_unknown_keys();
  if (!id || (at_field.given() && !at)) {
    return std::nullopt;
  }
  return design::Shaft{*id, at};
}

[[nodiscard]] bool read_rack(geometry::BasicRack& rack, const Field& field) {
  if (!field.given()) {
    return true;
  }
  auto object = read_object(field, "an object with addendum, dedendum and fillet_radius");
  if (!object) {
    return false;
  }
  bool good = true;
  const auto take = [&](double& place, std::string_view key, const ValueRule& rule) {
    const Field given = object->optional(key);
    good = take_given(place, given, read_number(given, rule)) && good;
  };
  take(rack.addendum, "addendum", rack_height_rule);
  take(rack.dedendum, "dedendum", rack_height_rule);
  take(rack.fillet_radius, "fillet_radius", fillet_rule);
  object->refuse_unknown_keys();
  return good;
}

/// The body, and whether it can take both ends of its allowance.
std::optional<geometry::ToothedBody> checked_body(const geometry::ToothData& data,
                                                  const units::Band<units::Length>& allowance,
                                                  const Field& self, const Field& tip_field,
                                                  const Field& allowance_field) {
  std::optional<geometry::ToothedBody> body;
  try {
    body.emplace(data);
  } catch (const DomainError& error) {
    // With every value in its own range, what is left is about how they go together.
    (tip_field.given() ? tip_field : self).report(error.what());
    return std::nullopt;
  }
  for (const units::Length& end : {allowance.low, allowance.high}) {
    try {
      static_cast<void>(body->with_thickness_allowance(end));
    } catch (const DomainError& error) {
      allowance_field.report(error.what());
      return std::nullopt;
    }
  }
  return body;
}

std::optional<GearDraft> read_gear(Draft& draft, const Field& entry) {
  auto object = read_object(
      entry, "a gear, an object with id, shaft, teeth, module and the rest of its drawing data");
  if (!object) {
    draft.gear_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the gear's name");
  draft.gear_names.add(id, id_field);
  const std::string name = id.value_or("");

  const auto shaft = draft.shaft_names.find(object->required("shaft"));
  const auto teeth =
      read_whole_number(object->required("teeth"), "a whole number", fewest_teeth, most_teeth);
  const auto module = read_quantity<units::Length>(object->required("module"), length_above_zero);
  const auto pressure_angle =
      read_quantity<units::Angle>(object->required("pressure_angle"), pressure_angle_rule);
  const auto face_width =
      read_quantity<units::Length>(object->required("face_width"), length_above_zero);
  bool good = id && shaft && teeth && module && pressure_angle && face_width;

  geometry::ToothData data;
  const Field helix_field = object->optional("helix_angle");
  const auto helix = read_quantity<units::Angle>(helix_field, helix_angle_rule);
  good = take_given(data.helix_angle, helix_field, helix) && good;
  const Field hand_field = object->optional("hand");
  const auto hand =
      hand_field.given()
          ? read_choice<Hand>(hand_field, {{"left", Hand::left}, {"right", Hand::right}})
          : std::nullopt;
  good = good && hand.has_value() == hand_field.given();
  if (helix && *helix > units::Angle() && !hand_field.given()) {
    entry.report(
        "the key \"hand\" is missing; needed is \"left\" or \"right\", since the gear has a "
        "helix_angle");
    good = false;
  }
  const Field shift_field = object->optional("profile_shift");
  good =
      take_given(data.profile_shift, shift_field, read_number(shift_field, profile_shift_rule)) &&
      good;

  units::Band<units::Length> allowance{};
  const Field allowance_field = object->optional("thickness_allowance");
  good = take_given(allowance, allowance_field, read_band(allowance_field)) && good;
  if (!allowance_field.given()) {
    draft.remarks.without_allowance.push_back(name);
  }

  const auto solid = read_solid(draft, *object, "gear " + in_quotes(name));
  const Field tip_field = object->optional("tip_diameter");
  data.tip_diameter = read_quantity<units::Length>(tip_field, length_above_zero);
  good = good && data.tip_diameter.has_value() == tip_field.given();
  good = read_rack(data.rack, object->optional("basic_rack")) && good;

  const Field class_field = object->optional("accuracy_class");
  if (!class_field.given()) {
    draft.remarks.without_class.push_back(name);
  } else if (read_whole_number(class_field, "an accuracy class of ISO 1328-1, a whole number",
                               finest_class, coarsest_class)) {
    draft.remarks.with_class.push_back(name);
  }
  object->refuse_unknown_keys();
  if (!good) {
    return std::nullopt;
  }
  data.teeth = *teeth;
  data.module = *module;
  data.pressure_angle = *pressure_angle;
  data.face_width = *face_width;
  auto body = checked_body(data, allowance, entry, tip_field, allowance_field);
  if (!body || !solid) {
    return std::nullopt;
  }
  return GearDraft{design::Gear{*id, *shaft, *body, allowance, *solid}, hand, entry};
}

}  // namespace

void read_shafts(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of 2 to 1000 shafts", 2, most_entries);
  if (!entries) {
    draft.shaft_names.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    draft.shafts.push_back(read_shaft(draft, entry));
  }
}

void read_gears(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of 2 to 1000 gears", 2, most_entries);
  if (!entries) {
    draft.gear_names.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    draft.gears.push_back(read_gear(draft, entry));
  }
}

}  // namespace lashband::io
