#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/spectrum/measured_peaks.hpp"
#include "machines.hpp"
#include "made_spectra.hpp"

using namespace lashband;
using namespace lashband::spectrum;
using namespace lashband::test;
using units::from_si;

namespace {

constexpr double sample_distance = 0.25;  // Hz
constexpr std::size_t samples = 8192;     // to 2048 Hz
constexpr double noise = 0.002;
constexpr double nominal = 30.0;  // turns a second

/// What is asked of the refined speed, relative.
constexpr double speed_tolerance = 1e-4;

struct Made {
  MeasuredSpectrum spectrum{};
  std::vector<Line> lines{};
  std::vector<Tone> of_train{};
  std::vector<double> order_of_train{};
  std::vector<Tone> unrelated{};
};

/// How far a frequency is from the nearest line other than one at it.
double nearest_other(const std::vector<Line>& lines, double turns, double f) {
  double nearest = f;  // 0 Hz
  for (const Line& line : lines) {
    const double off = std::abs(turns * line.order - f);
    if (off > 1e-9 * f) {
      nearest = std::min(nearest, off);
    }
  }
  return nearest;
}

/// The spectrum of a train at a speed: the lines that its samples can tell apart, a share of them
/// left out, with amplitudes over two decades of which one is a giant; and three peaks that are of
/// no line.
Made made(const Machine& machine, double turns, unsigned seed, double within) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  Made result;
  result.lines = lines(machine, {.harmonics = 3, .sidebands = 2, .shaft_harmonics = 2});
  const double last = sample_distance * (samples - 10.0);
  // Told from its neighbours by a Hann window: main lobes of four samples do not overlap.
  constexpr double resolved = 4.0 * sample_distance;
  for (const Line& line : result.lines) {
    const double f = turns * line.order;
    const bool visible = line.kind == LineKind::mesh || line.kind == LineKind::shaft ||
                         line.kind == LineKind::sideband;
    const bool there = line.kind == LineKind::mesh || unit(random) < 0.7;
    if (!visible || !there || f > last || nearest_other(result.lines, turns, f) < resolved ||
        std::find(result.order_of_train.begin(), result.order_of_train.end(), line.order) !=
            result.order_of_train.end()) {
      continue;
    }
    result.of_train.push_back({f, std::pow(10.0, -1.2 * unit(random))});
    result.order_of_train.push_back(line.order);
  }
  // The giant stands where its side lobes cover no other line.
  const auto lonely = std::max_element(result.of_train.begin(), result.of_train.end(),
                                       [&result, turns](const Tone& a, const Tone& b) {
                                         return nearest_other(result.lines, turns, a.frequency) <
                                                nearest_other(result.lines, turns, b.frequency);
                                       });
  lonely->amplitude = 30.0;
  std::vector<Tone> all = result.of_train;
  for (int tries = 0; result.unrelated.size() < 3 && tries < 100000; ++tries) {
    const double f = 20.0 + (last - 20.0) * unit(random);
    bool free = nearest_other(result.lines, turns, f) > std::max(1.5 * within * f, resolved);
    for (const Tone& tone : all) {
      free = free && std::abs(tone.frequency - f) > 2.0 * resolved;
    }
    if (free) {
      result.unrelated.push_back({f, 0.3});
      all.push_back(result.unrelated.back());
    }
  }
  result.spectrum = hann_spectrum(all, samples, sample_distance, noise, random);
  return result;
}

const AttributedPeak* peak_at(const Attribution& found, double f) {
  const AttributedPeak* nearest = nullptr;
  for (const AttributedPeak& one : found.peaks) {
    if (std::abs(one.peak.frequency.value() - f) <= sample_distance) {
      nearest = &one;
    }
  }
  return nearest;
}

