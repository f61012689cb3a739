// Every equation of a pair against the same equations in 50 digits (Boost.Multiprecision), from the
// very doubles that the pair was given.
#include <boost/multiprecision/cpp_bin_float.hpp>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/involute.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "random_pairs.hpp"

using namespace lashband;
using namespace lashband::geometry;
using namespace lashband::geometry::test;
using Real = boost::multiprecision::cpp_bin_float_50;

namespace {

// Of the centre distance: the accuracy that the public functions state.
constexpr double stated_accuracy = 1e-14;
// Contact ratios and pressure angles: a few units in the last place times the cancellation of the
// path of contact.
constexpr double stated_ratio_accuracy = 1e-13;
const Real pi = boost::math::constants::pi<Real>();

Real inv(const Real& alpha) {
  return tan(alpha) - alpha;
}

Real inverse_inv(const Real& value) {
  Real low = 0;
  Real high = pi / 2 - Real("1e-20");
  for (int i = 0; i < 170; ++i) {
    const Real mid = (low + high) / 2;
    (inv(mid) < value ? low : high) = mid;
  }
  return (low + high) / 2;
}

struct ExactGear {
  Real alpha_t, beta_b, r_b, r_a, r_f, s_b, p_b;
  explicit ExactGear(const ToothData& data) {
    const Real m = data.module.value();
    const Real alpha_n = data.pressure_angle.value();
    const Real beta = data.helix_angle.value();
    const Real x = data.profile_shift;
    const Real E = data.thickness_allowance.value();
    const Real z = data.teeth;
    alpha_t = atan(tan(alpha_n) / cos(beta));
    const Real d = z * m / cos(beta);
    r_b = d * cos(alpha_t) / 2;
    beta_b = atan(tan(beta) * cos(alpha_t));
    r_a = d / 2 + m * (Real(data.rack.addendum) + x);
    r_f = d / 2 + m * (x + E / (2 * m * tan(alpha_n)) - Real(data.rack.dedendum));
    s_b = 2 * r_b * ((pi / 2 + 2 * x * tan(alpha_n) + E / m) / z + inv(alpha_t));
    p_b = 2 * pi * r_b / z;
  }
};

void check_length(units::Length found, const Real& exact, double a) {
  CHECK_THAT(static_cast<double>(Real(found.value()) - exact), WithinAbs(0.0, stated_accuracy * a));
}

}  // namespace

