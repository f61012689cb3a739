#include "lashband/torsion/mesh_stiffness.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/torsion/inertia.hpp"

using namespace lashband;
using namespace lashband::torsion;
using std::numbers::pi;
using units::from_si;

namespace {

// A handful of products.
constexpr double rounding = 1e-14;

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

units::Length mm(double value) {
  return from_si<units::Length>(1e-3 * value);
}
units::Angle degrees(double value) {
  return from_si<units::Angle>(value * pi / 180.0);
}

MeshGear gear(int z, double x = 0.0) {
  MeshGear made;
  made.teeth = z;
  made.profile_shift_coefficient = x;
  made.youngs_modulus = reference_steel_modulus;
  return made;
}

/// Solid steel gears with the basic rack 20 deg, h_fP 1.25 m_n; m_n 3 mm, b 20 mm.
MeshTeeth pair(const MeshGear& gear_1, const MeshGear& gear_2, double eps_alpha = 1.5,
               double beta = 0.0) {
  MeshTeeth teeth;
  teeth.gear_1 = gear_1;
  teeth.gear_2 = gear_2;
  teeth.normal_module = mm(3.0);
  teeth.normal_pressure_angle = degrees(20.0);
  teeth.helix_angle = degrees(beta);
  teeth.face_width = mm(20.0);
  teeth.transverse_contact_ratio = eps_alpha;
  return teeth;
}

MeshLoad load(double force, double least_factor = 0.5) {
  return {from_si<units::Force>(force), least_factor};
}

double per_minute(units::AngularVelocity speed) {
  return speed.value() * 30.0 / pi;
}

}  // namespace

TEST_CASE("tooth stiffness by the formula of ISO 6336-1") {
  // By an independent script from the same remembered coefficients: the arithmetic is checked, the
  // coefficients are not. Six digits as given there.
  struct Row {
    const char* id;
    MeshTeeth teeth;
    double q;
    double c_th;
    double c;
    double c_gamma;
  };
  for (const Row& row :
       {Row{"20/20", pair(gear(20), gear(20), 1.55684), 0.067901, 14.7273, 11.4873, 16.2847},
        Row{"30/30", pair(gear(30), gear(30), 1.65351), 0.061011, 16.3906, 12.7846, 19.0509},
        Row{"25/50 shifted", pair(gear(25, 0.3), gear(50, 0.1), 1.57238), 0.055123, 18.1414,
            14.1503, 20.2248},
        Row{"40/40 helical", pair(gear(40), gear(40), 1.56850, 20.0), 0.055806, 17.9192, 13.1341,
            18.7341}}) {
    INFO(row.id);
    const MeshStiffness found = mesh_stiffness(row.teeth);
    CHECK_THAT(found.tooth_compliance, WithinAbs(row.q, 5e-7));
    CHECK_THAT(found.theoretical_stiffness, WithinAbs(row.c_th, 5e-5));
    CHECK_THAT(found.single_stiffness, WithinAbs(row.c, 5e-5));
    // eps_alpha has six digits too.
    CHECK_THAT(found.mesh_stiffness, WithinAbs(row.c_gamma, 1.5e-4));
    CHECK_THAT(found.stiffness.high.value(),
               WithinRel(found.mesh_stiffness * 1e9 * 0.02, rounding));
    CHECK(found.stiffness.low == found.stiffness.high);
    CHECK(found.basic_rack_factor == 0.975);
    CHECK(found.outside_range.empty());
  }
}

TEST_CASE("two racks and a ring gear are limits of the formula") {
  // Exact: of rack and rack q' is its first coefficient, which is from memory.
  const MeshStiffness racks = mesh_stiffness(pair(gear(2000000000), gear(2000000000)));
  CHECK_THAT(racks.tooth_compliance, WithinAbs(0.04723, 1e-9));
  CHECK_THAT(racks.theoretical_stiffness, WithinAbs(21.1730, 5e-5));
  CHECK_THAT(racks.single_stiffness, WithinAbs(16.5149, 5e-5));
  // By an independent script from the same coefficients.
  const MeshStiffness ring = mesh_stiffness(pair(gear(30), gear(-90)));
  CHECK_THAT(ring.tooth_compliance, WithinAbs(0.052414, 5e-7));
  CHECK_THAT(ring.theoretical_stiffness, WithinAbs(19.0790, 5e-5));
  CHECK_THAT(ring.single_stiffness, WithinAbs(14.8816, 5e-5));
  CHECK_THAT(ring.single_stiffness,
             WithinRel(mesh_stiffness(pair(gear(30), gear(2000000000))).single_stiffness, 1e-8));
}

