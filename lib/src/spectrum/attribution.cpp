#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <limits>
#include <numbers>
#include <numeric>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "lashband/spectrum/measured_peaks.hpp"
#include "lashband/units/rotation.hpp"
#include "requirement.hpp"
#include "samples.hpp"

// Kernels: frequencies in Hz; `turns` is the speed of the reference in turns per second.
namespace lashband::spectrum {
namespace {

using kernel::require;

/// How well the place of a peak is known, over the distance of samples: noise, and neighbours that
/// lean on it.
constexpr double place_accuracy = 0.35;
/// The share of peaks that is expected to come from the train.
constexpr double explained_share = 0.5;
/// A normal distribution is cut off at so many standard deviations.
constexpr double reach = 3.5;

/// How much sooner a kind of line is seen than others. Only the order of sizes matters.
double simplicity(const Line& line) {
  const double k = std::max(line.harmonic, 1);
  switch (line.kind) {
    case LineKind::mesh:
      return 1.0 / (1.0 + 0.25 * (k - 1.0));
    case LineKind::excitation:
      return 0.8;
    case LineKind::shaft:
      return 0.8 / k;
    case LineKind::sideband:
      return 0.4 / ((1.0 + 0.25 * (k - 1.0)) * std::max(std::abs(line.sideband), 1));
    case LineKind::inner_race:
    case LineKind::outer_race:
      return 0.3 / k;
    case LineKind::cage:
    case LineKind::rolling_element:
      return 0.2 / k;
    case LineKind::hunting_tooth:
    case LineKind::assembly_phase:
      return 0.1;
  }
  return 0.1;
}

/// An order at which one or more lines lie.
struct Place {
  double order = 0.0;
  double share = 0.0;  ///< of the simplicity of all places in the spectrum
};

/// A peak as the search sees it.
struct Mark {
  double frequency = 0.0;
  double sigma = 0.0;   ///< of its place
  double weight = 0.0;  ///< by its height, 1 for the lowest
};

struct Search {
  std::vector<Place> places{};  ///< orders rising
  std::vector<Mark> marks{};
  double turns = 0.0;  ///< as given
  double span = 0.0;   ///< of the spectrum
};

void check(const std::vector<Peak>& peaks, const MeasuredSpectrum& spectrum,
           const std::vector<Line>& lines, units::AngularVelocity speed,
           const AttributionOptions& options) {
  const std::string what = "attribution";
  kernel::check_samples(spectrum);
  require(speed.value() > 0.0 && std::isfinite(speed.value()), what, "the speed must be above 0",
          units::frequency(speed).value(), " turns a second");
  require(options.speed_uncertainty >= 0.0 && options.speed_uncertainty <= 0.2, what,
          "the uncertainty of the speed must be from 0 to 0.2", options.speed_uncertainty, "");
  require(options.within >= 0.0 && options.within <= 0.1, what,
          "the distance of a peak from its line must be from 0 to 0.1 of it", options.within, "");
  for (const Peak& peak : peaks) {
    const double f = peak.frequency.value();
    require(peak.index < spectrum.frequency.size() && f > 0.0 && std::isfinite(f) &&
                peak.amplitude > 0.0 && std::isfinite(peak.amplitude),
            what, "a peak must be one of the spectrum, above 0 Hz and with an amplitude above 0", f,
            " Hz");
  }
  for (const Line& line : lines) {
    require(line.order > 0.0 && std::isfinite(line.order), kernel::named("line of", line.source),
            "its order must be above 0", line.order, "");
  }
}

/// Lines by order; of those of one order the simplest gives the share.
std::vector<Place> places_of(const std::vector<Line>& lines, double lowest, double highest) {
  std::vector<Place> places;
  places.reserve(lines.size());
  for (const Line& line : lines) {
    if (line.order >= lowest && line.order <= highest) {
      places.push_back({line.order, simplicity(line)});
    }
  }
  std::sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
    return a.order != b.order ? a.order < b.order : a.share > b.share;
  });
  // Orders that differ by rounding alone are one: those of bearings are not rounded once.
  constexpr double same = 1e-12;
  const auto last =
      std::unique(places.begin(), places.end(), [](const Place& first, const Place& second) {
        return second.order <= first.order * (1.0 + same);
      });
  places.erase(last, places.end());
  double sum = 0.0;
  for (const Place& place : places) {
    sum += place.share;
  }
  for (Place& place : places) {
    place.share /= sum;
  }
  return places;
}

