#include <algorithm>
#include <cctype>
#include <numbers>
#include <utility>

#include "io/design_draft.hpp"
#include "io/tolerance_reader.hpp"
#include "lashband/bearing/seat.hpp"
#include "lashband/error.hpp"
#include "lashband/limits/iso_286.hpp"
#include "lashband/limits/iso_492.hpp"
#include "lashband/limits/iso_5753.hpp"

// The bearings of a shaft, with values of standards looked up where the file names a class.
namespace lashband::io {
namespace {

using units::Length;
using LengthTolerance = tolerance::Toleranced<Length>;

constexpr std::size_t most_bearings = 2;
constexpr int fewest_elements = 3;
constexpr int most_elements = 1000;

constexpr ValueRule length{"a length", rules::any};
constexpr ValueRule length_above_zero{"a length above 0", rules::above_zero};
constexpr ValueRule length_not_below_zero{"a length of at least 0", rules::not_below_zero};
constexpr ValueRule contact_angle_rule{"an angle from 0 deg to below 90 deg", [](double angle) {
                                         return angle >= 0.0 && angle < 0.5 * std::numbers::pi;
                                       }};
constexpr std::string_view for_the_fit = "for the fit of the bearing";

/// What the parts of one bearing have in common while it is read.
struct Reading {
  Draft& draft;
  std::string id;
  std::optional<Length> bore;
  std::optional<Length> outside_diameter;

