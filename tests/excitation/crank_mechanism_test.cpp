// Slider-crank: motion, inertia torque and added inertia.
#include "lashband/excitation/crank_mechanism.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <functional>
#include <limits>
#include <numbers>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

using namespace lashband;
using namespace lashband::excitation;
using units::from_si;

namespace {

using Complex = std::complex<double>;

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();
/// Harmonics of functions of size 1, by FFT.
constexpr double rounding = 1e-14;

units::Length metres(double length) {
  return from_si<units::Length>(length);
}
units::Angle radians(double angle) {
  return from_si<units::Angle>(angle);
}
units::Mass kilograms(double mass) {
  return from_si<units::Mass>(mass);
}

CrankMechanism crank(double r, double l, double e = 0.0) {
  return CrankMechanism({.crank_radius = metres(r), .rod_length = metres(l), .offset = metres(e)});
}

/// clang asks for a cast where a double becomes a long double.
long double wide(double value) {
  return static_cast<long double>(value);
}

/// Distance of the piston pin as it is drawn: the place on its line that is a rod's length from the
/// crank pin, and on the far side of it, by bisection.
long double drawn_distance(const CrankMechanism& mechanism, long double theta) {
  const long double r = wide(mechanism.crank_radius().value());
  const long double l = wide(mechanism.rod_length().value());
  const long double across = r * std::sin(theta) - wide(mechanism.offset().value());
  const long double along = r * std::cos(theta);
  long double near = along;
  long double far = along + 2.0L * l;
  for (int i = 0; i < 80; ++i) {
    const long double middle = 0.5L * (near + far);
    (std::hypot(across, middle - along) < l ? near : far) = middle;
  }
  return 0.5L * (near + far);
}

/// Derivative by differences of sixth order, error some 1e-15 in functions of size 1.
long double slope(const std::function<long double(long double)>& f, long double at) {
  constexpr long double h = 4e-3L;
  const auto difference = [&](int k) { return f(at + k * h) - f(at - k * h); };
  // Eighth order: coefficients 4/5, -1/5, 4/105, -1/280.
  return (4.0L / 5.0L * difference(1) - 1.0L / 5.0L * difference(2) +
          4.0L / 105.0L * difference(3) - 1.0L / 280.0L * difference(4)) /
         h;
}

/// Coefficient of e^(i k theta) of a function with period 2 pi, term by term.
Complex direct_coefficient(const std::function<double(double)>& f, int k) {
  constexpr int points = 720;  // aliasing below 1e-100 for rods of twice the crank or more
  Complex sum;
  for (int j = 0; j < points; ++j) {
    const double theta = 2.0 * std::numbers::pi * j / points;
    sum += f(theta) * std::polar(1.0, -k * theta);
  }
  return sum / static_cast<double>(points);
}

const std::array mechanisms = {crank(0.04, 0.14), crank(0.05, 0.2, 0.004),
                               crank(0.045, 0.15, -0.01), crank(1.0, 2.0, 0.3)};

struct SeriesRow {
  double lambda;            ///< r / l
  std::array<double, 6> t;  ///< of sin(k theta), k = 1 ... 6
  double greatest_series_error;
};

// Fourier integrals of the closed kinematics, worked out apart from this program, to the digits
// printed: exact mathematics, no published table.
const std::array<SeriesRow, 4> exact_rows = {{
    {0.20, {.05050960, -.50005207, -.15230198, -.01020408, .00129849, .00015620}, 1.6e-6},
    {0.25, {.06350626, -.50013014, -.19205557, -.01612903, .00259231, .00039032}, 7.9e-6},
    {1.0 / 3.5, {.07294488, -.50022655, -.22116361, -.02127659, .00394355, .00067935}, 2.0e-5},
    {0.30, {.07676266, -.50027785, -.23300213, -.02356020, .00460353, .00083309}, 2.9e-5},
}};
constexpr double printed_digit = 5.1e-9;

/// Biezeno and Grammel; Taylor; from memory.
std::array<double, 6> series(double la) {
  const double la2 = la * la;
  const double la3 = la * la2;
  const double la4 = la2 * la2;
  const double la5 = la2 * la3;
  const double la6 = la3 * la3;
  return {la / 4 + la3 / 16 + 15 * la5 / 512,
          -0.5 - la4 / 32 - la6 / 32,
          -3 * la / 4 - 9 * la3 / 32 - 81 * la5 / 512,
          -la2 / 4 - la4 / 8 - la6 / 16,
          5 * la3 / 32 + 75 * la5 / 512,
          3 * la4 / 32 + 3 * la6 / 32};
}

}  // namespace