Search search_of(const std::vector<Peak>& peaks, const MeasuredSpectrum& spectrum,
                 const std::vector<Line>& lines, double turns, double uncertainty) {
  Search search;
  search.turns = turns;
  const double first = spectrum.frequency.front().value();
  const double last = spectrum.frequency.back().value();
  search.span = last - first;
  search.places =
      places_of(lines, first / (turns * (1.0 + uncertainty)), last / (turns * (1.0 - uncertainty)));
  double lowest = std::numeric_limits<double>::infinity();
  for (const Peak& peak : peaks) {
    lowest = std::min(lowest, peak.amplitude);
  }
  search.marks.reserve(peaks.size());
  for (const Peak& peak : peaks) {
    search.marks.push_back({peak.frequency.value(),
                            place_accuracy * kernel::sample_distance(spectrum, peak.index),
                            1.0 + std::log(peak.amplitude / lowest)});
  }
  return search;
}

/// What the mixture makes of all peaks at evenly spaced speeds, each a factor to the one given.
struct Scan {
  double first = 0.0;
  double step = 0.0;
  std::vector<double> by_height{};  ///< sum over peaks of weight times logarithm

  [[nodiscard]] double factor(std::size_t i) const { return first + step * static_cast<double>(i); }
};

/// How much more likely a peak at its line is than one anywhere in the spectrum.
double gain(const Search& search, double sigma) {
  return search.span / (sigma * std::sqrt(2.0 * std::numbers::pi));
}

/// `widening` widens the standard deviation of all places.
Scan scan(const Search& search, double low, double step, std::size_t number, double widening) {
  Scan result{low, step, std::vector<double>(number, 0.0)};
  const std::vector<Place>& places = search.places;
  for (const Mark& mark : search.marks) {
    const double sigma = widening * mark.sigma;
    const double scale = explained_share / (1.0 - explained_share) * gain(search, sigma);
    // With a rising speed the orders that can explain a peak fall: both ends move one way.
    std::size_t begin = places.size();
    std::size_t end = places.size();
    for (std::size_t i = 0; i < number; ++i) {
      const double turns = search.turns * result.factor(i);
      const double lowest = (mark.frequency - reach * sigma) / turns;
      const double highest = (mark.frequency + reach * sigma) / turns;
      while (begin > 0 && places[begin - 1].order >= lowest) {
        --begin;
      }
      while (end > 0 && places[end - 1].order > highest) {
        --end;
      }
      double mixture = 0.0;
      for (std::size_t j = begin; j < end; ++j) {
        const double off = (mark.frequency - turns * places[j].order) / sigma;
        mixture += places[j].share * std::exp(-0.5 * off * off);
      }
      if (mixture > 0.0) {
        result.by_height[i] += mark.weight * std::log1p(scale * mixture);
      }
    }
  }
  return result;
}

