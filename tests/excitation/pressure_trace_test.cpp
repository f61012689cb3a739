// Pressure over crank angle, and the torque that it makes.
#include "lashband/excitation/pressure_trace.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <functional>
#include <limits>
#include <numbers>
#include <optional>
#include <random>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

using namespace lashband;
using namespace lashband::excitation;
using units::from_si;

namespace {

using Complex = std::complex<double>;
using Points = std::vector<PressurePoint>;

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();
constexpr double turn = 2.0 * std::numbers::pi;
constexpr double radian_in_degrees = 360.0 / turn;
/// Share of the greatest torque that rounding may take.
constexpr double rounding = 1e-12;

units::Angle degrees(double angle) {
  return from_si<units::Angle>(angle / radian_in_degrees);
}
units::Pressure bar(double pressure) {
  return from_si<units::Pressure>(1e5 * pressure);
}
units::Length metres(double length) {
  return from_si<units::Length>(length);
}

CrankMechanism crank(double offset = 0.0) {
  return CrankMechanism(
      {.crank_radius = metres(0.05), .rod_length = metres(0.18), .offset = metres(offset)});
}
const Cylinder cylinder = {.bore = metres(0.08), .behind_piston = bar(1.0)};
const double area = 0.25 * std::numbers::pi * 0.08 * 0.08;

/// A smooth pressure at equal steps; `first` and steps in degrees, pressure in bar.
Points sampled(const std::function<double(double)>& pressure, double first, double step,
               int count) {
  Points points;
  for (int i = 0; i < count; ++i) {
    const double angle = first + step * i;
    points.push_back({degrees(angle), bar(pressure(angle))});
  }
  return points;
}

/// As an engine's: a peak behind 0 deg, every 720 deg.
double four_stroke_pressure(double angle) {
  return 1.0 + 60.0 * std::exp(20.0 * (std::cos((angle - 14.0) / 2.0 / radian_in_degrees) - 1.0));
}

/// Points at random steps of a random pressure over a cycle, from an angle on.
Points random_points(int revolutions, double first) {
  std::mt19937_64 numbers(11);
  std::uniform_real_distribution<double> step(0.3, 9.5);
  std::uniform_real_distribution<double> pressure(0.0, 50.0);
  Points points;
  for (double at = 0.0; at < 360.0 * revolutions - 1.0; at += step(numbers)) {
    points.push_back({degrees(first + at), bar(pressure(numbers))});
  }
  return points;
}

/// Gauss-Legendre, five points: exact to 1e-13 over steps of 1 deg.
constexpr std::array<std::array<double, 2>, 5> gauss_rule = {
    {{0.0, 128.0 / 225.0},
     {-0.53846931010568309, 0.47862867049936647},
     {0.53846931010568309, 0.47862867049936647},
     {-0.90617984593866399, 0.23692688505618909},
     {0.90617984593866399, 0.23692688505618909}}};

/// The integral over the cycle of (p - p_behind) g(theta) of the lines between the points, piece by
/// piece, none longer than 1 deg: without the trace's own interpolation.
Complex integral(const Points& points, int revolutions, double behind,
                 const std::function<Complex(double)>& g) {
  Complex sum;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool last = i + 1 == points.size();
    const PressurePoint& next = points[last ? 0 : i + 1];
    const double from = points[i].crank_angle.value();
    const double to = next.crank_angle.value() + (last ? turn * revolutions : 0.0);
    const int pieces = 1 + static_cast<int>((to - from) * radian_in_degrees);
    const double half = 0.5 * (to - from) / pieces;
    for (int piece = 0; piece < pieces; ++piece) {
      for (const auto& [place, weight] : gauss_rule) {
        const double theta = from + half * (2 * piece + 1 + place);
        const double share = (theta - from) / (to - from);
        const double pressure =
            points[i].pressure.value() * (1.0 - share) + next.pressure.value() * share;
        sum += weight * half * (pressure - behind) * g(theta);
      }
    }
  }
  return sum;
}

/// Work of the gas on the piston in a cycle, the closed integral of p over the volume A x turned
/// round.
double indicated_work(const Points& points, int revolutions, const CrankMechanism& mechanism) {
  return integral(points, revolutions, 0.0,
                  [&](double theta) -> Complex {
                    return -area *
                           mechanism.velocity_per_speed(from_si<units::Angle>(theta)).value();
                  })
      .real();
}