TEST_CASE("usual gears have the usual stiffness") {
  // 14 and 20 N/(mm um) of ISO 6336-1 method C (1996, from memory) belong together for
  // eps_alpha = 1.571429, exactly (20/14 - 0.25) / 0.75.
  const MeshStiffness found = mesh_stiffness(pair(gear(30, 0.2), gear(80, 0.1), 1.571429));
  CHECK_THAT(found.mesh_stiffness / found.single_stiffness, WithinRel(20.0 / 14.0, 5e-7));
  CHECK_THAT(found.single_stiffness, WithinRel(14.0, 0.1));
  // Kuang and Yang (ASME DE-43-1, 1992, from memory): two teeth in a row at the pitch point, 12.84
  // and 15.09 N/(mm um), between c' and c'_th.
  for (const auto& [z, other] : {std::pair{20, 12.84}, std::pair{30, 15.09}}) {
    const MeshStiffness compared = mesh_stiffness(pair(gear(z), gear(z)));
    CHECK(compared.single_stiffness < other);
    CHECK(compared.theoretical_stiffness > other);
  }
}

TEST_CASE("a web makes a gear softer") {
  // ISO 6336-1, formula from memory, by an independent script.
  const auto factor = [](double web, double rim) {
    return blank_factor({mm(20.0 * web), mm(3.0 * rim)}, mm(20.0), mm(3.0));
  };
  CHECK_THAT(factor(0.3, 3.0), WithinAbs(0.867849, 5e-7));
  CHECK_THAT(factor(0.2, 1.0), WithinAbs(0.736461, 5e-7));
  // Outside of these the ends stand.
  CHECK(factor(0.05, 0.3) == factor(0.2, 1.0));
  CHECK(factor(5.0, 2.0) == factor(1.2, 2.0));
  CHECK(factor(1.0, 2.0) == 1.0);

  MeshTeeth teeth = pair(gear(30), gear(60));
  const double solid = mesh_stiffness(teeth).single_stiffness;
  teeth.gear_2.web = Web{mm(6.0), mm(9.0)};
  CHECK_THAT(mesh_stiffness(teeth).blank_factor, WithinAbs(0.867849, 5e-7));
  CHECK_THAT(mesh_stiffness(teeth).single_stiffness, WithinRel(0.867849 * solid, 1e-6));
  teeth.gear_1.web = Web{mm(4.0), mm(3.0)};
  CHECK_THAT(mesh_stiffness(teeth).blank_factor, WithinAbs(0.736461, 5e-7));
}

TEST_CASE("the basic rack, the helix and the material have their factors") {
  MeshTeeth teeth = pair(gear(30), gear(60));
  teeth.gear_1.rack_dedendum_coefficient = 1.4;
  teeth.normal_pressure_angle = degrees(25.0);
  // By hand: (1 + 0.5 (1.2 - 1.325)) (1 + 0.02 * 5).
  CHECK_THAT(mesh_stiffness(teeth).basic_rack_factor, WithinRel(0.9375 * 1.1, 1e-13));
  teeth = pair(gear(30), gear(60));
  teeth.gear_2.youngs_modulus = from_si<units::Pressure>(70e9);
  // By hand: 2 * 206 * 70 / 276 / 206.
  const MeshStiffness mixed = mesh_stiffness(teeth);
  CHECK_THAT(mixed.material_factor, WithinRel(140.0 / 276.0, rounding));
  CHECK_THAT(mixed.single_stiffness,
             WithinRel(140.0 / 276.0 * mesh_stiffness(pair(gear(30), gear(60))).single_stiffness,
                       rounding));
  CHECK_THAT(mesh_stiffness(pair(gear(30), gear(60), 1.5, -30.0)).helix_factor,
             WithinRel(std::sqrt(0.75), rounding));
}

