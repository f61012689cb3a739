#include "excitation/fourier.hpp"

#include <numeric>

#include <unsupported/Eigen/FFT>

namespace lashband::excitation::kernel {

std::vector<std::complex<double>> fourier_coefficients(const std::vector<double>& samples,
                                                       std::size_t highest) {
  const auto count = static_cast<double>(samples.size());
  if (highest == 0) {  // of one sample too, which the FFT does not take
    return {std::accumulate(samples.begin(), samples.end(), 0.0) / count};
  }
  Eigen::FFT<double> fft;
  std::vector<std::complex<double>> spectrum;
  fft.fwd(spectrum, samples);
  spectrum.resize(highest + 1);
  for (std::complex<double>& coefficient : spectrum) {
    coefficient /= count;
  }
  return spectrum;
}

}  // namespace lashband::excitation::kernel
