#include "lashband/excitation/harmonics.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

#include "excitation/fourier.hpp"
#include "requirement.hpp"

namespace lashband::excitation {
namespace {

using checks::require;
using checks::require_finite;

constexpr double full_turn = 2.0 * std::numbers::pi;

void check_cycle(int revolutions) {
  require(revolutions >= 1 && revolutions <= most_revolutions_per_cycle,
          "the cycle of a torque must take 1 to 1000 revolutions", revolutions, "");
}

/// The angle of the first harmonic, -pi to pi.
double cycle_phase(double angle, int revolutions) {
  return std::remainder(angle / revolutions, full_turn);
}

}  // namespace

CyclicTorque::CyclicTorque(int revolutions_per_cycle, units::Torque mean,
                           std::vector<std::complex<double>> amplitudes_in_newton_metres)
    : revolutions_per_cycle_(revolutions_per_cycle),
      mean_(mean),
      amplitudes_(std::move(amplitudes_in_newton_metres)) {
  check_cycle(revolutions_per_cycle);
  require_finite("the mean of a torque must be finite", mean.value(), " N m");
  require(amplitudes_.size() <= most_harmonics, "a torque must have 100000 harmonics or fewer",
          static_cast<double>(amplitudes_.size()), "");
  for (const std::complex<double>& amplitude : amplitudes_) {
    for (const double part : {amplitude.real(), amplitude.imag()}) {
      require_finite("both parts of the amplitude of a harmonic must be finite", part, " N m");
    }
  }
}

std::complex<double> CyclicTorque::amplitude_in_newton_metres(std::size_t k) const {
  require(k >= 1, "harmonics of a torque are numbered from 1", static_cast<double>(k), "");
  return k <= amplitudes_.size() ? amplitudes_[k - 1] : 0.0;
}

units::Torque CyclicTorque::at(units::Angle phi) const {
  require_finite("the angle at which a torque is asked for must be finite", phi.value(), " rad");
  const double phase = cycle_phase(phi.value(), revolutions_per_cycle_);
  double torque = mean_.value();
  for (std::size_t k = 1; k <= amplitudes_.size(); ++k) {
    const double angle = static_cast<double>(k) * phase;
    const std::complex<double>& amplitude = amplitudes_[k - 1];
    torque += amplitude.real() * std::cos(angle) - amplitude.imag() * std::sin(angle);
  }
  return units::from_si<units::Torque>(torque);
}

units::Energy CyclicTorque::work_per_cycle() const {
  return full_turn * revolutions_per_cycle_ * mean_;
}

CyclicTorque cyclic_torque(const std::vector<units::Torque>& samples, int revolutions_per_cycle,
                           std::size_t harmonics) {
  check_cycle(revolutions_per_cycle);
  require(!samples.empty() && samples.size() <= most_samples,
          "a torque is made of 1 to 10 million samples", static_cast<double>(samples.size()), "");
  require(harmonics <= (samples.size() - 1) / 2,
          "harmonics of a torque must be fewer than half its samples",
          static_cast<double>(harmonics), "");
  std::vector<double> values;
  values.reserve(samples.size());
  for (const units::Torque& sample : samples) {
    require_finite("every sample of a torque must be finite", sample.value(), " N m");
    values.push_back(sample.value());
  }
  std::vector<std::complex<double>> coefficients = kernel::fourier_coefficients(values, harmonics);
  const auto mean = units::from_si<units::Torque>(coefficients.front().real());
  coefficients.erase(coefficients.begin());
  for (std::complex<double>& coefficient : coefficients) {
    coefficient *= 2.0;
  }
  return {revolutions_per_cycle, mean, std::move(coefficients)};
}

CyclicTorque delayed(const CyclicTorque& torque, units::Angle psi) {
  require_finite("the angle by which a torque is later must be finite", psi.value(), " rad");
  const double phase = cycle_phase(psi.value(), torque.revolutions_per_cycle());
  std::vector<std::complex<double>> amplitudes = torque.amplitudes_in_newton_metres();
  for (std::size_t k = 1; k <= amplitudes.size(); ++k) {
    amplitudes[k - 1] *= std::polar(1.0, -static_cast<double>(k) * phase);
  }
  return {torque.revolutions_per_cycle(), torque.mean(), std::move(amplitudes)};
}

CyclicTorque scaled(const CyclicTorque& torque, double factor) {
  require_finite("the factor to a torque must be finite", factor, "");
  std::vector<std::complex<double>> amplitudes = torque.amplitudes_in_newton_metres();
  for (std::complex<double>& amplitude : amplitudes) {
    amplitude *= factor;
  }
  return {torque.revolutions_per_cycle(), factor * torque.mean(), std::move(amplitudes)};
}

CyclicTorque sum(const std::vector<CyclicTorque>& torques) {
  require(!torques.empty(), "a sum of torques must have 1 torque or more", 0.0, "");
  int revolutions = 1;
  for (const CyclicTorque& torque : torques) {
    revolutions = std::lcm(revolutions, torque.revolutions_per_cycle());
    require(revolutions <= most_revolutions_per_cycle,
            "the common cycle of torques must take 1000 revolutions or fewer", revolutions, "");
  }
  std::size_t highest = 0;
  for (const CyclicTorque& torque : torques) {
    const int multiple = revolutions / torque.revolutions_per_cycle();
    highest = std::max(highest, torque.harmonics() * static_cast<std::size_t>(multiple));
  }
  require(highest <= most_harmonics,
          "a sum of torques must have 100000 harmonics of the common cycle or fewer",
          static_cast<double>(highest), "");
  units::Torque mean;
  std::vector<std::complex<double>> amplitudes(highest);
  for (const CyclicTorque& torque : torques) {
    mean += torque.mean();
    const auto multiple = static_cast<std::size_t>(revolutions / torque.revolutions_per_cycle());
    for (std::size_t k = 1; k <= torque.harmonics(); ++k) {
      amplitudes[k * multiple - 1] += torque.amplitudes_in_newton_metres()[k - 1];
    }
  }
  return {revolutions, mean, std::move(amplitudes)};
}

}  // namespace lashband::excitation