TEST_CASE("harmonics of the inertia torque: exact values and published series") {
  for (const SeriesRow& row : exact_rows) {
    INFO("r/l " << row.lambda);
    const std::vector<Complex> harmonics =
        inertia_torque_harmonics(crank(row.lambda * 0.2, 0.2), 6);
    REQUIRE(harmonics.size() == 6);
    const std::array<double, 6> printed = series(row.lambda);
    double greatest = 0.0;
    for (std::size_t k = 0; k < 6; ++k) {
      // Re(t e^(i k theta)) with t = -i t_k.
      CHECK_THAT(-harmonics[k].imag(), WithinAbs(row.t[k], printed_digit));
      CHECK_THAT(harmonics[k].real(), WithinAbs(0.0, rounding));
      greatest = std::max(greatest, std::abs(-harmonics[k].imag() - printed[k]));
    }
    // Two digits are printed of the error.
    CHECK_THAT(greatest, WithinRel(row.greatest_series_error, 0.05));
  }
}

TEST_CASE("the short form of three terms misses the inertia torque by what is known") {
  // Den Hartog, from memory: 1/4 r/l, -1/2, -3/4 r/l. Errors for r/l = 0.25: exact mathematics.
  const std::vector<Complex> harmonics = inertia_torque_harmonics(crank(0.05, 0.2), 3);
  const std::array<double, 3> short_form = {0.0625, -0.5, -0.1875};
  const std::array<double, 3> error = {0.016, 0.0003, 0.024};
  const std::array<double, 3> last_digit = {0.0005, 0.00005, 0.0005};
  for (std::size_t k = 0; k < 3; ++k) {
    CHECK_THAT(1.0 - short_form[k] / -harmonics[k].imag(), WithinAbs(error[k], last_digit[k]));
  }
}

TEST_CASE("harmonics of the piston's acceleration") {
  // -x''/r = cos theta + A_2 cos 2 theta + A_4 cos 4 theta + ..., r/l = 0.25: exact mathematics.
  const CrankMechanism mechanism = crank(0.05, 0.2);
  const auto acceleration = [&](double theta) {
    return -mechanism.acceleration_per_speed_squared(radians(theta)).value() / 0.05;
  };
  const std::array<std::array<double, 3>, 7> rows = {{{0, 0.0, rounding},
                                                      {1, 1.0, rounding},
                                                      {2, 0.25402504, printed_digit},
                                                      {3, 0.0, rounding},
                                                      {4, -0.00409811, printed_digit},
                                                      {5, 0.0, rounding},
                                                      {6, 7.438e-5, printed_digit}}};
  for (const auto& [k, amplitude, tolerance] : rows) {
    const Complex found = 2.0 * direct_coefficient(acceleration, static_cast<int>(k));
    CHECK_THAT(found.real(), WithinAbs(amplitude, tolerance));
    CHECK_THAT(found.imag(), WithinAbs(0.0, rounding));
  }
}

TEST_CASE("the piston is where the drawing has it, and its derivatives are slopes") {
  constexpr double by_differences = 1e-13;  // of lengths up to 3
  for (const CrankMechanism& mechanism : mechanisms) {
    const double size = mechanism.rod_length().value();
    const auto distance = [&](long double theta) { return drawn_distance(mechanism, theta); };
    const auto velocity = [&](long double theta) { return slope(distance, theta); };
    for (double theta = -3.0; theta < 7.0; theta += 0.37) {
      INFO(theta);
      CHECK_THAT(mechanism.piston_distance(radians(theta)).value(),
                 WithinAbs(static_cast<double>(distance(wide(theta))), 1e-15 * size));
      CHECK_THAT(mechanism.velocity_per_speed(radians(theta)).value(),
                 WithinAbs(static_cast<double>(velocity(wide(theta))), by_differences * size));
      CHECK_THAT(
          mechanism.acceleration_per_speed_squared(radians(theta)).value(),
          WithinAbs(static_cast<double>(slope(velocity, wide(theta))), by_differences * size));
    }
  }
}

