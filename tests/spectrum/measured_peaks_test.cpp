#include "lashband/spectrum/measured_peaks.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_spectra.hpp"

using namespace lashband;
using namespace lashband::spectrum;
using namespace lashband::test;
using units::from_si;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

/// The spectrum of a line under a window of cosines with these coefficients, at x samples from its
/// middle, over that at its middle.
double lobe(const std::vector<double>& window, double x) {
  const auto sinc = [](double u) {
    const double pi_u = std::numbers::pi * u;
    return std::abs(pi_u) < 1e-12 ? 1.0 : std::sin(pi_u) / pi_u;
  };
  double sum = window.at(0) * sinc(x);
  for (std::size_t k = 1; k < window.size(); ++k) {
    const double shift = static_cast<double>(k);
    const double sign = k % 2 == 0 ? 1.0 : -1.0;
    sum += sign * 0.5 * window[k] * (sign * sinc(x - shift) + sign * sinc(x + shift));
  }
  return std::abs(sum / window.at(0));
}

std::vector<std::size_t> indices_of(const std::vector<Peak>& peaks) {
  std::vector<std::size_t> indices;
  for (const Peak& peak : peaks) {
    indices.push_back(peak.index);
  }
  return indices;
}

std::string message_of(const MeasuredSpectrum& spectrum, const PeakOptions& options = {}) {
  try {
    (void)peaks(spectrum, options);
  } catch (const DomainError& error) {
    return error.what();
  }
  return "no error";
}

/// What a sample of the noise of a spectrum is: an amplitude, a power, or a power averaged over so
/// many spectra.
enum class Noise { amplitude, power, averaged };

double noise_sample(Noise kind, std::mt19937& random) {
  std::normal_distribution<double> normal(0.0, 1.0);
  const auto power = [&normal, &random] {
    const double re = normal(random);
    const double im = normal(random);
    return 0.5 * (re * re + im * im);
  };
  constexpr int averages = 8;
  double sum = 0.0;
  switch (kind) {
    case Noise::amplitude:
      return std::sqrt(power());
    case Noise::power:
      return power();
    case Noise::averaged:
      for (int i = 0; i < averages; ++i) {
        sum += power();
      }
      return sum / averages;
  }
  return 0.0;
}

}  // namespace

TEST_CASE("peaks and their prominence, drawn by hand") {
  //                                  0    1    2    3    4    5    6    7    8    9   10
  const auto by_hand = over_index({0.0, 1.0, 0.5, 3.0, 2.0, 2.5, 2.5, 1.0, 4.0, 0.0, 9.0});
  const std::vector<Peak> found = peaks(by_hand, {.prominence = 0.0});
  CHECK(indices_of(found) == std::vector<std::size_t>{1, 3, 5, 8});
  CHECK(found.at(0).prominence == 0.5);  // up to 3, above the 0.5 between
  CHECK(found.at(1).prominence == 2.0);  // up to 4, above the 1 between
  CHECK(found.at(2).prominence == 0.5);  // the flat top above the 2 before it
  CHECK(found.at(3).prominence == 4.0);  // up to 9 above 0, and to the beginning above 0
  // A share of the greatest amplitude, 9, though that is at the end and no peak.
  CHECK(indices_of(peaks(by_hand, {.prominence = 2.0 / 9.0})) == std::vector<std::size_t>{3, 8});
  CHECK(indices_of(peaks(by_hand, {.prominence = 0.0, .most = 1})) == std::vector<std::size_t>{8});
  CHECK(indices_of(peaks(by_hand, {.prominence = 0.0, .most = 2})) ==
        std::vector<std::size_t>{3, 8});
}

