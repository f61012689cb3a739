#include "lashband/limits/iso_5753.hpp"

#include <array>
#include <string>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::limits;
using namespace lashband::test;

namespace {

constexpr std::array<ClearanceClass, 4> all_classes = {ClearanceClass::C2, ClearanceClass::CN,
                                                       ClearanceClass::C3, ClearanceClass::C4};

}  // namespace

TEST_CASE("radial internal clearances are those printed") {
  const auto rows = reference_rows("internal clearance");
  REQUIRE(rows.size() == 8);
  for (const auto& row : rows) {
    for (const units::Length& bore : ends_of(row)) {
      for (const ClearanceClass clearance_class : all_classes) {
        const std::string name{clearance_class_name(clearance_class)};
        INFO(row << " " << name);
        const auto band = internal_clearance(clearance_class, bore);
        CHECK_THAT(in_um(band.low), WithinAbs(row.at(name)[0].get<double>(), table_rounding_in_um));
        CHECK_THAT(in_um(band.high),
                   WithinAbs(row.at(name)[1].get<double>(), table_rounding_in_um));
      }
      CHECK(internal_clearance_certainty(bore) == Certainty::seen);
    }
  }
}

TEST_CASE("a bore of 10 mm is in the row from memory") {
  // Source: ISO 5753-1, bore over 6 to 10 mm, from memory, verify.
  const auto band = internal_clearance(ClearanceClass::C3, mm(10));
  CHECK_THAT(in_um(band.low), WithinAbs(8.0, table_rounding_in_um));
  CHECK_THAT(in_um(band.high), WithinAbs(23.0, table_rounding_in_um));
  CHECK(internal_clearance_certainty(mm(10)) == Certainty::memory);
}

TEST_CASE("a wider class has the greater clearances, and a larger bore none smaller") {
  units::Length previous_bore = mm(7);
  for (const double bore_in_mm : {7.0, 15.0, 20.0, 25.0, 35.0, 45.0, 60.0, 70.0, 90.0}) {
    const units::Length bore = mm(bore_in_mm);
    for (std::size_t k = 0; k < all_classes.size(); ++k) {
      const auto band = internal_clearance(all_classes[k], bore);
      CHECK(band.low < band.high);
      CHECK(band.high >= internal_clearance(all_classes[k], previous_bore).high);
      if (k > 0) {
        CHECK(band.low > internal_clearance(all_classes[k - 1], bore).low);
        CHECK(band.high > internal_clearance(all_classes[k - 1], bore).high);
      }
    }
    previous_bore = bore;
  }
}

TEST_CASE("bores outside the table of clearances are refused") {
  CHECK_THROWS_MATCHES(internal_clearance(ClearanceClass::CN, mm(120)), DomainError,
                       Message("the bore of a bearing of ISO 5753-1 must be above 6 mm and at most "
                               "100 mm, not 120 mm"));
  CHECK_THROWS_AS(internal_clearance(ClearanceClass::CN, mm(6)), DomainError);
  CHECK_THROWS_AS(internal_clearance_certainty(mm(101)), DomainError);
  const auto fifth = static_cast<ClearanceClass>(4);
  CHECK_THROWS_AS(internal_clearance(fifth, mm(50)), DomainError);
  CHECK_THROWS_AS(clearance_class_name(fifth), DomainError);
}