TEST_CASE("dead centres are where the piston turns round, the stroke what lies between them") {
  for (const CrankMechanism& mechanism : mechanisms) {
    const units::Angle top = mechanism.top_dead_centre();
    const units::Angle bottom = mechanism.bottom_dead_centre();
    CHECK_THAT(mechanism.velocity_per_speed(top).value(), WithinAbs(0.0, rounding));
    CHECK_THAT(mechanism.velocity_per_speed(bottom).value(), WithinAbs(0.0, rounding));
    CHECK(mechanism.acceleration_per_speed_squared(top).value() < 0.0);
    CHECK(mechanism.acceleration_per_speed_squared(bottom).value() > 0.0);
    const units::Length stroke = mechanism.piston_distance(top) - mechanism.piston_distance(bottom);
    CHECK_THAT(mechanism.stroke().value(), WithinRel(stroke.value(), rounding));
  }
  CHECK(crank(0.04, 0.14).top_dead_centre().value() == 0.0);
  CHECK_THAT(crank(0.04, 0.14).stroke().value(), WithinRel(0.08, rounding));
  CHECK(crank(0.05, 0.2, 0.004).top_dead_centre().value() > 0.0);
  CHECK(crank(0.05, 0.2, 0.004).stroke().value() > 0.1);
}

TEST_CASE("the inertia torque is what the kinetic energy of the piston loses") {
  constexpr std::size_t harmonics = 40;  // what follows is below 1e-11
  constexpr double left_out = 1e-10;
  const double m = 0.7;
  const double omega = 150.0;
  for (const CrankMechanism& mechanism : mechanisms) {
    const CyclicTorque torque =
        inertia_torque(mechanism, kilograms(m), from_si<units::AngularVelocity>(omega), harmonics);
    CHECK(torque.revolutions_per_cycle() == 1);
    const auto energy = [&](long double theta) {
      const long double velocity =
          wide(omega) * slope([&](long double at) { return drawn_distance(mechanism, at); }, theta);
      return 0.5L * wide(m) * velocity * velocity;
    };
    const double scale = m * std::pow(mechanism.crank_radius().value() * omega, 2);
    for (double theta = 0.05; theta < 6.3; theta += 0.29) {
      INFO(theta);
      CHECK_THAT(torque.at(radians(theta)).value(),
                 WithinAbs(-static_cast<double>(slope(energy, wide(theta))), left_out * scale));
    }
  }
}

TEST_CASE("the inertia torque does no work in a revolution") {
  for (const CrankMechanism& mechanism : mechanisms) {
    const auto torque = [&](double theta) {
      return -mechanism.velocity_per_speed(radians(theta)).value() *
             mechanism.acceleration_per_speed_squared(radians(theta)).value() /
             std::pow(mechanism.crank_radius().value(), 2);
    };
    CHECK_THAT(direct_coefficient(torque, 0).real(), WithinAbs(0.0, 1e-14));
    const std::vector<Complex> harmonics = inertia_torque_harmonics(mechanism, 12);
    for (int k = 1; k <= 12; ++k) {
      CHECK(std::abs(harmonics[static_cast<std::size_t>(k - 1)] -
                     2.0 * direct_coefficient(torque, k)) < rounding);
    }
  }
  const CyclicTorque torque =
      inertia_torque(mechanisms[1], kilograms(1.0), from_si<units::AngularVelocity>(100.0), 4);
  CHECK(torque.work_per_cycle().value() == 0.0);
}

TEST_CASE("the inertia torque goes with the square of the speed, in either direction") {
  const CrankMechanism mechanism = crank(0.05, 0.2, 0.004);
  const auto at = [&](double omega) {
    return inertia_torque(mechanism, kilograms(2.0), from_si<units::AngularVelocity>(omega), 6)
        .amplitudes_in_newton_metres();
  };
  const std::vector<Complex> harmonics = inertia_torque_harmonics(mechanism, 6);
  const std::vector<Complex> slow = at(100.0);
  const std::vector<Complex> fast = at(-300.0);
  for (std::size_t k = 0; k < 6; ++k) {
    CHECK(std::abs(slow[k] - 2.0 * 25.0 * harmonics[k]) < 50.0 * rounding);
    CHECK(std::abs(fast[k] - 9.0 * slow[k]) < 450.0 * rounding);
  }
}

