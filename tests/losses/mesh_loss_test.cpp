#include "lashband/losses/mesh_loss.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::losses;
using namespace lashband::test;
using units::from_si;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

/// A handful of products and powers.
constexpr double rounding = 1e-14;

units::Angle degrees(double angle) {
  return from_si<units::Angle>(angle * std::numbers::pi / 180.0);
}

/// The published form, Ohlendorf (ISO/TR 14179-2, from memory), as it is printed.
double printed_loss_factor(int z_1, int z_2, double eps_1, double eps_2, double beta_b) {
  const double u = static_cast<double>(z_2) / z_1;
  const double eps_alpha = eps_1 + eps_2;
  return std::numbers::pi * (u + 1.0) / (z_1 * u * std::cos(beta_b)) *
         (1.0 - eps_alpha + eps_1 * eps_1 + eps_2 * eps_2);
}

/// Two spur gears without backlash as they are drawn: gear 1 about the origin, gear 2 about (a, 0).
/// Lengths in mm.
struct SpurPair {
  int z_1;
  int z_2;
  double module;
  double pressure_angle;  ///< deg, of the basic rack
  double a;
  double r_a1;
  double r_a2;

  [[nodiscard]] double r_b(int z) const {
    return 0.5 * module * z * std::cos(degrees(pressure_angle).value());
  }
  [[nodiscard]] double alpha_w() const { return std::acos((r_b(z_1) + r_b(z_2)) / a); }
  [[nodiscard]] double base_pitch() const { return 2.0 * std::numbers::pi * r_b(z_1) / z_1; }
  [[nodiscard]] double tip_contact_ratio(int z, double r_a) const {
    const double r_w = a * z / (z_1 + z_2);
    return (std::sqrt(r_a * r_a - r_b(z) * r_b(z)) - r_w * std::sin(alpha_w())) / base_pitch();
  }
  [[nodiscard]] ToothContact contact() const {
    return {z_1, z_2, tip_contact_ratio(z_1, r_a1), tip_contact_ratio(z_2, r_a2), degrees(0.0)};
  }
};

/// Power of sliding over transmitted power for a friction coefficient of 1, as a mean over the
/// positions of the gears within a pitch. What it shares with the library is that the pairs of
/// teeth in contact share the force equally. Velocities are those of two bodies that turn, and the
/// pairs in contact those whose point on the line of action lies within both tip circles.
double sliding_share(const SpurPair& pair, int steps) {
  // Along the line of action, which touches the base circle of gear 1 at T_1.
  const double alpha = pair.alpha_w();
  const double along_x = std::sin(alpha);
  const double along_y = std::cos(alpha);
  const double T_1x = pair.r_b(pair.z_1) * std::cos(alpha);
  const double T_1y = -pair.r_b(pair.z_1) * std::sin(alpha);
  const double omega_1 = 1.0;
  const double omega_2 = -omega_1 * pair.z_1 / pair.z_2;
  const double transmitted = omega_1 * pair.r_b(pair.z_1);

  double sum = 0.0;
  for (int step = 0; step < steps; ++step) {
    double sliding = 0.0;
    int pairs = 0;
    for (int tooth = -20; tooth <= 40; ++tooth) {
      const double way = pair.base_pitch() * (tooth + (step + 0.5) / steps);
      const double x = T_1x + way * along_x;
      const double y = T_1y + way * along_y;
      if (std::hypot(x, y) > pair.r_a1 || std::hypot(x - pair.a, y) > pair.r_a2) {
        continue;
      }
      // omega x r of both bodies, less each other, across the line of action.
      const double v_x = -(omega_1 * y - omega_2 * y);
      const double v_y = omega_1 * x - omega_2 * (x - pair.a);
      REQUIRE_THAT(v_x * along_x + v_y * along_y, WithinAbs(0.0, 1e-10));  // flanks keep touching
      sliding += std::abs(v_y * along_x - v_x * along_y);
      ++pairs;
    }
    REQUIRE(pairs >= 1);
    sum += sliding / pairs;
  }
  return sum / steps / transmitted;
}