TEST_CASE("a pair agrees with 50 digits over the whole stated domain", "[slow]") {
  Draw draw(20261124);
  int radial_plays = 0;
  int pairs = 0;
  while (pairs < 2000) {
    const double m_n = draw.between(0.2, 25.0);
    const double alpha_n = draw.between(14.5, 30.0);
    // Every fourth pair sits on an edge of the domain.
    const double beta = pairs % 4 == 0 ? (pairs % 8 == 0 ? 0.0 : 45.0) : draw.between(0.0, 45.0);
    const double alpha_wt =
        pairs % 4 == 1 ? (pairs % 8 == 1 ? 5.0 : 45.0) : draw.between(5.0, 45.0);
    const int z1 = pairs % 4 == 2 ? 5 : draw.whole(5, 500);
    const int z2 = pairs % 4 == 2 ? 500 : draw.whole(5, 500);
    const ToothData data1 =
        teeth(z1, m_n, alpha_n, beta, draw.between(-1.0, 1.5), -0.1 * m_n * draw.between(0, 1));
    const ToothData data2 =
        teeth(z2, m_n, alpha_n, beta, draw.between(-1.0, 1.5), -0.1 * m_n * draw.between(0, 1));
    const ToothedBody g1(data1);
    const ToothedBody g2(data2);
    const double r_b_sum = 0.5 * (g1.base_diameter().value() + g2.base_diameter().value());
    const units::Length a = units::from_si<units::Length>(r_b_sum / std::cos(alpha_wt * degree));
    const GearPair pair(g1, g2, a);
    ++pairs;

    const ExactGear e1(data1);
    const ExactGear e2(data2);
    const Real exact_a = a.value();
    const Real alpha = acos((e1.r_b + e2.r_b) / exact_a);
    const Real j_bt = e2.p_b - e1.s_b - e2.s_b + 2 * (e1.r_b + e2.r_b) * inv(alpha);
    const CycleGap cycle = cycle_gap(pair);
    const Backlash gap = backlash(pair, cycle.least);
    CAPTURE(z1, z2, m_n, alpha_n, beta, alpha_wt);
    CHECK(cycle.resolved);
    CHECK(cycle.least.value() == cycle.greatest.value());
    check_length(gap.j_bt, j_bt, a.value());
    check_length(gap.j_wt, j_bt / cos(alpha), a.value());
    check_length(gap.j_bn, j_bt * cos(e1.beta_b), a.value());
    check_length(gap.j_r_iso, j_bt / cos(alpha) / (2 * tan(alpha)),
                 a.value() * std::max(1.0, 1.0 / std::tan(alpha_wt * degree)));
    CHECK_THAT(static_cast<double>(Real(gap.phi_1.value()) - j_bt / e1.r_b),
               WithinAbs(0.0, stated_accuracy * a.value() / static_cast<double>(e1.r_b)));
    const Real inv_contact = inv(alpha) - j_bt / (2 * (e1.r_b + e2.r_b));
    // The accuracy of j_r is stated above 1 deg, inv = 1.8e-6.
    if (inv_contact > Real(2e-6)) {
      REQUIRE(gap.j_r.has_value());
      check_length(*gap.j_r, exact_a - (e1.r_b + e2.r_b) / cos(inverse_inv(inv_contact)),
                   a.value());
      ++radial_plays;
    } else if (inv_contact < Real(-1e-12)) {
      CHECK_FALSE(gap.j_r.has_value());
    }
    check_length(tip_clearance_1(pair), exact_a - e1.r_a - e2.r_f, a.value());
    check_length(tip_clearance_2(pair), exact_a - e2.r_a - e1.r_f, a.value());
    const Real path = sqrt(e1.r_a * e1.r_a - e1.r_b * e1.r_b) +
                      sqrt(e2.r_a * e2.r_a - e2.r_b * e2.r_b) - exact_a * sin(alpha);
    check_length(path_of_contact(pair), path, a.value());
    CHECK_THAT(static_cast<double>(Real(contact_ratio(pair).eps_alpha) - path / e1.p_b),
               WithinAbs(0.0, stated_ratio_accuracy * a.value() / static_cast<double>(e1.p_b)));
  }
  CHECK(radial_plays > 500);
}

TEST_CASE("the involute function has its stated accuracy") {
  constexpr double stated_small = 1e-15;
  constexpr double stated_relative = 1e-14;
  constexpr double stated_absolute = 2e-16;
  Draw draw(7);
  for (int i = 0; i < 2000; ++i) {
    const double alpha = (i % 2 == 0 ? 16.0 : 60.0) * degree * draw.between(0.0, 1.0);
    const double found = involute(units::from_si<units::Angle>(alpha));
    const Real exact = inv(Real(alpha));
    CAPTURE(alpha);
    CHECK_THAT(static_cast<double>((Real(found) - exact) / exact),
               WithinAbs(0.0, alpha < 16.0 * degree ? stated_small : stated_relative));
    if (alpha <= 45.0 * degree) {
      CHECK_THAT(static_cast<double>(Real(found) - exact), WithinAbs(0.0, stated_absolute));
    }
  }
  CHECK(involute(units::Angle()) == 0.0);
}

TEST_CASE("the inverse involute has its stated accuracy from the smallest to the largest value") {
  constexpr double stated = 2e-15;
  Draw draw(8);
  for (int i = 0; i < 1000; ++i) {
    const double value = std::pow(10.0, draw.between(-12.0, 6.0));
    const double found = inverse_involute(value).value();
    CAPTURE(value);
    CHECK_THAT(static_cast<double>((Real(found) - inverse_inv(Real(value))) / Real(found)),
               WithinAbs(0.0, stated));
  }
  CHECK(inverse_involute(0.0).value() == 0.0);
}

TEST_CASE("the involute functions refuse what they are not defined for") {
  CHECK_THROWS_AS(involute(deg(-1.0)), DomainError);
  CHECK_THROWS_AS(involute(deg(90.0)), DomainError);
  CHECK_THROWS_AS(involute(units::from_si<units::Angle>(std::nan(""))), DomainError);
  CHECK_THROWS_AS(inverse_involute(-1e-300), DomainError);
  CHECK_THROWS_AS(inverse_involute(1.1e6), DomainError);
  CHECK_THROWS_AS(inverse_involute(std::nan("")), DomainError);
}
