#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "lines.hpp"
#include "state.hpp"
#include "torsion/force_course.hpp"
#include "torsion/response.hpp"

namespace lashband::design {

/// The steady vibration at one speed, order by order as TorsionLines::orders has them. What it
/// refers to must outlive it.
class TorsionVibration {
 public:
  /// Throws ComputationError at a resonance without damping, with its order.
  TorsionVibration(const TorsionLines& lines, const TorsionLayout& layout, const TorsionAtSpeed& at)
      : lines_(lines), at_(at) {
    answer(layout);
  }

  [[nodiscard]] double omega(std::size_t order) const {
    return lines_.orders[order].order * at_.speed;
  }
  [[nodiscard]] std::size_t orders() const { return lines_.orders.size(); }
  [[nodiscard]] const torsion::kernel::Excitation& excitation(std::size_t order) const {
    return excitations_[order];
  }
  [[nodiscard]] const torsion::kernel::Response& response(std::size_t order) const {
    return responses_[order];
  }

  /// The torque or force of an element over a full cycle, its mean included.
  [[nodiscard]] torsion::kernel::ForceCourse course(std::size_t element) const;
  /// sum of weight theta over the inertias over a full cycle, without a mean.
  [[nodiscard]] torsion::kernel::ForceCourse motion(const std::vector<double>& weights) const;
  /// The same of sum of weight theta''.
  [[nodiscard]] torsion::kernel::ForceCourse acceleration(const std::vector<double>& weights) const;

  /// Power that goes into the vibration, and what its elements dissipate, W.
  [[nodiscard]] torsion::kernel::PowerBalance power() const;

 private:
  void answer(const TorsionLayout& layout);

  const TorsionLines& lines_;
  const TorsionAtSpeed& at_;
  std::vector<torsion::kernel::Excitation> excitations_;
  std::vector<torsion::kernel::Response> responses_;
};

}  // namespace lashband::design