void check_found(const Made& from, const Attribution& found, double turns) {
  REQUIRE(found.refined);
  CHECK_THAT(units::frequency(found.speed).value(), WithinRel(turns, speed_tolerance));
  REQUIRE(found.standard_error.has_value());
  CHECK(units::frequency(*found.standard_error).value() < speed_tolerance * turns);
  for (std::size_t i = 0; i < from.of_train.size(); ++i) {
    INFO("line at " << from.of_train[i].frequency << " Hz, order " << from.order_of_train[i]);
    const AttributedPeak* peak = peak_at(found, from.of_train[i].frequency);
    REQUIRE(peak != nullptr);
    REQUIRE_FALSE(peak->candidates.empty());
    CHECK(from.lines[peak->candidates.front().line].order == from.order_of_train[i]);
  }
  for (const Tone& tone : from.unrelated) {
    INFO("unrelated at " << tone.frequency << " Hz");
    const AttributedPeak* peak = peak_at(found, tone.frequency);
    REQUIRE(peak != nullptr);
    CHECK(peak->candidates.empty());
  }
}

const std::vector<std::vector<std::pair<int, int>>> trains = {
    {{23, 67}, {19, 41}}, {{20, 60}, {24, 84}},           {{17, 53}, {31, 37}, {18, 71}},
    {{40, 61}, {27, 39}}, {{15, 80}, {16, 72}, {13, 59}},
};

}  // namespace

TEST_CASE("every line of a spectrum is found at a speed that is told wrong") {
  const double within = 0.001;
  const double error = GENERATE(0.0, 0.005, -0.005, 0.0137, 0.02, -0.02);
  for (std::size_t t = 0; t < trains.size(); ++t) {
    for (unsigned seed = 1; seed <= 6; ++seed) {
      INFO("train " << t << ", seed " << seed << ", speed told wrong by " << error);
      const double turns = nominal * (1.0 + error);
      const Made from = made(chain(trains[t]), turns, seed, within);
      REQUIRE(from.of_train.size() >= 10);
      REQUIRE(from.unrelated.size() == 3);
      const Attribution found = attribution(peaks(from.spectrum, {}), from.spectrum, from.lines,
                                            per_minute(60.0 * nominal), {.within = within});
      check_found(from, found, turns);
    }
  }
}

TEST_CASE("an unsure match is not widened by the width that was asked for") {
  // With the default reach of 0.3 % a peak may have several candidates; the best is still the right
  // one, and unrelated peaks outside that reach stay unexplained.
  for (const std::size_t t : {std::size_t{0}, std::size_t{1}}) {
    for (unsigned seed = 1; seed <= 10; ++seed) {
      INFO("train " << t << ", seed " << seed);
      const double turns = nominal * 1.005;
      const Made from = made(chain(trains[t]), turns, seed, AttributionOptions{}.within);
      REQUIRE(from.unrelated.size() == 3);
      check_found(from,
                  attribution(peaks(from.spectrum, {}), from.spectrum, from.lines,
                              per_minute(60.0 * nominal), {}),
                  turns);
    }
  }
}

TEST_CASE("a spectrum over orders is attributed as it is") {
  // One order as one hertz, one turn a second. The orders are told wrong by 1 %.
  const Machine machine = chain(trains[0]);
  const std::vector<Line> of_train = lines(machine, {});
  std::mt19937 random(4);
  std::vector<Tone> tones;
  for (const Line& line : of_train) {
    if (line.kind == LineKind::mesh) {
      tones.push_back({1.01 * line.order, 1.0 / line.harmonic});
    }
  }
  const MeasuredSpectrum over_orders = hann_spectrum(tones, 4000, 0.02, 0.005, random);
  const Attribution found =
      attribution(peaks(over_orders, {}), over_orders, of_train, per_minute(60.0), {});
  REQUIRE(found.refined);
  CHECK_THAT(units::frequency(found.speed).value(), WithinRel(1.01, speed_tolerance));
  REQUIRE(found.peaks.size() == tones.size());
  for (const AttributedPeak& peak : found.peaks) {
    REQUIRE_FALSE(peak.candidates.empty());
    const Line& line = of_train[peak.candidates.front().line];
    CHECK(line.kind == LineKind::mesh);
    CHECK_THAT(peak.order, WithinRel(line.order, speed_tolerance));
    CHECK_THAT(
        peak.candidates.front().error.value(),
        WithinAbs(peak.peak.frequency.value() - units::frequency(found.speed).value() * line.order,
                  1e-12 * line.order));
    CHECK_THAT(peak.candidates.front().order_error, WithinAbs(peak.order - line.order, 1e-12));
  }
}

