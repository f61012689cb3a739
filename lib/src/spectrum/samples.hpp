#pragma once

#include <cstddef>
#include <vector>

#include "lashband/spectrum/measured_peaks.hpp"

namespace lashband::spectrum::kernel {

/// Throws DomainError for a spectrum whose peaks mean nothing; messages count samples from 1.
void check_samples(const MeasuredSpectrum& spectrum);

/// Distance of samples at an index, in Hz: the mean of those to its neighbours.
[[nodiscard]] double sample_distance(const MeasuredSpectrum& spectrum, std::size_t index);

}  // namespace lashband::spectrum::kernel
