#include "torsion_names.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "lashband/units/format.hpp"
#include "report/number_text.hpp"

namespace lashband::report {
namespace {

constexpr std::string_view mesh_prefix = "mesh ";
constexpr double newtons_in_lbf = 4.4482216152605;
constexpr double metres_in_inch = 0.0254;
constexpr double newton_metres_in_lbf_ft = newtons_in_lbf * 12.0 * metres_in_inch;
constexpr double newtons_per_metre_in_newtons_per_um = 1e6;
constexpr double newtons_per_metre_in_lbf_per_inch = newtons_in_lbf / metres_in_inch;
constexpr double kilograms_in_lb = 0.45359237;
constexpr double kg_m2_in_lb_in2 = kilograms_in_lb * metres_in_inch * metres_in_inch;

constexpr int most_digits = 12;

int digits_before_point(double number) {
  const double size = std::abs(number);
  return size >= 1.0 ? static_cast<int>(std::floor(std::log10(size))) + 1 : 1;
}

Column numbers(std::string field, std::string head, std::string unit, std::string shown_unit,
               double scale) {
  Column column;
  column.field = std::move(field);
  column.head = std::move(head);
  column.numeric = true;
  column.unit = std::move(unit);
  column.shown_unit = std::move(shown_unit);
  column.scale = scale;
  return column;
}

}  // namespace

bool is_of_mesh(const design::ExcitationLine& line) {
  return line.id.starts_with(mesh_prefix);
}

std::string excitation_name(const design::ExcitationLine& line) {
  const std::string number = rounded_number(line.order_of_source, 6);
  if (is_of_mesh(line)) {
    return line.id + ", " + (number == "1" ? "" : number + " ") + "f_z";
  }
  return line.id + ", order " + number;
}

std::string mode_name(const design::TorsionCondition& condition, std::size_t mode) {
  return "mode " + std::to_string(mode) + " (" + hertz_words(condition.modes[mode].frequency) + ")";
}

std::optional<std::size_t> most_strained(const design::NaturalMode& mode) {
  const auto found = std::max_element(mode.strain_share.begin(), mode.strain_share.end());
  if (found == mode.strain_share.end()) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(found - mode.strain_share.begin());
}

std::string whole_number(double number, int digits) {
  return rounded_number(number, std::clamp(digits_before_point(number), digits, most_digits));
}

std::string hertz_words(units::Frequency frequency) {
  return whole_number(units::value_in(frequency, "Hz"), 4) + " Hz";
}

std::string rpm_words(units::AngularVelocity speed) {
  return whole_number(units::value_in(speed, "rpm"), 4) + " rpm";
}

Column TorqueMeasures::torque(std::string field, std::string head) const {
  return inch_ ? numbers(std::move(field), std::move(head), "N m", "lbf ft",
                         1.0 / newton_metres_in_lbf_ft)
               : numbers(std::move(field), std::move(head), "N m", "N m", 1.0);
}
Column TorqueMeasures::stiffness(std::string field, std::string head) const {
  return inch_ ? numbers(std::move(field), std::move(head), "N m/rad", "lbf ft/rad",
                         1.0 / newton_metres_in_lbf_ft)
               : numbers(std::move(field), std::move(head), "N m/rad", "N m/rad", 1.0);
}
Column TorqueMeasures::mesh_stiffness(std::string field, std::string head) const {
  return inch_ ? numbers(std::move(field), std::move(head), "N/m", "lbf/in",
                         1.0 / newtons_per_metre_in_lbf_per_inch)
               : numbers(std::move(field), std::move(head), "N/m", "N/µm",
                         1.0 / newtons_per_metre_in_newtons_per_um);
}
Column TorqueMeasures::inertia(std::string field, std::string head) const {
  return inch_
             ? numbers(std::move(field), std::move(head), "kg m2", "lb in2", 1.0 / kg_m2_in_lb_in2)
             : numbers(std::move(field), std::move(head), "kg m2", "kg m2", 1.0);
}
Column TorqueMeasures::power(std::string field, std::string head) {
  return numbers(std::move(field), std::move(head), "W", "W", 1.0);
}

Cell TorqueMeasures::torque_cell(double torque_in_newton_metres) const {
  return five_digits(torque_in_newton_metres, torque("", "").scale);
}
Cell TorqueMeasures::stiffness_cell(double stiffness_in_newton_metres_per_radian) const {
  return five_digits(stiffness_in_newton_metres_per_radian, stiffness("", "").scale);
}
Cell TorqueMeasures::mesh_stiffness_cell(double stiffness_in_newtons_per_metre) const {
  return five_digits(stiffness_in_newtons_per_metre, mesh_stiffness("", "").scale);
}
Cell TorqueMeasures::inertia_cell(units::Inertia inertia) const {
  return five_digits(inertia.value(), this->inertia("", "").scale);
}
Cell TorqueMeasures::power_cell(units::Power power) {
  return five_digits(power.value());
}

std::string TorqueMeasures::torque_words(double torque_in_newton_metres) const {
  const Column column = torque("", "");
  return whole_number(torque_in_newton_metres * column.scale, 4) + " " + column.shown_unit;
}

std::string TorqueMeasures::inertia_words(units::Inertia inertia) const {
  const Column column = this->inertia("", "");
  return whole_number(inertia.value() * column.scale, 4) + " " + column.shown_unit;
}

Cell five_digits(double value, double scale) {
  return {whole_number(value * scale, 5), value};
}

Specification scaled_tooltip(const DataTable& table, const std::vector<std::string_view>& names) {
  constexpr int digits = 5;
  constexpr int most_decimals = 6;
  Specification list = Specification::array();
  for (const std::string_view name : names) {
    Specification one = field(table, name);
    const std::size_t place = place_of(table, name);
    if (table.columns[place].numeric) {
      double greatest = 0.0;
      for (const std::vector<Cell>& row : table.rows) {
        greatest = std::max(greatest,
                            std::abs(row[place].value.value_or(0.0) * table.columns[place].scale));
      }
      const int before =
          greatest > 0.0 ? static_cast<int>(std::floor(std::log10(greatest))) + 1 : 1;
      one["format"] = "." + std::to_string(std::clamp(digits - before, 0, most_decimals)) + "f";
    }
    list.push_back(std::move(one));
  }
  return list;
}

ConditionSeries condition_series(const design::TorsionResult& result,
                                 const std::vector<std::size_t>& places) {
  ConditionSeries series;
  series.places = places;
  series.names.reserve(places.size());
  for (const std::size_t place : places) {
    series.names.push_back(Measures::text_cell(result.conditions[place].id).shown);
  }
  return series;
}

}  // namespace lashband::report
