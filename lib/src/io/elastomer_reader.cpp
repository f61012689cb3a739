#include <algorithm>
#include <utility>

#include "io/key_choice.hpp"
#include "io/material_reader.hpp"
#include "io/torsion_draft.hpp"
#include "lashband/elastomer/hardness_modulus.hpp"

// Elastomers between two bodies that turn against each other.
namespace lashband::io {
namespace {

constexpr std::size_t most_factors = 1000;

constexpr ValueRule dynamic_factor_rule{
    "a number from 1 to 10", [](double factor) { return factor >= 1.0 && factor <= 10.0; }};

/// The hardness in degrees, of either scale.
double degrees_of(const materials::Hardness& hardness) {
  return std::visit([](const auto& scale) { return scale.degrees; }, hardness);
}

/// Whether the relation of hardness and modulus holds; reports at `place` where not.
bool is_related_hardness(const materials::Hardness& hardness, const Field& place,
                         const std::string& whose) {
  const double degrees = degrees_of(hardness);
  if (degrees >= elastomer::least_hardness && degrees <= elastomer::greatest_hardness) {
    return true;
  }
  place.report("the hardness" + whose + " is " + number_text(degrees) +
               ", and the relation of hardness and shear modulus holds from " +
               number_text(elastomer::least_hardness) + " to " +
               number_text(elastomer::greatest_hardness) +
               "; allowed is a hardness within, or a \"shear_modulus\"");
  return false;
}

std::optional<design::Elastomer::Ring> read_ring(const Field& field) {
  auto object =
      read_object(field, "a ring, an object with inner_diameter, outer_diameter and width");
  if (!object) {
    return std::nullopt;
  }
  const Field outer_field = object->required("outer_diameter");
  const auto inner =
      read_quantity<units::Length>(object->required("inner_diameter"), diameter_rule);
  const auto outer = read_quantity<units::Length>(outer_field, diameter_rule);
  const auto width = read_quantity<units::Length>(object->required("width"),
                                                  {"a length above 0", rules::above_zero});
  object->refuse_unknown_keys();
  if (inner && outer && !(outer->value() > inner->value())) {
    outer_field.report("read " + outer_field.as_read() +
                       "; allowed is a diameter above the inner_diameter, " + in_mm(*inner));
    return std::nullopt;
  }
  return inner && outer && width ? std::optional(design::Elastomer::Ring{*inner, *outer, *width})
                                 : std::nullopt;
}

/// Points over rising temperatures.
std::vector<std::pair<units::Temperature, double>> read_factors(const Field& field) {
  std::vector<std::pair<units::Temperature, double>> factors;
  const auto entries =
      read_list(field, R"(a list of 2 to 1000 points, such as [["20 degC", 1], ["100 degC", 0.7]])",
                2, most_factors);
  for (const Field& entry : entries.value_or(std::vector<Field>{})) {
    const auto pair =
        read_list(entry, "a list of two: a temperature level and a factor above 0", 2, 2);
    if (!pair) {
      continue;
    }
    const auto level =
        read_quantity<units::Temperature>(pair->front(), {"a temperature level", rules::any});
    const auto factor = read_number(pair->back(), {"a factor above 0", rules::above_zero});
    if (level && !factors.empty() && !(level->value() > factors.back().first.value())) {
      pair->front().report("read " + pair->front().as_read() +
                           "; allowed is a temperature level above the one before it, " +
                           units::format(factors.back().first));
    } else if (level && factor) {
      factors.emplace_back(*level, *factor);
    }
  }
  return factors;
}

/// Reports a temperature that the points do not reach.
void check_factors_reach(const Draft& draft,
                         const std::vector<std::pair<units::Temperature, double>>& factors,
                         units::Temperature level, const Field& place, const std::string& what) {
  const units::Temperature first = factors.front().first;
  const units::Temperature last = factors.back().first;
  if (draft.options.extrapolation == materials::Extrapolation::refuse &&
      !(level.value() >= first.value() && level.value() <= last.value())) {
    place.report(what + ", outside its temperature_factor; allowed is " + units::format(first) +
                 " to " + units::format(last));
  }
}

/// What the elastomer gives itself, and so need not be the material's.
struct OwnValues {
  bool modulus = false;
  bool loss = false;
  bool factor = false;
};

/// The keys `material` and `zone`, and their use.
void read_elastomer_solid(Draft& draft, ObjectReader& object, const std::string& user,
                          const OwnValues& own, design::Elastomer& result) {
  const Field material_field = object.optional("material");
  const Field zone_field = object.optional("zone");
  const bool needs_zone =
      material_field.given() || object.has("temperature_factor") || object.has("conductance");
  if (zone_field.given()) {
    result.zone = draft.zones.find(zone_field);
  } else if (needs_zone) {
    object.self().report(
        "the key \"zone\" is missing; needed is the name of a zone, whose temperature the "
        "elastomer has or gives its heat to");
  }
  if (!material_field.given()) {
    if (result.zone) {
      draft.zone_uses.push_back({*result.zone, user, {}});
    }
    return;
  }
  const MaterialNeeds needs{.elongation = false,
                            .elastomer_modulus = result.ring && !own.modulus,
                            .elastomer_loss = !own.loss,
                            .elastomer_factor = !own.factor,
                            .why = "for the stiffness of the ring"};
  auto material = draft.materials.find(material_field);
  if (!material || !check_needs(*material, needs, material_field, "the material") || !result.zone) {
    return;
  }
  if (needs.elastomer_modulus && !materials::gives(material->record(), "shear_modulus") &&
      !is_related_hardness(material->hardness(), material_field,
                           " of the material " + in_quotes(material->id()))) {
    return;
  }
  thermal::Solid solid;
  solid.material = std::move(material);
  solid.zone = thermal::ZoneIndex{*result.zone};
  draft.solids.push_back({solid, user, needs, material_field});
  result.solid = std::move(solid);
}

/// The keys that say how stiff it is; whether the modulus is given here.
bool read_modulus(ObjectReader& object, design::Elastomer& result) {
  const auto form = exactly_one(object.self(), choice_of(object, {"stiffness", "ring"}));
  const KeyChoice moduli = choice_of(object, {"shear_modulus", "hardness"});
  if (!form) {
    return !moduli.present.empty();
  }
  if (*form == "stiffness") {
    result.stiffness =
        read_quantity<units::TorsionalStiffness>(object.required("stiffness"), stiffness_rule);
    if (!moduli.present.empty()) {
      object.self().report("read " + listed(moduli.present) +
                           " beside \"stiffness\", which needs no modulus; allowed is " +
                           listed(moduli.present) + " with \"ring\"");
    }
    return true;
  }
  result.ring = read_ring(object.required("ring"));
  if (!at_most_one(object.self(), moduli)) {
    return true;
  }
  if (moduli.present.empty()) {
    if (!object.has("material")) {
      object.self().report(
          R"(read none of "material", "shear_modulus" and "hardness"; needed is one of them, )"
          "for the stiffness of the ring");
    }
    return false;
  }
  result.shear_modulus = read_quantity<units::Pressure>(
      object.optional("shear_modulus"), {"a shear modulus above 0", rules::above_zero});
  const Field hardness_field = object.optional("hardness");
  const auto hardness = read_hardness(hardness_field);
  if (hardness && is_related_hardness(*hardness, hardness_field, "")) {
    result.hardness = hardness;
  }
  return true;
}

/// The shear strain of its limit is known of a ring alone.
void read_limits(ObjectReader& object, design::Elastomer& result) {
  const Field strain_field = object.optional("shear_strain_limit");
  result.shear_strain_limit =
      read_number(strain_field, {"a strain, a number above 0", rules::above_zero});
  if (strain_field.given() && object.has("stiffness") && !object.has("ring")) {
    strain_field.report(
        "read \"shear_strain_limit\" beside \"stiffness\"; allowed is a limit with \"ring\", whose "
        "dimensions tell the strain");
  }
  result.end_stop = read_quantity<units::Angle>(object.optional("end_stop"),
                                                {"an angle above 0", rules::above_zero});
}

}  // namespace

std::optional<design::Elastomer> read_elastomer(Draft& draft, const Field& field,
                                                const std::string& user) {
  auto object = read_object(field, "an elastomer, an object with stiffness or ring");
  if (!object) {
    return std::nullopt;
  }
  design::Elastomer result;
  OwnValues own;
  own.modulus = read_modulus(*object, result);
  result.dynamic_factor =
      read_number(object->optional("dynamic_factor"), dynamic_factor_rule).value_or(1.0);
  const KeyChoice losses = choice_of(*object, {"loss_factor", "damping"});
  own.loss = !losses.present.empty();
  if (at_most_one(field, losses)) {
    result.loss_factor = read_number(object->optional("loss_factor"), loss_factor_rule);
    result.damping = read_quantity<units::TorsionalDamping>(
        object->optional("damping"),
        {"a torsional damping constant of at least 0", rules::not_below_zero});
  }
  const Field factor_field = object->optional("temperature_factor");
  own.factor = factor_field.given();
  result.temperature_factor = read_factors(factor_field);
  read_limits(*object, result);
  result.conductance = read_quantity<units::ThermalConductance>(
      object->optional("conductance"), {"a thermal conductance above 0", rules::above_zero});
  read_elastomer_solid(draft, *object, user, own, result);
  object->refuse_unknown_keys();
  if (result.temperature_factor.size() > 1 && result.zone) {
    const auto factors = result.temperature_factor;
    check_factors_reach(
        draft, factors, draft.reference_temperature, factor_field,
        "the reference temperature is " + units::format(draft.reference_temperature));
    draft.zone_uses.push_back({*result.zone, user,
                               [&draft, factors, user](units::Temperature level, const Field& place,
                                                       const std::string& where) {
                                 check_factors_reach(
                                     draft, factors, level, place,
                                     "the " + user + " reaches " + units::format(level) + where);
                               }});
  }
  return result;
}

}  // namespace lashband::io
