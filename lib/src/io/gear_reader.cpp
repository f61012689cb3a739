#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "io/design_draft.hpp"
#include "io/tolerance_reader.hpp"
#include "lashband/error.hpp"
#include "lashband/limits/din_3967.hpp"
#include "lashband/limits/iso_1328.hpp"

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
/// Tolerance series of DIN 3967.
constexpr int least_series = 21;
constexpr int greatest_series = 30;

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

/// A thickness allowance: a tolerance, or the fit of DIN 3967 at the reference diameter, which is
/// empty where it could not be read. The found band of such a fit is put in a note on `gear`.
std::optional<tolerance::Toleranced<units::Length>> read_allowance(
    Draft& draft, const Field& field, const std::optional<units::Length>& reference_diameter,
    const std::string& gear) {
  if (!member_of(field, "series").given() && !member_of(field, "tolerance").given()) {
    return read_tolerance<units::Length>(
        field,
        ", or of series and tolerance of DIN 3967, such as { \"series\": \"cd\", "
        "\"tolerance\": 25 }");
  }
  ObjectReader object(field, std::get<json::Object>(field.value().data));
  const std::array<std::string, 11> all_series = {"a", "ab", "b", "bc", "c", "cd",
                                                  "d", "e",  "f", "g",  "h"};
  const auto series = read_word(object.required("series"), all_series);
  const auto number = read_whole_number(object.required("tolerance"),
                                        "a tolerance series of DIN 3967, a whole number",
                                        least_series, greatest_series);
  std::optional<units::Band<units::Length>> band;
  if (series && number && reference_diameter) {
    try {
      band = limits::thickness_allowance(*series, *number, *reference_diameter);
      note_from_memory(draft, "gear " + gear,
                       "thickness_allowance " + *series + std::to_string(*number) + " by DIN 3967",
                       band_text(*band));
    } catch (const DomainError& error) {
      field.report(error.what());
    }
  }
  const auto shape = read_shape_keys(object, band);
  object.refuse_unknown_keys();
  return band && shape ? std::optional(tolerance::Toleranced<units::Length>{*band, *shape})
                       : std::nullopt;
}

/// Where the keys stand that decide whether a body is possible.
struct BodyFields {
  Field self;
  Field tip;
  Field tip_deviation;
  Field allowance;
};

/// The body, and whether it can take both ends of its tip diameter and of its allowance.
std::optional<geometry::ToothedBody> checked_body(
    const geometry::ToothData& data, const units::Band<units::Length>& allowance,
    const std::optional<units::Band<units::Length>>& tip_deviation, const BodyFields& fields) {
  std::optional<geometry::ToothedBody> body;
  try {
    body.emplace(data);
  } catch (const DomainError& error) {
    // With every value in its own range, what is left is about how they go together.
    (fields.tip.given() ? fields.tip : fields.self).report(error.what());
    return std::nullopt;
  }
  for (const units::Length& end : {allowance.low, allowance.high}) {
    try {
      static_cast<void>(body->with_thickness_allowance(end));
    } catch (const DomainError& error) {
      fields.allowance.report(error.what());
      return std::nullopt;
    }
  }
  if (!tip_deviation) {
    return body;
  }
  for (const units::Length& end : {tip_deviation->low, tip_deviation->high}) {
    try {
      geometry::ToothData at_end = data;
      at_end.tip_diameter = body->tip_diameter() + end;
      static_cast<void>(geometry::ToothedBody(at_end));
    } catch (const DomainError& error) {
      fields.tip_deviation.report(error.what());
      return std::nullopt;
    }
  }
  return body;
}

struct Flanks {
  std::optional<tolerance::Toleranced<units::Length>> run_out;
  std::optional<tolerance::Toleranced<units::Length>> pitch_deviation;
  std::optional<tolerance::Toleranced<units::Length>> helix_deviation;
};

/// The deviations of the flanks, each as given or else of the accuracy class. `toleranced` is empty
/// where it could not be read, and then the class gives nothing.
[[nodiscard]] bool read_flanks(Draft& draft, ObjectReader& object, const std::string& gear,
                               Flanks& flanks,
                               const std::optional<limits::TolerancedGear>& toleranced,
                               units::Angle transverse_pressure_angle) {
  const Field class_field = object.optional("accuracy_class");
  const Field run_out_field = object.optional("run_out");
  const Field pitch_field = object.optional("pitch_deviation");
  const Field helix_field = object.optional("helix_deviation");
  bool good = take_given(flanks.run_out, run_out_field, read_magnitude(run_out_field));
  good = take_given(flanks.pitch_deviation, pitch_field, read_magnitude(pitch_field)) && good;
  good = take_given(flanks.helix_deviation, helix_field, read_signed_limit(helix_field)) && good;
  const bool has_all = run_out_field.given() && pitch_field.given() && helix_field.given();
  const bool has_none = !run_out_field.given() && !pitch_field.given() && !helix_field.given();
  if (!class_field.given()) {
    Remarks& remarks = draft.remarks;
    if (has_none) {
      remarks.without_class.push_back(gear);
      return good;
    }
    const auto remark = [&gear](const Field& field, std::vector<std::string>& without) {
      if (!field.given()) {
        without.push_back(gear);
      }
    };
    remark(run_out_field, remarks.without_run_out);
    remark(pitch_field, remarks.without_pitch_deviation);
    remark(helix_field, remarks.without_helix_deviation);
    return good;
  }
  const auto number = read_whole_number(
      class_field, "an accuracy class of ISO 1328-1, a whole number", finest_class, coarsest_class);
  if (!number || has_all || !toleranced) {
    return good && number;
  }
  limits::FlankTolerances found;
  try {
    found = limits::flank_tolerances(*number, *toleranced);
  } catch (const DomainError& error) {
    class_field.report(error.what());
    return false;
  }
  std::string texts;
  const auto take = [&texts](auto& place, const Field& field, std::string_view key,
                             const tolerance::Toleranced<units::Length>& value) {
    if (!field.given()) {
      place = value;
      texts +=
          std::string(texts.empty() ? "" : ", ") + std::string(key) + " " + band_text(value.band);
    }
  };
  take(flanks.run_out, run_out_field, "run_out", tolerance::magnitude_up_to(found.F_rT));
  // The base pitch is the pitch at the reference circle times cos alpha_t.
  const units::Length base_pitch_tolerance =
      found.f_ptT * std::cos(transverse_pressure_angle.value());
  take(flanks.pitch_deviation, pitch_field, "pitch_deviation",
       tolerance::magnitude_up_to(base_pitch_tolerance));
  take(flanks.helix_deviation, helix_field, "helix_deviation",
       tolerance::symmetrical(found.F_betaT));
  note_from_memory(draft, "gear " + gear,
                   "accuracy_class " + std::to_string(*number) + " by ISO 1328-1", texts);
  return good;
}

