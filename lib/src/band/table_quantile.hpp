#pragma once

#include <cstddef>

#include "band/sample_plan.hpp"

namespace lashband::band::kernel {

/// Replaces each of `count` probabilities by the place that a tabulated density gives it: exact
/// within a panel of the table, as the root of a quadratic. To 1e-15 absolute where the density
/// there is not small.
void table_quantiles(const InverseDraw& table, double* values, std::size_t count);

}  // namespace lashband::band::kernel
