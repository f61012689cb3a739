#include <utility>

#include "io/design_draft.hpp"
#include "io/tolerance_reader.hpp"

namespace lashband::io {
namespace {

/// Strains beyond this are no growth of a part that still fits its drawing.
constexpr double greatest_strain = 0.1;

/// A strain that does not come from temperature; `good` becomes false where it cannot be read.
std::optional<tolerance::Toleranced<units::Ratio>> read_strain(const Field& field, bool& good) {
  if (!field.given()) {
    return std::nullopt;
  }
  auto strain = read_tolerance<units::Ratio>(field);
  if (strain && !(strain->band.low.value() >= -greatest_strain &&
                  strain->band.high.value() <= greatest_strain)) {
    field.report("the strain leaves the range from -10 % to 10 %; allowed is a band within it");
    strain.reset();
  }
  good = good && strain;
  return strain;
}

/// The material and the zone, without a record of their use.
std::optional<thermal::Solid> read_material_and_zone(Draft& draft, const Field& material_field,
                                                     const Field& zone_field,
                                                     const MaterialNeeds& needs) {
  MaterialPointer material = draft.materials.find(material_field);
  const auto zone = draft.zones.find(zone_field);
  if (!material || !check_needs(*material, needs, material_field, "the material") || !zone) {
    return std::nullopt;
  }
  thermal::Solid solid;
  solid.material = std::move(material);
  solid.zone = thermal::ZoneIndex{*zone};
  return solid;
}

}  // namespace

bool check_needs(const materials::Material& material, const MaterialNeeds& needs,
                 const Field& place, const std::string& whose) {
  bool good = true;
  const auto need = [&](std::string_view property, std::string_view why) {
    if (!materials::gives(material.record(), property)) {
      place.report(whose + " " + in_quotes(material.id()) + " has no " + std::string(property) +
                   "; needed is one that has, " + std::string(why));
      good = false;
    }
  };
  const auto need_one_of = [&](bool first, bool second, std::string_view either,
                               std::string_view why) {
    if (!first && !second) {
      place.report(whose + " " + in_quotes(material.id()) + " has neither " + std::string(either) +
                   "; needed is one that has, " + std::string(why));
      good = false;
    }
  };
  const auto gives = [&](std::string_view property) {
    return materials::gives(material.record(), property);
  };
  if (needs.elongation) {
    need("elongation", "to follow the temperature");
  }
  if (needs.youngs_modulus) {
    need("youngs_modulus", needs.why);
  }
  if (needs.poissons_ratio) {
    need("poissons_ratio", needs.why);
  }
  if (needs.density) {
    need("density", needs.why);
  }
  if (needs.shear_stiffness) {
    need_one_of(gives("shear_modulus"), gives("youngs_modulus") && gives("poissons_ratio"),
                "shear_modulus nor both youngs_modulus and poissons_ratio", needs.why);
  }
  if (needs.elastomer_modulus) {
    need_one_of(gives("shear_modulus"), gives("hardness"), "shear_modulus nor hardness", needs.why);
  }
  return good;
}

std::optional<thermal::Solid> read_solid(Draft& draft, ObjectReader& object,
                                         const std::string& user, const MaterialNeeds& needs) {
  const Field material_field = object.required("material");
  auto solid = read_material_and_zone(draft, material_field, object.required("zone"), needs);
  if (solid) {
    draft.solids.push_back({*solid, user, needs, material_field});
  }
  return solid;
}

std::optional<thermal::Solid> read_strained_solid(Draft& draft, ObjectReader& object,
                                                  const std::string& user,
                                                  const MaterialNeeds& needs) {
  auto solid = read_solid(draft, object, user, needs);
  bool good = true;
  const auto permanent = read_strain(object.optional("permanent_strain"), good);
  const auto moisture = read_strain(object.optional("moisture_strain"), good);
  if (!solid || !good) {
    return std::nullopt;
  }
  solid->permanent_strain = permanent;
  solid->moisture_strain = moisture;
  return solid;
}

}  // namespace lashband::io
