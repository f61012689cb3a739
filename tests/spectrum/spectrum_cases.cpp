// Writes random spectra as JSON, each with its peaks by the library, for
// tests/scipy/spectrum_peaks.py.
//
//   spectrum_cases FILE
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

#include "lashband/spectrum/measured_peaks.hpp"
#include "made_spectra.hpp"

using namespace lashband;
using namespace lashband::spectrum;
using namespace lashband::test;

namespace {

nlohmann::json as_json(const std::string& name, const MeasuredSpectrum& spectrum,
                       const PeakOptions& options) {
  nlohmann::json json{{"name", name},
                      {"amplitude", spectrum.amplitude},
                      {"prominence", options.prominence.value()},
                      {"most", options.most},
                      {"indices", nlohmann::json::array()},
                      {"prominences", nlohmann::json::array()},
                      {"places", nlohmann::json::array()},
                      {"heights", nlohmann::json::array()}};
  for (const units::Frequency& frequency : spectrum.frequency) {
    json["frequency"].push_back(frequency.value());
  }
  for (const Peak& peak : peaks(spectrum, options)) {
    json["indices"].push_back(peak.index);
    json["prominences"].push_back(peak.prominence);
    json["places"].push_back(peak.frequency.value());
    json["heights"].push_back(peak.amplitude);
  }
  return json;
}

/// Amplitudes of noise; of few levels, so that there are flat tops and equal neighbours, where
/// `levels` is not 0.
MeasuredSpectrum noise(std::size_t samples, int levels, std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  std::vector<double> amplitude;
  for (std::size_t i = 0; i < samples; ++i) {
    const double u = unit(random);
    amplitude.push_back(levels == 0 ? std::sqrt(-2.0 * std::log1p(-u)) : std::floor(levels * u));
  }
  return over_index(amplitude);
}

nlohmann::json cases() {
  nlohmann::json all = nlohmann::json::array();
  std::mt19937 random(2024);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  constexpr std::size_t unlimited = 1000000;
  for (int i = 0; i < 40; ++i) {
    const std::size_t samples = 5 + static_cast<std::size_t>(2000.0 * unit(random) * unit(random));
    const double share = i % 4 == 0 ? 0.0 : 0.6 * unit(random);
    const std::string number = std::to_string(i);
    all.push_back(as_json("noise " + number, noise(samples, 0, random),
                          {.prominence = share, .most = unlimited}));
    // A pattern of its own in front, so that it is never constant.
    MeasuredSpectrum flat_tops = noise(samples, 2 + i % 9, random);
    flat_tops.amplitude[0] = 0.5;
    all.push_back(
        as_json("flat tops " + number, flat_tops, {.prominence = share, .most = unlimited}));
    std::vector<Tone> tones;
    for (int tone = 0; tone < 25; ++tone) {
      tones.push_back({500.0 * unit(random), std::pow(10.0, -2.0 * unit(random))});
    }
    all.push_back(as_json("lines " + number, hann_spectrum(tones, 2000, 0.25, 0.003, random),
                          {.prominence = 0.3 * share, .most = i % 2 == 0 ? unlimited : 10}));
  }
  return all;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("spectrum_cases FILE\n", stderr);
    return EXIT_FAILURE;
  }
  std::ofstream file(argv[1]);
  file << cases().dump();
  file.close();
  return file ? EXIT_SUCCESS : EXIT_FAILURE;
}
