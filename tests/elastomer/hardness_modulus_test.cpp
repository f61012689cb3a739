#include "lashband/elastomer/hardness_modulus.hpp"

#include <cmath>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_quantities.hpp"

using namespace lashband;
using namespace lashband::elastomer;
using namespace lashband::test;

namespace {

double G_of_shore(double S) {
  return 1e-6 * shear_modulus(materials::ShoreA{S}).value.value();
}

}  // namespace

TEST_CASE("a shear modulus from hardness is that of Gent's relation") {
  // E/3 in MPa worked out by hand from the relation of 1958, three digits.
  CHECK_THAT(G_of_shore(40.0), WithinAbs(0.563, 5e-4));
  CHECK_THAT(G_of_shore(60.0), WithinAbs(1.202, 5e-4));
  CHECK_THAT(G_of_shore(70.0), WithinAbs(1.840, 5e-4));
  CHECK(shear_modulus(materials::Irhd{60.0}).value == shear_modulus(materials::ShoreA{60.0}).value);
}

TEST_CASE("other relations lie within the scatter of the modulus") {
  // Lindley's table for natural rubber (Engineering Design with Natural Rubber, from memory): IRHD
  // and G in MPa.
  struct Row {
    double hardness;
    double G;
  };
  for (const Row& row : {Row{30, 0.30}, Row{35, 0.37}, Row{40, 0.45}, Row{45, 0.54}, Row{50, 0.64},
                         Row{60, 1.06}, Row{65, 1.37}, Row{70, 1.73}, Row{75, 2.22}}) {
    INFO(row.hardness << " IRHD");
    const EstimatedModulus estimate = shear_modulus(materials::Irhd{row.hardness});
    CHECK(1e-6 * estimate.scatter.low.value() < row.G);
    CHECK(1e-6 * estimate.scatter.high.value() > row.G);
  }
  // Battermann and Koehler, G = 0.086 * 1.045^S MPa, from memory.
  for (double S = 35.0; S <= 75.0; S += 5.0) {
    INFO(S << " Shore A");
    const EstimatedModulus estimate = shear_modulus(materials::ShoreA{S});
    const double G = 0.086 * std::pow(1.045, S);
    CHECK(1e-6 * estimate.scatter.low.value() < G);
    CHECK(1e-6 * estimate.scatter.high.value() > G);
  }
}

TEST_CASE("a modulus from hardness comes with its scatter and its confidence") {
  const EstimatedModulus estimate = shear_modulus(materials::ShoreA{55.0});
  CHECK_THAT(estimate.scatter.low.value(), WithinRel(0.7 * estimate.value.value(), 1e-15));
  CHECK_THAT(estimate.scatter.high.value(), WithinRel(1.3 * estimate.value.value(), 1e-15));
  CHECK(estimate.confidence == materials::Confidence::seen2);
}

TEST_CASE("hardness outside the relation's range is refused") {
  CHECK(G_of_shore(20.0) > 0.0);
  CHECK(G_of_shore(80.0) > G_of_shore(79.0));
  CHECK_THROWS_MATCHES(
      G_of_shore(85.0), DomainError,
      Message("a shear modulus follows from hardness between 20 and 80 degrees, Shore A or IRHD, "
              "not 85 degrees"));
  CHECK_THROWS_AS(G_of_shore(19.9), DomainError);
  CHECK_THROWS_AS(G_of_shore(not_a_number), DomainError);
  CHECK_THROWS_AS(shear_modulus(materials::Irhd{100.0}), DomainError);
}