MeshLubrication ordinary_lubrication() {
  MeshLubrication film;
  film.base_tangent_force = from_si<units::Force>(4000.0);
  film.face_width = mm(20.0);
  film.pitch_velocity = from_si<units::Velocity>(10.0);
  film.working_pressure_angle = degrees(30.0);
  film.reduced_radius = mm(20.0);
  film.viscosity = from_si<units::DynamicViscosity>(1e-3);
  film.roughness = from_si<units::Length>(1e-6);
  return film;
}

/// The coefficient after a change of the ordinary lubrication.
template <class Change>
double coefficient_with(Change change) {
  MeshLubrication film = ordinary_lubrication();
  change(film);
  return mean_friction(film).coefficient;
}

}  // namespace

TEST_CASE("the tooth loss factor is the mean sliding of drawn flanks") {
  struct Row {
    const char* what;
    SpurPair pair;
    double eps_1;  // rounded, so that the row is of the kind that it stands for
    double eps_2;
  };
  // Invented pairs.
  for (const Row& row :
       {Row{"without profile shift", {20, 40, 2.0, 20.0, 60.0, 22.0, 42.0}, 0.78, 0.86},
        Row{"1 to 1, large centre distance", {30, 30, 2.0, 20.0, 61.0, 32.2, 32.2}, 0.66, 0.66},
        Row{"stub teeth, little above one pair", {17, 53, 2.0, 20.0, 70.0, 18.3, 54.2}, 0.53, 0.55},
        Row{"just below two pairs", {80, 90, 2.0, 17.0, 170.0, 81.9, 91.9}, 0.97, 0.98},
        Row{"a tip contact ratio above 1", {25, 60, 2.0, 20.0, 85.0, 28.3, 60.9}, 1.22, 0.42},
        Row{"the path beyond the pitch point alone",
            {25, 60, 2.0, 20.0, 85.0, 29.2, 59.9},
            1.49,
            -0.05},
        Row{"two and three pairs", {60, 90, 2.0, 14.5, 150.0, 62.4, 92.3}, 1.28, 1.30}}) {
    const ToothContact contact = row.pair.contact();
    INFO(row.what << ": " << contact.eps_1 << " + " << contact.eps_2);
    CHECK_THAT(contact.eps_1, WithinAbs(row.eps_1, 5e-3));
    CHECK_THAT(contact.eps_2, WithinAbs(row.eps_2, 5e-3));
    // Each change of the number of pairs is misplaced by half a step at most, 5e-5 pitches, of
    // which there are 6 at most; sliding there is below three times its mean.
    CHECK_THAT(tooth_loss_factor(contact), WithinRel(sliding_share(row.pair, 10000), 5e-4));
  }
}

TEST_CASE("the tooth loss factor is the published form where that holds") {
  for (int i = 0; i <= 20; ++i) {
    for (int k = 0; k <= 20; ++k) {
      const double eps_1 = i / 20.0;
      const double eps_2 = k / 20.0;
      if (i + k < 20) {
        continue;
      }
      INFO(eps_1 << " + " << eps_2);
      for (const double beta_b : {0.0, 0.25, -0.4}) {
        CHECK_THAT(tooth_loss_factor({19, 67, eps_1, eps_2, from_si<units::Angle>(beta_b)}),
                   WithinRel(printed_loss_factor(19, 67, eps_1, eps_2, beta_b), 10.0 * rounding));
      }
    }
  }
  // By hand: z 20/40, eps 0.75 + 0.85, spur: pi 3/40 (1 - 1.6 + 0.5625 + 0.7225) = 0.051375 pi.
  CHECK_THAT(tooth_loss_factor({20, 40, 0.75, 0.85, degrees(0.0)}),
             WithinRel(0.051375 * std::numbers::pi, rounding));
}

