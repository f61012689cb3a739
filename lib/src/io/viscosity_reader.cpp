#include "io/viscosity_reader.hpp"

#include "lashband/error.hpp"

namespace lashband::io {
namespace {

std::optional<losses::ViscosityPoint> read_viscosity_point(const Field& entry) {
  const auto pair =
      read_list(entry, "a list of two: a temperature level and a kinematic viscosity", 2, 2);
  if (!pair) {
    return std::nullopt;
  }
  const auto level =
      read_quantity<units::Temperature>(pair->front(), {"a temperature level", rules::any});
  const auto viscosity = read_quantity<units::KinematicViscosity>(
      pair->back(), {"a kinematic viscosity from 0.21 mm2/s to 2e7 mm2/s", [](double nu) {
                       return nu >= losses::least_stated_viscosity.value() &&
                              nu <= losses::greatest_stated_viscosity.value();
                     }});
  return level && viscosity ? std::optional(losses::ViscosityPoint{*level, *viscosity})
                            : std::nullopt;
}

}  // namespace

std::optional<losses::OilViscosity> read_viscosity(const Field& field) {
  const auto entries = read_list(
      field,
      R"(a list of two points, such as [["40 degC", "46 mm2/s"], ["100 degC", "6.8 mm2/s"]])", 2,
      2);
  if (!entries) {
    return std::nullopt;
  }
  const auto first = read_viscosity_point(entries->front());
  const auto second = read_viscosity_point(entries->back());
  if (!first || !second) {
    return std::nullopt;
  }
  try {
    return losses::OilViscosity(*first, *second);
  } catch (const DomainError& error) {
    field.report(std::string(error.what()) +
                 "; allowed are two points at least 1 K apart, the warmer one with the lower "
                 "viscosity");
    return std::nullopt;
  }
}

}  // namespace lashband::io
