#include "band/table_quantile.hpp"

#include <algorithm>
#include <cmath>

namespace lashband::band::kernel {

void table_quantiles(const InverseDraw& table, double* values, std::size_t count) {
  const std::vector<double>& below = table.below;
  for (std::size_t i = 0; i < count; ++i) {
    // Panels of density 0 have no area and are passed over.
    const double p = values[i] * below.back();
    const auto right = std::upper_bound(below.begin() + 1, below.end() - 1, p);
    const auto k = static_cast<std::size_t>(right - below.begin()) - 1;
    const double rest = p - below[k];
    const double width = table.y[k + 1] - table.y[k];
    const double density = table.density[k];
    const double slope = (table.density[k + 1] - density) / width;
    // The root of density x + slope/2 x^2 = rest, in the form without cancellation. Rounding may
    // take the radicand below 0 where the density falls to 0 at the right end.
    const double root = std::sqrt(std::max(0.0, density * density + 2.0 * slope * rest));
    const double sum = density + root;
    values[i] = table.y[k] + (rest > 0.0 ? 2.0 * rest / sum : 0.0);
  }
}

}  // namespace lashband::band::kernel
