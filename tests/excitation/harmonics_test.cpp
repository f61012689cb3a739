// Torques over a cycle: from samples, at an angle, later, scaled and added.
#include "lashband/excitation/harmonics.hpp"

#include <cmath>
#include <complex>
#include <cstddef>
#include <limits>
#include <numbers>
#include <random>
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
constexpr double turn = 2.0 * std::numbers::pi;
/// Sums of some hundred terms of size 1 to 10.
constexpr double rounding = 1e-12;

units::Angle degrees(double angle) {
  return from_si<units::Angle>(angle * std::numbers::pi / 180.0);
}
units::Torque newton_metres(double torque) {
  return from_si<units::Torque>(torque);
}

std::vector<units::Torque> random_samples(std::size_t count) {
  std::mt19937_64 numbers(7);
  std::uniform_real_distribution<double> torque(-10.0, 10.0);
  std::vector<units::Torque> samples;
  samples.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    samples.push_back(newton_metres(torque(numbers)));
  }
  return samples;
}

/// (1/n) sum of T_j e^(-2 pi i j k / n), term by term.
Complex direct_coefficient(const std::vector<units::Torque>& samples, std::size_t k) {
  const std::size_t n = samples.size();
  std::complex<long double> sum;
  for (std::size_t j = 0; j < n; ++j) {
    const long double angle = -2.0L * std::numbers::pi_v<long double> *
                              static_cast<long double>(j * k % n) / static_cast<long double>(n);
    sum += std::polar(1.0L, angle) * static_cast<long double>(samples[j].value());
  }
  return Complex(sum / static_cast<long double>(n));
}

/// Four strokes: a mean and orders 1/2, 1 and 3/2.
CyclicTorque four_stroke() {
  return {2, newton_metres(3.0), {{1.0, -2.0}, {0.5, 0.25}, {-0.125, 4.0}}};
}

}  // namespace

TEST_CASE("samples become the sums of the discrete Fourier transform, whatever their number") {
  for (const std::size_t n : {1U, 2U, 3U, 4U, 5U, 7U, 15U, 16U, 45U, 97U, 101U, 143U, 360U, 719U}) {
    const std::vector<units::Torque> samples = random_samples(n);
    const std::size_t harmonics = (n - 1) / 2;
    const CyclicTorque torque = cyclic_torque(samples, 1, harmonics);
    INFO(n << " samples");
    REQUIRE(torque.harmonics() == harmonics);
    CHECK_THAT(torque.mean().value(), WithinAbs(direct_coefficient(samples, 0).real(), rounding));
    for (std::size_t k = 1; k <= harmonics; ++k) {
      const Complex expected = 2.0 * direct_coefficient(samples, k);
      CHECK(std::abs(torque.amplitude_in_newton_metres(k) - expected) < rounding);
    }
    if (n % 2 == 1) {  // all that n samples tell, so that the torque passes through each
      for (std::size_t j = 0; j < n; ++j) {
        const auto angle =
            from_si<units::Angle>(turn * static_cast<double>(j) / static_cast<double>(n));
        CHECK_THAT(torque.at(angle).value(), WithinAbs(samples[j].value(), 100.0 * rounding));
      }
    }
  }
}

TEST_CASE(
    "a torque of few harmonics comes back from its samples, and higher ones appear as lower") {
  const CyclicTorque torque = four_stroke();
  std::vector<units::Torque> samples;
  for (int j = 0; j < 9; ++j) {
    samples.push_back(torque.at(degrees(80.0 * j)));
  }
  const CyclicTorque again = cyclic_torque(samples, 2, 4);
  CHECK_THAT(again.mean().value(), WithinRel(3.0, rounding));
  for (std::size_t k = 1; k <= 4; ++k) {
    CHECK(std::abs(again.amplitude_in_newton_metres(k) - torque.amplitude_in_newton_metres(k)) <
          rounding);
  }
  // Harmonic 7 of ten samples is harmonic 3.
  std::vector<units::Torque> fast;
  for (int j = 0; j < 10; ++j) {
    fast.push_back(newton_metres(std::cos(0.7 * turn * j)));
  }
  const CyclicTorque folded = cyclic_torque(fast, 1, 4);
  CHECK_THAT(std::abs(folded.amplitude_in_newton_metres(3)), WithinRel(1.0, rounding));
}

