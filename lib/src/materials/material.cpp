#include "lashband/materials/material.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "lashband/error.hpp"
#include "lashband/nearest_name.hpp"
#include "materials/text.hpp"

namespace lashband::materials {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

constexpr PropertyRule youngs_modulus_rule{"youngs_modulus", "Pa", 0.0, false, unlimited};
// The bounds of an isotropic solid with positive bulk and shear modulus.
constexpr PropertyRule poissons_ratio_rule{"poissons_ratio", "", -1.0, false, 0.5};
constexpr PropertyRule density_rule{"density", "kg/m3", 0.0, false, unlimited};
constexpr PropertyRule specific_heat_rule{"specific_heat", "J/(kg K)", 0.0, false, unlimited};
constexpr PropertyRule conductivity_rule{"conductivity", "W/(m K)", 0.0, false, unlimited};
constexpr PropertyRule shear_modulus_rule{"shear_modulus", "Pa", 0.0, false, unlimited};
constexpr PropertyRule loss_factor_rule{"loss_factor", "", 0.0, true, unlimited};
constexpr PropertyRule temperature_factor_rule{"temperature_factor", "", 0.0, false, unlimited};

bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

void check_id(const std::string& id) {
  if (id.empty() || is_blank(id.front()) || is_blank(id.back())) {
    throw DomainError("the material's id is '" + id +
                      "', but must be a text without blanks at its ends");
  }
}

void check_family(const std::string& id, const std::string& family) {
  const auto allowed = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
  };
  if (family.empty() || !std::all_of(family.begin(), family.end(), allowed)) {
    throw DomainError(about(id) + "family is '" + family +
                      "', but must be a word of lower-case letters, digits and _");
  }
}

void check_positive(const std::string& what, double value, const std::string& unit) {
  if (!(value > 0.0 && std::isfinite(value))) {
    throw DomainError(what + " is " + text(value) + unit + ", but must be above 0 and finite");
  }
}

void check_hardness(const std::string& id, const Hardness& hardness) {
  const double degrees = std::visit([](const auto& scale) { return scale.degrees; }, hardness);
  if (!(degrees > 0.0 && degrees < 100.0)) {
    throw DomainError(about(id) + "hardness is " + text(degrees) +
                      (std::holds_alternative<ShoreA>(hardness) ? " Shore A" : " IRHD") +
                      ", but must lie between 0 and 100");
  }
}

void check_wlf(const std::string& id, const Wlf& wlf) {
  const double reference = wlf.reference_temperature.value();
  if (!(std::isfinite(reference) && reference > units::absolute_zero_in_celsius)) {
    throw DomainError(about(id) + "wlf: the reference temperature is " +
                      text(wlf.reference_temperature) + ", but must be above -273.15 degC");
  }
  check_positive(about(id) + "wlf: C1", wlf.c1, "");
  check_positive(about(id) + "wlf: C2", wlf.c2.value(), " K");
}

void check_prony(const std::string& id, const std::vector<PronyTerm>& terms) {
  for (const PronyTerm& term : terms) {
    check_positive(about(id) + "prony: a relative modulus", term.relative_modulus, "");
    check_positive(about(id) + "prony: a relaxation time", term.relaxation_time.value(), " s");
  }
}

/// Throws unless `key`, found under `where` ("sources"), names a property that the record gives.
void check_named(const MaterialRecord& record, const std::string& where, const std::string& key) {
  if (key == all_properties || gives(record, key)) {
    return;
  }
  if (std::find(property_keys.begin(), property_keys.end(), key) != property_keys.end()) {
    throw DomainError(about(record.id) + where + " names " + key +
                      ", which the record does not give");
  }
  std::vector<std::string> known(property_keys.begin(), property_keys.end());
  known.emplace_back(all_properties);
  const std::optional<std::string> nearest = nearest_name(key, known);
  throw DomainError(about(record.id) + where + " names '" + key + "', which is no property" +
                    (nearest ? "; did you mean '" + *nearest + "'?" : std::string()));
}

void check_sources(const MaterialRecord& record) {
  for (const auto& [key, source] : record.sources) {
    check_named(record, "sources", key);
    if (std::all_of(source.begin(), source.end(), is_blank)) {
      throw DomainError(about(record.id) + "the source of " + key +
                        " is empty, but must name where the value comes from");
    }
  }
  for (const auto& [key, confidence] : record.confidence) {
    check_named(record, "confidence", key);
    static_cast<void>(confidence_word(confidence));
  }
  if (record.sources.contains(all_properties)) {
    return;
  }
  for (const std::string_view key : property_keys) {
    if (gives(record, key) && !record.sources.contains(key)) {
      throw DomainError(about(record.id) + std::string(key) +
                        " has no source: name one in sources, under " + std::string(key) +
                        " or under all");
    }
  }
}

template <class Q>
std::optional<Property<Q>> checked(const MaterialRecord& record, const PropertyRule& rule,
                                   const std::optional<PropertyRecord<Q>>& property) {
  if (!property) {
    return std::nullopt;
  }
  return Property<Q>(record.id, rule, record.range, *property);
}

[[noreturn]] void throw_lacking(const std::string& id, std::string_view key) {
  throw MaterialError(about(id) + std::string(key) +
                      " is needed, but the material does not give it");
}

template <class T>
const T& needed(const std::string& id, std::string_view key, const std::optional<T>& value) {
  if (!value) {
    throw_lacking(id, key);
  }
  return *value;
}

}  // namespace

