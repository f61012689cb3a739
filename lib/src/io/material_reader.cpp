#include "io/material_reader.hpp"

#include <algorithm>
#include <utility>

#include "lashband/error.hpp"

namespace lashband::io {
namespace {

using materials::MaterialRecord;
using materials::PropertyRecord;
using materials::PropertyTable;
using materials::TemperatureRange;

constexpr ValueRule level{"a temperature level", rules::any};
constexpr ValueRule number{"a number", rules::any};

std::optional<TemperatureRange> read_range(const Field& field) {
  constexpr std::string_view allowed =
      R"(a range of temperatures, lower end first, such as ["-60 degC", "250 degC"])";
  const auto ends = read_list(field, allowed, 2, 2);
  if (!ends) {
    return std::nullopt;
  }
  const auto low = read_quantity<units::Temperature>((*ends)[0], level);
  const auto high = read_quantity<units::Temperature>((*ends)[1], level);
  if (!low || !high) {
    return std::nullopt;
  }
  if (!(low->value() < high->value())) {
    field.report("read " + (*ends)[0].as_read() + " before " + (*ends)[1].as_read() +
                 "; allowed is the lower end first");
    return std::nullopt;
  }
  return TemperatureRange{*low, *high};
}

std::optional<std::string> read_family(const Field& field) {
  constexpr std::string_view allowed =
      R"(a word of lower-case letters, digits and _, such as "carbon_steel")";
  auto family = read_line(field, allowed);
  constexpr std::string_view letters = "abcdefghijklmnopqrstuvwxyz0123456789_";
  if (family && (family->empty() || family->find_first_not_of(letters) != std::string::npos)) {
    field.refuse(allowed);
    return std::nullopt;
  }
  return family;
}

/// One value of a property: a quantity, or a plain number where the property is a ratio.
template <class Q>
std::optional<Q> read_value(const Field& field) {
  if constexpr (std::is_same_v<Q, units::Ratio>) {
    const auto value = read_number(field, number);
    return value ? std::optional(units::from_si<units::Ratio>(*value)) : std::nullopt;
  } else {
    return read_quantity<Q>(field, {units::quantity_kind<Q>.name, rules::any});
  }
}

/// The rows [level, value] of a table; `read` reads the value.
template <class Point, class Read>
std::optional<std::vector<Point>> read_rows(const Field& field, std::string_view allowed_row,
                                            const Read& read) {
  const auto rows = read_list(field, "a list of at least two rows", 2);
  if (!rows) {
    return std::nullopt;
  }
  std::vector<Point> points;
  for (const Field& row : *rows) {
    const auto entries = read_list(row, allowed_row, 2, 2);
    if (!entries) {
      continue;
    }
    const auto temperature = read_quantity<units::Temperature>((*entries)[0], level);
    const auto value = read((*entries)[1]);
    if (temperature && value) {
      points.push_back({*temperature, *value});
    }
  }
  return points.size() == rows->size() ? std::optional(std::move(points)) : std::nullopt;
}

template <class Q>
std::optional<PropertyTable<Q>> read_property_table(const Field& field) {
  auto points = read_rows<materials::PropertyPoint<Q>>(
      field, "a row of a temperature and a value, coldest row first", read_value<Q>);
  return points ? std::optional(PropertyTable<Q>{std::move(*points)}) : std::nullopt;
}

template <class Q>
std::optional<PropertyRecord<Q>> read_property(const Field& field) {
  if (!field.given()) {
    return std::nullopt;
  }
  if (std::holds_alternative<json::List>(field.value().data)) {
    auto table = read_property_table<Q>(field);
    return table ? std::optional(PropertyRecord<Q>(std::move(*table))) : std::nullopt;
  }
  const auto* members = std::get_if<json::Object>(&field.value().data);
  if (members == nullptr) {
    const auto value = read_value<Q>(field);
    return value ? std::optional(PropertyRecord<Q>(*value)) : std::nullopt;
  }
  ObjectReader object(field, *members);
  const auto value = read_value<Q>(object.required("value"));
  const auto low = read_value<Q>(object.required("low"));
  const auto high = read_value<Q>(object.required("high"));
  object.refuse_unknown_keys();
  if (!value || !low || !high) {
    return std::nullopt;
  }
  return PropertyRecord<Q>(materials::SpreadValue<Q>{*value, *low, *high});
}

constexpr std::string_view elongation_forms =
    "an object with one of the keys mean_coefficient, table, polynomial and pieces";

/// One of the three plain forms, whose keys stand in `object`. The caller refuses unknown keys.
std::optional<materials::ElongationForm> read_form(ObjectReader& object) {
  const bool has_mean = object.has("mean_coefficient");
  const bool has_table = object.has("table");
  const bool has_polynomial = object.has("polynomial");
  const bool has_several = (has_mean && has_table) || ((has_mean || has_table) && has_polynomial);
  if (has_several || !(has_mean || has_table || has_polynomial)) {
    object.self().report(
        "an elongation is given by exactly one of the keys \"mean_coefficient\", \"table\", "
        "\"polynomial\" and \"pieces\"");
    return std::nullopt;
  }
  if (has_mean) {
    const auto value = read_quantity<units::PerKelvin>(object.required("mean_coefficient"),
                                                       {"a coefficient per kelvin", rules::any});
    return value ? std::optional(materials::ElongationForm(materials::MeanCoefficient{*value}))
                 : std::nullopt;
  }
  if (has_table) {
    auto points = read_rows<materials::MeanCoefficientPoint>(
        object.required("table"),
        "a row of a temperature and the mean coefficient from 20 degC, coldest row first",
        read_value<units::PerKelvin>);
    return points ? std::optional(materials::ElongationForm(
                        materials::MeanCoefficientTable{std::move(*points)}))
                  : std::nullopt;
  }
  materials::ElongationPolynomial polynomial;
  const auto coefficients =
      read_list(object.required("polynomial"), "a list of numbers, the constant first", 1);
  const auto of = read_choice<materials::PolynomialVariable>(
      object.required("of"), {{"degC", materials::PolynomialVariable::degree_celsius},
                              {"K", materials::PolynomialVariable::kelvin}});
  if (!coefficients) {
    return std::nullopt;
  }
  for (const Field& entry : *coefficients) {
    const auto coefficient = read_number(entry, number);
    if (coefficient) {
      polynomial.coefficients.push_back(*coefficient);
    }
  }
  if (!of || polynomial.coefficients.size() != coefficients->size()) {
    return std::nullopt;
  }
  polynomial.of = *of;
  return materials::ElongationForm(std::move(polynomial));
}

std::optional<materials::ElongationPieces> read_pieces(const Field& field) {
  const auto entries = read_list(field, "a list of at least one piece", 1);
  if (!entries) {
    return std::nullopt;
  }
  materials::ElongationPieces pieces;
  for (const Field& entry : *entries) {
    auto object = read_object(
        entry, "an object with a range and one of mean_coefficient, table and polynomial");
    if (!object) {
      continue;
    }
    const auto range = read_range(object->required("range"));
    auto form = read_form(*object);
    object->refuse_unknown_keys();
    if (range && form) {
      pieces.pieces.push_back({*range, std::move(*form)});
    }
  }
  return pieces.pieces.size() == entries->size() ? std::optional(std::move(pieces)) : std::nullopt;
}

std::optional<materials::ElongationRecord> read_elongation(const Field& field) {
  auto object = read_object(field, elongation_forms);
  if (!object) {
    return std::nullopt;
  }
  materials::ElongationRecord record;
  bool good = true;
  const Field uncertainty_field = object->optional("uncertainty");
  if (uncertainty_field.given()) {
    record.uncertainty = read_quantity<units::Ratio>(
        uncertainty_field, {"a ratio from 0 % to below 100 %",
                            [](double value) { return value >= 0.0 && value < 1.0; }});
    good = record.uncertainty.has_value();
  }
  const bool has_pieces = object->has("pieces");
  if (has_pieces &&
      !(object->has("mean_coefficient") || object->has("table") || object->has("polynomial"))) {
    auto pieces = read_pieces(object->required("pieces"));
    good = good && pieces;
    if (pieces) {
      record.curve = std::move(*pieces);
    }
  } else if (has_pieces) {
    object->self().report(
        "an elongation is given by exactly one of the keys \"mean_coefficient\", \"table\", "
        "\"polynomial\" and \"pieces\"");
    good = false;
  } else {
    auto form = read_form(*object);
    good = good && form;
    if (form) {
      std::visit([&record](auto& plain) { record.curve = std::move(plain); }, *form);
    }
  }
  object->refuse_unknown_keys();
  return good ? std::optional(std::move(record)) : std::nullopt;
}

std::optional<materials::Wlf> read_wlf(const Field& field) {
  auto object = read_object(field, "an object with the keys reference_temperature, c1 and c2");
  if (!object) {
    return std::nullopt;
  }
  const auto reference =
      read_quantity<units::Temperature>(object->required("reference_temperature"), level);
  const auto c1 = read_number(object->required("c1"), {"a number above 0", rules::above_zero});
  const auto c2 = read_quantity<units::TemperatureDifference>(
      object->required("c2"), {"a temperature difference above 0", rules::above_zero});
  object->refuse_unknown_keys();
  if (!reference || !c1 || !c2) {
    return std::nullopt;
  }
  return materials::Wlf{*reference, *c1, *c2};
}

std::optional<std::vector<materials::PronyTerm>> read_prony(const Field& field) {
  const auto entries = read_list(field, "a list of at least one term", 1);
  if (!entries) {
    return std::nullopt;
  }
  std::vector<materials::PronyTerm> terms;
  for (const Field& entry : *entries) {
    auto object =
        read_object(entry, "an object with the keys relative_modulus and relaxation_time");
    if (!object) {
      continue;
    }
    const auto modulus =
        read_number(object->required("relative_modulus"), {"a number above 0", rules::above_zero});
    const auto time = read_quantity<units::Time>(object->required("relaxation_time"),
                                                 {"a time above 0", rules::above_zero});
    object->refuse_unknown_keys();
    if (modulus && time) {
      terms.push_back({*modulus, *time});
    }
  }
  return terms.size() == entries->size() ? std::optional(std::move(terms)) : std::nullopt;
}

/// The keys of `sources` and `confidence`: properties and `all`.
template <class Read>
void read_by_property(const Field& field, std::string_view allowed, const Read& read) {
  auto object = read_object(field, allowed);
  if (!object) {
    return;
  }
  for (const std::string_view key : materials::property_keys) {
    read(std::string(key), object->optional(key));
  }
  read(std::string(materials::all_properties), object->optional(materials::all_properties));
  object->refuse_unknown_keys();
}

std::optional<materials::Confidence> read_confidence(const Field& field) {
  using materials::Confidence;
  return read_choice<Confidence>(field, {{"seen", Confidence::seen},
                                         {"seen_proxy", Confidence::seen_proxy},
                                         {"seen2", Confidence::seen2},
                                         {"memory", Confidence::memory},
                                         {"derived", Confidence::derived}});
}

/// Takes a value that was read into its place in the record. A key that stands there without a good
/// value makes the record bad, which has been reported.
template <class T>
void take(T& place, const Field& field, T&& value, bool& good) {
  good = good && value.has_value() == field.given();
  place = std::forward<T>(value);
}

struct KeyedField {
  std::string_view key;
  Field field;
};

bool lacks_a_source(const MaterialRecord& record) {
  return std::any_of(materials::property_keys.begin(), materials::property_keys.end(),
                     [&record](std::string_view key) {
                       return materials::gives(record, key) && !record.sources.contains(key);
                     });
}

/// A copy with only the property of that key, so that its own rules can be asked for.
MaterialRecord only(const MaterialRecord& record, std::string_view key) {
  MaterialRecord one;
  one.id = record.id;
  one.family = "any";
  one.range = record.range;
  const auto copy = [&](std::string_view of, auto member) {
    if (key == of) {
      one.*member = record.*member;
    }
  };
  copy("elongation", &MaterialRecord::elongation);
  copy("youngs_modulus", &MaterialRecord::youngs_modulus);
  copy("poissons_ratio", &MaterialRecord::poissons_ratio);
  copy("density", &MaterialRecord::density);
  copy("specific_heat", &MaterialRecord::specific_heat);
  copy("conductivity", &MaterialRecord::conductivity);
  copy("hardness", &MaterialRecord::hardness);
  copy("shear_modulus", &MaterialRecord::shear_modulus);
  copy("loss_factor", &MaterialRecord::loss_factor);
  copy("temperature_factor", &MaterialRecord::temperature_factor);
  copy("wlf", &MaterialRecord::wlf);
  copy("prony", &MaterialRecord::prony);
  copy("service_range", &MaterialRecord::service_range);
  copy("shear_strain_limit", &MaterialRecord::shear_strain_limit);
  one.sources.emplace(materials::all_properties, "as in the record");
  return one;
}

/// Reports what is wrong with each property by itself, at its place; false where nothing is.
bool report_faults(const MaterialRecord& record, const std::vector<KeyedField>& properties) {
  bool found = false;
  for (const KeyedField& property : properties) {
    if (!materials::gives(record, property.key)) {
      continue;
    }
    try {
      const materials::Material alone(only(record, property.key));
    } catch (const DomainError& error) {
      property.field.report(error.what());
      found = true;
    }
  }
  return found;
}

/// Material checks the whole record and stops at the first fault. Where it refuses, each property
/// is tried alone, so that every fault is reported, and at its place.
MaterialPointer checked(const MaterialRecord& record, const Field& self,
                        const std::vector<KeyedField>& properties) {
  try {
    return std::make_shared<const materials::Material>(record);
  } catch (const DomainError& error) {
    if (!report_faults(record, properties)) {
      self.report(error.what());
    }
    return nullptr;
  }
}

}  // namespace

std::optional<materials::Hardness> read_hardness(const Field& field) {
  auto object = read_object(field, R"({ "shore_a": 60 } or { "irhd": 60 })");
  if (!object) {
    return std::nullopt;
  }
  constexpr ValueRule degrees{"a number between 0 and 100",
                              [](double value) { return value > 0.0 && value < 100.0; }};
  std::optional<materials::Hardness> hardness;
  const bool has_shore = object->has("shore_a");
  const bool has_irhd = object->has("irhd");
  if (has_shore == has_irhd) {
    field.report(R"(a hardness is given by exactly one of the keys "shore_a" and "irhd")");
  } else if (has_shore) {
    if (const auto value = read_number(object->required("shore_a"), degrees)) {
      hardness = materials::ShoreA{*value};
    }
  } else if (const auto value = read_number(object->required("irhd"), degrees)) {
    hardness = materials::Irhd{*value};
  }
  object->refuse_unknown_keys();
  return hardness;
}

ReadMaterial read_material(const Field& field, RecordOrigin origin) {
  ReadMaterial result{std::nullopt, field, nullptr};
  const std::size_t problems_before = field.file().problem_count();
  auto object = read_object(field, "a material, an object with id, family, range and properties");
  if (!object) {
    return result;
  }
  MaterialRecord record;
  result.id_field = object->required("id");
  result.id = read_name(result.id_field, "the material's designation, such as \"EN AC-43500\"");
  const Field standard_field = object->optional("standard");
  const auto standard = read_line(standard_field, "the standard's designation");
  const auto family = read_family(object->required("family"));
  const auto range = read_range(object->required("range"));
  bool good = result.id && family && range && standard.has_value() == standard_field.given();

  std::vector<KeyedField> properties;
  properties.reserve(materials::property_keys.size());
  for (const std::string_view key : materials::property_keys) {
    properties.push_back({key, object->optional(key)});
  }
  const auto property_field = [&properties](std::string_view key) -> const Field& {
    for (const KeyedField& property : properties) {
      if (property.key == key) {
        return property.field;
      }
    }
    throw Error("no property of a material has the key " + std::string(key));
  };
  const auto read_into = [&](auto& place, std::string_view key, const auto& read) {
    const Field& given = property_field(key);
    if (given.given()) {
      take(place, given, read(given), good);
    }
  };
  read_into(record.elongation, "elongation", read_elongation);
  read_into(record.youngs_modulus, "youngs_modulus", read_property<units::Pressure>);
  read_into(record.poissons_ratio, "poissons_ratio", read_property<units::Ratio>);
  read_into(record.density, "density", read_property<units::Density>);
  read_into(record.specific_heat, "specific_heat", read_property<units::SpecificHeat>);
  read_into(record.conductivity, "conductivity", read_property<units::Conductivity>);
  read_into(record.hardness, "hardness", read_hardness);
  read_into(record.shear_modulus, "shear_modulus", read_property<units::Pressure>);
  read_into(record.loss_factor, "loss_factor", read_property<units::Ratio>);
  read_into(record.temperature_factor, "temperature_factor", read_property_table<units::Ratio>);
  read_into(record.wlf, "wlf", read_wlf);
  read_into(record.service_range, "service_range", read_range);
  read_into(record.shear_strain_limit, "shear_strain_limit", read_value<units::Ratio>);
  if (const Field& prony_field = property_field("prony"); prony_field.given()) {
    auto terms = read_prony(prony_field);
    good = good && terms;
    record.prony = std::move(terms).value_or(std::vector<materials::PronyTerm>{});
  }

  const bool must_have_sources = origin == RecordOrigin::shipped;
  const Field sources_field =
      must_have_sources ? object->required("sources") : object->optional("sources");
  read_by_property(sources_field, "an object that gives the source of each property, or of \"all\"",
                   [&](std::string key, const Field& source) {
                     if (!source.given()) {
                       return;
                     }
                     auto text = read_line(source, "the source, such as a title, table and year");
                     good = good && text;
                     record.sources.emplace(std::move(key), std::move(text).value_or(""));
                   });
  read_by_property(object->optional("confidence"),
                   "an object that gives the confidence of each property, or of \"all\"",
                   [&](std::string key, const Field& confidence) {
                     if (!confidence.given()) {
                       return;
                     }
                     const auto word = read_confidence(confidence);
                     good = good && word;
                     if (word) {
                       record.confidence.emplace(std::move(key), *word);
                     }
                   });
  object->refuse_unknown_keys();
  if (result.id && range) {
    record.id = *result.id;
    record.range = *range;
  }
  if (!good || field.file().problem_count() > problems_before) {
    if (result.id && range) {
      report_faults(record, properties);
    }
    return result;
  }
  record.standard = standard.value_or("");
  record.family = *family;
  if (origin == RecordOrigin::user && lacks_a_source(record)) {
    record.sources.emplace(materials::all_properties,
                           "given in " + shown(field.file().name()) + " without a source");
  }
  result.material = checked(record, field, properties);
  return result;
}

}  // namespace lashband::io
