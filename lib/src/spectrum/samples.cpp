#include "samples.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

#include "requirement.hpp"

namespace lashband::spectrum::kernel {

void check_samples(const MeasuredSpectrum& spectrum) {
  const std::string what = "measured spectrum";
  const std::size_t n = spectrum.frequency.size();
  if (n == 0 && spectrum.amplitude.empty()) {
    throw DomainError(what + ": it has no samples, but a peak needs five or more");
  }
  require(spectrum.amplitude.size() == n, what, "there must be one amplitude for each frequency",
          static_cast<double>(spectrum.amplitude.size()), "");
  constexpr std::size_t fewest = 5;
  require(n >= fewest, what, "it must have five samples or more", static_cast<double>(n), "");
  for (std::size_t i = 0; i < n; ++i) {
    const double f = spectrum.frequency[i].value();
    const double a = spectrum.amplitude[i];
    const bool rises = i == 0 ? f >= 0.0 : f > spectrum.frequency[i - 1].value();
    if (!(rises && std::isfinite(f))) {
      require(false, what + ", sample " + std::to_string(i + 1),
              i == 0 ? "the first frequency must be 0 Hz or above"
                     : "frequencies must rise from sample to sample",
              f, " Hz");
    }
    if (!(a >= 0.0 && std::isfinite(a))) {
      require(false, what + ", sample " + std::to_string(i + 1),
              "an amplitude must be finite and 0 or above", a, "");
    }
  }
  const auto [least, greatest] =
      std::minmax_element(spectrum.amplitude.begin(), spectrum.amplitude.end());
  if (!(*least < *greatest)) {
    std::ostringstream message;
    message.precision(10);
    message << what << ": its amplitudes must differ somewhere, but all of them are " << *greatest;
    throw DomainError(message.str());
  }
}

double sample_distance(const MeasuredSpectrum& spectrum, std::size_t index) {
  const std::size_t before = index == 0 ? 0 : index - 1;
  const std::size_t after = std::min(index + 1, spectrum.frequency.size() - 1);
  return (spectrum.frequency[after] - spectrum.frequency[before]).value() /
         static_cast<double>(after - before);
}

}  // namespace lashband::spectrum::kernel
