#include "lashband/excitation/pressure_trace.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <iterator>
#include <numbers>
#include <optional>
#include <string>
#include <utility>

#include "excitation/crank_motion.hpp"
#include "excitation/fourier.hpp"
#include "lashband/error.hpp"
#include "requirement.hpp"

namespace lashband::excitation {
namespace {

using Complex = std::complex<double>;
using checks::require;
using checks::require_finite;
using checks::require_not_negative;
using checks::require_positive;

constexpr double full_turn = 2.0 * std::numbers::pi;
constexpr double degrees_per_radian = 180.0 / std::numbers::pi;
constexpr double bar_per_pascal = 1e-5;
/// What rounding and the conversion of units may do to an angle, 1e-6 deg.
constexpr double slack = 1e-6 / degrees_per_radian;
/// Share of the range of pressures by which both ends of a closed trace may differ.
constexpr double closing_share = 0.01;

void check_cycle(int revolutions) {
  require(revolutions == 1 || revolutions == 2,
          "the cycle of a pressure trace must take 1 or 2 revolutions", revolutions, "");
}

TraceFault angle_fault(std::size_t point, const char* rule, double angle) {
  return {.point = point, .message = checks::broken_rule(rule, degrees_per_radian * angle, " deg")};
}

TraceFault pressure_fault(std::size_t point, const char* rule, double pressure, const char* unit) {
  return {.point = point, .message = checks::broken_rule(rule, bar_per_pascal * pressure, unit)};
}

/// What is wrong with a point after those before it.
std::optional<TraceFault> point_fault(const std::vector<PressurePoint>& points, std::size_t i,
                                      double cycle) {
  const double angle = points[i].crank_angle.value();
  const double pressure = points[i].pressure.value();
  if (!std::isfinite(angle)) {
    return angle_fault(i, "a crank angle must be finite", angle);
  }
  if (!(std::abs(angle) <= cycle + slack)) {
    return angle_fault(i, "a crank angle must lie within one cycle of 0 to either side", angle);
  }
  if (i > 0) {
    const double step = angle - points[i - 1].crank_angle.value();
    const double taken_up = angle - points.front().crank_angle.value();
    if (!(step > 0.0)) {
      return angle_fault(i, "a crank angle must be above that of the point before", angle);
    }
    if (!(step <= greatest_pressure_step.value() + slack)) {
      return angle_fault(i, "the step from the point before must be 10 deg or less", step);
    }
    if (!(taken_up <= cycle + slack)) {
      return angle_fault(i, "the angles must take up no more than one cycle", taken_up);
    }
  }
  if (!(pressure >= 0.0 && std::isfinite(pressure))) {
    return pressure_fault(i, "an absolute pressure must be finite and 0 bar or more", pressure,
                          " bar");
  }
  return std::nullopt;
}

/// From the last point to the first of the next cycle.
double last_step(const std::vector<PressurePoint>& points, double cycle) {
  return cycle - (points.back().crank_angle - points.front().crank_angle).value();
}

double range_of_pressures(const std::vector<PressurePoint>& points) {
  const auto [least, greatest] = std::minmax_element(
      points.begin(), points.end(), [](const PressurePoint& a, const PressurePoint& b) {
        return a.pressure.value() < b.pressure.value();
      });
  return (greatest->pressure - least->pressure).value();
}

/// What is wrong between the last point and the first of the next cycle.
std::optional<TraceFault> closing_fault(const std::vector<PressurePoint>& points, double cycle) {
  const std::size_t last = points.size() - 1;
  const double step = last_step(points, cycle);
  if (!(step <= greatest_pressure_step.value() + slack)) {
    return angle_fault(
        last, "the step from the last point to the first of the next cycle must be 10 deg or less",
        step);
  }
  const double apart = std::abs((points.back().pressure - points.front().pressure).value());
  if (step <= slack && !(apart <= closing_share * range_of_pressures(points))) {
    return pressure_fault(
        last,
        "a cycle behind the first point, the pressure must be that of the first within 1 % of the "
        "range of pressures",
        apart, " bar apart");
  }
  return std::nullopt;
}

/// The real and imaginary part of the integral of (1 - s) e^(-i t s) over s from 0 to 1,
/// (1 - cos t) / t^2 + i (sin t - t) / t^2.
Complex half_hat(double t) {
  constexpr double small = 0.5;  // below, sin t - t cancels; t^13 / 15! is under rounding
  const double t2 = t * t;
  const double sinc = t == 0.0 ? 1.0 : std::sin(0.5 * t) / (0.5 * t);
  const double imaginary =
      std::abs(t) < small
          ? -t / 6.0 *
                (1.0 - t2 / 20.0 *
                           (1.0 - t2 / 42.0 *
                                      (1.0 - t2 / 72.0 * (1.0 - t2 / 110.0 * (1.0 - t2 / 156.0)))))
          : (std::sin(t) - t) / t2;
  return {0.5 * sinc * sinc, imaginary};
}

/// A pressure that is linear between points, over the phase of the cycle: its coefficients c_k, of
/// e^(i k u), 0 <= u < 2 pi, by the integral of each point's hat.
class LinearCourse {
 public:
  LinearCourse(const PressureTrace& trace, double behind_piston) {
    const std::size_t size = trace.size();
    const double revolutions = trace.revolutions_per_cycle();
    phases_.reserve(size);
    values_.reserve(size);
    steps_.reserve(size);
    for (const double angle : trace.angles_in_radians()) {
      phases_.push_back(angle / revolutions);
    }
    for (const double pressure : trace.pressures_in_pascals()) {
      values_.push_back(pressure - behind_piston);
    }
    for (std::size_t i = 0; i + 1 < size; ++i) {
      steps_.push_back(phases_[i + 1] - phases_[i]);
    }
    steps_.push_back(full_turn - (phases_.back() - phases_.front()));
  }