TEST_CASE("the place of a peak comes from the parabola through three logarithms") {
  // A bell is one exactly, with samples that are not evenly apart.
  MeasuredSpectrum bell;
  const double middle = 5.3;
  for (const double f : {1.0, 2.5, 4.0, 5.0, 6.5, 7.0, 9.0}) {
    bell.frequency.push_back(from_si<units::Frequency>(f));
    bell.amplitude.push_back(7.0 * std::exp(-0.3 * (f - middle) * (f - middle)));
  }
  const std::vector<Peak> of_bell = peaks(bell, {.prominence = 0.1});
  REQUIRE(of_bell.size() == 1);
  CHECK_THAT(of_bell[0].frequency.value(), WithinRel(middle, 1e-14));
  CHECK_THAT(of_bell[0].amplitude, WithinRel(7.0, 1e-14));

  // Beside a 0 the samples themselves: 0, 3, 1 has its top 0.1 past the middle, at 3.025.
  const std::vector<Peak> beside_0 = peaks(over_index({0.0, 0.0, 3.0, 1.0, 0.0}), {});
  REQUIRE(beside_0.size() == 1);
  CHECK_THAT(beside_0[0].frequency.value(), WithinRel(2.1, 1e-14));
  CHECK_THAT(beside_0[0].amplitude, WithinRel(3.025, 1e-14));

  // Flat tops: of two samples the middle between them, of three the one in the middle.
  CHECK_THAT(
      peaks(over_index({1.0, 2.0, 2.0, 1.0, 1.0}), {.prominence = 0.1}).at(0).frequency.value(),
      WithinRel(1.5, 1e-14));
  CHECK(peaks(over_index({1.0, 2.0, 2.0, 2.0, 1.0}), {.prominence = 0.1}).at(0).frequency.value() ==
        2.0);
}

TEST_CASE("the place of a steady line under the windows of the trade") {
  struct Row {
    const char* name;
    std::vector<double> window;
    double place;      // samples
    double amplitude;  // relative
  };
  // Coefficients of the windows: common practice, the flat top that of the seven-digit textbook
  // table (from memory). Errors as measured, rounded up.
  const Row row = GENERATE(
      Row{"none", {1.0}, 0.17, 0.27}, Row{"Hann", {0.5, 0.5}, 0.017, 0.04},
      Row{"Hamming", {0.54, 0.46}, 0.02, 0.05}, Row{"Blackman", {0.42, 0.5, 0.08}, 0.01, 0.011},
      Row{"flat top", {0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368}, 0.15, 0.02});
  INFO(row.name);
  double off = 0.0;
  double height = 0.0;
  for (int i = 0; i <= 200; ++i) {
    const double middle = 20.0 + 0.005 * i - 0.5;
    std::vector<double> amplitude;
    for (int k = 0; k < 41; ++k) {
      amplitude.push_back(lobe(row.window, k - middle));
    }
    const std::vector<Peak> found = peaks(over_index(amplitude), {.prominence = 0.5});
    REQUIRE(found.size() == 1);
    off = std::max(off, std::abs(found[0].frequency.value() - middle));
    height = std::max(height, std::abs(found[0].amplitude - 1.0));
  }
  INFO("off by " << off << " samples, " << height << " in height");
  CHECK(off <= row.place);
  CHECK(height <= row.amplitude);
  // The figures of the header say something.
  CHECK(off >= 0.5 * row.place);
  CHECK(height >= 0.5 * row.amplitude);
}

