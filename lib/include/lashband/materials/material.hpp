#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lashband/materials/confidence.hpp"
#include "lashband/materials/elastomer.hpp"
#include "lashband/materials/elongation.hpp"
#include "lashband/materials/material_record.hpp"
#include "lashband/materials/property.hpp"
#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

namespace lashband::materials {

/// A checked material. Immutable; shared as std::shared_ptr<const Material>.
///
/// A property may be lacking. Its accessor then throws MaterialError naming material and property,
/// so that a computation only has to ask for what it needs.
class Material {
 public:
  /// Checks the whole record. Throws DomainError naming value, rule and unit unless
  ///   - id is not blank and has no blank at its ends, family is a word of a-z, 0-9 and _;
  ///   - ranges are finite, ordered and above absolute zero;
  ///   - elongation and properties pass the checks of Elongation and Property, with E, density,
  ///     specific heat, conductivity, G and the temperature factor above 0, the loss factor 0 or
  ///     more, -1 < nu < 0.5;
  ///   - hardness lies in (0, 100), C1, C2, relaxation times, relative moduli and the shear strain
  ///     limit are above 0;
  ///   - every property given has a source (its own, or `all`), and sources and confidence name
  ///   only
  ///     properties that are given.
  explicit Material(MaterialRecord record);

  [[nodiscard]] const std::string& id() const { return record_.id; }
  [[nodiscard]] const TemperatureRange& range() const { return record_.range; }
  /// Everything that was read.
  [[nodiscard]] const MaterialRecord& record() const { return record_; }

  /// Source of a property: its own, or that of `all`. Throws MaterialError if the property is
  /// lacking.
  [[nodiscard]] const std::string& source(std::string_view property_key) const;
  /// Confidence of a property: its own, or that of `all`; empty where the record does not say.
  /// Throws MaterialError if the property is lacking.
  [[nodiscard]] std::optional<Confidence> confidence(std::string_view property_key) const;

  [[nodiscard]] const Elongation& elongation() const;

  // Values at a temperature, with the range rule of Property::at.
  [[nodiscard]] units::Pressure youngs_modulus(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::Ratio poissons_ratio(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::Density density(units::Temperature temperature,
                                       Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::SpecificHeat specific_heat(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::Conductivity conductivity(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::Pressure shear_modulus(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::Ratio loss_factor(units::Temperature temperature,
                                         Extrapolation extrapolation = Extrapolation::refuse) const;
  [[nodiscard]] units::Ratio temperature_factor(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;

  [[nodiscard]] const Hardness& hardness() const;
  [[nodiscard]] const Wlf& wlf() const;
  [[nodiscard]] const std::vector<PronyTerm>& prony() const;
  [[nodiscard]] const TemperatureRange& service_range() const;
  [[nodiscard]] units::Ratio shear_strain_limit() const;

 private:
  MaterialRecord record_;
  std::optional<Elongation> elongation_;
  std::optional<Property<units::Pressure>> youngs_modulus_;
  std::optional<Property<units::Ratio>> poissons_ratio_;
  std::optional<Property<units::Density>> density_;
  std::optional<Property<units::SpecificHeat>> specific_heat_;
  std::optional<Property<units::Conductivity>> conductivity_;
  std::optional<Property<units::Pressure>> shear_modulus_;
  std::optional<Property<units::Ratio>> loss_factor_;
  std::optional<Property<units::Ratio>> temperature_factor_;
};

}  // namespace lashband::materials
