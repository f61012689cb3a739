#pragma once

#include <string>
#include <vector>

#include "history_context.hpp"

namespace lashband::report {

/// What a temperature of a history is the temperature of.
struct TemperatureCurve {
  enum class Of { zone, body, boundary };
  Of of = Of::zone;
  std::string name{};                       ///< differs from that of every other curve
  std::vector<units::Temperature> level{};  ///< at each moment
};

/// The zones of a history, and the bodies and boundaries of its network that are no zone. A zone
/// that the network leaves out has no curve.
[[nodiscard]] std::vector<TemperatureCurve> temperature_curves(const design::Study& study,
                                                               const design::HistoryResult& result);

/// Adds the chart of the temperatures and its table.
void add_temperatures(const HistoryContext& in, HistoryCharts& charts);

}  // namespace lashband::report