TEST_CASE("the torque at an angle is its mean and the cosines and sines of its orders") {
  const CyclicTorque torque = four_stroke();
  for (const double angle : {0.0, 10.0, 123.4, 359.0, 400.0, 719.0, -55.0, 7300.0}) {
    const double half = 0.5 * degrees(angle).value();
    const double expected = 3.0 + std::cos(half) + 2.0 * std::sin(half) + 0.5 * std::cos(2 * half) -
                            0.25 * std::sin(2 * half) - 0.125 * std::cos(3 * half) -
                            4.0 * std::sin(3 * half);
    CHECK_THAT(torque.at(degrees(angle)).value(), WithinAbs(expected, rounding));
  }
  CHECK(torque.amplitude_in_newton_metres(4) == Complex());
  CHECK_THROWS_AS(torque.amplitude_in_newton_metres(0), DomainError);
  CHECK_THROWS_AS(torque.at(from_si<units::Angle>(infinite)), DomainError);
}

TEST_CASE("the work of a cycle is the integral of the torque over it") {
  const CyclicTorque torque = four_stroke();
  double integral = 0.0;
  constexpr int steps = 64;  // the rule of equal steps is exact for so few harmonics
  for (int i = 0; i < steps; ++i) {
    integral += torque.at(degrees(720.0 * i / steps)).value() * 2.0 * turn / steps;
  }
  CHECK_THAT(torque.work_per_cycle().value(), WithinRel(integral, rounding));
}

TEST_CASE("a torque is later by an angle of its shaft") {
  const CyclicTorque torque = four_stroke();
  for (const double psi : {0.0, 90.0, 180.0, 360.0, 540.0, -120.0, 1000.0}) {
    const CyclicTorque late = delayed(torque, degrees(psi));
    for (const double angle : {0.0, 77.0, 444.0}) {
      CHECK_THAT(late.at(degrees(angle)).value(),
                 WithinAbs(torque.at(degrees(angle - psi)).value(), rounding));
    }
  }
  CHECK_THROWS_AS(delayed(torque, from_si<units::Angle>(not_a_number)), DomainError);
}

TEST_CASE("two opposite cranks cancel odd orders, two of four strokes the half orders") {
  const CyclicTorque crank(1, newton_metres(1.0),
                           {{1.0, 2.0}, {3.0, -1.0}, {0.5, 0.5}, {0.0, 1.0}});
  const CyclicTorque pair = sum({crank, delayed(crank, degrees(180.0))});
  CHECK(std::abs(pair.amplitude_in_newton_metres(1)) < rounding);
  CHECK(std::abs(pair.amplitude_in_newton_metres(3)) < rounding);
  CHECK(std::abs(pair.amplitude_in_newton_metres(2) - Complex(6.0, -2.0)) < rounding);
  CHECK(std::abs(pair.amplitude_in_newton_metres(4) - Complex(0.0, 2.0)) < rounding);
  CHECK_THAT(pair.mean().value(), WithinRel(2.0, rounding));

  const CyclicTorque evenly = sum({four_stroke(), delayed(four_stroke(), degrees(360.0))});
  CHECK(std::abs(evenly.amplitude_in_newton_metres(1)) < rounding);
  CHECK(std::abs(evenly.amplitude_in_newton_metres(3)) < rounding);
  CHECK(std::abs(evenly.amplitude_in_newton_metres(2) - Complex(1.0, 0.5)) < rounding);

  // Four at 0, 180, 540 and 360 deg, in whatever order: only every fourth harmonic is left.
  const CyclicTorque row =
      sum({four_stroke(), delayed(four_stroke(), degrees(180.0)),
           delayed(four_stroke(), degrees(540.0)), delayed(four_stroke(), degrees(360.0))});
  for (std::size_t k = 1; k <= 3; ++k) {
    CHECK(std::abs(row.amplitude_in_newton_metres(k)) < rounding);
  }
}