TEST_CASE("small loads make teeth softer, down to a floor") {
  const MeshTeeth teeth = pair(gear(30), gear(60));
  const double full = mesh_stiffness(teeth).mesh_stiffness;
  // By hand: 50 N/mm over 20 mm, 0.5^0.25.
  const MeshStiffness half = mesh_stiffness(teeth, load(1000.0));
  CHECK_THAT(half.load_factor, WithinAbs(0.840896, 5e-7));
  CHECK_THAT(half.mesh_stiffness, WithinRel(0.840896415 * full, 1e-9));
  CHECK_FALSE(half.least_load_factor_used);
  // No step at 100 N/mm, and nothing above it.
  CHECK_THAT(mesh_stiffness(teeth, load(1999.999)).load_factor, WithinAbs(1.0, 1.3e-7));
  CHECK(mesh_stiffness(teeth, load(2000.0)).load_factor == 1.0);
  CHECK(mesh_stiffness(teeth, load(90000.0)).load_factor == 1.0);
  // 0.5^4 * 100 N/mm is where the floor of 0.5 begins.
  CHECK_FALSE(mesh_stiffness(teeth, load(125.001)).least_load_factor_used);
  for (const double force : {124.999, 0.0}) {
    const MeshStiffness floor = mesh_stiffness(teeth, load(force));
    CHECK(floor.load_factor == 0.5);
    CHECK(floor.least_load_factor_used);
  }
  CHECK(mesh_stiffness(teeth, load(0.0, 0.25)).load_factor == 0.25);
}

TEST_CASE("a pair outside of the formula's range is told so") {
  const auto said = [](const MeshTeeth& teeth) { return mesh_stiffness(teeth).outside_range; };
  REQUIRE(said(pair(gear(30, 0.1), gear(60, 0.3))).size() == 1);
  CHECK(said(pair(gear(30, 0.1), gear(60, 0.3)))[0] ==
        "x_1 = 0.1 is below x_2 = 0.3: the formula of the tooth stiffness is for x_1 of x_2 or "
        "more");
  REQUIRE(said(pair(gear(30, 1.5), gear(60, 0.75))).size() == 1);
  CHECK(said(pair(gear(30, 1.5), gear(60, 0.75)))[0] ==
        "x_1 + x_2 = 2.25: the formula of the tooth stiffness is for -0.5 to 2");
  CHECK(said(pair(gear(30, -0.25), gear(60, -0.5))).size() == 1);
  CHECK(said(pair(gear(30, 1.0), gear(60, 1.0))).empty());
  CHECK(said(pair(gear(30, 0.0), gear(60, -0.5))).empty());

  const MeshStiffness low = mesh_stiffness(pair(gear(30), gear(60), 1.1));
  REQUIRE(low.outside_range.size() == 1);
  CHECK(low.outside_range[0] == "eps_alpha = 1.1 is below 1.2: the mesh may be up to 10 % softer");
  CHECK_THAT(low.stiffness.low.value(), WithinRel(0.9 * low.stiffness.high.value(), rounding));
  const MeshStiffness parted = mesh_stiffness(pair(gear(30), gear(60), 0.9));
  REQUIRE(parted.outside_range.size() == 1);
  CHECK_THAT(parted.outside_range[0], ContainsText("the teeth part"));
  CHECK(mesh_stiffness(pair(gear(30), gear(60), 1.2)).outside_range.empty());
}

TEST_CASE("the reduced mass of two discs is that of the standard's approximation") {
  // Exact: z 30/60, m 3 mm, solid discs of the reference diameter of steel of 7830 kg/m3, a
  // millimetre wide: 0.02256446 kg.
  const double cos_alpha = std::cos(pi / 9.0);
  const auto rho = from_si<units::Density>(7830.0);
  const units::Mass mass =
      reduced_mass(hollow_cylinder_inertia(mm(90), mm(0), mm(1), rho), mm(45.0 * cos_alpha),
                   hollow_cylinder_inertia(mm(180), mm(0), mm(1), rho), mm(90.0 * cos_alpha));
  CHECK_THAT(mass.value(), WithinAbs(0.02256446, 5e-9));
  // ISO 6336-1, from memory, in kg/mm: pi/8 (d_m1/d_b1)^2 d_m1^2 / (1/rho_1 + 1/(rho_2 u^2)).
  const double approximation =
      pi / 8.0 / (cos_alpha * cos_alpha) * 90.0 * 90.0 / (1.0 / 7.83e-6 + 1.0 / (7.83e-6 * 4.0));
  CHECK_THAT(mass.value(), WithinRel(approximation, rounding));
}

