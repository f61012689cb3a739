#include "excitation/crank_motion.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <numbers>
#include <sstream>

#include "lashband/error.hpp"

namespace lashband::excitation::kernel {

CrankMotion crank_motion(double r, double l, double e, double theta) {
  const double s = r * std::sin(theta);
  const double c = r * std::cos(theta);
  const double q = s - e;
  const double w = std::sqrt((l - q) * (l + q));
  const double w_1 = -q * c / w;
  const double w_2 = (q * s - c * c - w_1 * w_1) / w;
  return {.x = c + w, .first = w_1 - s, .second = w_2 - c};
}

std::vector<CrankMotion> motion_over_a_turn(const CrankMechanism& mechanism, std::size_t points) {
  const double r = mechanism.crank_radius().value();
  const double l = mechanism.rod_length().value() / r;
  const double e = mechanism.offset().value() / r;
  std::vector<CrankMotion> motion;
  motion.reserve(points);
  for (std::size_t i = 0; i < points; ++i) {
    const double turn = static_cast<double>(i) / static_cast<double>(points);
    motion.push_back(crank_motion(1.0, l, e, 2.0 * std::numbers::pi * turn));
  }
  return motion;
}

std::size_t highest_order(const CrankMechanism& mechanism) {
  const double r = mechanism.crank_radius().value();
  const double reach = r + std::abs(mechanism.offset().value());
  const double clearance = (mechanism.rod_length().value() - reach) / r;
  // arcosh(1 + clearance), without cancellation.
  const double sigma = std::log1p(clearance + std::sqrt(clearance * (2.0 + clearance)));
  constexpr double to_rounding = 40.0;  // e^-40 = 4e-18
  constexpr double most = 4096.0;
  const double order = std::ceil(to_rounding / sigma);
  if (!(order <= most)) {
    std::ostringstream message;
    message.precision(10);
    message << "the rod of a crank mechanism is only "
            << 1e3 * (mechanism.rod_length().value() - reach)
            << " mm longer than crank radius and offset together, " << 1e3 * reach
            << " mm; so near to where the crank cannot pass, its harmonics do not end";
    throw ComputationError(message.str());
  }
  return static_cast<std::size_t>(order);
}

std::size_t points_for(const CrankMechanism& mechanism, std::size_t order) {
  constexpr std::size_t fewest = 4096;
  return std::bit_ceil(std::max(fewest, 2 * order + 2 * highest_order(mechanism)));
}

}  // namespace lashband::excitation::kernel
