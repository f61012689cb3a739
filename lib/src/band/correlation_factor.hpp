#pragma once

#include <cstddef>
#include <vector>

#include "band/gap_model.hpp"

namespace lashband::band::kernel {

/// The draws that correlations tie, and the triangular factor of their matrix: with independent
/// standard normal z, the scores factor * z have the correlations asked for.
struct CorrelationFactor {
  std::vector<std::size_t> draws;  ///< rising
  std::vector<double> lower;       ///< row by row, row i with i + 1 entries
};

/// The Cholesky factor of the correlation matrix of all draws that `correlations` name; a pair that
/// is not named is uncorrelated. A matrix that is only semidefinite (coefficients of +1 and -1) is
/// fine.
///
/// Throws DomainError where a coefficient lies outside [-1, 1], a pair ties a draw to itself, to
/// one that is not there, or occurs twice, or the matrix is not positive semidefinite, which no
/// distribution has.
[[nodiscard]] CorrelationFactor correlation_factor(
    const std::vector<Draws::Correlation>& correlations, std::size_t draws);

}  // namespace lashband::band::kernel