TEST_CASE("the tooth loss factor keeps its symmetries") {
  const double H_V = tooth_loss_factor({23, 57, 0.9, 0.7, degrees(0.0)});
  CHECK_THAT(tooth_loss_factor({57, 23, 0.7, 0.9, degrees(0.0)}), WithinRel(H_V, rounding));
  CHECK_THAT(tooth_loss_factor({46, 114, 0.9, 0.7, degrees(0.0)}), WithinRel(0.5 * H_V, rounding));
  CHECK_THAT(tooth_loss_factor({23, 57, 0.9, 0.7, degrees(60.0)}), WithinRel(2.0 * H_V, rounding));
  CHECK(tooth_loss_factor({23, 57, 0.9, 0.7, degrees(-20.0)}) ==
        tooth_loss_factor({23, 57, 0.9, 0.7, degrees(20.0)}));
}

TEST_CASE("the tooth loss factor has no step where the number of pairs changes") {
  for (const double eps_alpha : {2.0, 3.0}) {
    for (const double eps_1 : {0.8, 1.0, 1.3}) {
      INFO(eps_alpha << " with " << eps_1);
      const double eps_2 = eps_alpha - eps_1;
      const double before = tooth_loss_factor({20, 40, eps_1, eps_2 - 1e-9, degrees(0.0)});
      const double after = tooth_loss_factor({20, 40, eps_1, eps_2 + 1e-9, degrees(0.0)});
      CHECK_THAT(after, WithinRel(before, 1e-7));
    }
  }
}

TEST_CASE("the reduced radius is that of both radii of curvature in series") {
  for (const double alpha_wt : {15.0, 22.5, 28.0}) {
    for (const double beta_b : {0.0, 14.0, -30.0}) {
      const double a = 91.5;
      const double rho_1 = a * 23.0 / 80.0 * std::sin(degrees(alpha_wt).value());
      const double rho_2 = a * 57.0 / 80.0 * std::sin(degrees(alpha_wt).value());
      const double expected = 1.0 / (1.0 / rho_1 + 1.0 / rho_2) / std::cos(degrees(beta_b).value());
      CHECK_THAT(1e3 * reduced_radius(mm(a), 23, 57, degrees(alpha_wt), degrees(beta_b)).value(),
                 WithinRel(expected, rounding));
    }
  }
}

TEST_CASE("the mean friction coefficient has the constant and the powers of its formula") {
  // By hand, constant from memory: F_bt/b = 200 N/mm, v_SigmaC = 2 * 10 m/s * sin 30 deg = 10 m/s,
  // rho = 20 mm, eta = 1 mPa s, R_a = 1 um and X_L = 1 make every factor 1.
  const MeshFriction ordinary = mean_friction(ordinary_lubrication());
  CHECK_THAT(ordinary.coefficient, WithinRel(0.048, rounding));
  CHECK_FALSE(ordinary.least_force_used);

  // Doublings of 2^5 and 2^4 have plain roots.
  using Film = MeshLubrication;
  CHECK_THAT(coefficient_with([](Film& film) { film.base_tangent_force *= 32.0; }),
             WithinRel(0.096, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.face_width /= 32.0; }),
             WithinRel(0.096, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.pitch_velocity /= 32.0; }),
             WithinRel(0.096, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.reduced_radius *= 32.0; }),
             WithinRel(0.024, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.viscosity *= std::pow(2.0, 20.0); }),
             WithinRel(0.024, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.roughness *= 16.0; }),
             WithinRel(0.096, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.lubricant_factor = 0.5; }),
             WithinRel(0.024, rounding));
  CHECK_THAT(coefficient_with([](Film& film) { film.working_pressure_angle = degrees(20.0); }),
             WithinRel(0.048 * std::pow(0.5 / std::sin(degrees(20.0).value()), 0.2), rounding));
}