double greatest_torque(const Points& points) {
  double greatest = 0.0;
  for (const PressurePoint& point : points) {
    greatest = std::max(greatest, std::abs(point.pressure.value() - 1e5));
  }
  return greatest * area * 0.05;
}

}  // namespace

TEST_CASE("pressure is linear between points and repeats with the cycle") {
  const Points points = random_points(2, -300.0);
  const PressureTrace trace(2, points);
  CHECK(trace.size() == points.size());
  CHECK(trace.revolutions_per_cycle() == 2);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool last = i + 1 == points.size();
    const PressurePoint& next = points[last ? 0 : i + 1];
    const double from = points[i].crank_angle.value();
    const double to = next.crank_angle.value() + (last ? 2.0 * turn : 0.0);
    for (const double cycle : {-2.0, 0.0, 1.0}) {
      for (const double share : {0.0, 0.25, 0.9}) {
        const double angle = from + share * (to - from) + 2.0 * turn * cycle;
        const double expected =
            (1.0 - share) * points[i].pressure.value() + share * next.pressure.value();
        // An angle of 20 rad is known to 4e-15, of a step that may be 0.005 rad.
        CHECK_THAT(trace.at(from_si<units::Angle>(angle)).value(),
                   WithinAbs(expected, 5e6 * 1e-11));
      }
    }
  }
  CHECK_THROWS_AS(trace.at(from_si<units::Angle>(infinite)), DomainError);
}

TEST_CASE("mean and harmonics of the gas torque are the integrals over the lines of the trace") {
  struct Case {
    int revolutions;
    double first;
    double offset;
  };
  for (const auto& [revolutions, first, offset] :
       {Case{1, 0.0, 0.0}, Case{2, -360.0, 0.0}, Case{2, -713.7, 0.006}, Case{1, -170.0, -0.02}}) {
    INFO(revolutions << " revolutions from " << first << " deg");
    const Points points = random_points(revolutions, first);
    const CrankMechanism mechanism = crank(offset);
    const PressureTrace trace(revolutions, points);
    const std::size_t harmonics = (points.size() - 1) / 2;
    const CyclicTorque torque = gas_torque(trace, mechanism, cylinder, harmonics);
    REQUIRE(torque.harmonics() == harmonics);
    CHECK(torque.revolutions_per_cycle() == revolutions);
    const double tolerance = rounding * greatest_torque(points);
    const double cycle = turn * revolutions;
    for (std::size_t k = 0; k <= harmonics; ++k) {
      const double order = static_cast<double>(k) / revolutions;
      const Complex coefficient =
          integral(points, revolutions, 1e5,
                   [&](double theta) {
                     return -area *
                            mechanism.velocity_per_speed(from_si<units::Angle>(theta)).value() *
                            std::polar(1.0, -order * theta);
                   }) /
          cycle;
      const Complex found =
          k == 0 ? Complex(torque.mean().value()) : 0.5 * torque.amplitude_in_newton_metres(k);
      CHECK(std::abs(found - (k == 0 ? coefficient.real() : coefficient)) < tolerance);
    }
    CHECK_THAT(torque.work_per_cycle().value(),
               WithinAbs(indicated_work(points, revolutions, mechanism), tolerance * cycle));
  }
}

TEST_CASE("a constant pressure makes the torque of its force on the lever of the crank") {
  const CrankMechanism mechanism = crank(0.004);
  const auto four = sampled([](double) { return 4.0; }, 0.0, 5.0, 72);
  const CyclicTorque torque = gas_torque(PressureTrace(1, four), mechanism, cylinder, 30);
  const double tolerance = rounding * greatest_torque(four);
  CHECK_THAT(torque.mean().value(), WithinAbs(0.0, tolerance));
  for (double angle = 0.0; angle < 360.0; angle += 23.0) {
    const double expected = -3e5 * area * mechanism.velocity_per_speed(degrees(angle)).value();
    CHECK_THAT(torque.at(degrees(angle)).value(), WithinAbs(expected, tolerance));
  }
  const auto none = sampled([](double) { return 1.0; }, 0.0, 5.0, 72);
  const CyclicTorque still = gas_torque(PressureTrace(1, none), mechanism, cylinder, 30);
  for (const Complex& amplitude : still.amplitudes_in_newton_metres()) {
    CHECK(std::abs(amplitude) < tolerance);
  }
}