TEST_CASE("peaks of no train refine nothing") {
  std::size_t refined = 0;
  constexpr unsigned spectra = 200;
  for (unsigned seed = 1; seed <= spectra; ++seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    std::vector<Tone> tones;
    for (int i = 0; i < 20; ++i) {
      tones.push_back({2000.0 * unit(random), std::pow(10.0, -1.5 * unit(random))});
    }
    const MeasuredSpectrum spectrum = hann_spectrum(tones, samples, sample_distance, noise, random);
    const std::vector<Line> of_train =
        lines(chain(trains[seed % trains.size()]), {.harmonics = 3, .sidebands = 2});
    const Attribution found = attribution(peaks(spectrum, {}), spectrum, of_train,
                                          per_minute(60.0 * nominal), {.speed_uncertainty = 0.05});
    refined += found.refined ? 1U : 0U;
    if (!found.refined) {
      CHECK(found.speed == per_minute(60.0 * nominal));
      CHECK(found.used == 0);
      CHECK_FALSE(found.standard_error.has_value());
    }
  }
  INFO(refined << " of " << spectra);
  CHECK(refined <= spectra / 20);  // by the rule of the search at most
}

TEST_CASE("more unrelated peaks than lines, one of them a giant, do not decide the speed") {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    INFO("seed " << seed);
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const double turns = nominal * (0.98 + 0.04 * unit(random));
    std::vector<Tone> tones;
    const std::vector<Line> of_train = lines(chain(trains[0]), {.harmonics = 3, .sidebands = 1});
    for (const Line& line : of_train) {
      const bool of_mesh = line.kind == LineKind::mesh && turns * line.order < 2000.0;
      if (of_mesh || line.kind == LineKind::shaft) {
        tones.push_back({turns * line.order, 0.1 + 0.2 * unit(random)});
      }
    }
    const std::size_t of_lines = tones.size();
    // None of them leans on a line; the giant's side lobes reach further.
    while (tones.size() < 3 * of_lines) {
      const bool giant = tones.size() == of_lines;
      const double f = 50.0 + 1950.0 * unit(random);
      const double clear = (giant ? 40.0 : 8.0) * sample_distance;
      const bool free = std::all_of(tones.begin(), tones.end(), [f, clear](const Tone& tone) {
        return std::abs(tone.frequency - f) > clear;
      });
      if (free) {
        tones.push_back({f, giant ? 20.0 : 0.1 + 0.2 * unit(random)});
      }
    }
    const MeasuredSpectrum spectrum = hann_spectrum(tones, samples, sample_distance, noise, random);
    const Attribution found =
        attribution(peaks(spectrum, {}), spectrum, of_train, per_minute(60.0 * nominal), {});
    CHECK(found.refined);
    CHECK_THAT(units::frequency(found.speed).value(), WithinRel(turns, speed_tolerance));
  }
}

TEST_CASE("the standard error of the speed is about what it is off by") {
  double squares = 0.0;
  double furthest = 0.0;
  constexpr unsigned spectra = 60;
  for (unsigned seed = 1; seed <= spectra; ++seed) {
    const double turns = nominal * (0.985 + 0.0005 * seed);
    const Made from = made(chain(trains[seed % 2]), turns, seed, 0.001);
    const Attribution found = attribution(peaks(from.spectrum, {}), from.spectrum, from.lines,
                                          per_minute(60.0 * nominal), {.within = 0.001});
    REQUIRE(found.standard_error.has_value());
    const double off = (units::frequency(found.speed).value() - turns) /
                       units::frequency(*found.standard_error).value();
    squares += off * off;
    furthest = std::max(furthest, std::abs(off));
  }
  const double deviation = std::sqrt(squares / spectra);
  INFO(deviation << ", furthest " << furthest);
  // Peaks lean on each other, the higher ones less than the lower, and those out of line are not
  // counted: right within a factor of 2.
  CHECK(deviation > 0.5);
  CHECK(deviation < 2.0);
  CHECK(furthest < 6.0);
}

