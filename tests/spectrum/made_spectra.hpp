#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <random>
#include <vector>

#include "lashband/spectrum/measured_peaks.hpp"

namespace lashband::test {

/// A steady line of a measured signal.
struct Tone {
  double frequency = 0.0;  ///< Hz
  double amplitude = 0.0;
};

/// How a line spreads over the samples of a spectrum: the transform of the Hann window, 1 at 0, at
/// x samples from its middle.
[[nodiscard]] inline double hann_lobe(double x) {
  const double pi_x = std::numbers::pi * x;
  const double sinc = std::abs(x) < 1e-9 ? 1.0 : std::sin(pi_x) / pi_x;
  return std::abs(std::abs(x) - 1.0) < 1e-9 ? 0.5 : sinc / (1.0 - x * x);
}

/// The amplitude spectrum of tones of random phases in white noise, measured with a Hann window:
/// `samples` of them, `distance` Hz apart, from 0 Hz. The noise of a sample has the mean square
/// noise^2.
[[nodiscard]] inline spectrum::MeasuredSpectrum hann_spectrum(const std::vector<Tone>& tones,
                                                              std::size_t samples, double distance,
                                                              double noise, std::mt19937& random) {
  std::normal_distribution<double> normal(0.0, noise / std::numbers::sqrt2);
  std::uniform_real_distribution<double> turn(0.0, 2.0 * std::numbers::pi);
  std::vector<std::complex<double>> values(samples);
  if (noise > 0.0) {
    for (auto& value : values) {
      value = {normal(random), normal(random)};
    }
  }
  for (const Tone& tone : tones) {
    const std::complex<double> phase = std::polar(tone.amplitude, turn(random));
    for (std::size_t i = 0; i < samples; ++i) {
      const double x = static_cast<double>(i) - tone.frequency / distance;
      values[i] += phase * hann_lobe(x) * std::polar(1.0, std::numbers::pi * x);
    }
  }
  spectrum::MeasuredSpectrum result;
  for (std::size_t i = 0; i < samples; ++i) {
    result.frequency.push_back(units::from_si<units::Frequency>(distance * static_cast<double>(i)));
    result.amplitude.push_back(std::abs(values[i]));
  }
  return result;
}

/// Samples at 0, 1, 2... Hz.
[[nodiscard]] inline spectrum::MeasuredSpectrum over_index(const std::vector<double>& amplitude) {
  spectrum::MeasuredSpectrum result;
  for (std::size_t i = 0; i < amplitude.size(); ++i) {
    result.frequency.push_back(units::from_si<units::Frequency>(static_cast<double>(i)));
  }
  result.amplitude = amplitude;
  return result;
}

}  // namespace lashband::test
