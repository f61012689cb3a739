#pragma once

#include <complex>
#include <cstddef>
#include <vector>

namespace lashband::excitation::kernel {

/// c_k = (1/n) sum over j of f_j e^(-2 pi i j k / n) for k = 0 ... highest, by FFT; highest < n.
/// f of period n is then c_0 + sum over 0 < k < n/2 of Re(2 c_k e^(2 pi i j k / n)), if it has
/// nothing at n/2 and above.
[[nodiscard]] std::vector<std::complex<double>> fourier_coefficients(
    const std::vector<double>& samples, std::size_t highest);

}  // namespace lashband::excitation::kernel