TEST_CASE("sidebands too near to be told apart do not hide their mesh") {
  // The output turns at 0.05 Hz, a fifth of the samples' distance.
  const Machine machine = chain({{15, 80}, {14, 90}, {13, 70}, {20, 61}});
  const double turns = nominal * 0.991;
  const std::vector<Line> of_train = lines(machine, {.harmonics = 2, .sidebands = 3});
  std::mt19937 random(8);
  std::vector<Tone> tones;
  for (const Line& line : of_train) {
    if (line.kind == LineKind::mesh) {
      tones.push_back({turns * line.order, 1.0});
    }
  }
  const MeasuredSpectrum spectrum = hann_spectrum(tones, samples, sample_distance, noise, random);
  const Attribution found =
      attribution(peaks(spectrum, {}), spectrum, of_train, per_minute(60.0 * nominal), {});
  REQUIRE(found.refined);
  CHECK_THAT(units::frequency(found.speed).value(), WithinRel(turns, speed_tolerance));
  for (const Tone& tone : tones) {
    if (tone.frequency > 20.0) {  // the slowest meshes stand among the lines of shafts
      INFO(tone.frequency << " Hz");
      const AttributedPeak* peak = peak_at(found, tone.frequency);
      REQUIRE(peak != nullptr);
      REQUIRE_FALSE(peak->candidates.empty());
      CHECK(of_train[peak->candidates.front().line].kind == LineKind::mesh);
    }
  }
}

TEST_CASE("of lines at one place the simplest comes first") {
  // 20/60: the hunting tooth line is the output shaft's, and the assembly phase the input's.
  const std::vector<Line> of_pair =
      lines(chain({{20, 60}}), {.harmonics = 2, .sidebands = 20, .shaft_harmonics = 25});
  std::mt19937 random(2);
  std::vector<Tone> tones{{10.0, 1.0}, {30.0, 1.0}, {600.0, 1.0}};
  const MeasuredSpectrum spectrum = hann_spectrum(tones, samples, sample_distance, noise, random);
  const Attribution found =
      attribution(peaks(spectrum, {}), spectrum, of_pair, per_minute(1800.0), {.refine = false});
  REQUIRE(found.peaks.size() == 3);
  CHECK_FALSE(found.refined);
  const std::vector<LineKind> expected{LineKind::shaft, LineKind::shaft, LineKind::mesh};
  for (std::size_t i = 0; i < 3; ++i) {
    REQUIRE(found.peaks[i].candidates.size() >= 2);
    CHECK(of_pair[found.peaks[i].candidates.front().line].kind == expected[i]);
    CHECK(of_pair[found.peaks[i].candidates.front().line].harmonic == 1);
  }
}

TEST_CASE("the chance of a match is the share of frequencies near a line") {
  const auto line_at = [](double order) {
    Line line;
    line.kind = LineKind::mesh;
    line.order = order;
    return line;
  };
  std::vector<double> amplitude(1001, 0.0);
  amplitude[500] = 1.0;
  const MeasuredSpectrum spectrum = over_index(amplitude);
  const std::vector<Peak> found = peaks(spectrum, {.prominence = 0.5});
  const auto chance = [&](const std::vector<Line>& of_train, double within) {
    return attribution(found, spectrum, of_train, per_minute(60.0),
                       {.within = within, .refine = false})
        .peaks.at(0)
        .by_chance;
  };
  // 450 to 550 Hz. One line takes up its own width, two sides of 0.3 % of 500 Hz.
  CHECK_THAT(chance({line_at(500.0)}, 0.003), WithinRel(0.03, 1e-12));
  // At least half a sample to either side.
  CHECK_THAT(chance({line_at(500.0)}, 0.0), WithinRel(0.01, 1e-12));
  CHECK_THAT(chance({line_at(500.0), line_at(520.0)}, 0.0), WithinRel(0.02, 1e-12));
  // What two lines share counts once, and what is beyond both ends not at all.
  CHECK_THAT(chance({line_at(500.0), line_at(500.5)}, 0.0), WithinRel(0.015, 1e-12));
  CHECK_THAT(chance({line_at(450.0), line_at(700.0)}, 0.0), WithinRel(0.005, 1e-12));
  CHECK(chance({line_at(900.0)}, 0.003) == 0.0);
  CHECK(chance({}, 0.003) == 0.0);
  std::vector<Line> comb;
  for (int i = 400; i < 600; ++i) {
    comb.push_back(line_at(i));
  }
  CHECK_THAT(chance(comb, 0.003), WithinRel(1.0, 1e-12));
}