/// The best speeds of a scan, the best first, no two next to each other.
std::vector<std::size_t> summits(const Scan& scan, std::size_t most) {
  std::vector<std::size_t> found;
  const std::vector<double>& heights = scan.by_height;
  for (std::size_t i = 0; i < heights.size(); ++i) {
    const bool above_before = i == 0 || heights[i] > heights[i - 1];
    const bool above_after = i + 1 == heights.size() || heights[i] >= heights[i + 1];
    if (above_before && above_after) {
      found.push_back(i);
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [&heights](std::size_t a, std::size_t b) { return heights[a] > heights[b]; });
  if (found.size() > most) {
    found.erase(found.begin() + static_cast<std::ptrdiff_t>(most), found.end());
  }
  return found;
}

/// The step in which no peak passes a line unseen.
double finest_step(const Search& search) {
  double step = 1.0;
  for (const Mark& mark : search.marks) {
    step = std::min(step, 0.5 * mark.sigma / mark.frequency);
  }
  return step;
}

/// The places within `gate` of a frequency, as a range.
std::pair<std::size_t, std::size_t> places_near(const Search& search, double frequency,
                                                double turns, double gate) {
  const auto at = [&search](double order) {
    const auto place =
        std::partition_point(search.places.begin(), search.places.end(),
                             [order](const Place& one) { return one.order < order; });
    return static_cast<std::size_t>(place - search.places.begin());
  };
  return {at((frequency - gate) / turns), at((frequency + gate) / turns)};
}

/// Logarithm of how much likelier all places of peaks are with the lines at a speed than anywhere,
/// if any share of the peaks from a tenth to nine tenths may come from the train.
double log_evidence(const Search& search, double factor) {
  constexpr int shares = 9;
  std::vector<double> logarithms(shares, 0.0);
  const double turns = search.turns * factor;
  for (const Mark& mark : search.marks) {
    const auto [begin, end] = places_near(search, mark.frequency, turns, reach * mark.sigma);
    double mixture = 0.0;
    for (std::size_t j = begin; j < end; ++j) {
      const double off = (mark.frequency - turns * search.places[j].order) / mark.sigma;
      mixture += search.places[j].share * std::exp(-0.5 * off * off);
    }
    const double ratio = gain(search, mark.sigma) * mixture;
    for (int i = 0; i < shares; ++i) {
      const double share = (i + 1.0) / (shares + 1.0);
      logarithms[static_cast<std::size_t>(i)] += std::log1p(share * (ratio - 1.0));
    }
  }
  const double greatest = *std::max_element(logarithms.begin(), logarithms.end());
  double sum = 0.0;
  for (const double logarithm : logarithms) {
    sum += std::exp(logarithm - greatest);
  }
  return greatest + std::log(sum / shares);
}

/// The factor to the speed given at which most is explained; empty where chance does as well.
std::optional<double> searched_factor(const Search& search, double uncertainty) {
  constexpr double most_steps = 20000.0;
  constexpr std::size_t followed = 12;
  const double finest = finest_step(search);
  // Past both ends by a little, so that a speed at the very end is inside.
  const double low = 1.0 - uncertainty - 2.0 * finest;
  const double range = 2.0 * uncertainty + 4.0 * finest;
  const double number = std::ceil(range / finest);
  double step = range / std::min(number, most_steps);
  const auto points = [](double length, double by) {
    return static_cast<std::size_t>(std::ceil(length / by)) + 1;
  };
  Scan coarse = scan(search, low, step, points(range, step), std::max(1.0, step / finest));
  double best = 1.0;
  double best_height = 0.0;
  for (const std::size_t summit : summits(coarse, followed)) {
    double factor = coarse.factor(summit);
    double height = coarse.by_height[summit];
    for (double width = step; width > finest;) {
      const double from = factor - 2.0 * width;
      const double next = std::max(finest, width / 8.0);
      const Scan closer =
          scan(search, from, next, points(4.0 * width, next), std::max(1.0, next / finest));
      const std::size_t top = summits(closer, 1).front();
      factor = closer.factor(top);
      height = closer.by_height[top];
      width = next;
    }
    if (height > best_height) {
      best = factor;
      best_height = height;
    }
  }
  // For peaks that have nothing to do with the lines the mean of the evidence is 1 at any speed, so
  // that chance brings it to this at any of so many speeds less than once in twenty spectra.
  constexpr double rarely = 20.0;
  if (!(log_evidence(search, best) > std::log(rarely * number))) {
    return std::nullopt;
  }
  return best;
}

/// A peak and what the lines near it, taken together, predict.
struct Pair {
  double frequency = 0.0;
  double predicted = 0.0;  ///< at the speed given
  double weight = 0.0;
  double distance = 0.0;  ///< of samples
};

/// The peaks of which the spectrum can tell the line. Lines that it cannot resolve, say a mesh and
/// its sidebands by a slow shaft, count as one at their mean, with less weight the wider they lie;
/// a peak between lines that are wider apart is left out.
std::vector<Pair> unambiguous(const Search& search, double factor) {
  constexpr double near = 1.0;      // distances of samples
  constexpr double resolved = 0.5;  // distances of samples
  const double turns = search.turns * factor;
  std::vector<Pair> pairs;
  for (const Mark& mark : search.marks) {
    const double distance = mark.sigma / place_accuracy;
    const auto [begin, end] = places_near(search, mark.frequency, turns, near * distance);
    double sum = 0.0;
    double first = 0.0;
    double second = 0.0;
    for (std::size_t j = begin; j < end; ++j) {
      const double off = (turns * search.places[j].order - mark.frequency) / mark.sigma;
      const double likely = search.places[j].share * std::exp(-0.5 * off * off);
      sum += likely;
      first += likely * off;
      second += likely * off * off;
    }
    if (!(sum > 0.0)) {
      continue;
    }
    const double mean = first / sum;  // standard deviations of a place
    const double variance = std::max(0.0, second / sum - mean * mean);
    if (std::sqrt(variance) * place_accuracy <= resolved) {
      pairs.push_back({mark.frequency, (mark.frequency + mean * mark.sigma) / factor,
                       mark.weight / (distance * distance * (1.0 + variance)), distance});
    }
  }
  return pairs;
}

struct Fit {
  double factor = 1.0;
  std::size_t used = 0;
  std::optional<double> standard_error{};
};

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// Weighted least squares through 0 over the pairs that are `kept`.
Fit fit(const std::vector<Pair>& pairs, const std::vector<bool>& kept) {
  double crossed = 0.0;
  double squared = 0.0;
  Fit result;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (kept[i]) {
      crossed += pairs[i].weight * pairs[i].predicted * pairs[i].frequency;
      squared += pairs[i].weight * pairs[i].predicted * pairs[i].predicted;
      ++result.used;
    }
  }
  result.factor = crossed / squared;
  if (result.used >= 3) {
    double residue = 0.0;
    for (std::size_t i = 0; i < pairs.size(); ++i) {
      if (kept[i]) {
        const double off = pairs[i].frequency - result.factor * pairs[i].predicted;
        residue += pairs[i].weight * off * off;
      }
    }
    result.standard_error = std::sqrt(residue / (static_cast<double>(result.used - 1) * squared));
  }
  return result;
}