  [[nodiscard]] Complex coefficient(std::size_t k) const {
    const auto order = static_cast<double>(k);
    Complex before = hat_side(order, steps_.back());
    Complex sum;
    for (std::size_t i = 0; i < values_.size(); ++i) {
      const Complex after = hat_side(order, steps_[i]);
      sum += values_[i] * (after + std::conj(before)) * std::polar(1.0, -order * phases_[i]);
      before = after;
    }
    return sum / full_turn;
  }

 private:
  static Complex hat_side(double order, double step) { return step * half_hat(order * step); }

  std::vector<double> phases_;
  std::vector<double> values_;
  std::vector<double> steps_;
};

/// Coefficients of x'(theta) for r = 1, of e^(i m theta), m = 0 ... highest.
std::vector<Complex> velocity_coefficients(const CrankMechanism& mechanism, std::size_t highest) {
  std::vector<double> velocity;
  const std::size_t points = kernel::points_for(mechanism, highest);
  velocity.reserve(points);
  for (const kernel::CrankMotion& motion : kernel::motion_over_a_turn(mechanism, points)) {
    velocity.push_back(motion.first);
  }
  return kernel::fourier_coefficients(velocity, highest);
}

}  // namespace

std::optional<TraceFault> trace_fault(int revolutions_per_cycle,
                                      const std::vector<PressurePoint>& points) {
  check_cycle(revolutions_per_cycle);
  if (points.size() < fewest_pressure_points) {
    return TraceFault{.message = checks::broken_rule("a pressure trace must have 36 points or more",
                                                     static_cast<double>(points.size()), "")};
  }
  const double cycle = full_turn * revolutions_per_cycle;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (auto fault = point_fault(points, i, cycle)) {
      return fault;
    }
  }
  return closing_fault(points, cycle);
}