bool gives(const MaterialRecord& record, std::string_view property_key) {
  const std::array<std::pair<std::string_view, bool>, property_keys.size()> given = {{
      {"elongation", record.elongation.has_value()},
      {"youngs_modulus", record.youngs_modulus.has_value()},
      {"poissons_ratio", record.poissons_ratio.has_value()},
      {"density", record.density.has_value()},
      {"specific_heat", record.specific_heat.has_value()},
      {"conductivity", record.conductivity.has_value()},
      {"hardness", record.hardness.has_value()},
      {"shear_modulus", record.shear_modulus.has_value()},
      {"loss_factor", record.loss_factor.has_value()},
      {"temperature_factor", record.temperature_factor.has_value()},
      {"wlf", record.wlf.has_value()},
      {"prony", !record.prony.empty()},
      {"service_range", record.service_range.has_value()},
      {"shear_strain_limit", record.shear_strain_limit.has_value()},
  }};
  return std::any_of(given.begin(), given.end(), [property_key](const auto& property) {
    return property.first == property_key && property.second;
  });
}

Material::Material(MaterialRecord record) : record_(std::move(record)) {
  check_id(record_.id);
  check_family(record_.id, record_.family);
  check_range(about(record_.id) + "range", record_.range);

  if (record_.elongation) {
    elongation_.emplace(record_.id, record_.range, *record_.elongation);
  }
  youngs_modulus_ = checked(record_, youngs_modulus_rule, record_.youngs_modulus);
  poissons_ratio_ = checked(record_, poissons_ratio_rule, record_.poissons_ratio);
  density_ = checked(record_, density_rule, record_.density);
  specific_heat_ = checked(record_, specific_heat_rule, record_.specific_heat);
  conductivity_ = checked(record_, conductivity_rule, record_.conductivity);
  shear_modulus_ = checked(record_, shear_modulus_rule, record_.shear_modulus);
  loss_factor_ = checked(record_, loss_factor_rule, record_.loss_factor);
  if (record_.temperature_factor) {
    temperature_factor_.emplace(record_.id, temperature_factor_rule, record_.range,
                                *record_.temperature_factor);
  }

  if (record_.hardness) {
    check_hardness(record_.id, *record_.hardness);
  }
  if (record_.wlf) {
    check_wlf(record_.id, *record_.wlf);
  }
  check_prony(record_.id, record_.prony);
  if (record_.service_range) {
    check_range(about(record_.id) + "service_range", *record_.service_range);
  }
  if (record_.shear_strain_limit) {
    check_positive(about(record_.id) + "shear_strain_limit", record_.shear_strain_limit->value(),
                   "");
  }
  check_sources(record_);
}

const std::string& Material::source(std::string_view property_key) const {
  if (!gives(record_, property_key)) {
    throw_lacking(record_.id, property_key);
  }
  const auto own = record_.sources.find(property_key);
  // The constructor has made sure that one of the two is there.
  return own != record_.sources.end() ? own->second : record_.sources.find(all_properties)->second;
}

std::optional<Confidence> Material::confidence(std::string_view property_key) const {
  if (!gives(record_, property_key)) {
    throw_lacking(record_.id, property_key);
  }
  for (const std::string_view key : {property_key, all_properties}) {
    const auto found = record_.confidence.find(key);
    if (found != record_.confidence.end()) {
      return found->second;
    }
  }
  return std::nullopt;
}

const Elongation& Material::elongation() const {
  return needed(record_.id, "elongation", elongation_);
}

units::Pressure Material::youngs_modulus(units::Temperature temperature,
                                         Extrapolation extrapolation) const {
  return needed(record_.id, youngs_modulus_rule.key, youngs_modulus_)
      .at(temperature, extrapolation);
}

units::Ratio Material::poissons_ratio(units::Temperature temperature,
                                      Extrapolation extrapolation) const {
  return needed(record_.id, poissons_ratio_rule.key, poissons_ratio_)
      .at(temperature, extrapolation);
}

units::Density Material::density(units::Temperature temperature,
                                 Extrapolation extrapolation) const {
  return needed(record_.id, density_rule.key, density_).at(temperature, extrapolation);
}

units::SpecificHeat Material::specific_heat(units::Temperature temperature,
                                            Extrapolation extrapolation) const {
  return needed(record_.id, specific_heat_rule.key, specific_heat_).at(temperature, extrapolation);
}

units::Conductivity Material::conductivity(units::Temperature temperature,
                                           Extrapolation extrapolation) const {
  return needed(record_.id, conductivity_rule.key, conductivity_).at(temperature, extrapolation);
}

units::Pressure Material::shear_modulus(units::Temperature temperature,
                                        Extrapolation extrapolation) const {
  return needed(record_.id, shear_modulus_rule.key, shear_modulus_).at(temperature, extrapolation);
}

units::Ratio Material::loss_factor(units::Temperature temperature,
                                   Extrapolation extrapolation) const {
  return needed(record_.id, loss_factor_rule.key, loss_factor_).at(temperature, extrapolation);
}

units::Ratio Material::temperature_factor(units::Temperature temperature,
                                          Extrapolation extrapolation) const {
  return needed(record_.id, temperature_factor_rule.key, temperature_factor_)
      .at(temperature, extrapolation);
}

const Hardness& Material::hardness() const {
  return needed(record_.id, "hardness", record_.hardness);
}

const Wlf& Material::wlf() const {
  return needed(record_.id, "wlf", record_.wlf);
}

const std::vector<PronyTerm>& Material::prony() const {
  if (record_.prony.empty()) {
    throw_lacking(record_.id, "prony");
  }
  return record_.prony;
}

const TemperatureRange& Material::service_range() const {
  return needed(record_.id, "service_range", record_.service_range);
}

units::Ratio Material::shear_strain_limit() const {
  return needed(record_.id, "shear_strain_limit", record_.shear_strain_limit);
}

}  // namespace lashband::materials
