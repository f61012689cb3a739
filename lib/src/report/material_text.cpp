#include "lashband/report/material_text.hpp"

#include <array>
#include <optional>
#include <string_view>
#include <variant>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

using materials::Material;
using units::celsius;
using units::fixed_number;
using units::format;
using units::format_fixed;
using units::Temperature;

// Levels at which a list shows the elongation: a cold soak, the reference, a hot gear.
constexpr std::array listed_levels{-40.0, 20.0, 100.0};

std::string range_text(const materials::TemperatureRange& range) {
  return format_fixed(range.low, "degC", 0) + " … " + format_fixed(range.high, "degC", 0);
}

// Mean coefficient in 1e-6/K, or a dash outside the range or where there is none.
std::string mean_coefficient(const Material& material, Temperature level) {
  if (!material.record().elongation || !materials::contains(material.range(), level)) {
    return "-";
  }
  return format_fixed(1e6 * material.elongation().mean_coefficient(level), "1/K", 2);
}

// How a property's numbers are written: in a unit, or as plain numbers.
template <class Q>
struct Written {
  units::Unit<Q> unit;
  int decimals;

  [[nodiscard]] std::string number(Q value) const { return format_fixed(value, unit, decimals); }
  [[nodiscard]] std::string unit_text() const { return " " + std::string(unit.text()); }
};

template <>
struct Written<units::Ratio> {
  int decimals;

  [[nodiscard]] std::string number(units::Ratio value) const {
    return fixed_number(value.value(), decimals);
  }
  [[nodiscard]] static std::string unit_text() { return ""; }
};

template <class Q>
std::string values(const materials::PropertyRecord<Q>& record, const Written<Q>& written) {
  const std::string unit = written.unit_text();
  if (const auto* value = std::get_if<Q>(&record)) {
    return written.number(*value) + unit;
  }
  if (const auto* spread = std::get_if<materials::SpreadValue<Q>>(&record)) {
    return written.number(spread->value) + unit + " (from " + written.number(spread->low) + " to " +
           written.number(spread->high) + ")";
  }
  std::string text;
  for (const auto& point : std::get<materials::PropertyTable<Q>>(record).points) {
    text += (text.empty() ? "" : ", ") + written.number(point.value) + unit + " at " +
            format(point.temperature);
  }
  return text;
}

class Sheet {
 public:
  explicit Sheet(const Material& material) : material_(material) {}

  void line(std::string_view key, const std::string& value) {
    text_ += wrapped("  " + left(key, 20) + printable(value), 22);
  }
  void property(std::string_view key, const std::string& value) {
    line(key, value);
    const std::string indent(22, ' ');
    text_ += wrapped(indent + "source: " + printable(material_.source(key)), 24);
    if (const auto confidence = material_.confidence(key)) {
      text_ += indent + "confidence: " + std::string(confidence_word(*confidence)) + "\n";
    }
  }
  template <class Q>
  void property(std::string_view key, const std::optional<materials::PropertyRecord<Q>>& record,
                const Written<Q>& written) {
    if (record) {
      property(key, values<Q>(*record, written));
    }
  }
  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  const Material& material_;
  std::string text_;
};

std::string elongation_text(const Material& material) {
  const materials::TemperatureRange& range = material.range();
  std::string text = "mean coefficient from 20 degC:";
  const auto add = [&](Temperature level) {
    text += (text.back() == ':' ? " " : ", ") + mean_coefficient(material, level) + "e-6 1/K to " +
            format(level);
  };
  add(range.low);
  for (const double level : listed_levels) {
    if (level > range.low.value() && level < range.high.value()) {
      add(celsius(level));
    }
  }
  add(range.high);
  if (const auto& uncertainty = material.elongation().uncertainty()) {
    text += "; uncertain by " + format_fixed(*uncertainty, "%", 1) + " %";
  }
  return text;
}

std::string hardness_text(const materials::Hardness& hardness) {
  const bool shore = std::holds_alternative<materials::ShoreA>(hardness);
  const double degrees = shore ? std::get<materials::ShoreA>(hardness).degrees
                               : std::get<materials::Irhd>(hardness).degrees;
  return fixed_number(degrees, 0) + (shore ? " Shore A" : " IRHD");
}

void add_elastomer(Sheet& sheet, const materials::MaterialRecord& record) {
  if (record.hardness) {
    sheet.property("hardness", hardness_text(*record.hardness));
  }
  sheet.property<units::Pressure>("shear_modulus", record.shear_modulus, {"MPa", 2});
  sheet.property<units::Ratio>("loss_factor", record.loss_factor, {3});
  if (record.temperature_factor) {
    sheet.property("temperature_factor", values<units::Ratio>(*record.temperature_factor, {3}));
  }
  if (record.wlf) {
    const auto& wlf = *record.wlf;
    sheet.property("wlf", "C1 = " + fixed_number(wlf.c1, 2) +
                              ", C2 = " + format_fixed(wlf.c2, "K", 1) + " K from " +
                              format(wlf.reference_temperature));
  }
  if (!record.prony.empty()) {
    std::string terms;
    for (const materials::PronyTerm& term : record.prony) {
      terms += (terms.empty() ? "" : ", ") + fixed_number(term.relative_modulus, 4) + " over " +
               format(term.relaxation_time, "s");
    }
    sheet.property("prony", terms);
  }
  if (record.service_range) {
    sheet.property("service_range", range_text(*record.service_range));
  }
  if (record.shear_strain_limit) {
    sheet.property("shear_strain_limit", format_fixed(*record.shear_strain_limit, "%", 0) + " %");
  }
}

}  // namespace

std::string material_list(const std::vector<std::shared_ptr<const Material>>& materials) {
  std::string out = "  " + left("id", 17) + left("family", 26) + left("range [degC]", 13) +
                    "mean coefficient to\n  " + left("", 56);
  for (const double level : listed_levels) {
    out += right(format_fixed(celsius(level), "degC", 0), 7);
  }
  out += "\n";
  for (const auto& material : materials) {
    const auto& range = material->range();
    out += "  " + left(printable(material->id()), 16) + " " +
           left(printable(material->record().family), 25) + " " + left(range_text(range), 12);
    for (const double level : listed_levels) {
      out += right(mean_coefficient(*material, celsius(level)), 7);
    }
    out += "\n";
  }
  return out + "  mean coefficient of elongation from 20 degC to the level above, in 1e-6 1/K\n";
}

std::string material_sheet(const Material& material) {
  const materials::MaterialRecord& record = material.record();
  Sheet sheet(material);
  sheet.line("id", record.id);
  if (!record.standard.empty()) {
    sheet.line("standard", record.standard);
  }
  sheet.line("family", record.family);
  sheet.line("range", range_text(record.range) + " degC");
  if (record.elongation) {
    sheet.property("elongation", elongation_text(material));
  }
  sheet.property<units::Pressure>("youngs_modulus", record.youngs_modulus, {"GPa", 1});
  sheet.property<units::Ratio>("poissons_ratio", record.poissons_ratio, {3});
  sheet.property<units::Density>("density", record.density, {"kg/m3", 0});
  sheet.property<units::SpecificHeat>("specific_heat", record.specific_heat, {"J/(kg K)", 0});
  sheet.property<units::Conductivity>("conductivity", record.conductivity, {"W/(m K)", 2});
  add_elastomer(sheet, record);
  return sheet.take() +
         "\n  Typical values, not guaranteed ones: confirm by certificate or test.\n";
}

}  // namespace lashband::report