TEST_CASE("attribution of three thousand meshes is quick") {
  std::mt19937 random(3);
  std::uniform_int_distribution<int> teeth(17, 80);
  std::vector<std::pair<int, int>> pairs;
  int z = teeth(random);
  for (int i = 0; i < 3000; ++i) {
    // Back and forth, so that speeds stay in the spectrum.
    const int z_2 = teeth(random);
    pairs.emplace_back(i % 2 == 0 ? z : z_2, i % 2 == 0 ? z_2 : z);
    z = i % 2 == 0 ? z : teeth(random);
  }
  const std::vector<Line> of_train = lines(chain(pairs), {});
  std::vector<Tone> tones;
  std::uniform_real_distribution<double> frequency(0.0, 2000.0);
  for (int i = 0; i < 200; ++i) {
    tones.push_back({frequency(random), 1.0});
  }
  const MeasuredSpectrum spectrum = hann_spectrum(tones, samples, sample_distance, noise, random);
  const auto begin = std::chrono::steady_clock::now();
  const Attribution found = attribution(peaks(spectrum, {}), spectrum, of_train,
                                        per_minute(60.0 * nominal), {.speed_uncertainty = 0.2});
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
  CHECK(found.peaks.size() > 100);
  CHECK(elapsed.count() < 30.0);  // 0.7 s on a shared core
}

TEST_CASE("an attribution without peaks or lines is none, and options out of range are refused") {
  const MeasuredSpectrum spectrum = over_index({0.0, 1.0, 0.0, 2.0, 0.0, 3.0, 0.0});
  const std::vector<Peak> found = peaks(spectrum, {.prominence = 0.1});
  const std::vector<Line> of_pair = lines(chain({{2, 3}}), {});
  const auto speed = per_minute(60.0);
  CHECK(attribution({}, spectrum, of_pair, speed, {}).peaks.empty());
  const Attribution without = attribution(found, spectrum, {}, speed, {});
  REQUIRE(without.peaks.size() == 3);
  CHECK(without.peaks[0].candidates.empty());
  CHECK(without.peaks[2].order == 5.0);
  CHECK_FALSE(without.refined);

  const auto message_of = [&](const std::vector<Peak>& of_spectrum, const std::vector<Line>& lines,
                              units::AngularVelocity at, const AttributionOptions& options) {
    try {
      (void)attribution(of_spectrum, spectrum, lines, at, options);
    } catch (const DomainError& error) {
      return std::string(error.what());
    }
    return std::string("no error");
  };
  CHECK(message_of(found, of_pair, per_minute(0.0), {}) ==
        "attribution: the speed must be above 0, not 0 turns a second");
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THAT(message_of(found, of_pair, per_minute(nan), {}), ContainsText("the speed"));
  CHECK(message_of(found, of_pair, speed, {.speed_uncertainty = 0.3}) ==
        "attribution: the uncertainty of the speed must be from 0 to 0.2, not 0.3");
  CHECK_THAT(message_of(found, of_pair, speed, {.speed_uncertainty = nan}),
             ContainsText("the uncertainty"));
  CHECK(message_of(found, of_pair, speed, {.within = 0.2}) ==
        "attribution: the distance of a peak from its line must be from 0 to 0.1 of it, not 0.2");
  std::vector<Peak> beyond = found;
  beyond[0].index = 7;
  CHECK_THAT(message_of(beyond, of_pair, speed, {}),
             StartsWith("attribution: a peak must be one of the spectrum"));
  std::vector<Line> bad = of_pair;
  bad[0].order = nan;
  CHECK(message_of(found, bad, speed, {}) == "line of 's0': its order must be above 0, not nan");
}
