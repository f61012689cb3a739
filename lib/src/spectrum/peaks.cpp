#include <algorithm>
#include <cmath>
#include <string>

#include "lashband/spectrum/measured_peaks.hpp"
#include "requirement.hpp"
#include "samples.hpp"

namespace lashband::spectrum {
namespace {

using kernel::require;

constexpr double least_share_of_greatest = 1e-3;
constexpr double false_peaks_expected = 0.1;
constexpr std::size_t parts = 32;
constexpr std::size_t least_part = 64;

/// The value of which that share of the values lies below.
double quantile(std::vector<double> values, double share) {
  const auto place = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  const auto nth = values.begin() + static_cast<std::ptrdiff_t>(place);
  std::nth_element(values.begin(), nth, values.end());
  return *nth;
}

/// The median around each sample: of the part of the spectrum that it is in and of both beside it.
std::vector<double> floor_of(const std::vector<double>& amplitude) {
  const std::size_t n = amplitude.size();
  const std::size_t length = std::max(least_part, (n + parts - 1) / parts);
  std::vector<double> floor(n);
  for (std::size_t begin = 0; begin < n; begin += length) {
    const std::size_t end = std::min(n, begin + length);
    const std::size_t from = begin - std::min(begin, length);
    const std::size_t to = std::min(n, end + length);
    const auto at = [&amplitude](std::size_t i) {
      return amplitude.begin() + static_cast<std::ptrdiff_t>(i);
    };
    const double median = quantile(std::vector<double>(at(from), at(to)), 0.5);
    std::fill(floor.begin() + static_cast<std::ptrdiff_t>(begin),
              floor.begin() + static_cast<std::ptrdiff_t>(end), median);
  }
  return floor;
}

/// The prominence asked for at each sample by the rule of the header.
std::vector<double> asked_by_floor(const std::vector<double>& amplitude) {
  std::vector<double> asked = floor_of(amplitude);
  std::vector<double> over_floor;
  over_floor.reserve(amplitude.size());
  for (std::size_t i = 0; i < amplitude.size(); ++i) {
    if (asked[i] > 0.0) {
      over_floor.push_back(amplitude[i] / asked[i]);
    }
  }
  double factor = 0.0;
  if (!over_floor.empty()) {
    const double lower_quartile = quantile(over_floor, 0.25);
    // Averaged spectra spread less, but the distribution of their far tail is none of Weibull's: it
    // is taken for that of amplitudes, which lies above.
    const double spread = std::log(1.0 / std::max(lower_quartile, 1e-300));
    const double k = std::clamp(
        std::log(std::log(2.0) / std::log(4.0 / 3.0)) / std::max(spread, 1e-3), 1.0, 2.0);
    const auto n = static_cast<double>(amplitude.size());
    factor = std::pow(std::log(n / false_peaks_expected) / std::log(2.0), 1.0 / k);
  }
  const double least =
      least_share_of_greatest * *std::max_element(amplitude.begin(), amplitude.end());
  for (double& value : asked) {
    value = std::max(factor * value, least);
  }
  return asked;
}

/// Samples or flat tops above what is beside them.
std::vector<std::size_t> tops(const std::vector<double>& amplitude) {
  std::vector<std::size_t> found;
  const std::size_t n = amplitude.size();
  for (std::size_t i = 1; i + 1 < n; ++i) {
    if (!(amplitude[i] > amplitude[i - 1])) {
      continue;
    }
    std::size_t last = i;
    while (last + 1 < n && amplitude[last + 1] == amplitude[i]) {
      ++last;
    }
    if (last + 1 < n && amplitude[last + 1] < amplitude[i]) {
      found.push_back((i + last) / 2);
    }
    i = last;
  }
  return found;
}

/// For each sample the least between it and the last higher one before it, or the end.
template <class Iterator>
std::vector<double> lowest_before(Iterator begin, Iterator end) {
  struct Higher {
    double value = 0.0;
    double least = 0.0;  // from it to the one before it in the list
  };
  std::vector<double> lowest;
  lowest.reserve(static_cast<std::size_t>(end - begin));
  std::vector<Higher> falling;
  for (; begin != end; ++begin) {
    double least = *begin;
    while (!falling.empty() && falling.back().value <= *begin) {
      least = std::min(least, falling.back().least);
      falling.pop_back();
    }
    falling.push_back({*begin, least});
    lowest.push_back(least);
  }
  return lowest;
}

/// Place and height of a top between samples.
void interpolate(const MeasuredSpectrum& spectrum, Peak& peak) {
  const std::size_t i = peak.index;
  const double middle = spectrum.frequency[i].value();
  const double before = spectrum.frequency[i - 1].value() - middle;
  const double after = spectrum.frequency[i + 1].value() - middle;
  const double a = spectrum.amplitude[i - 1];
  const double b = spectrum.amplitude[i];
  const double c = spectrum.amplitude[i + 1];
  const bool logarithms = a > 0.0 && c > 0.0;
  // Heights above the middle, so that a flat top has no rounding.
  const double rise_before = logarithms ? std::log(a / b) : a - b;
  const double rise_after = logarithms ? std::log(c / b) : c - b;
  // y = slope x + bend x^2 through the three points.
  const double bend = (rise_after / after - rise_before / before) / (after - before);
  const double slope = rise_before / before - bend * before;
  double x = 0.0;
  double rise = 0.0;
  if (bend < 0.0) {
    x = -slope / (2.0 * bend);
    rise = 0.5 * slope * x;
  }
  peak.frequency = units::from_si<units::Frequency>(middle + x);
  peak.amplitude = logarithms ? b * std::exp(rise) : b + rise;
}

}  // namespace

std::vector<Peak> peaks(const MeasuredSpectrum& spectrum, const PeakOptions& options) {
  kernel::check_samples(spectrum);
  require(options.most >= 1, "peaks", "the number kept must be 1 or more",
          static_cast<double>(options.most), "");
  const std::vector<double>& amplitude = spectrum.amplitude;
  std::vector<double> asked;
  if (options.prominence) {
    require(*options.prominence >= 0.0 && *options.prominence <= 1.0, "peaks",
            "the prominence must be from 0 to 1 of the greatest amplitude", *options.prominence,
            "");
    const double greatest = *std::max_element(amplitude.begin(), amplitude.end());
    asked.assign(amplitude.size(), *options.prominence * greatest);
  } else {
    asked = asked_by_floor(amplitude);
  }
  const std::vector<double> before = lowest_before(amplitude.begin(), amplitude.end());
  const std::vector<double> after = lowest_before(amplitude.rbegin(), amplitude.rend());

  std::vector<Peak> found;
  for (const std::size_t i : tops(amplitude)) {
    const double saddle = std::max(before[i], after[amplitude.size() - 1 - i]);
    if (amplitude[i] - saddle >= asked[i]) {
      found.push_back({.index = i, .prominence = amplitude[i] - saddle});
    }
  }
  if (found.size() > options.most) {
    std::stable_sort(found.begin(), found.end(),
                     [](const Peak& a, const Peak& b) { return a.prominence > b.prominence; });
    found.resize(options.most);
    std::sort(found.begin(), found.end(),
              [](const Peak& a, const Peak& b) { return a.index < b.index; });
  }
  for (Peak& peak : found) {
    interpolate(spectrum, peak);
  }
  return found;
}

}  // namespace lashband::spectrum