TEST_CASE("noise alone has few peaks, and lines 20 dB above it are all found") {
  const Noise kind = GENERATE(Noise::amplitude, Noise::power, Noise::averaged);
  std::size_t of_noise = 0;
  constexpr unsigned spectra = 100;
  constexpr std::size_t samples = 2048;
  for (unsigned seed = 1; seed <= spectra; ++seed) {
    std::mt19937 random(seed);
    // A floor that falls to a tenth.
    std::vector<double> amplitude;
    for (std::size_t i = 0; i < samples; ++i) {
      const double level = std::pow(0.1, static_cast<double>(i) / samples);
      amplitude.push_back(level * noise_sample(kind, random));
    }
    of_noise += peaks(over_index(amplitude), {}).size();

    // 40 lines, 40 to 60 samples apart, ten times the root mean square of the noise around, in
    // power a hundred times.
    std::uniform_int_distribution<std::size_t> next(40, 60);
    std::uniform_real_distribution<double> off(-0.5, 0.5);
    std::vector<std::size_t> expected;
    for (std::size_t at = 20; at + 20 < samples && expected.size() < 40; at += next(random)) {
      const double level = std::pow(0.1, static_cast<double>(at) / samples);
      const double x = off(random);
      for (std::size_t k = at - 1; k <= at + 1; ++k) {
        const double lobe_here =
            std::abs(hann_lobe(static_cast<double>(k) - static_cast<double>(at) - x));
        const double line = kind == Noise::amplitude ? 10.0 * level * lobe_here
                                                     : 100.0 * level * lobe_here * lobe_here;
        amplitude[k] += line;
      }
      expected.push_back(at);
    }
    std::size_t found = 0;
    const std::vector<Peak> with_lines = peaks(over_index(amplitude), {});
    for (const std::size_t at : expected) {
      found += static_cast<std::size_t>(std::any_of(
          with_lines.begin(), with_lines.end(),
          [at](const Peak& peak) { return peak.index + 1 >= at && peak.index <= at + 1; }));
    }
    INFO("seed " << seed);
    CHECK(found == expected.size());
    CHECK(with_lines.size() <= expected.size() + 3);
  }
  INFO(of_noise << " peaks in " << spectra << " spectra of noise");
  // One in ten is expected of amplitudes; powers have a longer tail to tell from as few samples.
  CHECK(of_noise <= spectra / 2);
}

TEST_CASE("a spectrum without peaks is no error, one without meaning is") {
  CHECK(peaks(over_index({1.0, 2.0, 3.0, 4.0, 5.0}), {}).empty());

  CHECK(message_of({}) == "measured spectrum: it has no samples, but a peak needs five or more");
  CHECK(message_of(over_index({1.0, 2.0})) ==
        "measured spectrum: it must have five samples or more, not 2");
  CHECK(message_of(over_index({1.0, 2.0, 3.0, 1.0})) ==
        "measured spectrum: it must have five samples or more, not 4");
  CHECK(message_of(over_index({2.5, 2.5, 2.5, 2.5, 2.5})) ==
        "measured spectrum: its amplitudes must differ somewhere, but all of them are 2.5");
  MeasuredSpectrum spectrum = over_index({1.0, 2.0, 1.0, 3.0, 1.0, 0.5});
  spectrum.amplitude.pop_back();
  CHECK(message_of(spectrum) ==
        "measured spectrum: there must be one amplitude for each frequency, not 5");
  spectrum = over_index({1.0, 2.0, 1.0, 3.0, 1.0});
  spectrum.frequency[3] = spectrum.frequency[2];
  CHECK(message_of(spectrum) ==
        "measured spectrum, sample 4: frequencies must rise from sample to sample, not 2 Hz");
  spectrum.frequency[3] = from_si<units::Frequency>(not_a_number);
  CHECK_THAT(message_of(spectrum), ContainsText("sample 4: frequencies must rise"));
  spectrum = over_index({1.0, 2.0, 1.0, 3.0, 1.0});
  spectrum.frequency[4] = from_si<units::Frequency>(infinite);
  CHECK_THAT(message_of(spectrum), ContainsText("sample 5"));
  spectrum = over_index({1.0, 2.0, 1.0, 3.0, 1.0});
  spectrum.frequency[0] = from_si<units::Frequency>(-1.0);
  CHECK(message_of(spectrum) ==
        "measured spectrum, sample 1: the first frequency must be 0 Hz or above, not -1 Hz");
  CHECK(message_of(over_index({1.0, 2.0, -1.0, 3.0, 1.0})) ==
        "measured spectrum, sample 3: an amplitude must be finite and 0 or above, not -1");
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THAT(message_of(over_index({1.0, bad, 1.0, 3.0, 1.0})), ContainsText("sample 2"));
  }
  spectrum = over_index({1.0, 2.0, 1.0, 3.0, 1.0});
  CHECK(message_of(spectrum, {.prominence = 1.5}) ==
        "peaks: the prominence must be from 0 to 1 of the greatest amplitude, not 1.5");
  CHECK(message_of(spectrum, {.prominence = not_a_number}) ==
        "peaks: the prominence must be from 0 to 1 of the greatest amplitude, not nan");
  CHECK(message_of(spectrum, {.most = 0}) == "peaks: the number kept must be 1 or more, not 0");
}
