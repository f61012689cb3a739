#include "torsion/force_course.hpp"

#include <cmath>
#include <numeric>

#include "torsion/checks.hpp"
#include "torsion/course_peak.hpp"

namespace lashband::torsion::kernel {
namespace {

// A mean below this share of the greatest force does not load a mesh.
constexpr double unloaded_share = 1e-9;

void check(const ForceCourse& course) {
  require(std::isfinite(course.mean), "course", "the mean must be finite", course.mean);
  for (std::size_t i = 0; i < course.harmonics.size(); ++i) {
    const Harmonic& harmonic = course.harmonics[i];
    if (harmonic.order > 0 && std::isfinite(harmonic.amplitude.real()) &&
        std::isfinite(harmonic.amplitude.imag())) {
      continue;
    }
    const std::string what = numbered("harmonic", i);
    require(harmonic.order > 0, what, "the order must be above 0",
            static_cast<double>(harmonic.order));
    require(false, what, "the amplitude must be finite");
  }
}

void check_orders(const ForceCourse& course) {
  check(course);
  long long divisor = 0;
  for (const Harmonic& harmonic : course.harmonics) {
    divisor = std::gcd(divisor, harmonic.order);
  }
  if (divisor == 0) {
    return;  // a mean alone
  }
  for (const Harmonic& harmonic : course.harmonics) {
    const long long order = harmonic.order / divisor;
    require(order <= highest_order, "course",
            "an order over the common divisor of all must be 1048576 or less",
            static_cast<double>(order));
  }
}

}  // namespace

double value_at(const ForceCourse& course, double phi) {
  check(course);
  require(std::isfinite(phi), "phi", "it must be finite", phi, " rad");
  double sum = 0.0;
  for (const Harmonic& harmonic : course.harmonics) {
    // The product has more digits than a double where the order is high.
    const long double angle =
        static_cast<long double>(harmonic.order) * static_cast<long double>(phi);
    sum += harmonic.amplitude.real() * static_cast<double>(std::cos(angle)) -
           harmonic.amplitude.imag() * static_cast<double>(std::sin(angle));
  }
  return course.mean + sum;
}

std::vector<double> samples(const ForceCourse& course, std::size_t points) {
  check(course);
  require(points > 0, "course", "there must be at least one point");
  std::vector<double> result = sampled(course.harmonics, points);
  for (double& value : result) {
    value += course.mean;
  }
  return result;
}

CourseEnds ends(const ForceCourse& course) {
  check_orders(course);
  CourseEnds result = ends_of(course.harmonics);
  result.least.value += course.mean;
  result.greatest.value += course.mean;
  return result;
}

RattleIndex rattle_index(const ForceCourse& force) {
  check_orders(force);
  // Without the mean, so that nothing is lost of a small swing about a great mean.
  const auto [least, greatest] = ends_of(force.harmonics);
  const double most =
      std::fmax(std::fabs(force.mean + least.value), std::fabs(force.mean + greatest.value));
  RattleIndex result;
  if (!(std::fabs(force.mean) >= unloaded_share * most) || force.mean == 0.0) {
    result.unloaded = true;
    result.least_force = force.mean + least.value;
    result.phase = least.phase;
    return result;
  }
  const bool forward = force.mean > 0.0;
  const double relief = forward ? -least.value : greatest.value;
  result.index = relief / std::fabs(force.mean);
  result.least_force = std::fabs(force.mean) - relief;
  result.phase = forward ? least.phase : greatest.phase;
  return result;
}

double rattle_index_derivative(const ForceCourse& force, const RattleIndex& at,
                               const ForceCourse& derivative) {
  check(force);
  check(derivative);
  require(derivative.harmonics.size() == force.harmonics.size(), "derivative of a course",
          "there must be as many harmonics as of the course");
  for (std::size_t i = 0; i < force.harmonics.size(); ++i) {
    require(derivative.harmonics[i].order == force.harmonics[i].order, "derivative of a course",
            "its orders must be those of the course");
  }
  if (at.unloaded) {
    return 0.0;
  }
  require(force.mean != 0.0, "course", "the mean must be other than 0 where it loads the mesh");
  // Lambda = 1 - F(phase) / mean, with -(F - mean) / mean = Lambda.
  ForceCourse swing = derivative;
  swing.mean = 0.0;
  return -(value_at(swing, at.phase) + at.index * derivative.mean) / force.mean;
}

}  // namespace lashband::torsion::kernel
