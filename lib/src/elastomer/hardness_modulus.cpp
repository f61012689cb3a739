#include "lashband/elastomer/hardness_modulus.hpp"

#include <variant>

#include "requirement.hpp"

namespace lashband::elastomer {
namespace {

constexpr double pascal_per_megapascal = 1e6;

}  // namespace

EstimatedModulus shear_modulus(const materials::Hardness& hardness) {
  const double S = std::visit([](const auto& scale) { return scale.degrees; }, hardness);
  checks::require(S >= least_hardness && S <= greatest_hardness,
                  "a shear modulus follows from hardness between 20 and 80 degrees, Shore A or "
                  "IRHD",
                  S, " degrees");
  const double E = 0.0981 * (56.0 + 7.62336 * S) / (0.137505 * (254.0 - 2.54 * S));
  const auto G = units::from_si<units::Pressure>(pascal_per_megapascal * E / 3.0);
  EstimatedModulus estimate;
  estimate.value = G;
  estimate.scatter = {(1.0 - modulus_scatter) * G, (1.0 + modulus_scatter) * G};
  estimate.confidence = materials::Confidence::seen2;
  return estimate;
}

}  // namespace lashband::elastomer