TEST_CASE("gas that is pressed together and let out again returns all work") {
  // p V^n = constant, from 1 bar at the bottom, compression 10 to 1.
  const CrankMechanism mechanism = crank();
  const double least = 0.1 / 9.0;  // clearance over the stroke of 0.1 m
  const double top = 0.23;
  for (const double n : {1.0, 1.4}) {
    INFO("exponent " << n);
    const auto pressure = [&](double angle) {
      const double height = least + top - mechanism.piston_distance(degrees(angle)).value();
      return std::pow((least + 0.1) / height, n);
    };
    const auto closed_form = [&](double angle) {
      return -1e5 * (pressure(angle) - 1.0) * area *
             mechanism.velocity_per_speed(degrees(angle)).value();
    };
    const double peak = 1e5 * area * 0.05 * std::pow(10.0, n);
    double error_before = 0.0;
    for (const double step : {1.0, 0.5}) {
      const int count = static_cast<int>(360.0 / step);
      const PressureTrace trace(1, sampled(pressure, 0.0, step, count));
      const CyclicTorque torque = gas_torque(trace, mechanism, cylinder, 150);
      CHECK_THAT(torque.mean().value(), WithinAbs(0.0, rounding * peak));
      double error = 0.0;
      for (double angle = 0.25; angle < 360.0; angle += 3.1) {
        error = std::max(error, std::abs(torque.at(degrees(angle)).value() - closed_form(angle)));
      }
      // A straight line misses the curve by 1/8 of its second derivative times the step squared.
      CHECK(error < (step == 1.0 ? 1e-3 : 2.5e-4) * peak);
      CHECK((step == 1.0 || error < 0.3 * error_before));
      error_before = error;
    }
  }
}

TEST_CASE("the work of an ideal isothermal compressor is its closed form") {
  // From 1 bar to 5 bar: compression, delivery, expansion out of the clearance, suction; the loop
  // is ln(p2/p1) (p2 V_c - p1 V_1).
  const CrankMechanism mechanism = crank(0.003);
  const double stroke = mechanism.stroke().value();
  const double clearance = 0.06 * stroke;
  const double top_angle = mechanism.top_dead_centre().value();
  const double bottom_angle = mechanism.bottom_dead_centre().value();
  const double top = mechanism.piston_distance(mechanism.top_dead_centre()).value();
  const auto pressure = [&](double angle) {
    const double height = clearance + top - mechanism.piston_distance(degrees(angle)).value();
    const double theta = angle / radian_in_degrees;
    const bool outwards = theta >= top_angle && theta < bottom_angle;
    return outwards ? std::max(1.0, 5.0 * clearance / height)
                    : std::min(5.0, (clearance + stroke) / height);
  };
  const double work = std::log(5.0) * area * (5e5 * clearance - 1e5 * (clearance + stroke));
  for (const double step : {1.0, 0.1}) {
    const PressureTrace trace(
        1, sampled(pressure, 0.37 * step, step, static_cast<int>(std::lround(360.0 / step))));
    const CyclicTorque torque = gas_torque(trace, mechanism, cylinder, 12);
    CHECK(torque.work_per_cycle().value() < 0.0);
    // Kinks that fall between points: step squared.
    CHECK_THAT(torque.work_per_cycle().value(), WithinRel(work, 2e-4 * step * step));
  }
}