TEST_CASE("the resonance speed of a pair is that of two inertias on a spring") {
  // Exact: the discs above with 20 N/(mm um), 9476.6014 1/min and 4738.3007 Hz.
  const double cos_alpha = std::cos(pi / 9.0);
  const auto rho = from_si<units::Density>(7830.0);
  const auto J_1 = hollow_cylinder_inertia(mm(90), mm(0), mm(20), rho);
  const auto J_2 = hollow_cylinder_inertia(mm(180), mm(0), mm(20), rho);
  const units::Length r_1 = mm(45.0 * cos_alpha);
  const units::Length r_2 = mm(90.0 * cos_alpha);
  const auto k = from_si<units::LinearStiffness>(20e9 * 0.02);
  const units::AngularVelocity n_E = resonance_speed(k, reduced_mass(J_1, r_1, J_2, r_2), 30);
  CHECK_THAT(per_minute(n_E), WithinAbs(9476.6014, 5e-5));
  CHECK_THAT(30.0 * per_minute(n_E) / 60.0, WithinAbs(4738.3007, 5e-5));
  // J theta'' = -k r (r_1 theta_1 + r_2 theta_2): of the two eigenvalues one is 0, the other the
  // trace.
  const double trace = k.value() * (r_1.value() * r_1.value() / J_1.value() +
                                    r_2.value() * r_2.value() / J_2.value());
  CHECK_THAT(n_E.value() * 30.0, WithinRel(std::sqrt(trace), rounding));
}

TEST_CASE("pairs without sense are refused") {
  const auto refused = [](const MeshTeeth& teeth) {
    CHECK_THROWS_AS(mesh_stiffness(teeth), DomainError);
  };
  refused(pair(gear(0), gear(60)));
  refused(pair(gear(30), gear(0)));
  refused(pair(gear(30), gear(-30)));
  refused(pair(gear(-30), gear(60)));
  refused(pair(gear(30), gear(60), 0.0));
  refused(pair(gear(30), gear(60), 1.5, 90.0));
  for (const double bad : {0.0, -1.0, not_a_number, infinite}) {
    INFO(bad);
    MeshTeeth teeth = pair(gear(30), gear(60));
    teeth.normal_module = mm(bad);
    refused(teeth);
    teeth = pair(gear(30), gear(60));
    teeth.face_width = mm(bad);
    refused(teeth);
    teeth = pair(gear(30), gear(60));
    teeth.normal_pressure_angle = degrees(bad);
    refused(teeth);
    teeth = pair(gear(30), gear(60));
    teeth.gear_2.youngs_modulus = from_si<units::Pressure>(bad);
    refused(teeth);
    teeth = pair(gear(30), gear(60));
    teeth.gear_1.rack_dedendum_coefficient = bad;
    refused(teeth);
    teeth = pair(gear(30), gear(60));
    teeth.gear_1.web = Web{mm(bad), mm(9.0)};
    refused(teeth);
    teeth.gear_1.web = Web{mm(6.0), mm(bad)};
    refused(teeth);
  }
  for (const double bad : {not_a_number, infinite}) {
    refused(pair(gear(30, bad), gear(60)));
    refused(pair(gear(30), gear(60), bad));
    refused(pair(gear(30), gear(60), 1.5, bad));
  }
  const MeshTeeth teeth = pair(gear(30), gear(60));
  for (const double bad : {-1.0, not_a_number, infinite}) {
    CHECK_THROWS_AS(mesh_stiffness(teeth, load(bad)), DomainError);
  }
  for (const double bad : {0.0, 1.1, not_a_number}) {
    CHECK_THROWS_AS(mesh_stiffness(teeth, load(100.0, bad)), DomainError);
  }
  // One tooth with a large shift: the polynomial falls below 0.
  CHECK_THROWS_AS(mesh_stiffness(pair(gear(1, 4.0), gear(1, 3.0))), ComputationError);
  MeshTeeth long_rack = teeth;
  long_rack.gear_1.rack_dedendum_coefficient = 6.0;
  CHECK_THROWS_MATCHES(
      mesh_stiffness(long_rack), ComputationError,
      Message("the basic rack factor C_B of the pair comes out as -0.2125 and must be above 0: the "
              "pair lies far outside the formula's range"));
}

TEST_CASE("masses and springs without sense are refused") {
  const auto J = from_si<units::Inertia>(1e-3);
  const auto k = from_si<units::LinearStiffness>(1e8);
  const auto m = from_si<units::Mass>(0.2);
  for (const double bad : {0.0, -1.0, not_a_number, infinite}) {
    CHECK_THROWS_AS(reduced_mass(from_si<units::Inertia>(bad), mm(40), J, mm(40)), DomainError);
    CHECK_THROWS_AS(reduced_mass(J, mm(40), J, mm(bad)), DomainError);
    CHECK_THROWS_AS(resonance_speed(from_si<units::LinearStiffness>(bad), m, 30), DomainError);
    CHECK_THROWS_AS(resonance_speed(k, from_si<units::Mass>(bad), 30), DomainError);
  }
  CHECK_THROWS_MATCHES(resonance_speed(k, m, 0), DomainError,
                       Message("a gear must have 1 tooth or more, not 0"));
}
