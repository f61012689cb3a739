#pragma once

#include <array>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lashband/materials/confidence.hpp"
#include "lashband/materials/elastomer.hpp"
#include "lashband/materials/elongation.hpp"
#include "lashband/materials/property.hpp"
#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::materials {

/// A material as read: plain values, not yet checked. Material makes a checked one of it. The names
/// of the members from `elongation` to `shear_strain_limit` are the keys of material files, and of
/// `sources` and `confidence`.
struct MaterialRecord {
  std::string id;        ///< the standard's designation: "EN AC-43500"
  std::string standard;  ///< may be empty
  std::string family;    ///< a lower-case word: "carbon_steel"
  TemperatureRange range;

  std::optional<ElongationRecord> elongation;
  std::optional<PropertyRecord<units::Pressure>> youngs_modulus;
  std::optional<PropertyRecord<units::Ratio>> poissons_ratio;
  std::optional<PropertyRecord<units::Density>> density;
  std::optional<PropertyRecord<units::SpecificHeat>> specific_heat;
  std::optional<PropertyRecord<units::Conductivity>> conductivity;

  std::optional<Hardness> hardness;
  std::optional<PropertyRecord<units::Pressure>> shear_modulus;
  std::optional<PropertyRecord<units::Ratio>> loss_factor;
  /// Stiffness at temperature over the stiffness that `shear_modulus` stands for.
  std::optional<PropertyTable<units::Ratio>> temperature_factor;
  std::optional<Wlf> wlf;
  std::vector<PronyTerm> prony;
  std::optional<TemperatureRange> service_range;
  std::optional<units::Ratio> shear_strain_limit;

  /// Source of each property, by its key; the key `all` covers the properties not named.
  std::map<std::string, std::string, std::less<>> sources;
  /// Confidence of each property, likewise.
  std::map<std::string, Confidence, std::less<>> confidence;
};

/// The keys of the properties in the order of a material file.
inline constexpr std::array<std::string_view, 14> property_keys = {
    "elongation",   "youngs_modulus", "poissons_ratio", "density",           "specific_heat",
    "conductivity", "hardness",       "shear_modulus",  "loss_factor",       "temperature_factor",
    "wlf",          "prony",          "service_range",  "shear_strain_limit"};

/// The key of `sources` and `confidence` that covers every property not named there.
inline constexpr std::string_view all_properties = "all";

/// Whether the record gives the property with that key. False for a text that is no property's key.
[[nodiscard]] bool gives(const MaterialRecord& record, std::string_view property_key);

}  // namespace lashband::materials
