#include "vibration.hpp"

#include <string>

#include "lashband/error.hpp"
#include "lashband/units/plain_number.hpp"

namespace lashband::design {

using torsion::kernel::ForceCourse;

void TorsionVibration::answer(const TorsionLayout& layout) {
  excitations_.reserve(lines_.orders.size());
  responses_.reserve(lines_.orders.size());
  for (const ShakenOrder& order : lines_.orders) {
    excitations_.push_back(excitation_at(lines_, order, layout, at_.speed));
    try {
      responses_.push_back(
          torsion::kernel::response(at_.system, order.order * at_.speed, excitations_.back()));
    } catch (const ComputationError& error) {
      throw ComputationError("order " + units::fixed_number(order.order, 3) + ": " + error.what());
    }
  }
}

ForceCourse TorsionVibration::course(std::size_t element) const {
  ForceCourse course;
  course.mean = at_.flow.torques[element];
  for (std::size_t i = 0; i < responses_.size(); ++i) {
    course.harmonics.push_back({lines_.orders[i].whole, responses_[i].torques[element]});
  }
  return course;
}

ForceCourse TorsionVibration::motion(const std::vector<double>& weights) const {
  ForceCourse course;
  for (std::size_t i = 0; i < responses_.size(); ++i) {
    std::complex<double> sum;
    for (std::size_t k = 0; k < weights.size(); ++k) {
      sum += weights[k] * responses_[i].angles[k];
    }
    course.harmonics.push_back({lines_.orders[i].whole, sum});
  }
  return course;
}

ForceCourse TorsionVibration::acceleration(const std::vector<double>& weights) const {
  ForceCourse course = motion(weights);
  for (std::size_t i = 0; i < course.harmonics.size(); ++i) {
    course.harmonics[i].amplitude *= -omega(i) * omega(i);
  }
  return course;
}

torsion::kernel::PowerBalance TorsionVibration::power() const {
  torsion::kernel::PowerBalance sum;
  for (std::size_t i = 0; i < responses_.size(); ++i) {
    const torsion::kernel::PowerBalance one =
        torsion::kernel::power(at_.system, omega(i), excitations_[i], responses_[i]);
    sum.in += one.in;
    sum.dissipated += one.dissipated;
  }
  return sum;
}

}  // namespace lashband::design