TEST_CASE("torques of unlike cycles add up at every angle, over their common cycle") {
  const CyclicTorque one(1, newton_metres(-1.0), {{1.0, 1.0}, {0.0, 2.0}});
  const CyclicTorque three(3, newton_metres(0.5), {{0.25, 0.0}, {0.0, -0.5}, {1.0, 0.0}});
  const std::vector<CyclicTorque> parts = {one, four_stroke(), three};
  const CyclicTorque all = sum(parts);
  CHECK(all.revolutions_per_cycle() == 6);
  CHECK(all.harmonics() == 12);
  for (double angle = 0.0; angle < 2160.0; angle += 97.0) {
    double expected = 0.0;
    for (const CyclicTorque& part : parts) {
      expected += part.at(degrees(angle)).value();
    }
    CHECK_THAT(all.at(degrees(angle)).value(), WithinAbs(expected, rounding));
  }
}

TEST_CASE("a torque times a number") {
  const CyclicTorque torque = scaled(four_stroke(), -2.0);
  CHECK(torque.mean() == newton_metres(-6.0));
  CHECK(torque.revolutions_per_cycle() == 2);
  CHECK(torque.amplitude_in_newton_metres(1) == Complex(-2.0, 4.0));
  CHECK_THROWS_AS(scaled(four_stroke(), infinite), DomainError);
  CHECK_THROWS_AS(scaled(four_stroke(), 1.7e308), DomainError);
}

TEST_CASE("torques outside their range are refused, with the rule") {
  const auto torque = [](int revolutions, double mean, std::vector<Complex> amplitudes) {
    return CyclicTorque(revolutions, newton_metres(mean), std::move(amplitudes));
  };
  CHECK_THROWS_MATCHES(torque(0, 1.0, {}), DomainError,
                       Message("the cycle of a torque must take 1 to 1000 revolutions, not 0"));
  CHECK_THROWS_AS(torque(1001, 1.0, {}), DomainError);
  CHECK_THROWS_MATCHES(torque(1, not_a_number, {}), DomainError,
                       Message("the mean of a torque must be finite, not nan N m"));
  CHECK_THROWS_AS(torque(1, 0.0, {{not_a_number, 0.0}}), DomainError);
  CHECK_THROWS_AS(torque(1, 0.0, {{0.0, infinite}}), DomainError);
  CHECK_THROWS_AS(torque(1, 0.0, std::vector<Complex>(most_harmonics + 1)), DomainError);
  CHECK_NOTHROW(torque(1000, 0.0, {}));

  CHECK_THROWS_AS(cyclic_torque({}, 1, 0), DomainError);
  CHECK_THROWS_AS(cyclic_torque(random_samples(8), 0, 1), DomainError);
  CHECK_THROWS_MATCHES(cyclic_torque(random_samples(8), 1, 4), DomainError,
                       Message("harmonics of a torque must be fewer than half its samples, not 4"));
  CHECK_NOTHROW(cyclic_torque(random_samples(9), 1, 4));
  CHECK_THROWS_AS(cyclic_torque({newton_metres(1.0), newton_metres(infinite)}, 1, 0), DomainError);

  CHECK_THROWS_AS(sum({}), DomainError);
  CHECK_THROWS_AS(sum({torque(997, 1.0, {}), torque(2, 1.0, {})}), DomainError);
  CHECK_THROWS_AS(sum({torque(1, 0.0, std::vector<Complex>(most_harmonics)), torque(2, 0.0, {})}),
                  DomainError);
}
