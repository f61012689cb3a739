#include "lashband/elastomer/temperature_effect.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <utility>

#include "lashband/error.hpp"
#include "requirement.hpp"

namespace lashband::elastomer {
namespace {

using checks::require;
using checks::require_positive;

std::string outside_table(units::Temperature temperature,
                          const materials::TemperatureRange& range) {
  std::ostringstream message;
  message.precision(10);
  message << "the stiffness factor of the elastomer is given from " << range.low.value()
          << " degC to " << range.high.value() << " degC, not for " << temperature.value()
          << " degC";
  return message.str();
}

}  // namespace

double shift_factor(const materials::Wlf& wlf, units::Temperature temperature) {
  require_positive("the constant C1 of a WLF shift must be above 0", wlf.c1, "");
  require_positive("the constant C2 of a WLF shift must be above 0 K", wlf.c2.value(), " K");
  require(std::isfinite(wlf.reference_temperature.value()),
          "the reference temperature of a WLF shift must be finite",
          wlf.reference_temperature.value(), " degC");
  const double above = units::difference(wlf.reference_temperature, temperature).value();
  require(above > -wlf.c2.value() && std::isfinite(above),
          "the temperature of a WLF shift must be above its pole at T0 - C2 and finite",
          temperature.value(), " degC");
  const double factor = std::pow(10.0, -wlf.c1 * above / (wlf.c2.value() + above));
  if (!(factor > 0.0 && std::isfinite(factor))) {
    std::ostringstream message;
    message.precision(10);
    message << "the WLF shift at " << temperature.value()
            << " degC, too near its pole, leaves the range of numbers";
    throw ComputationError(message.str());
  }
  return factor;
}

GeneralisedMaxwell shifted(const GeneralisedMaxwell& chain, const materials::Wlf& wlf,
                           units::Temperature temperature) {
  const double factor = shift_factor(wlf, temperature);
  GeneralisedMaxwell result = chain;
  for (MaxwellBranch& branch : result.branches) {
    branch.relaxation_time *= factor;
  }
  return result;
}

StiffnessFactor::StiffnessFactor(std::vector<Point> points) : points_(std::move(points)) {
  require(points_.size() >= 2, "a table of stiffness factors must have 2 points or more",
          static_cast<double>(points_.size()), "");
  for (std::size_t i = 0; i < points_.size(); ++i) {
    const double T = points_[i].temperature.value();
    require(std::isfinite(T), "a temperature of a table of stiffness factors must be finite", T,
            " degC");
    require(i == 0 || T > points_[i - 1].temperature.value(),
            "the temperatures of a table of stiffness factors must rise", T, " degC");
    require_positive("a stiffness factor must be above 0", points_[i].factor, "");
  }
  range_ = {points_.front().temperature, points_.back().temperature};
}

double StiffnessFactor::at(units::Temperature temperature) const {
  if (!materials::contains(range_, temperature)) {
    throw DomainError(outside_table(temperature, range_));
  }
  const double T = temperature.value();
  // The second point of the stretch; the ends' slack extends the outer ones.
  const auto above = std::find_if(points_.begin() + 1, points_.end() - 1, [T](const Point& point) {
    return point.temperature.value() >= T;
  });
  const Point& high = *above;
  const Point& low = *(above - 1);
  const double share =
      (T - low.temperature.value()) / (high.temperature.value() - low.temperature.value());
  return std::lerp(low.factor, high.factor, share);
}

}  // namespace lashband::elastomer
