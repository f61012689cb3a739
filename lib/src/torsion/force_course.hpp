#pragma once

#include <complex>
#include <cstddef>
#include <vector>

namespace lashband::torsion::kernel {

/// A force or torque over one full cycle: mean + sum of Re(a_k e^(i n_k phi)), n_k whole numbers
/// above 0 and phi from 0 to 2 pi over the cycle.
struct Harmonic {
  long long order = 0;
  std::complex<double> amplitude{};
};

struct ForceCourse {
  double mean = 0.0;
  std::vector<Harmonic> harmonics{};
};

/// An end of the course and where it stands.
struct CourseEnd {
  double value = 0.0;
  double phase = 0.0;  ///< phi, rad, 0 <= phi < 2 pi
};
struct CourseEnds {
  CourseEnd least{};
  CourseEnd greatest{};
};

/// Value at phi. Exact but for rounding.
[[nodiscard]] double value_at(const ForceCourse& course, double phi);

/// The course at `points` equal steps of phi from 0, by FFT; exact for orders beyond the points as
/// well. Quick where `points` has small prime factors.
[[nodiscard]] std::vector<double> samples(const ForceCourse& course, std::size_t points);

/// Least and greatest value over the cycle, not those of a grid: each end is sought from a grid of
/// at least 8 points a period of the highest order and refined to the root of the derivative.
/// Accuracy 1e-12 of the sum of |amplitudes|, since a grid that fine misses at most what the
/// refinement brings back (derived in docs/theory/torsion.md). Of several ends of one value any may
/// be given. Throws DomainError for an order below 1, a number that is not finite, or an order
/// above 1048576 after division by the common divisor of all.
[[nodiscard]] CourseEnds ends(const ForceCourse& course);

/// How a mesh fares: s = sign of the mean, Lambda = (|mean| - min(s F)) / |mean|; > 1 where the
/// teeth part.
struct RattleIndex {
  bool unloaded = false;     ///< |mean| below 1e-9 of the greatest |F|: parts with any excitation
  double index = 0.0;        ///< Lambda; 0 where unloaded
  double least_force = 0.0;  ///< min(s F), N; of an unloaded mesh that of F
  double phase = 0.0;        ///< where, rad
};
/// Exact but for the accuracy of `ends`.
[[nodiscard]] RattleIndex rattle_index(const ForceCourse& force);

/// d Lambda / d p from the derivatives of mean and amplitudes (same orders, same places): the end
/// stands still to first order, so that it is d/dp of (|mean| - s F(phase)) / |mean|. 0 where
/// unloaded.
[[nodiscard]] double rattle_index_derivative(const ForceCourse& force, const RattleIndex& at,
                                             const ForceCourse& derivative);

}  // namespace lashband::torsion::kernel
