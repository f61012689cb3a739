#pragma once

#include <Eigen/Dense>
#include <memory>
#include <vector>

/// Linear stretches of a network,
///
///   x' = A x + b0 + b1 t,   x(0) = 0,
///
/// x being the temperatures less those at the beginning. With v = x' this needs b0 no more: v' = A
/// v
/// + b1. All is written in v, x and the integral of x, and in the matrices
///
///   D  = exp(A t) - 1,   P_j = integral of exp(A (t - s)) s^(j-1)/(j-1)! ds,   j = 1, 2, 3,
///
/// of which D and not exp(A t) is kept: beside a body that answers in milliseconds the changes of
/// one that takes hours would drown in the rounding of the 1.
namespace lashband::heat::kernel {

using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

/// A moment of a stretch.
struct Motion {
  Vector rate;   ///< v, K/s
  Vector moved;  ///< x, K
  Vector area;   ///< integral of x since the beginning, K s
};

/// At the beginning of a stretch.
[[nodiscard]] Motion beginning(const Vector& rate);

/// A way by a time, for any motion with the same A.
struct Way {
  double time = 0.0;
  Matrix growth;  ///< D
  Matrix first;   ///< P_1
  Matrix second;  ///< P_2
  Matrix third;   ///< P_3
};

void go(const Way& way, const Vector& bend, Motion& motion);

class Propagator {
 public:
  Propagator() = default;
  Propagator(const Propagator&) = delete;
  Propagator& operator=(const Propagator&) = delete;
  Propagator(Propagator&&) = delete;
  Propagator& operator=(Propagator&&) = delete;
  virtual ~Propagator() = default;

  [[nodiscard]] virtual const Matrix& matrix() const = 0;  ///< A
  /// Moves on by `time` (0 or more); `bend` is b1.
  virtual void advance(double time, const Vector& bend, Motion& motion) const = 0;
  /// To be used again and again.
  [[nodiscard]] virtual Way way(double time) const = 0;
};

/// Where C A is symmetric: through the eigenvectors of C^1/2 A C^-1/2. Its errors are those of the
/// eigenvalues, a rounding of the fastest rate: see modal_reach.
[[nodiscard]] std::unique_ptr<const Propagator> modal_propagator(const Matrix& A,
                                                                 const Vector& capacities);

/// Any A: the ways by 2^k times a short time, each from the one before it by doubling; a time is
/// gone bit by bit. `longest`: of the stretches to be expected.
[[nodiscard]] std::unique_ptr<const Propagator> doubling_propagator(const Matrix& A,
                                                                    double longest);

/// The fastest rate times the longest stretch, up to which the eigenvectors serve: their error is
/// about a rounding (1e-16) times this, relative, and the energy account is held to 1e-12.
inline constexpr double modal_reach = 1e3;

/// The one that serves.
[[nodiscard]] std::shared_ptr<const Propagator> propagator(const Matrix& A,
                                                           const Vector& capacities, bool symmetric,
                                                           double longest);

/// Greatest sum of a row's magnitudes.
[[nodiscard]] double row_norm(const Matrix& A);

/// One stretch with an A of its own: the exponential of the matrix augmented by b1 and b0, in ways
/// by halves, quarters and so on of its length.
class SingleStretch {
 public:
  SingleStretch(const Matrix& A, const Vector& rate, const Vector& bend, double length);

  [[nodiscard]] const Matrix& matrix() const { return A_; }
  [[nodiscard]] Motion at_end() const { return motion_of(ways_.size() - 1); }
  [[nodiscard]] Motion at_half() const { return motion_of(ways_.size() - 2); }
  /// x at a time from 0 to the length.
  [[nodiscard]] Vector moved(double time) const;

 private:
  [[nodiscard]] Motion motion_of(std::size_t way) const;

  Vector rate_;
  Vector bend_;
  Matrix A_;
  double length_;
  double scale_ = 1.0;
  Matrix step_;               // augmented matrix times the shortest time
  std::vector<Matrix> ways_;  // exp - 1, the shortest first
};

}  // namespace lashband::heat::kernel
