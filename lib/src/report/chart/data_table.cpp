#include "data_table.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/failure_probability.hpp"
#include "report/number_text.hpp"
#include "report/numbers.hpp"
#include "report/terminal_table.hpp"

namespace lashband::report {
namespace {

using units::value_in;

constexpr double mm_in_inch = 25.4;
constexpr double newtons_in_lbf = 4.4482216152605;

// Significant digits of orders, speeds and frequencies.
constexpr int digits_of_orders = 7;

Column column(std::string field, std::string head, std::string unit, std::string shown_unit,
              double scale) {
  return {std::move(field),      std::move(head), true, std::move(unit),
          std::move(shown_unit), scale,           0.0,  EndsTold::both};
}

double shown_in_radian(const AngleScale& scale) {
  const std::string_view unit = scale.unit();
  const auto radian = units::from_si<units::Angle>(1.0);
  return unit == "deg"      ? value_in(radian, "deg")
         : unit == "arcmin" ? value_in(radian, "arcmin")
                            : value_in(radian, "arcsec");
}

}  // namespace

std::string Column::head_with_unit() const {
  return shown_unit.empty() ? head : head + " [" + shown_unit + "]";
}

Column Column::told_at(EndsTold end) const {
  Column column = *this;
  column.ends = end;
  return column;
}

TimeScale time_scale(units::Time length) {
  // Up to five minutes in s and up to three hours in min: numbers of three digits at most.
  constexpr double longest_in_seconds = 300.0;
  constexpr double longest_in_minutes = 10800.0;
  constexpr double parts_told = 2000.0;
  constexpr int most_decimals = 3;
  TimeScale scale{"h", 3600.0, 0};
  if (!(length.value() > longest_in_seconds)) {
    scale = {"s", 1.0, 0};
  } else if (!(length.value() > longest_in_minutes)) {
    scale = {"min", 60.0, 0};
  }
  const double in_unit = length.value() / scale.seconds;
  scale.decimals = in_unit > 0.0
                       ? std::clamp(static_cast<int>(std::ceil(std::log10(parts_told / in_unit))),
                                    0, most_decimals)
                       : most_decimals;
  return scale;
}

std::string time_text(units::Time time, const TimeScale& scale) {
  return units::fixed_number(time.value() / scale.seconds, scale.decimals) + " " + scale.unit;
}

Column Measures::text(std::string field, std::string head) {
  return {std::move(field), std::move(head), false, "", "", 1.0, 0.0, EndsTold::both};
}
Column Measures::ratio(std::string field, std::string head) {
  return column(std::move(field), std::move(head), "", "", 1.0);
}
Column Measures::share(std::string field, std::string head) {
  return column(std::move(field), std::move(head), "", "%", 100.0);
}
Column Measures::gap(std::string field, std::string head) const {
  return units_ == UnitSystem::inch
             ? column(std::move(field), std::move(head), "mm", "thou", 1000.0 / mm_in_inch)
             : column(std::move(field), std::move(head), "mm", "µm", 1000.0);
}
Column Measures::distance(std::string field, std::string head) const {
  return units_ == UnitSystem::inch
             ? column(std::move(field), std::move(head), "mm", "in", 1.0 / mm_in_inch)
             : column(std::move(field), std::move(head), "mm", "mm", 1.0);
}
Column Measures::clearance(std::string field, std::string head) const {
  return distance(std::move(field), std::move(head));
}
Column Measures::force(std::string field, std::string head) const {
  return units_ == UnitSystem::inch
             ? column(std::move(field), std::move(head), "N", "lbf", 1.0 / newtons_in_lbf)
             : column(std::move(field), std::move(head), "N", "N", 1.0);
}
Column Measures::time(std::string field, std::string head, const TimeScale& scale) {
  return column(std::move(field), std::move(head), "s", scale.unit, 1.0 / scale.seconds);
}
Column Measures::level(std::string field, std::string head) const {
  Column result = column(std::move(field), std::move(head), "degC", "°C", 1.0);
  if (units_ == UnitSystem::inch) {
    result.shown_unit = "°F";
    result.scale = 1.8;
    result.offset = 32.0;
  }
  return result;
}
Column Measures::angle(std::string field, std::string head, const AngleScale& scale) {
  return column(std::move(field), std::move(head), "rad", scale.unit(), shown_in_radian(scale));
}
Column Measures::speed(std::string field, std::string head) {
  return column(std::move(field), std::move(head), "rpm", "rpm", 1.0);
}
Column Measures::frequency(std::string field, std::string head) {
  return column(std::move(field), std::move(head), "Hz", "Hz", 1.0);
}

Cell Measures::text_cell(std::string_view text) {
  return {printable(text), std::nullopt};
}
Cell Measures::ratio_cell(double ratio) {
  return {units::fixed_number(ratio, 3), ratio};
}
Cell Measures::share_cell(double share) {
  return {units::fixed_number(100.0 * share, 1), share};
}
Cell Measures::probability_cell(const std::optional<double>& probability, bool sampled) {
  return probability ? Cell{probability_text(*probability, sampled), probability} : Cell{};
}
Cell Measures::time_cell(units::Time time, const TimeScale& scale) {
  return {units::fixed_number(time.value() / scale.seconds, scale.decimals), time.value()};
}
Cell Measures::gap_cell(const std::optional<units::Length>& gap) const {
  return gap ? Cell{Numbers(units_).gap(*gap), value_in(*gap, "mm")} : Cell{};
}
Cell Measures::distance_cell(units::Length distance) const {
  return {Numbers(units_).distance(distance), value_in(distance, "mm")};
}
Cell Measures::clearance_cell(units::Length clearance) const {
  return {Numbers(units_).clearance(clearance), value_in(clearance, "mm")};
}
Cell Measures::force_cell(const std::optional<units::Force>& force) const {
  return force ? Cell{Numbers(units_).force(*force), value_in(*force, "N")} : Cell{};
}
Cell Measures::level_cell(const std::optional<units::Temperature>& level) const {
  if (!level) {
    return {};
  }
  return {units_ == UnitSystem::inch ? units::format_fixed(*level, "degF", 1)
                                     : units::format_fixed(*level, "degC", 1),
          value_in(*level, "degC")};
}
Cell Measures::count_cell(long long count) {
  return {std::to_string(count), static_cast<double>(count)};
}
Cell Measures::order_cell(const std::optional<double>& order) {
  return order ? Cell{rounded_number(*order, digits_of_orders), order} : Cell{};
}
Cell Measures::angle_cell(const std::optional<units::Angle>& angle, const AngleScale& scale) {
  return angle ? Cell{scale.text(*angle), angle->value()} : Cell{};
}
Cell Measures::speed_cell(const std::optional<units::AngularVelocity>& speed) {
  return speed ? order_cell(value_in(*speed, "rpm")) : Cell{};
}
Cell Measures::frequency_cell(const std::optional<units::Frequency>& frequency) {
  return frequency ? order_cell(value_in(*frequency, "Hz")) : Cell{};
}

}  // namespace lashband::report