TEST_CASE("a force below 150 N/mm counts as 150 N/mm, and the result says so") {
  MeshLubrication film = ordinary_lubrication();
  film.base_tangent_force = from_si<units::Force>(3000.0);
  const MeshFriction at_limit = mean_friction(film);
  CHECK_FALSE(at_limit.least_force_used);
  CHECK_THAT(at_limit.coefficient, WithinRel(0.048 * std::pow(0.75, 0.2), rounding));
  for (const double force : {0.0, 1.0, 2990.0}) {
    INFO(force << " N");
    film.base_tangent_force = from_si<units::Force>(force);
    const MeshFriction friction = mean_friction(film);
    CHECK(friction.least_force_used);
    CHECK_THAT(friction.coefficient, WithinRel(at_limit.coefficient, rounding));
  }
  film.base_tangent_force = from_si<units::Force>(3010.0);
  CHECK_FALSE(mean_friction(film).least_force_used);
}

TEST_CASE("the loss of a mesh is the transmitted power times friction times loss factor") {
  // By hand: 10 kW * 0.05 * 0.16 = 80 W.
  CHECK_THAT(mesh_loss(from_si<units::Power>(10e3), 0.05, 0.16).value(), WithinRel(80.0, rounding));
  CHECK(mesh_loss(from_si<units::Power>(0.0), 0.05, 0.16).value() == 0.0);
  CHECK(mesh_loss(from_si<units::Power>(10e3), 0.0, 0.16).value() == 0.0);
}

TEST_CASE("teeth slide less in a ring gear") {
  // By sliding speeds in the plane: at a distance x from the pitch point flanks slide by
  // (omega_1 - omega_2) x, against (omega_1 + omega_2) x of an external pair: (1/z_1 - 1/z_2) to
  // (1/z_1 + 1/z_2).
  const double inside = tooth_loss_factor({20, -60, 0.8, 0.8, degrees(10.0)});
  const double outside = tooth_loss_factor({20, 60, 0.8, 0.8, degrees(10.0)});
  CHECK_THAT(inside / outside, WithinRel((1.0 / 20 - 1.0 / 60) / (1.0 / 20 + 1.0 / 60), rounding));
  // Radii in opposition: 1/rho = 1/(r_w1 sin) - 1/(r_w2 sin), with a = 40 mm: r_w1 = 20 mm,
  // r_w2 = 60 mm, and sin 30 deg = 1/2.
  const double rho = 1.0 / (1.0 / 0.010 - 1.0 / 0.030);
  CHECK_THAT(
      reduced_radius(from_si<units::Length>(0.040), 20, -60, degrees(30.0), degrees(0.0)).value(),
      WithinRel(rho, 1e-12));
}

TEST_CASE("teeth whose loss cannot be told are refused") {
  const auto factor = [](int z_1, int z_2, double eps_1, double eps_2, double beta_b) {
    return tooth_loss_factor({z_1, z_2, eps_1, eps_2, degrees(beta_b)});
  };
  CHECK_THROWS_AS(factor(0, 40, 0.8, 0.8, 0), DomainError);
  CHECK_THROWS_MATCHES(factor(-20, 40, 0.8, 0.8, 0), DomainError,
                       Message("a gear must have 1 tooth or more, not -20"));
  CHECK_THROWS_MATCHES(factor(20, -20, 0.8, 0.8, 0), DomainError,
                       Message("a gear must have 1 tooth or more, or as a ring gear more than its "
                               "mate, counted negative, not -20"));
  CHECK_THROWS_MATCHES(
      factor(20, 40, 0.45, 0.5, 0), DomainError,
      Message("the loss of teeth is known for transverse contact ratios from 1 to 10, not 0.95"));
  CHECK_THROWS_AS(factor(20, 40, 5.0, 5.1, 0), DomainError);
  CHECK_THROWS_AS(factor(20, 40, 0.8, 0.8, 90), DomainError);
  CHECK_THROWS_AS(factor(20, 40, 0.8, 0.8, -91), DomainError);
  for (const double bad : {not_a_number, infinite, -infinite}) {
    CHECK_THROWS_AS(factor(20, 40, bad, 0.8, 0), DomainError);
    CHECK_THROWS_AS(factor(20, 40, 0.8, bad, 0), DomainError);
    CHECK_THROWS_AS(factor(20, 40, 0.8, 0.8, bad), DomainError);
  }

  const auto radius = [](double a, int z_1, int z_2, double alpha_wt, double beta_b) {
    return reduced_radius(mm(a), z_1, z_2, degrees(alpha_wt), degrees(beta_b));
  };
  CHECK_THROWS_AS(radius(0, 20, 40, 20, 0), DomainError);
  CHECK_THROWS_AS(radius(-60, 20, 40, 20, 0), DomainError);
  CHECK_THROWS_AS(radius(60, 0, 40, 20, 0), DomainError);
  CHECK_THROWS_AS(radius(60, 20, 0, 20, 0), DomainError);
  CHECK_THROWS_AS(radius(60, 20, 40, 0, 0), DomainError);
  CHECK_THROWS_AS(radius(60, 20, 40, 90, 0), DomainError);
  CHECK_THROWS_AS(radius(60, 20, 40, 20, 90), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(radius(bad, 20, 40, 20, 0), DomainError);
    CHECK_THROWS_AS(radius(60, 20, 40, bad, 0), DomainError);
    CHECK_THROWS_AS(radius(60, 20, 40, 20, bad), DomainError);
  }
}

