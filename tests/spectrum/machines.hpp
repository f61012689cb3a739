#pragma once

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

#include "lashband/spectrum/lines.hpp"
#include "lashband/units/rotation.hpp"

namespace lashband::test {

using train::ExactRatio;

/// Shafts in a row, one mesh between each and the next: teeth {23, 67}, {19, 41}. Shaft 0 is the
/// reference; ids are s0, s1 and m0, m1.
[[nodiscard]] inline spectrum::Machine chain(const std::vector<std::pair<int, int>>& teeth) {
  spectrum::Machine machine;
  ExactRatio order = 1;
  machine.shafts.push_back({"s0", order, order});
  for (std::size_t i = 0; i < teeth.size(); ++i) {
    const auto [z_1, z_2] = teeth[i];
    order *= ExactRatio(-z_1, z_2);
    machine.shafts.push_back({"s" + std::to_string(i + 1), order, order});
    machine.meshes.push_back({"m" + std::to_string(i), i, i + 1, z_1, z_2});
  }
  return machine;
}

/// The orders of a kind of line of one source, in their order.
[[nodiscard]] inline std::vector<double> orders_of(const std::vector<spectrum::Line>& lines,
                                                   spectrum::LineKind kind,
                                                   const std::string& source) {
  std::vector<double> orders;
  for (const spectrum::Line& line : lines) {
    if (line.kind == kind && line.source == source) {
      orders.push_back(line.order);
    }
  }
  return orders;
}

/// `n` turns a minute.
[[nodiscard]] inline units::AngularVelocity per_minute(double n) {
  return units::angular_velocity(units::from_si<units::Frequency>(n / 60.0));
}

}  // namespace lashband::test