/// Which pairs stay in line: within three times the spread of all, as their median has
/// it, but at least a twentieth of a sample's distance.
std::vector<bool> in_line(const std::vector<Pair>& pairs, double factor) {
  constexpr double normal_over_median = 1.4826;
  constexpr double least_spread = 0.05 / 3.0;
  std::vector<double> off;
  off.reserve(pairs.size());
  for (const Pair& pair : pairs) {
    off.push_back(std::abs(pair.frequency - factor * pair.predicted) / pair.distance);
  }
  const double limit = 3.0 * std::max(normal_over_median * median(off), least_spread);
  std::vector<bool> kept;
  kept.reserve(pairs.size());
  for (const double distance : off) {
    kept.push_back(distance <= limit);
  }
  return kept;
}

/// Least squares from a speed on, until the peaks in use stay the same. Empty without any.
std::optional<Fit> fitted(const Search& search, double factor) {
  constexpr int most_rounds = 20;
  std::optional<Fit> result;
  std::vector<bool> kept_before;
  for (int round = 0; round < most_rounds; ++round) {
    const std::vector<Pair> pairs = unambiguous(search, factor);
    if (pairs.empty()) {
      return result;
    }
    std::vector<bool> kept = in_line(pairs, factor);
    result = fit(pairs, kept);
    const bool settled = kept == kept_before && std::abs(result->factor - factor) <= 1e-12;
    factor = result->factor;
    kept_before = std::move(kept);
    if (settled) {
      break;
    }
  }
  return result;
}

/// Which frequencies are as near to a line as a candidate may be: stretches, rising and apart.
class Covered {
 public:
  Covered(const Search& search, double turns, double within, const MeasuredSpectrum& spectrum) {
    stretches_.reserve(search.places.size());
    std::size_t sample = 0;
    double before = 0.0;
    for (const Place& place : search.places) {
      const double f = turns * place.order;
      while (sample + 1 < spectrum.frequency.size() && spectrum.frequency[sample].value() < f) {
        ++sample;
      }
      const double tolerance =
          std::max(within * f, 0.5 * kernel::sample_distance(spectrum, sample));
      const double begin = f - tolerance;
      const double end = f + tolerance;
      if (!stretches_.empty() && begin <= stretches_.back().end) {
        before += std::max(0.0, end - stretches_.back().end);
        stretches_.back().end = std::max(end, stretches_.back().end);
      } else {
        before += end - begin;
        stretches_.push_back({begin, end, 0.0});
      }
      stretches_.back().length_up_to_end = before;
    }
  }

  /// The share of the frequencies from `low` to `high`.
  [[nodiscard]] double share(double low, double high) const {
    return (length_below(high) - length_below(low)) / (high - low);
  }