  [[nodiscard]] std::string user() const { return "bearing " + in_quotes(id); }
};

void note_from_memory(Reading& reading, const std::string& what, const units::Band<Length>& found) {
  io::note_from_memory(reading.draft, "bearing " + reading.id, what, band_text(found));
}

/// The text of a field that gives a word rather than a band.
const std::string* word_in(const Field& field) {
  return field.given() ? std::get_if<std::string>(&field.value().data) : nullptr;
}

/// Whether a text can only be meant as a tolerance class: one or two letters and a number.
bool is_tolerance_class(const std::string& text) {
  const auto letters = static_cast<std::size_t>(
      std::find_if_not(text.begin(), text.end(),
                       [](unsigned char c) { return std::isalpha(c) != 0; }) -
      text.begin());
  return letters >= 1 && letters <= 2 && letters < text.size() &&
         std::all_of(text.begin() + static_cast<std::ptrdiff_t>(letters), text.end(),
                     [](unsigned char c) { return std::isdigit(c) != 0; });
}

std::optional<limits::ClearanceClass> clearance_class(const std::string& word) {
  for (const auto one : {limits::ClearanceClass::C2, limits::ClearanceClass::CN,
                         limits::ClearanceClass::C3, limits::ClearanceClass::C4}) {
    if (word == limits::clearance_class_name(one)) {
      return one;
    }
  }
  return std::nullopt;
}

std::optional<LengthTolerance> read_clearance(Reading& reading, const Field& field) {
  const auto* word = word_in(field);
  const auto group = word != nullptr ? clearance_class(*word) : std::nullopt;
  if (!group) {
    return read_tolerance<Length>(field, R"(, or a class of ISO 5753-1, "C2", "CN", "C3" or "C4")");
  }
  if (!reading.bore) {
    field.report("read the class " + field.as_read() +
                 " of ISO 5753-1, which goes by the bore of the bearing; needed is the key "
                 "\"bore\"");
    return std::nullopt;
  }
  try {
    const auto found = limits::internal_clearance(*group, *reading.bore);
    if (limits::internal_clearance_certainty(*reading.bore) == limits::Certainty::memory) {
      note_from_memory(reading, "clearance " + *word + " by ISO 5753-1", found);
    }
    return LengthTolerance{found, tolerance::Shape::normal()};
  } catch (const DomainError& error) {
    field.report(error.what());
    return std::nullopt;
  }
}

/// A deviation of a seat: a tolerance, or a class of ISO 286 at the nominal `size`.
std::optional<LengthTolerance> read_seat_deviation(Reading& reading, const Field& field,
                                                   bool is_hole,
                                                   const std::optional<Length>& size) {
  const auto* word = word_in(field);
  if (word == nullptr || !is_tolerance_class(*word)) {
    return read_tolerance<Length>(field, is_hole
                                             ? ", or a tolerance class of ISO 286, such as \"H7\""
                                             : ", or a tolerance class of ISO 286, such as \"k5\"");
  }
  if ((std::isupper(static_cast<unsigned char>(word->front())) != 0) != is_hole) {
    field.report("read " + field.as_read() + ", a class of " + (is_hole ? "shafts" : "holes") +
                 "; allowed is a class of " +
                 (is_hole ? "holes, such as \"H7\"" : "shafts, such as \"k5\""));
    return std::nullopt;
  }
  if (!size) {
    return std::nullopt;  // the lacking diameter is reported
  }
  try {
    const auto found = limits::deviations(*word, *size);
    if (limits::deviations_certainty(*word, *size) == limits::Certainty::memory) {
      note_from_memory(reading,
                       (is_hole ? "bore " : "shaft ") + *word + " of the " +
                           (is_hole ? "outer_fit" : "inner_fit") + " by ISO 286 at " +
                           units::format(*size, "mm"),
                       found);
    }
    return LengthTolerance{found, tolerance::Shape::normal()};
  } catch (const DomainError& error) {
    field.report(error.what());
    return std::nullopt;
  }
}

/// A deviation of a ring: a tolerance, or the normal class of ISO 492.
std::optional<LengthTolerance> read_ring_deviation(Reading& reading, const Field& field,
                                                   bool is_outer) {
  const auto* word = word_in(field);
  if (word == nullptr || *word != "normal") {
    return read_tolerance<Length>(field, ", or \"normal\", the normal class of ISO 492");
  }
  const std::optional<Length>& size = is_outer ? reading.outside_diameter : reading.bore;
  if (!size) {
    return std::nullopt;  // the lacking diameter is reported
  }
  try {
    const auto found = is_outer ? limits::mean_outside_diameter_deviation(*size)
                                : limits::mean_bore_deviation(*size);
    const bool is_seen =
        !is_outer && limits::mean_bore_deviation_certainty(*size) == limits::Certainty::seen;
    if (!is_seen) {
      note_from_memory(reading,
                       std::string(is_outer ? "outer" : "inner") +
                           " ring of normal class by ISO 492 at " + units::format(*size, "mm"),
                       found);
    }
    return LengthTolerance{found, tolerance::Shape::normal()};
  } catch (const DomainError& error) {
    field.report(error.what());
    return std::nullopt;
  }
}

struct OuterFit {
  design::Fit fit;
  std::optional<Length> seat_outside;
};

std::optional<OuterFit> read_outer_fit(Reading& reading, const Field& field) {
  auto object = read_object(field, "a fit, an object with bore, ring and, where known, outside");
  if (!object) {
    return std::nullopt;
  }
  const auto bore =
      read_seat_deviation(reading, object->required("bore"), true, reading.outside_diameter);
  const auto ring = read_ring_deviation(reading, object->required("ring"), true);
  const Field outside_field = object->optional("outside");
  const auto outside = read_quantity<Length>(outside_field, length_above_zero);
  bool good = outside.has_value() == outside_field.given();
  if (outside && reading.outside_diameter && !(*outside > *reading.outside_diameter)) {
    outside_field.report("read " + outside_field.as_read() +
                         "; allowed is a length above the outside_diameter of the bearing, " +
                         units::format(*reading.outside_diameter, "mm"));
    good = false;
  }
  object->refuse_unknown_keys();
  if (!good || !bore || !ring) {
    return std::nullopt;
  }
  return OuterFit{{*bore, *ring}, outside};
}

struct InnerFit {
  design::Fit fit;
  Length shaft_bore;
};

std::optional<InnerFit> read_inner_fit(Reading& reading, const Field& field) {
  auto object =
      read_object(field, "a fit, an object with shaft, ring and, where hollow, shaft_bore");
  if (!object) {
    return std::nullopt;
  }
  const auto shaft = read_seat_deviation(reading, object->required("shaft"), false, reading.bore);
  const auto ring = read_ring_deviation(reading, object->required("ring"), false);
  const Field hollow_field = object->optional("shaft_bore");
  Length hollow;
  bool good =
      take_given(hollow, hollow_field, read_quantity<Length>(hollow_field, length_not_below_zero));
  if (good && reading.bore && !(hollow < *reading.bore)) {
    hollow_field.report("read " + hollow_field.as_read() +
                        "; allowed is a length below the bore of the bearing, " +
                        units::format(*reading.bore, "mm"));
    good = false;
  }
  object->refuse_unknown_keys();
  if (!good || !shaft || !ring) {
    return std::nullopt;
  }
  return InnerFit{{*ring, *shaft}, hollow};
}

/// Asks of the solid around the bore in every carrier what a fit needs, once.
void need_of_carriers(Reading& reading, const Field& fit_field, const std::optional<Length>& at) {
  Draft& draft = reading.draft;
  const MaterialNeeds needs{.youngs_modulus = true, .poissons_ratio = true, .why = for_the_fit};
  for (std::size_t i = 0; i < draft.carriers.size(); ++i) {
    if (!draft.carriers[i]) {
      continue;
    }
    const thermal::Carrier& carrier = *draft.carriers[i];
    const std::size_t bore = thermal::bore_solid_index(carrier, at);
    if (!draft.bores_asked.emplace(i, bore).second) {
      continue;
    }
    const thermal::Solid solid = thermal::solids_of(carrier)[bore];
    if (check_needs(*solid.material, needs, fit_field,
                    "the seat is in the carrier " + in_quotes(carrier.id) + ", whose material")) {
      draft.solids.push_back({solid, "carrier " + in_quotes(carrier.id), needs, fit_field});
    }
  }
}

/// Reports diameters that do not lie within each other.
bool check_diameters(const Reading& reading, const Field& bore_field, const Field& outside_field,
                     const Field& outer_raceway_field, const std::optional<Length>& outer_raceway,
                     const Field& inner_raceway_field, const std::optional<Length>& inner_raceway) {
  if (reading.bore && reading.outside_diameter && !(*reading.outside_diameter > *reading.bore)) {
    outside_field.report("read " + outside_field.as_read() +
                         "; allowed is a length above the bore, " + bore_field.as_read());
    return false;
  }
  if (outer_raceway && inner_raceway && !(*outer_raceway > *inner_raceway)) {
    outer_raceway_field.report("read " + outer_raceway_field.as_read() +
                               "; allowed is a length above the inner_raceway, " +
                               inner_raceway_field.as_read());
    return false;
  }
  const Field& raceway_field = inner_raceway ? inner_raceway_field : outer_raceway_field;
  if ((!outer_raceway && !inner_raceway) || !reading.bore || !reading.outside_diameter) {
    return true;
  }
  try {
    static_cast<void>(bearing::ball_bearing_diameters(*reading.bore, *reading.outside_diameter,
                                                      outer_raceway, inner_raceway));
    return true;
  } catch (const DomainError& error) {
    raceway_field.report(error.what());
    return false;
  }
}

/// Reports keys that cannot be used without others.
void check_company(const ObjectReader& object, const std::string& key, const Field& field,
                   std::initializer_list<std::pair<std::string_view, bool>> needed) {
  if (!field.given()) {
    return;
  }
  std::vector<std::string> lacking;
  for (const auto& [other, is_there] : needed) {
    if (!is_there) {
      lacking.emplace_back(other);
    }
  }
  if (!lacking.empty()) {
    object.self().report("the key" + std::string(lacking.size() == 1 ? " " : "s ") +
                         listed(lacking) + (lacking.size() == 1 ? " is" : " are") +
                         " missing; needed with " + in_quotes(key));
  }
}

/// What rolls between the rings, for the bearing's frequencies.
std::optional<spectrum::RollingElements> read_rolling_elements(const Field& field) {
  auto object = read_object(field, "an object with count, element_diameter and pitch_diameter");
  if (!object) {
    return std::nullopt;
  }
  spectrum::RollingElements inside;
  const auto count = read_whole_number(object->required("count"), "a whole number", fewest_elements,
                                       most_elements);
  const Field element_field = object->required("element_diameter");
  const auto element = read_quantity<Length>(element_field, length_above_zero);
  const Field pitch_field = object->required("pitch_diameter");
  const auto pitch = read_quantity<Length>(pitch_field, length_above_zero);
  const Field angle_field = object->optional("contact_angle");
  bool good = take_given(inside.contact_angle, angle_field,
                         read_quantity<units::Angle>(angle_field, contact_angle_rule));
  object->refuse_unknown_keys();
  if (element && pitch && !(*element < *pitch)) {
    element_field.report("read " + element_field.as_read() +
                         "; allowed is a length below the pitch_diameter, " +
                         pitch_field.as_read());
    good = false;
  }
  if (!good || !count || !element || !pitch) {
    return std::nullopt;
  }
  inside.count = *count;
  inside.element = *element;
  inside.pitch_diameter = *pitch;
  return inside;
}

std::optional<design::Bearing> read_bearing(Draft& draft, const ShaftDraft& shaft,
                                            const Field& entry, std::size_t number,
                                            bool has_solid) {
  auto object = read_object(entry,
                            "a bearing, an object with clearance and, where known, bore, "
                            "outside_diameter, fits and at");
  if (!object) {
    return std::nullopt;
  }
  design::Bearing bearing;
  const Field id_field = object->optional("id");
  const auto id = read_name(id_field, "the bearing's name");
  bool good = id.has_value() == id_field.given();
  bearing.id = shaft.shaft.id + " bearing " + std::to_string(number);
  if (id) {
    bearing.id = *id;
    draft.bearing_names.add(id, id_field);
  } else {
    for (int copy = 2; !draft.ids_of_bearings.insert(bearing.id).second; ++copy) {
      bearing.id =
          shaft.shaft.id + " bearing " + std::to_string(number) + " (" + std::to_string(copy) + ")";
    }
  }

  const Field bore_field = object->optional("bore");
  const Field outside_field = object->optional("outside_diameter");
  bearing.bore = read_quantity<Length>(bore_field, length_above_zero);
  bearing.outside_diameter = read_quantity<Length>(outside_field, length_above_zero);
  Reading reading{draft, bearing.id, bearing.bore, bearing.outside_diameter};
  const auto clearance = read_clearance(reading, object->required("clearance"));
  const Field at_field = object->optional("at");
  bearing.at = read_quantity<Length>(at_field, length);
  const Field outer_raceway_field = object->optional("outer_raceway");
  const Field inner_raceway_field = object->optional("inner_raceway");
  bearing.outer_raceway = read_quantity<Length>(outer_raceway_field, length_above_zero);
  bearing.inner_raceway = read_quantity<Length>(inner_raceway_field, length_above_zero);
  const bool has_raceways = bearing.outer_raceway && bearing.inner_raceway;
  good = check_diameters(reading, bore_field, outside_field, outer_raceway_field,
                         bearing.outer_raceway, inner_raceway_field, bearing.inner_raceway) &&
         good;

  const bool has_rings = object->has("material") || object->has("zone");
  const Field outer_field = object->optional("outer_fit");
  const Field inner_field = object->optional("inner_fit");
  const bool has_fit = outer_field.given() || inner_field.given();
  if (has_rings) {
    bearing.rings =
        read_solid(draft, *object, reading.user(),
                   {.youngs_modulus = has_fit, .poissons_ratio = has_fit, .why = for_the_fit});
    if (!has_raceways) {
      draft.remarks.looked_up.push_back(
          {"from memory", "bearing " + bearing.id, std::string(bearing::raceway_estimate_note)});
    }
  }
  if (const auto fit = read_outer_fit(reading, outer_field)) {
    bearing.outer_fit = fit->fit;
    bearing.seat_outside = fit->seat_outside;
  }
  if (const auto fit = read_inner_fit(reading, inner_field)) {
    bearing.inner_fit = fit->fit;
    bearing.shaft_bore = fit->shaft_bore;
  }
  const Field excess_field = object->optional("inner_excess");
  const auto excess = read_quantity<units::TemperatureDifference>(
      excess_field, {"a temperature difference", rules::any});
  good = take_given(bearing.inner_excess, excess_field, excess) && good;
  if (excess && bearing.rings) {
    draft.solids.push_back(
        {*bearing.rings, "inner ring of " + reading.user(), {}, excess_field, *excess});
  }
  const Field elements_field = object->optional("rolling_elements");
  good = take_given(bearing.inside, elements_field, read_rolling_elements(elements_field)) && good;
  const Field seat_field = object->optional("seat");
  if (auto seat = read_object(seat_field, "a seat, an object with material and zone")) {
    bearing.seat = read_solid(draft, *seat, "seat of " + reading.user(),
                              {.youngs_modulus = outer_field.given(),
                               .poissons_ratio = outer_field.given(),
                               .why = for_the_fit});
    seat->refuse_unknown_keys();
  } else if (outer_field.given() && !seat_field.given()) {
    need_of_carriers(reading, outer_field, bearing.at);
  }

  const std::pair<std::string_view, bool> bore_there{"bore", bore_field.given()};
  const std::pair<std::string_view, bool> outside_there{"outside_diameter", outside_field.given()};
  const std::pair<std::string_view, bool> material_there{"material", has_rings};
  const std::pair<std::string_view, bool> zone_there{"zone", has_rings};
  check_company(*object, "outer_fit", outer_field,
                {bore_there, outside_there, material_there, zone_there});
  check_company(*object, "inner_fit", inner_field,
                {bore_there, outside_there, material_there, zone_there});
  check_company(*object, "inner_excess", excess_field,
                {bore_there, outside_there, material_there, zone_there});
  check_company(*object, "seat", seat_field, {{"outer_fit", outer_field.given()}});
  if (has_rings && !has_fit && !excess_field.given()) {
    check_company(*object, "material", object->optional("material"), {bore_there, outside_there});
  }
  if (inner_field.given() && !has_solid) {
    inner_field.report(
        "the fit needs the material of the shaft; needed are the keys \"material\" and \"zone\" of "
        "the shaft");
  }
  object->refuse_unknown_keys();
  if (!outer_field.given()) {
    draft.remarks.without_outer_fit.push_back(bearing.id);
  }
  if (!inner_field.given()) {
    draft.remarks.without_inner_fit.push_back(bearing.id);
  }
  if (!good || !clearance) {
    return std::nullopt;
  }
  bearing.clearance = *clearance;
  return bearing;
}

}  // namespace

void read_bearings(Draft& draft, ShaftDraft& shaft, const Field& list, bool has_solid) {
  const auto entries = read_list(list, "a list of up to 2 bearings", 0, most_bearings);
  if (!entries) {
    shaft.has_bearings = list.given();
    return;
  }
  shaft.has_bearings = !entries->empty();
  shaft.bearings = *entries;
  for (std::size_t i = 0; i < entries->size(); ++i) {
    if (auto bearing = read_bearing(draft, shaft, (*entries)[i], i + 1, has_solid)) {
      shaft.shaft.bearings.push_back(std::move(*bearing));
    }
  }
}

}  // namespace lashband::io