TEST_CASE("the cycle may begin anywhere and be closed by a point that repeats the first") {
  const auto at = [](const Points& points) {
    return gas_torque(PressureTrace(2, points), crank(0.002), cylinder, 100);
  };
  const CyclicTorque torque = at(sampled(four_stroke_pressure, 0.0, 1.0, 720));
  const double peak = 60e5 * area * 0.05;
  const auto same = [&](const CyclicTorque& other) {
    CHECK_THAT(other.mean().value(), WithinAbs(torque.mean().value(), rounding * peak));
    for (std::size_t k = 1; k <= 100; ++k) {
      CHECK(std::abs(other.amplitude_in_newton_metres(k) - torque.amplitude_in_newton_metres(k)) <
            rounding * peak);
    }
  };
  same(at(sampled(four_stroke_pressure, -360.0, 1.0, 720)));
  same(at(sampled(four_stroke_pressure, -720.0, 1.0, 720)));
  same(at(sampled(four_stroke_pressure, -123.0, 1.0, 720)));
  same(at(sampled(four_stroke_pressure, -360.0, 1.0, 721)));
  same(at(sampled(four_stroke_pressure, 0.0, 1.0, 721)));

  // Ends 0.4 bar apart: the mean counts. Further apart is an error.
  Points open = sampled(four_stroke_pressure, -360.0, 1.0, 721);
  open.back().pressure += bar(0.4);
  const PressureTrace trace(2, open);
  CHECK(trace.size() == 720);
  CHECK_THAT(trace.at(degrees(-360.0)).value(),
             WithinRel(open.front().pressure.value() + 0.2e5, rounding));
  open.back().pressure += bar(0.4);
  CHECK_THROWS_MATCHES(
      PressureTrace(2, open), DomainError,
      Message("point 721 of a pressure trace: a cycle behind the first point, the pressure must be "
              "that of the first within 1 % of the range of pressures, not 0.8 bar apart"));
}

TEST_CASE("two equal cycles of one revolution have whole orders alone") {
  const Points once = random_points(1, 0.0);
  Points twice = once;
  for (const PressurePoint& point : once) {
    twice.push_back({point.crank_angle + degrees(360.0), point.pressure});
  }
  const CyclicTorque one = gas_torque(PressureTrace(1, once), crank(), cylinder, 20);
  const CyclicTorque two = gas_torque(PressureTrace(2, twice), crank(), cylinder, 40);
  const double tolerance = rounding * greatest_torque(once);
  for (std::size_t k = 1; k <= 40; ++k) {
    const Complex expected = k % 2 == 1 ? Complex() : one.amplitude_in_newton_metres(k / 2);
    CHECK(std::abs(two.amplitude_in_newton_metres(k) - expected) < tolerance);
  }
}

TEST_CASE("straight lines weaken a harmonic of the pressure as documented") {
  // A long rod: x' = -r sin theta, so that cos(k theta) of the pressure becomes harmonics k - 1 and
  // k + 1 of the torque, each half as great. (pi k h / c)^2 / 3 is what 1 - sinc^2 begins with.
  const CrankMechanism mechanism({.crank_radius = metres(0.05), .rod_length = metres(1e6)});
  const int k = 20;
  for (const int points_per_period : {10, 20}) {
    const int count = k * points_per_period;
    const auto pressure = [](double angle) {
      return 5.0 + std::cos(20.0 * angle / radian_in_degrees);
    };
    const PressureTrace trace(1, sampled(pressure, 0.0, 360.0 / count, count));
    const CyclicTorque torque = gas_torque(trace, mechanism, cylinder, 30);
    const double smooth = 0.5 * 1e5 * area * 0.05;
    const double weaker = 1.0 - std::abs(torque.amplitude_in_newton_metres(21)) / smooth;
    const double documented = std::pow(std::numbers::pi / points_per_period, 2) / 3.0;
    CHECK_THAT(weaker, WithinRel(documented, 0.05));
    CHECK_THAT(weaker, WithinRel(points_per_period == 10 ? 0.03 : 0.008, 0.1));
  }
}

