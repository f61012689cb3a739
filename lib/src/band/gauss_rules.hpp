#pragma once

#include <cstddef>
#include <vector>

// Gauss quadrature by tables worked out once.
namespace lashband::band::kernel {

struct GaussRule {
  std::vector<double> node;
  std::vector<double> weight;  ///< adds up to 1
};

inline constexpr std::size_t most_gauss_nodes = 48;

/// Nodes on [-1, 1] for the mean of a function there (Gauss-Legendre), 1 <= count <= 48; to 1e-15.
[[nodiscard]] const GaussRule& gauss_legendre(std::size_t count);

/// Nodes for the mean of a function of a standard normal variable (Gauss-Hermite), 1 <= count
/// <= 48; to 1e-14.
[[nodiscard]] const GaussRule& gauss_hermite(std::size_t count);

}  // namespace lashband::band::kernel
