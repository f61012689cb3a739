#include "lashband/limits/iso_492.hpp"

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/limits/iso_286.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::limits;
using namespace lashband::test;

TEST_CASE("mean bore deviations are those printed") {
  for (const auto& row : reference_rows("mean bore deviation")) {
    INFO(row);
    // The rows of the reference are those of shaft fits, finer in places than those of ISO 492.
    for (const units::Length& bore : ends_of(row)) {
      const auto band = mean_bore_deviation(bore);
      CHECK_THAT(in_um(band.low), WithinAbs(row.at("low").get<double>(), table_rounding_in_um));
      CHECK(band.high == mm(0));
      CHECK(mean_bore_deviation_certainty(bore) == Certainty::seen);
    }
  }
  CHECK(mean_bore_deviation_certainty(mm(30)) == Certainty::memory);
  CHECK(mean_bore_deviation_certainty(mm(181)) == Certainty::memory);
}

TEST_CASE("mean outside diameter deviations") {
  // Source: ISO 492, normal class, from memory, verify.
  struct Row {
    double D_in_mm, low;
  };
  for (const Row& row :
       {Row{18, -8}, Row{22, -9}, Row{47, -11}, Row{80, -13}, Row{110, -15}, Row{150, -18},
        Row{180, -25}, Row{215, -30}, Row{310, -35}, Row{400, -40}, Row{500, -45}}) {
    const auto band = mean_outside_diameter_deviation(mm(row.D_in_mm));
    INFO(row.D_in_mm);
    CHECK_THAT(in_um(band.low), WithinAbs(row.low, table_rounding_in_um));
    CHECK(band.high == mm(0));
  }
}

TEST_CASE("bearings are held closer than IT6 of their diameters") {
  // Common practice, no source: bearing bores and outside diameters of the normal class lie within
  // about IT6, never looser than IT6 by more than a quarter and never finer than IT4.
  constexpr double loosest = 1.25;
  for (const double size :
       {10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0}) {
    const double grade_6 = in_um(standard_tolerance(6, mm(size)));
    const double grade_4 = in_um(standard_tolerance(4, mm(size)));
    for (const auto& band :
         {mean_bore_deviation(mm(size)), mean_outside_diameter_deviation(mm(size))}) {
      INFO(size);
      CHECK(-in_um(band.low) <= loosest * grade_6);
      CHECK(-in_um(band.low) >= grade_4);
    }
  }
}

TEST_CASE("bearing diameters outside the tables are refused") {
  CHECK_THROWS_MATCHES(mean_bore_deviation(mm(2.5)), DomainError,
                       Message("the bearing bore of ISO 492 must be above 2.5 mm and at most 500 "
                               "mm, not 2.5 mm"));
  CHECK_THROWS_AS(mean_bore_deviation(mm(501)), DomainError);
  CHECK_THROWS_AS(mean_bore_deviation_certainty(mm(501)), DomainError);
  CHECK_THROWS_AS(mean_outside_diameter_deviation(mm(6)), DomainError);
  CHECK_THROWS_AS(mean_outside_diameter_deviation(mm(501)), DomainError);
}