/// d = z m_n / cos beta, where the three are known.
std::optional<units::Length> reference_diameter(const std::optional<int>& teeth,
                                                const std::optional<units::Length>& module,
                                                units::Angle helix_angle) {
  return teeth && module
             ? std::optional(static_cast<double>(*teeth) * *module / std::cos(helix_angle.value()))
             : std::nullopt;
}

/// A count of teeth. That of an internal gear is often written with a minus sign.
std::optional<int> read_teeth(const Field& field) {
  const auto* number = field.given() ? std::get_if<double>(&field.value().data) : nullptr;
  if (number == nullptr || !(*number < 0.0)) {
    return read_whole_number(field, "a whole number", fewest_teeth, most_teeth);
  }
  field.report("read " + field.as_read() + "; allowed is a whole number from " +
               std::to_string(fewest_teeth) + " to " + std::to_string(most_teeth) +
               "; an internal gear has a positive count and \"internal\": true");
  return std::nullopt;
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
  const auto teeth = read_teeth(object->required("teeth"));
  const auto module = read_quantity<units::Length>(object->required("module"), length_above_zero);
  const auto pressure_angle =
      read_quantity<units::Angle>(object->required("pressure_angle"), pressure_angle_rule);
  const auto face_width =
      read_quantity<units::Length>(object->required("face_width"), length_above_zero);
  bool good = id && shaft && teeth && module && pressure_angle && face_width;

  geometry::ToothData data;
  const Field internal_field = object->optional("internal");
  good = take_given(data.internal, internal_field, read_truth(internal_field)) && good;
  const Field helix_field = object->optional("helix_angle");
  const auto helix = read_quantity<units::Angle>(helix_field, helix_angle_rule);
  const bool helix_is_known = take_given(data.helix_angle, helix_field, helix);
  good = helix_is_known && good;
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

  const Field allowance_field = object->optional("thickness_allowance");
  const auto allowance = read_allowance(
      draft, allowance_field,
      helix_is_known ? reference_diameter(teeth, module, data.helix_angle) : std::nullopt, name);
  good = good && allowance.has_value() == allowance_field.given();
  if (!allowance_field.given()) {
    draft.remarks.without_allowance.push_back(name);
  }

  const auto solid = read_strained_solid(draft, *object, "gear " + in_quotes(name));
  const Field tip_field = object->optional("tip_diameter");
  data.tip_diameter = read_quantity<units::Length>(tip_field, length_above_zero);
  good = good && data.tip_diameter.has_value() == tip_field.given();
  good = read_rack(data.rack, object->optional("basic_rack")) && good;
  const Field deviation_field = object->optional("tip_diameter_deviation");
  std::optional<units::Band<units::Length>> tip_deviation;
  good =
      take_given(tip_deviation, deviation_field, read_band<units::Length>(deviation_field)) && good;
  const Field at_field = object->optional("at");
  std::optional<units::Length> at;
  good = take_given(at, at_field, read_quantity<units::Length>(at_field, length)) && good;
  const Field tooth_field = object->optional("tooth_at");
  std::optional<units::Angle> tooth_at;
  good = take_given(tooth_at, tooth_field,
                    read_quantity<units::Angle>(tooth_field, {"an angle", rules::any})) &&
         good;

  std::optional<geometry::ToothedBody> body;
  if (good) {
    data.teeth = *teeth;
    data.module = *module;
    data.pressure_angle = *pressure_angle;
    data.face_width = *face_width;
    body = checked_body(data, allowance ? allowance->band : units::Band<units::Length>{},
                        tip_deviation, {entry, tip_field, deviation_field, allowance_field});
  }
  Flanks flanks;
  std::optional<limits::TolerancedGear> toleranced;
  if (teeth && module && face_width && helix_is_known) {
    toleranced = {*teeth, *module, *face_width, data.helix_angle};
  }
  good = read_flanks(draft, *object, name, flanks, toleranced,
                     body ? body->transverse_pressure_angle() : units::Angle()) &&
         good;
  object->refuse_unknown_keys();
  if (!good || !body || !solid) {
    return std::nullopt;
  }
  return GearDraft{
      design::Gear{*id, *shaft, *body, allowance, *solid, at, flanks.run_out,
                   flanks.pitch_deviation, flanks.helix_deviation, tip_deviation, tooth_at},
      hand, entry};
}

}  // namespace

void read_gears(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of 2 to 10000 gears", 2, most_parts);
  if (!entries) {
    draft.gear_names.mark_incomplete();
    return;
  }
  for (const Field& entry : *entries) {
    draft.gears.push_back(read_gear(draft, entry));
  }
}

}  // namespace lashband::io