 private:
  struct Stretch {
    double begin = 0.0;
    double end = 0.0;
    double length_up_to_end = 0.0;
  };

  [[nodiscard]] double length_below(double frequency) const {
    const auto after = std::partition_point(
        stretches_.begin(), stretches_.end(),
        [frequency](const Stretch& stretch) { return stretch.begin < frequency; });
    if (after == stretches_.begin()) {
      return 0.0;
    }
    const Stretch& stretch = *std::prev(after);
    return stretch.length_up_to_end - std::max(0.0, stretch.end - frequency);
  }

  std::vector<Stretch> stretches_{};
};

/// The lines by order, to find those near a frequency.
std::vector<std::size_t> by_order(const std::vector<Line>& lines) {
  std::vector<std::size_t> indices(lines.size());
  std::iota(indices.begin(), indices.end(), std::size_t{0});
  std::stable_sort(indices.begin(), indices.end(), [&lines](std::size_t a, std::size_t b) {
    return lines[a].order < lines[b].order;
  });
  return indices;
}

/// Every line within reach of a peak, the best first. `sigma`: how well error is known, in Hz.
std::vector<Candidate> candidates_of(const Peak& peak, const std::vector<Line>& lines,
                                     const std::vector<std::size_t>& rising, double turns,
                                     double within, double half_distance, double sigma) {
  const double f = peak.frequency.value();
  const double lowest = std::min(f / (1.0 + within), f - half_distance) / turns;
  const double highest = std::max(f / (1.0 - within), f + half_distance) / turns;
  const auto begin =
      std::partition_point(rising.begin(), rising.end(),
                           [&lines, lowest](std::size_t i) { return lines[i].order < lowest; });
  struct Ranked {
    Candidate candidate{};
    double rank = 0.0;
  };
  std::vector<Ranked> ranked;
  for (auto i = begin; i != rising.end() && lines[*i].order <= highest; ++i) {
    const Line& line = lines[*i];
    const double error = f - turns * line.order;
    const double off = error / sigma;
    ranked.push_back({{*i, units::from_si<units::Frequency>(error), f / turns - line.order},
                      std::log(simplicity(line)) - 0.5 * off * off});
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const Ranked& a, const Ranked& b) { return a.rank > b.rank; });
  std::vector<Candidate> candidates;
  candidates.reserve(ranked.size());
  for (const Ranked& one : ranked) {
    candidates.push_back(one.candidate);
  }
  return candidates;
}

}  // namespace

Attribution attribution(const std::vector<Peak>& peaks, const MeasuredSpectrum& spectrum,
                        const std::vector<Line>& lines, units::AngularVelocity speed,
                        const AttributionOptions& options) {
  check(peaks, spectrum, lines, speed, options);
  const double given = units::frequency(speed).value();
  const Search search = search_of(peaks, spectrum, lines, given, options.speed_uncertainty);

  Attribution result;
  double turns = given;
  double relative_error = options.speed_uncertainty;
  if (options.refine && !peaks.empty() && !search.places.empty()) {
    if (const auto factor = searched_factor(search, options.speed_uncertainty)) {
      if (const auto fit = fitted(search, *factor)) {
        result.refined = true;
        result.used = fit->used;
        turns = given * fit->factor;
        relative_error = fit->standard_error.value_or(0.0);
        if (fit->standard_error) {
          result.standard_error = units::angular_velocity(
              units::from_si<units::Frequency>(given * *fit->standard_error));
        }
      }
    }
  }
  result.speed =
      result.refined ? units::angular_velocity(units::from_si<units::Frequency>(turns)) : speed;

  const Covered covered(search, turns, options.within, spectrum);
  const std::vector<std::size_t> rising = by_order(lines);
  result.peaks.reserve(peaks.size());
  for (const Peak& peak : peaks) {
    const double f = peak.frequency.value();
    const double distance = kernel::sample_distance(spectrum, peak.index);
    const double sigma = std::hypot(place_accuracy * distance, relative_error * f);
    constexpr double around = 0.1;
    result.peaks.push_back(
        {peak, f / turns,
         candidates_of(peak, lines, rising, turns, options.within, 0.5 * distance, sigma),
         covered.share(f * (1.0 - around), f * (1.0 + around))});
  }
  return result;
}

}  // namespace lashband::spectrum
