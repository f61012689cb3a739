#include "lashband/geometry/toothed_body.hpp"

#include <functional>
#include <string>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "random_pairs.hpp"

using namespace lashband;
using namespace lashband::geometry;
using namespace lashband::geometry::test;

TEST_CASE("every rule of a gear is an error that names rule, value and unit") {
  struct Row {
    std::function<void(ToothData&)> spoil;
    std::string rule;
    std::string value;
  };
  const double nan = std::nan("");
  const Row rows[] = {
      {[](ToothData& d) { d.teeth = 2; }, "number of teeth must be from 3 to 10000", "not 2"},
      {[](ToothData& d) { d.teeth = 10001; }, "number of teeth", "not 10001"},
      {[](ToothData& d) { d.module = mm(0.0); }, "module must be above 0 mm", "not 0 mm"},
      {[=](ToothData& d) { d.module = mm(nan); }, "module must be above 0 mm", "nan mm"},
      {[](ToothData& d) { d.pressure_angle = deg(4.9); }, "pressure angle must be from 5 to 45 deg",
       "not 4.9 deg"},
      {[](ToothData& d) { d.helix_angle = deg(61.0); }, "helix angle must be from 0 to 60 deg",
       "not 61 deg"},
      {[](ToothData& d) { d.helix_angle = deg(-1.0); }, "helix angle", "not -1 deg"},
      {[](ToothData& d) { d.profile_shift = 5.1; }, "profile shift must be from -5 to 5",
       "not 5.1"},
      {[](ToothData& d) { d.face_width = mm(-3.0); }, "face width must be above 0 mm", "not -3 mm"},
      {[](ToothData& d) { d.thickness_allowance = mm(-2.6); },
       "allowance must be smaller than the module", "not -2.6 mm"},
      {[](ToothData& d) { d.rack.addendum = 0.0; }, "addendum of the basic rack", "not 0 modules"},
      {[](ToothData& d) { d.rack.dedendum = 3.5; }, "dedendum of the basic rack", "not 3.5"},
      {[](ToothData& d) { d.rack.fillet_radius = -0.1; }, "fillet radius", "not -0.1"},
      {[](ToothData& d) { d.tip_diameter = mm(40.0); }, "tip diameter must be above the base",
       "not 40 mm"},
      {[](ToothData& d) {
         d.teeth = 3;
         d.profile_shift = -0.5;
         d.tip_diameter = mm(15.0);
         d.rack.dedendum = 2.0;
       },
       "root diameter must be above 0 mm", "mm"},
      {[](ToothData& d) {
         d.profile_shift = 1.5;
         d.tip_diameter = mm(99.5);
       },
       "root diameter must be below the tip diameter", "mm"},
  };
  for (const Row& row : rows) {
    ToothData data = teeth(41, 2.5, 20.0, 0.0, 0.1);
    row.spoil(data);
    INFO(row.rule);
    CHECK_THROWS_MATCHES(ToothedBody(data), DomainError,
                         Predicate<DomainError>([&row](const DomainError& error) {
                           const std::string text = error.what();
                           INFO(text);
                           return text.find(row.rule) != std::string::npos &&
                                  text.find(row.value) != std::string::npos;
                         }));
  }
}

TEST_CASE("a growth that leaves no gear is an error") {
  const ToothedBody gear(teeth(41, 2.5, 20.0, 0.0, 0.1));
  CHECK_THROWS_AS(gear.grown(-1.0), DomainError);
  CHECK_THROWS_AS(gear.grown(std::nan("")), DomainError);
  CHECK_THROWS_AS(gear.with_thickness_allowance(mm(2.5)), DomainError);
}

TEST_CASE("a gear grows as a whole") {
  const ToothedBody cold(teeth(29, 3.0, 20.0, 25.0, 0.3, -0.06));
  constexpr double strain = 1.1e-3;
  constexpr double rounding = 1e-15;
  const ToothedBody hot = cold.grown(strain);
  const auto grows = [&](units::Length before, units::Length after) {
    CHECK_THAT(after.value(), WithinRel(before.value() * (1.0 + strain), rounding));
  };
  grows(cold.module(), hot.module());
  grows(cold.reference_diameter(), hot.reference_diameter());
  grows(cold.base_diameter(), hot.base_diameter());
  grows(cold.tip_diameter(), hot.tip_diameter());
  grows(cold.root_diameter(), hot.root_diameter());
  grows(cold.base_pitch(), hot.base_pitch());
  grows(cold.base_tooth_thickness(), hot.base_tooth_thickness());
  grows(cold.face_width(), hot.face_width());
  grows(cold.thickness_allowance(), hot.thickness_allowance());
  CHECK_THAT(hot.thickness_half_angle().value(),
             WithinRel(cold.thickness_half_angle().value(), rounding));
  CHECK(hot.transverse_pressure_angle() == cold.transverse_pressure_angle());
  CHECK(hot.base_helix_angle() == cold.base_helix_angle());
  CHECK(hot.undercut_limit() == cold.undercut_limit());
}

TEST_CASE("a thinner tooth is thinner by E_sn / cos beta in the transverse section") {
  // Definition of E_sn (ISO 21771): on the reference cylinder, in the normal section. On the base
  // circle the arc is smaller by cos alpha_t.
  constexpr double rounding = 1e-15;  // m
  const ToothedBody full(teeth(29, 3.0, 20.0, 25.0, 0.3));
  const ToothedBody thin = full.with_thickness_allowance(mm(-0.06));
  const double expected =
      -60e-6 / std::cos(25.0 * degree) * std::cos(full.transverse_pressure_angle().value());
  CHECK_THAT((thin.base_tooth_thickness() - full.base_tooth_thickness()).value(),
             WithinAbs(expected, rounding));
  CHECK(thin.root_diameter() < full.root_diameter());
  CHECK(thin.tip_diameter() == full.tip_diameter());
}