PressureTrace::PressureTrace(int revolutions_per_cycle, const std::vector<PressurePoint>& points)
    : revolutions_per_cycle_(revolutions_per_cycle) {
  if (const auto fault = trace_fault(revolutions_per_cycle, points)) {
    throw DomainError(fault->point ? "point " + std::to_string(*fault->point + 1) +
                                         " of a pressure trace: " + fault->message
                                   : fault->message);
  }
  angles_.reserve(points.size());
  pressures_.reserve(points.size());
  for (const PressurePoint& point : points) {
    angles_.push_back(point.crank_angle.value());
    pressures_.push_back(point.pressure.value());
  }
  if (last_step(points, full_turn * revolutions_per_cycle) <= slack) {
    pressures_.front() += 0.5 * (pressures_.back() - pressures_.front());
    pressures_.pop_back();
    angles_.pop_back();
  }
}

units::Pressure PressureTrace::at(units::Angle theta) const {
  require_finite("the angle at which a pressure is asked for must be finite", theta.value(),
                 " rad");
  const double cycle = full_turn * revolutions_per_cycle_;
  double past_first = std::fmod(theta.value() - angles_.front(), cycle);
  past_first += past_first < 0.0 ? cycle : 0.0;
  const auto next =
      std::upper_bound(angles_.begin() + 1, angles_.end(), angles_.front() + past_first);
  const auto i = static_cast<std::size_t>(std::distance(angles_.begin(), next));
  const bool wraps = i == angles_.size();
  const double end = wraps ? angles_.front() + cycle : angles_[i];
  const double share = (angles_.front() + past_first - angles_[i - 1]) / (end - angles_[i - 1]);
  const double after = wraps ? pressures_.front() : pressures_[i];
  return units::from_si<units::Pressure>((1.0 - share) * pressures_[i - 1] + share * after);
}

CyclicTorque gas_torque(const PressureTrace& trace, const CrankMechanism& mechanism,
                        const Cylinder& cylinder, std::size_t harmonics) {
  const double d = cylinder.bore.value();
  require_positive("the bore of a cylinder must be above 0 mm", 1e3 * d, " mm");
  require_not_negative("the pressure behind a piston must be finite and 0 bar or more",
                       bar_per_pascal * cylinder.behind_piston.value(), " bar");
  require(harmonics <= (trace.size() - 1) / 2,
          "harmonics of a gas torque must be fewer than half the points of its pressure trace",
          static_cast<double>(harmonics), "");

  // Both factors of the torque have few harmonics that count, so their product is a sum of these:
  // T_k = -A r sum over m of x'_m p_(k - m R).
  const std::size_t reach = kernel::highest_order(mechanism);
  const std::vector<Complex> velocity = velocity_coefficients(mechanism, reach);
  const auto revolutions = static_cast<std::size_t>(trace.revolutions_per_cycle());
  const LinearCourse course(trace, cylinder.behind_piston.value());
  std::vector<Complex> pressure;
  pressure.reserve(harmonics + reach * revolutions + 1);
  for (std::size_t k = 0; k <= harmonics + reach * revolutions; ++k) {
    pressure.push_back(course.coefficient(k));
  }
  const double scale = -std::numbers::pi / 4.0 * d * d * mechanism.crank_radius().value();
  std::vector<Complex> torque;
  torque.reserve(harmonics + 1);
  for (std::size_t k = 0; k <= harmonics; ++k) {
    Complex sum = velocity.front() * pressure[k];
    for (std::size_t m = 1; m <= reach; ++m) {
      const std::size_t shift = m * revolutions;
      const Complex lower = shift <= k ? pressure[k - shift] : std::conj(pressure[shift - k]);
      sum += velocity[m] * lower + std::conj(velocity[m]) * pressure[k + shift];
    }
    torque.push_back(scale * sum);
  }
  const auto mean = units::from_si<units::Torque>(torque.front().real());
  torque.erase(torque.begin());
  for (Complex& amplitude : torque) {
    amplitude *= 2.0;
  }
  return {trace.revolutions_per_cycle(), mean, std::move(torque)};
}

}  // namespace lashband::excitation