TEST_CASE("a trace that is none is refused, with the point and the rule") {
  const Points good = sampled(four_stroke_pressure, 0.0, 5.0, 144);
  const auto change = [&](std::size_t i, double angle, double pressure) {
    Points points = good;
    points[i] = {degrees(angle), bar(pressure)};
    return points;
  };
  CHECK_NOTHROW(PressureTrace(2, good));
  CHECK_THROWS_MATCHES(
      PressureTrace(3, good), DomainError,
      Message("the cycle of a pressure trace must take 1 or 2 revolutions, not 3"));
  CHECK_THROWS_AS(PressureTrace(0, good), DomainError);
  CHECK_THROWS_AS(PressureTrace(2, {}), DomainError);
  CHECK_THROWS_MATCHES(PressureTrace(2, {good.front()}), DomainError,
                       Message("a pressure trace must have 36 points or more, not 1"));
  CHECK_THROWS_MATCHES(PressureTrace(2, change(3, 9.0, 1.0)), DomainError,
                       Message("point 4 of a pressure trace: a crank angle must be above that of "
                               "the point before, not 9 deg"));
  CHECK_THROWS_AS(PressureTrace(2, change(3, 10.0, 1.0)), DomainError);
  CHECK_THROWS_AS(PressureTrace(2, change(3, not_a_number, 1.0)), DomainError);
  CHECK_THROWS_AS(PressureTrace(2, change(0, -infinite, 1.0)), DomainError);
  CHECK_THROWS_MATCHES(PressureTrace(2, change(7, 35.0, -0.5)), DomainError,
                       Message("point 8 of a pressure trace: an absolute pressure must be finite "
                               "and 0 bar or more, not -0.5 bar"));
  CHECK_NOTHROW(PressureTrace(2, change(7, 35.0, 0.0)));
  CHECK_THROWS_AS(PressureTrace(2, change(7, 35.0, not_a_number)), DomainError);
  CHECK_THROWS_AS(PressureTrace(2, change(7, 35.0, infinite)), DomainError);

  Points gap = good;
  gap.erase(gap.begin() + 10);  // 45 deg, then 55 deg: 10 deg is allowed
  CHECK_NOTHROW(PressureTrace(2, gap));
  gap.erase(gap.begin() + 10);
  CHECK_THROWS_MATCHES(PressureTrace(2, gap), DomainError,
                       Message("point 11 of a pressure trace: the step from the point before must "
                               "be 10 deg or less, not 15 deg"));
  Points short_of = good;
  short_of.pop_back();
  CHECK_NOTHROW(PressureTrace(2, short_of));
  short_of.pop_back();
  CHECK_THROWS_MATCHES(PressureTrace(2, short_of), DomainError,
                       Message("point 142 of a pressure trace: the step from the last point to the "
                               "first of the next cycle must be 10 deg or less, not 15 deg"));
  CHECK_THROWS_MATCHES(PressureTrace(1, good), DomainError,
                       Message("point 74 of a pressure trace: a crank angle must lie within one "
                               "cycle of 0 to either side, not 365 deg"));
  CHECK_THROWS_MATCHES(
      PressureTrace(1, sampled(four_stroke_pressure, -180.0, 5.0, 80)), DomainError,
      Message("point 74 of a pressure trace: the angles must take up no more than one cycle, not "
              "365 deg"));
}

TEST_CASE("a fault names its point, for whoever knows where that came from") {
  Points points = sampled(four_stroke_pressure, 0.0, 5.0, 144);
  CHECK_FALSE(trace_fault(2, points));
  points[7].pressure = bar(-1.0);
  const auto fault = trace_fault(2, points);
  REQUIRE(fault);
  CHECK(fault->point == std::optional<std::size_t>(7));
  CHECK(fault->message == "an absolute pressure must be finite and 0 bar or more, not -1 bar");
  points.resize(20);
  const auto few = trace_fault(2, points);
  REQUIRE(few);
  CHECK_FALSE(few->point);
  CHECK_THROWS_AS(trace_fault(3, points), DomainError);
}

TEST_CASE("cylinders and harmonics outside their range are refused") {
  const PressureTrace trace(2, sampled(four_stroke_pressure, 0.0, 5.0, 144));
  const auto torque = [&](double bore, double behind, std::size_t harmonics) {
    return gas_torque(trace, crank(), {.bore = metres(bore), .behind_piston = bar(behind)},
                      harmonics);
  };
  CHECK_NOTHROW(torque(0.08, 0.0, 71));
  CHECK_NOTHROW(torque(0.08, 1.0, 0));
  CHECK_THROWS_MATCHES(torque(0.08, 1.0, 72), DomainError,
                       Message("harmonics of a gas torque must be fewer than half the points of "
                               "its pressure trace, not 72"));
  CHECK_THROWS_AS(torque(0.0, 1.0, 10), DomainError);
  CHECK_THROWS_AS(torque(not_a_number, 1.0, 10), DomainError);
  CHECK_THROWS_AS(torque(0.08, -1.0, 10), DomainError);
  CHECK_THROWS_AS(torque(0.08, not_a_number, 10), DomainError);
}
