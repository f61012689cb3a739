#include "angle_text.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "lashband/units/format.hpp"

namespace lashband::report {
namespace {

using namespace std::string_view_literals;

constexpr double minutes_per_degree = 60.0;

const char* unit_for(double degrees) {
  return degrees >= 1.0                        ? "deg"
         : degrees * minutes_per_degree >= 1.0 ? "arcmin"
         : degrees > 0.0                       ? "arcsec"
                                               : "arcmin";
}

double number_in(units::Angle angle, std::string_view unit) {
  return unit == "deg"sv      ? units::value_in(angle, "deg")
         : unit == "arcmin"sv ? units::value_in(angle, "arcmin")
                              : units::value_in(angle, "arcsec");
}

}  // namespace

AngleScale::AngleScale(units::Angle greatest)
    : unit_(unit_for(std::abs(units::value_in(greatest, "deg")))) {
  const double number = std::abs(number_in(greatest, unit_));
  const int most = unit_ == "deg"sv ? 4 : 3;
  const int before = number >= 10.0 ? static_cast<int>(std::floor(std::log10(number))) : 0;
  decimals_ = std::max(0, most - before);
}

std::string AngleScale::text(units::Angle angle) const {
  return unit_ == "deg"sv      ? units::format_fixed(angle, "deg", decimals_)
         : unit_ == "arcmin"sv ? units::format_fixed(angle, "arcmin", decimals_)
                               : units::format_fixed(angle, "arcsec", decimals_);
}

std::string AngleScale::with_unit(units::Angle angle) const {
  return text(angle) + " " + unit_;
}

}  // namespace lashband::report