TEST_CASE("an offset to the other side is the mechanism seen from behind") {
  // x(theta; -e) = x(-theta; e), so that T(theta; -e) = -T(-theta; e).
  const std::vector<Complex> one = inertia_torque_harmonics(crank(0.05, 0.2, 0.01), 8);
  const std::vector<Complex> other = inertia_torque_harmonics(crank(0.05, 0.2, -0.01), 8);
  for (std::size_t k = 0; k < 8; ++k) {
    CHECK(std::abs(other[k] + std::conj(one[k])) < rounding);
  }
  CHECK(std::abs(one[0].real()) > 1e-3);  // an offset does add cosines
}

TEST_CASE("added inertia: the mean of the piston's and the whole of the rotating mass") {
  // mean(x'^2) from the harmonics of the velocity (Parseval), which are those of the acceleration
  // over their order.
  for (const CrankMechanism& mechanism : mechanisms) {
    const auto acceleration = [&](double theta) {
      return mechanism.acceleration_per_speed_squared(radians(theta)).value();
    };
    double mean = 0.0;
    for (int k = 1; k <= 60; ++k) {
      mean += 2.0 * std::norm(direct_coefficient(acceleration, k)) / (k * k);
    }
    const units::Inertia inertia = mean_added_inertia(
        mechanism, {.reciprocating = kilograms(3.0), .rotating = kilograms(2.0)});
    const double r = mechanism.crank_radius().value();
    CHECK_THAT(inertia.value(), WithinRel(3.0 * mean + 2.0 * r * r, rounding));
  }
  // A rod of great length: half the mass at the crank pin.
  CHECK_THAT(mean_added_inertia(crank(0.1, 1e6), {.reciprocating = kilograms(1.0)}).value(),
             WithinRel(0.005, 1e-13));
  // r/l = 1/4: the series r^2/2 (1 + la^2/4 + la^4/8 + ...) from A_2^2/4 + A_4^2/16 + A_6^2/36.
  const double series = 0.5 * (1.0 + 0.25402504 * 0.25402504 / 4 + 0.00409811 * 0.00409811 / 16);
  CHECK_THAT(mean_added_inertia(crank(1.0, 4.0), {.reciprocating = kilograms(1.0)}).value(),
             WithinAbs(series, printed_digit));
}

TEST_CASE("a short rod loses nothing to rounding") {
  // l = 1.1 (r + |e|), against sums of long doubles; the peak of T is some 10 m r^2 omega^2.
  for (const double offset : {0.0, 0.2}) {
    const CrankMechanism mechanism = crank(1.0, 1.1 * (1.0 + offset), offset);
    const long double l = wide(mechanism.rod_length().value());
    constexpr int points = 2048;
    std::array<std::complex<long double>, 41> sums{};
    long double mean_square = 0.0L;
    long double peak = 0.0L;
    for (int j = 0; j < points; ++j) {
      const long double theta = 2.0L * std::numbers::pi_v<long double> * j / points;
      const long double s = std::sin(theta);
      const long double c = std::cos(theta);
      const long double q = s - static_cast<long double>(offset);
      const long double w = std::sqrt(l * l - q * q);
      const long double first = -s - q * c / w;
      // Quotient rule on q c / w.
      const long double second = -c - ((c * c - q * s) * w + q * c * (q * c / w)) / (w * w);
      mean_square += first * first / points;
      peak = std::max(peak, std::abs(first * second));
      for (int k = 0; k <= 40; ++k) {
        sums.at(static_cast<std::size_t>(k)) +=
            -2.0L / points * first * second * std::polar(1.0L, -theta * k);
      }
    }
    const std::vector<Complex> harmonics = inertia_torque_harmonics(mechanism, 40);
    for (std::size_t k = 1; k <= 40; ++k) {
      CHECK(std::abs(harmonics[k - 1] - Complex(sums.at(k))) <
            rounding * static_cast<double>(peak));
    }
    CHECK_THAT(mean_added_inertia(mechanism, {.reciprocating = kilograms(1.0)}).value(),
               WithinRel(static_cast<double>(mean_square), rounding));
  }
}

