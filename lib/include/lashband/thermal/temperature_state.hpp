#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "lashband/units/temperature.hpp"

namespace lashband::thermal {

/// Which temperature zone a solid belongs to: its place in the design's list of zones.
enum class ZoneIndex : std::size_t {};

/// The temperature of every zone at one moment, in the order of the design's zones.
class TemperatureState {
 public:
  explicit TemperatureState(std::vector<units::Temperature> by_zone)
      : by_zone_(std::move(by_zone)) {}

  /// All of `zones` zones at one temperature.
  static TemperatureState uniform(std::size_t zones, units::Temperature level) {
    return TemperatureState(std::vector<units::Temperature>(zones, level));
  }

  /// Throws std::out_of_range for a zone that the state does not know: a mistake of the program.
  [[nodiscard]] units::Temperature of(ZoneIndex zone) const {
    return by_zone_.at(static_cast<std::size_t>(zone));
  }
  [[nodiscard]] const std::vector<units::Temperature>& by_zone() const { return by_zone_; }

 private:
  std::vector<units::Temperature> by_zone_;
};

}  // namespace lashband::thermal