TEST_CASE("a lubrication outside of the formula is refused") {
  using Film = MeshLubrication;
  const auto refuses = [](auto change) { CHECK_THROWS_AS(coefficient_with(change), DomainError); };
  for (const double bad : {not_a_number, infinite, -1.0}) {
    INFO(bad);
    refuses([bad](Film& film) { film.base_tangent_force = from_si<units::Force>(bad); });
    refuses([bad](Film& film) { film.face_width = mm(bad); });
    refuses([bad](Film& film) { film.pitch_velocity = from_si<units::Velocity>(bad); });
    refuses([bad](Film& film) { film.working_pressure_angle = degrees(bad); });
    refuses([bad](Film& film) { film.reduced_radius = mm(bad); });
    refuses([bad](Film& film) { film.viscosity = from_si<units::DynamicViscosity>(bad); });
    refuses([bad](Film& film) { film.roughness = mm(bad); });
    refuses([bad](Film& film) { film.lubricant_factor = bad; });
  }
  refuses([](Film& film) { film.face_width = mm(0.0); });
  refuses([](Film& film) { film.pitch_velocity = from_si<units::Velocity>(0.0); });
  refuses([](Film& film) { film.working_pressure_angle = degrees(0.0); });
  refuses([](Film& film) { film.working_pressure_angle = degrees(90.0); });
  refuses([](Film& film) { film.reduced_radius = mm(0.0); });
  refuses([](Film& film) { film.viscosity = from_si<units::DynamicViscosity>(0.0); });
  refuses([](Film& film) { film.roughness = mm(0.0); });
  refuses([](Film& film) { film.lubricant_factor = 0.0; });

  CHECK_NOTHROW(
      coefficient_with([](Film& film) { film.pitch_velocity = from_si<units::Velocity>(50.0); }));
  CHECK_THROWS_MATCHES(
      coefficient_with([](Film& film) { film.pitch_velocity = from_si<units::Velocity>(50.5); }),
      DomainError,
      Message("the formula of the mean friction of teeth holds for pitch velocities above 0 m/s, "
              "up to 50 m/s, not 50.5 m/s"));
}

TEST_CASE("a loss that a mesh cannot have is refused") {
  const auto loss = [](double power, double friction, double factor) {
    return mesh_loss(from_si<units::Power>(power), friction, factor);
  };
  CHECK_THROWS_AS(loss(-1.0, 0.05, 0.16), DomainError);
  CHECK_THROWS_AS(loss(1e4, -0.05, 0.16), DomainError);
  CHECK_THROWS_AS(loss(1e4, 0.05, -0.16), DomainError);
  CHECK_THROWS_MATCHES(
      loss(1e4, 2.0, 0.5), DomainError,
      Message("the loss of a pair must be below 1 of the power that it transmits, not 1"));
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(loss(bad, 0.05, 0.16), DomainError);
    CHECK_THROWS_AS(loss(1e4, bad, 0.16), DomainError);
    CHECK_THROWS_AS(loss(1e4, 0.05, bad), DomainError);
  }
}
