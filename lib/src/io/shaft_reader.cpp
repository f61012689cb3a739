#include <numbers>
#include <utility>

#include "io/design_draft.hpp"
#include "io/tolerance_reader.hpp"

namespace lashband::io {
namespace {

constexpr ValueRule length{"a length", rules::any};
constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule length_not_below_zero{"a length of at least 0", rules::not_below_zero};
constexpr ValueRule contact_angle_rule{"an angle above 0 deg and below 90 deg", [](double angle) {
                                         return angle > 0.0 && angle < 0.5 * std::numbers::pi;
                                       }};

std::optional<geometry::Point> read_point(const Field& field) {
  const auto entries = read_list(field, R"(a place [x, y], such as ["106.608 mm", "0 mm"])", 2, 2);
  if (!entries) {
    return std::nullopt;
  }
  const auto x = read_quantity<units::Length>((*entries)[0], length);
  const auto y = read_quantity<units::Length>((*entries)[1], length);
  return x && y ? std::optional(geometry::Point{*x, *y}) : std::nullopt;
}

std::optional<design::Preload> read_preload(Draft& draft, const Field& field,
                                            const std::string& shaft) {
  auto object = read_object(
      field,
      "a preload, an object with arrangement, travel, contact_angle, span, material and zone");
  if (!object) {
    return std::nullopt;
  }
  const auto arrangement = read_choice<bearing::Arrangement>(
      object->required("arrangement"), {{"face_to_face", bearing::Arrangement::face_to_face},
                                        {"back_to_back", bearing::Arrangement::back_to_back}});
  const auto travel =
      read_quantity<units::Length>(object->required("travel"), length_not_below_zero);
  const auto angle =
      read_quantity<units::Angle>(object->required("contact_angle"), contact_angle_rule);
  const auto span = read_quantity<units::Length>(object->required("span"), length_above_zero);
  const auto solid = read_solid(draft, *object, "case between the bearings of " + shaft);
  object->refuse_unknown_keys();
  if (!arrangement || !travel || !angle || !span || !solid) {
    return std::nullopt;
  }
  return design::Preload{*arrangement, *travel, *angle, *span, *solid};
}

std::optional<ShaftDraft> read_shaft(Draft& draft, const Field& entry) {
  auto object = read_object(entry, "a shaft, an object with id");
  if (!object) {
    draft.shaft_names.add(std::nullopt, entry);
    return std::nullopt;
  }
  const Field id_field = object->required("id");
  const auto id = read_name(id_field, "the shaft's name");
  draft.shaft_names.add(id, id_field);
  ShaftDraft result{{}, entry, {}, false, std::nullopt};
  design::Shaft& shaft = result.shaft;
  shaft.id = id.value_or("");
  const Field at_field = object->optional("at");
  bool good = take_given(shaft.at, at_field, read_point(at_field));

  const bool has_solid = object->has("material") || object->has("zone");
  const Field bearings_field = object->optional("bearings");
  read_bearings(draft, result, bearings_field, has_solid);
  if (has_solid) {
    bool has_inner_fit = false;
    for (const design::Bearing& bearing : shaft.bearings) {
      has_inner_fit = has_inner_fit || bearing.inner_fit;
    }
    shaft.solid = read_solid(draft, *object, "shaft " + in_quotes(shaft.id),
                             {.youngs_modulus = has_inner_fit,
                              .poissons_ratio = has_inner_fit,
                              .why = "for the fit of an inner ring on it"});
  }
  const Field preload_field = object->optional("preload");
  shaft.preload = read_preload(draft, preload_field, "shaft " + in_quotes(shaft.id));
  if (preload_field.given() && bearings_field.given()) {
    preload_field.report(
        "read \"preload\" beside \"bearings\"; allowed is one of them: bearings set against each "
        "other have no clearance of their own");
  }
  if (preload_field.given() && !has_solid) {
    preload_field.report(
        "the preload needs the material of the shaft; needed are the keys \"material\" and "
        "\"zone\" of the shaft");
  }
  const Field tolerance_field = object->optional("position_tolerance");
  shaft.position_tolerance = read_quantity<units::Length>(tolerance_field, length_above_zero);
  if (shaft.position_tolerance) {
    result.position_tolerance = tolerance_field;
  }
  const Field float_field = object->optional("axial_float");
  good = take_given(shaft.axial_float, float_field, read_extent(float_field)) && good;
  if (!preload_field.given() && !result.has_bearings) {
    draft.remarks.without_bearings.push_back(shaft.id);
  }
  if (read_quantity<units::Inertia>(object->optional("inertia"),
                                    {"a moment of inertia above 0", rules::above_zero})) {
    draft.remarks.with_inertia.push_back(shaft.id);
  }
  object->refuse_unknown_keys();
  good = good && id;
  return good ? std::optional(std::move(result)) : std::nullopt;
}

/// The ids that the file gives to bearings, so that the names of those without stay clear of them.
std::set<std::string> given_bearing_ids(const std::vector<Field>& shafts) {
  std::set<std::string> ids;
  for (const Field& shaft : shafts) {
    const Field bearings = member_of(shaft, "bearings");
    const auto* list = bearings.given() ? std::get_if<json::List>(&bearings.value().data) : nullptr;
    for (std::size_t i = 0; list != nullptr && i < list->size(); ++i) {
      const Field id = member_of(Field(shaft.file(), (*list)[i], ""), "id");
      const auto* text = id.given() ? std::get_if<std::string>(&id.value().data) : nullptr;
      if (text != nullptr) {
        ids.insert(*text);
      }
    }
  }
  return ids;
}

}  // namespace

void read_shafts(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of 2 to 10000 shafts", 2, most_parts);
  if (!entries) {
    draft.shaft_names.mark_incomplete();
    return;
  }
  draft.ids_of_bearings = given_bearing_ids(*entries);
  for (const Field& entry : *entries) {
    draft.shafts.push_back(read_shaft(draft, entry));
  }
}

}  // namespace lashband::io
