#include "heat/heat_content.hpp"

#include <cmath>
#include <cstddef>
#include <variant>

#include "lashband/materials/material.hpp"

namespace lashband::heat::kernel {

HeatContent::HeatContent(const Body& body, double start) : start_(start) {
  if (const auto* capacity = std::get_if<units::HeatCapacity>(&body.capacity)) {
    specific_heat_.values = {capacity->value()};
    return;
  }
  const auto& part = std::get<MassOfMaterial>(body.capacity);
  mass_ = part.mass.value();
  specific_heat_ = curve_of(*part.material->record().specific_heat);
  if (constant()) {
    return;
  }
  // Each line of the specific heat is integrated exactly by its mean.
  const auto between = [this](double from, double to, std::size_t piece) {
    return mass_ * (to - from) * specific_heat_.on(piece, 0.5 * (from + to));
  };
  const std::vector<double>& degrees = specific_heat_.degrees;
  const std::size_t home = specific_heat_.piece(start);
  heats_.resize(degrees.size());
  heats_[home] = between(start, degrees[home], home);
  for (std::size_t i = home; i-- > 0;) {
    heats_[i] = heats_[i + 1] + between(degrees[i + 1], degrees[i], i);
  }
  heats_[home + 1] = between(start, degrees[home + 1], home);
  for (std::size_t i = home + 2; i < degrees.size(); ++i) {
    heats_[i] = heats_[i - 1] + between(degrees[i - 1], degrees[i], i - 1);
  }
}

double HeatContent::temperature(double heat) const {
  if (constant()) {
    return start_ + heat / (mass_ * specific_heat_.values.front());
  }
  std::size_t i = 0;
  while (i + 2 < heats_.size() && heat >= heats_[i + 1]) {
    ++i;
  }
  // c x + slope/2 x^2 = heat, in the form that does not cancel.
  const double rest = (heat - heats_[i]) / mass_;
  const double c = specific_heat_.values[i];
  const double root = c * c + 2.0 * specific_heat_.slope(i) * rest;
  return specific_heat_.degrees[i] + 2.0 * rest / (c + std::sqrt(root));
}

void Sum::add(double term) {
  const double sum = high_ + term;
  low_ += std::abs(high_) >= std::abs(term) ? (high_ - sum) + term : (term - sum) + high_;
  high_ = sum;
}

}  // namespace lashband::heat::kernel