TEST_CASE("a rod that hardly lets the crank pass has more harmonics, up to a limit") {
  // The harmonics found are a torque: at its peak it is the closed form.
  for (const double longer : {1e-2, 1e-3, 1e-4}) {
    INFO(longer);
    const CrankMechanism mechanism = crank(1.0, 1.0 + longer);
    const auto harmonics = static_cast<std::size_t>(60.0 / std::sqrt(2.0 * longer));
    const CyclicTorque torque =
        inertia_torque(mechanism, kilograms(1.0), from_si<units::AngularVelocity>(1.0), harmonics);
    double greatest = 0.0;
    double error = 0.0;
    for (int i = -20; i <= 20; ++i) {
      const auto theta = radians(0.5 * std::numbers::pi + 0.1 * i * std::sqrt(longer));
      const double closed = -mechanism.velocity_per_speed(theta).value() *
                            mechanism.acceleration_per_speed_squared(theta).value();
      greatest = std::max(greatest, std::abs(closed));
      error = std::max(error, std::abs(torque.at(theta).value() - closed));
    }
    CHECK(error < 1e-10 * greatest);
  }
  // 2^-20 m longer, exactly.
  CHECK_THROWS_MATCHES(
      inertia_torque_harmonics(crank(0.0625, 0.0625 + std::ldexp(1.0, -20)), 4), ComputationError,
      Message("the rod of a crank mechanism is only 0.0009536743164 mm longer than "
              "crank radius and offset together, 62.5 mm; so near to where the "
              "crank cannot pass, its harmonics do not end"));
  CHECK_THROWS_AS(mean_added_inertia(crank(0.05, 0.05 * (1.0 + 1e-8)), {}), ComputationError);
}

TEST_CASE("mechanisms and masses outside their range are refused, with the rule") {
  CHECK_THROWS_MATCHES(crank(0.0, 0.1), DomainError,
                       Message("the radius of a crank must be above 0 mm, not 0 mm"));
  CHECK_THROWS_AS(crank(not_a_number, 0.1), DomainError);
  CHECK_THROWS_AS(crank(0.1, not_a_number), DomainError);
  CHECK_THROWS_AS(crank(0.1, infinite), DomainError);
  CHECK_THROWS_AS(crank(0.1, 0.3, not_a_number), DomainError);
  CHECK_THROWS_MATCHES(crank(0.05, 0.0625, -0.0125), DomainError,
                       Message("the length of a connecting rod must be above crank radius and "
                               "offset together, not 62.5 mm"));
  CHECK_NOTHROW(crank(0.05, 0.063, -0.0125));
  const CrankMechanism mechanism = crank(0.05, 0.2);
  CHECK_THROWS_AS(mechanism.piston_distance(radians(infinite)), DomainError);
  CHECK_THROWS_AS(mechanism.velocity_per_speed(radians(not_a_number)), DomainError);
  CHECK_THROWS_AS(mechanism.acceleration_per_speed_squared(radians(not_a_number)), DomainError);
  CHECK_THROWS_AS(inertia_torque_harmonics(mechanism, 0), DomainError);
  CHECK_THROWS_AS(inertia_torque_harmonics(mechanism, most_harmonics + 1), DomainError);
  const auto speed = from_si<units::AngularVelocity>(1.0);
  CHECK_THROWS_AS(inertia_torque(mechanism, kilograms(-1.0), speed, 4), DomainError);
  CHECK_THROWS_AS(
      inertia_torque(mechanism, kilograms(1.0), from_si<units::AngularVelocity>(not_a_number), 4),
      DomainError);
  CHECK_THROWS_AS(mean_added_inertia(mechanism, {.reciprocating = kilograms(-1.0)}), DomainError);
  CHECK_THROWS_AS(mean_added_inertia(mechanism, {.rotating = kilograms(infinite)}), DomainError);
}
