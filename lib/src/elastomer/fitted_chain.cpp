#include "lashband/elastomer/fitted_chain.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "elastomer/nonnegative_least_squares.hpp"
#include "requirement.hpp"

namespace lashband::elastomer {
namespace {

using checks::require;
using units::AngularVelocity;
using units::from_si;
using units::TorsionalStiffness;

constexpr double widest_band = 1e8;
constexpr double points_per_decade_fitted = 16.0;
constexpr double points_per_decade_judged = 64.0;
constexpr double least_points_fitted = 33.0;
constexpr double least_points_judged = 129.0;

/// `count` values from `first` to `last`, even in their logarithm; one alone in the middle.
std::vector<double> log_even(double first, double last, std::size_t count) {
  if (count == 1) {
    return {std::sqrt(first * last)};
  }
  std::vector<double> values;
  values.reserve(count);
  const auto steps = static_cast<double>(count - 1);
  for (std::size_t i = 0; i < count; ++i) {
    values.push_back(first * std::pow(last / first, static_cast<double>(i) / steps));
  }
  return values;
}

std::size_t point_count(double decades, double per_decade, double least) {
  return static_cast<std::size_t>(std::max(least, std::ceil(per_decade * decades) + 1.0));
}

/// Columns of relative errors: those of k' at every frequency, then those of k''. The first column
/// is the relaxed stiffness.
std::vector<std::vector<double>> columns_of(const std::vector<double>& omegas,
                                            const std::vector<double>& times, double eta) {
  const std::size_t points = omegas.size();
  std::vector<double> relaxed(2 * points, 0.0);
  std::fill_n(relaxed.begin(), points, 1.0);
  std::vector<std::vector<double>> columns{relaxed};
  columns.reserve(times.size() + 1);
  for (const double tau : times) {
    std::vector<double> column(2 * points, 0.0);
    for (std::size_t i = 0; i < points; ++i) {
      const double x = omegas[i] * tau;
      const double loss = 1.0 / (x + 1.0 / x);
      column[i] = x * loss;
      column[points + i] = loss / eta;
    }
    columns.push_back(column);
  }
  return columns;
}

void add_errors(FittedChain& fit, const LossFactor& law, const std::vector<double>& omegas) {
  const ElastomerLaw chain(fit.chain);
  for (const double omega : omegas) {
    const ComplexStiffness k = dynamic_stiffness(chain, from_si<AngularVelocity>(omega));
    const double storage = k.storage / law.stiffness;
    const double loss = k.loss / (law.loss_factor * law.stiffness);
    fit.storage_error = std::max(fit.storage_error, std::abs(storage - 1.0));
    fit.loss_error = std::max(fit.loss_error, std::abs(loss - 1.0));
  }
}

}  // namespace

FittedChain fitted_chain(const LossFactor& law, const units::Band<AngularVelocity>& band,
                         std::size_t branches) {
  const ElastomerLaw checked(law);
  checks::require_positive("the loss factor that a chain is fitted to must be above 0",
                           law.loss_factor, "");
  const double low = band.low.value();
  const double high = band.high.value();
  checks::require_positive("the low end of a band of frequencies must be above 0 rad/s", low,
                           " rad/s");
  require(high > low && high <= widest_band * low && std::isfinite(high),
          "the high end of a band of frequencies must be above its low end, at most 1e8 times it",
          high, " rad/s");
  require(branches >= 1 && branches <= most_branches, "a chain is fitted with 1 to 40 branches",
          static_cast<double>(branches), "");

  const double decades = std::log10(high / low);
  const double beyond = std::sqrt(10.0);
  const std::vector<double> times = log_even(1.0 / (beyond * high), beyond / low, branches);
  const std::vector<double> omegas =
      log_even(low, high, point_count(decades, points_per_decade_fitted, least_points_fitted));
  const std::vector<double> shares = kernel::nonnegative_least_squares(
      columns_of(omegas, times, law.loss_factor), std::vector<double>(2 * omegas.size(), 1.0));

  FittedChain fit;
  fit.chain.relaxed_stiffness = shares.front() * law.stiffness;
  fit.chain.branches.reserve(times.size());
  for (std::size_t j = 0; j < times.size(); ++j) {
    if (shares[j + 1] > 0.0) {
      fit.chain.branches.push_back({shares[j + 1] * law.stiffness, from_si<units::Time>(times[j])});
    }
  }
  add_errors(
      fit, law,
      log_even(low, high, point_count(decades, points_per_decade_judged, least_points_judged)));
  return fit;
}

}  // namespace lashband::elastomer
