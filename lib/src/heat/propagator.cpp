#include "heat/propagator.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "heat/message.hpp"

namespace lashband::heat::kernel {
namespace {

using Index = Eigen::Index;

// Up to this norm of A t the series below are used. Beyond about 1 their terms of changing sign
// begin to cancel.
constexpr double series_norm = 0.5;
// Terms of sum x^k 6/(k+3)! and of sum x^k/(k+1)! for |x| <= 0.5: the first left out is below
// 1e-17.
constexpr int third_terms = 13;
constexpr int growth_terms = 15;

double factorial(int n) {
  double product = 1.0;
  for (int i = 2; i <= n; ++i) {
    product *= i;
  }
  return product;
}

// sum_k (A t)^k t^3/(k+3)! applied to `start`: P_3 for the unit matrix, P_3 b for a vector.
template <class Columns>
Columns third_by_series(const Matrix& A, double time, const Columns& start) {
  Columns sum = start / factorial(third_terms + 3);
  for (int k = third_terms - 1; k >= 0; --k) {
    sum = (time * (A * sum)).eval();
    sum += start / factorial(k + 3);
  }
  return (time * time * time) * sum;
}

Way short_way(const Matrix& A, double time) {
  const Matrix unit = Matrix::Identity(A.rows(), A.cols());
  Way way;
  way.time = time;
  way.third = third_by_series(A, time, unit);
  way.second = A * way.third;
  way.second.diagonal().array() += 0.5 * time * time;
  way.first = A * way.second;
  way.first.diagonal().array() += time;
  way.growth = A * way.first;
  return way;
}

// Where A has no negative entry beside its diagonal, these are sums of positive matrices: nothing
// cancels.
Way doubled(const Way& way) {
  Way result;
  const double t = way.time;
  result.time = 2.0 * t;
  result.third = way.growth * way.third;
  result.third += 2.0 * way.third + t * way.second + (0.5 * t * t) * way.first;
  result.second = way.growth * way.second;
  result.second += 2.0 * way.second + t * way.first;
  result.first = way.growth * way.first;
  result.first += 2.0 * way.first;
  result.growth = way.growth * way.growth;
  result.growth += 2.0 * way.growth;
  return result;
}

void go_by_series(const Matrix& A, double time, const Vector& bend, Motion& motion) {
  const Vector third_v = third_by_series(A, time, motion.rate);
  const Vector third_b = third_by_series(A, time, bend);
  const Vector second_v = (0.5 * time * time) * motion.rate + A * third_v;
  const Vector second_b = (0.5 * time * time) * bend + A * third_b;
  const Vector first_v = time * motion.rate + A * second_v;
  const Vector first_b = time * bend + A * second_b;
  motion.area += time * motion.moved + second_v + third_b;
  motion.moved += first_v + second_b;
  motion.rate += A * first_v + first_b;
}

class Doubling final : public Propagator {
 public:
  Doubling(const Matrix& A, double longest) : A_(A) {
    const double norm = row_norm(A);
    // A power of two: times of whole seconds then have few bits.
    const double most = norm > 0.0 ? std::min(series_norm / norm, 2.0 * longest) : 2.0 * longest;
    shortest_ = std::exp2(std::floor(std::log2(most)));
    if (shortest_ <= longest) {
      ways_.push_back(short_way(A, shortest_));
      while (2.0 * ways_.back().time <= longest) {
        ways_.push_back(doubled(ways_.back()));
      }
    }
  }

  [[nodiscard]] const Matrix& matrix() const override { return A_; }

  void advance(double time, const Vector& bend, Motion& motion) const override {
    for (std::size_t i = ways_.size(); i > 0; --i) {
      const Way& longest = ways_[i - 1];
      while (time >= longest.time) {
        go(longest, bend, motion);
        time -= longest.time;
      }
    }
    if (time > 0.0) {
      go_by_series(A_, time, bend, motion);
    }
  }

  [[nodiscard]] Way way(double time) const override {
    const double norm = row_norm(A_) * time;
    const int doublings =
        norm > series_norm ? static_cast<int>(std::ceil(std::log2(norm / series_norm))) : 0;
    Way result = short_way(A_, std::ldexp(time, -doublings));
    for (int i = 0; i < doublings; ++i) {
      result = doubled(result);
    }
    return result;
  }

 private:
  Matrix A_;
  double shortest_ = 0.0;
  std::vector<Way> ways_;
};

// exp(-x) - 1 and the P_j of a mode with x = rate * time, for time = 1.
struct ModeWay {
  double growth, first, second, third;
};

ModeWay mode_way(double x) {
  ModeWay way{};
  if (x < 1.0) {
    // sum (-x)^k/(k+3)!; the closed form loses what it subtracts. 18 terms: below 1e-19.
    for (int k = 17; k >= 0; --k) {
      way.third = 1.0 / factorial(k + 3) - x * way.third;
    }
    way.second = 0.5 - x * way.third;
    way.first = 1.0 - x * way.second;
    way.growth = -x * way.first;
    return way;
  }
  way.growth = std::expm1(-x);
  way.first = -way.growth / x;
  way.second = (1.0 - way.first) / x;
  way.third = (0.5 - way.second) / x;
  return way;
}

class Modal final : public Propagator {
 public:
  Modal(const Matrix& A, const Vector& capacities) : A_(A) {
    const Vector root = capacities.cwiseSqrt();
    Matrix symmetric = root.asDiagonal() * A * root.cwiseInverse().asDiagonal();
    symmetric = (-0.5 * (symmetric + symmetric.transpose())).eval();
    const Eigen::SelfAdjointEigenSolver<Matrix> eigen(symmetric);
    // Heat flows from warm to cold: no rate is negative but by rounding.
    rates_ = eigen.eigenvalues().cwiseMax(0.0);
    shapes_ = root.cwiseInverse().asDiagonal() * eigen.eigenvectors();
    shares_ = eigen.eigenvectors().transpose() * root.asDiagonal();
  }

  [[nodiscard]] const Matrix& matrix() const override { return A_; }

  void advance(double time, const Vector& bend, Motion& motion) const override {
    const Vector v = shares_ * motion.rate;
    const Vector b = shares_ * bend;
    Vector rate(v.size());
    Vector moved(v.size());
    Vector area(v.size());
    const double t = time;
    for (Index m = 0; m < v.size(); ++m) {
      const ModeWay way = mode_way(rates_[m] * t);
      rate[m] = way.growth * v[m] + t * way.first * b[m];
      moved[m] = t * way.first * v[m] + t * t * way.second * b[m];
      area[m] = t * t * way.second * v[m] + t * t * t * way.third * b[m];
    }
    motion.area += t * motion.moved + shapes_ * area;
    motion.moved += shapes_ * moved;
    motion.rate += shapes_ * rate;
  }

  [[nodiscard]] Way way(double time) const override {
    const double t = time;
    Vector growth(rates_.size());
    Vector first(rates_.size());
    Vector second(rates_.size());
    Vector third(rates_.size());
    for (Index m = 0; m < rates_.size(); ++m) {
      const ModeWay mode = mode_way(rates_[m] * t);
      growth[m] = mode.growth;
      first[m] = t * mode.first;
      second[m] = t * t * mode.second;
      third[m] = t * t * t * mode.third;
    }
    const auto of = [this](const Vector& by_mode) -> Matrix {
      return shapes_ * by_mode.asDiagonal() * shares_;
    };
    return {time, of(growth), of(first), of(second), of(third)};
  }

 private:
  Matrix A_;
  Vector rates_;   // 1/s, by mode
  Matrix shapes_;  // temperatures by body of each mode
  Matrix shares_;  // of each mode in temperatures by body
};

}  // namespace

double row_norm(const Matrix& A) {
  return A.cwiseAbs().rowwise().sum().maxCoeff();
}

Motion beginning(const Vector& rate) {
  return {rate, Vector::Zero(rate.size()), Vector::Zero(rate.size())};
}

void go(const Way& way, const Vector& bend, Motion& motion) {
  motion.area += way.time * motion.moved;
  motion.area.noalias() += way.second * motion.rate;
  motion.area.noalias() += way.third * bend;
  motion.moved.noalias() += way.first * motion.rate;
  motion.moved.noalias() += way.second * bend;
  const Vector change = way.growth * motion.rate + way.first * bend;
  motion.rate += change;
}

std::unique_ptr<const Propagator> modal_propagator(const Matrix& A, const Vector& capacities) {
  return std::make_unique<Modal>(A, capacities);
}

std::unique_ptr<const Propagator> doubling_propagator(const Matrix& A, double longest) {
  return std::make_unique<Doubling>(A, longest);
}

std::shared_ptr<const Propagator> propagator(const Matrix& A, const Vector& capacities,
                                             bool symmetric, double longest) {
  if (!std::isfinite(row_norm(A) * longest)) {
    throw ComputationError("the rates of the network are beyond all numbers");
  }
  if (symmetric && row_norm(A) * longest <= modal_reach) {
    return modal_propagator(A, capacities);
  }
  return doubling_propagator(A, longest);
}

SingleStretch::SingleStretch(const Matrix& A, const Vector& rate, const Vector& bend, double length)
    : rate_(rate), bend_(bend), A_(A), length_(length) {
  const Index n = A.rows();
  if (!A.allFinite() || !rate.allFinite() || !bend.allFinite()) {
    throw ComputationError("the rates of the network are beyond all numbers");
  }
  // Columns n to n + 2 of the exponential are, in the length as unit of time, P_1 b1, x and the
  // integral of x. They are linear in b0 and b1, which are scaled to weigh no more than A.
  Matrix augmented = Matrix::Zero(n + 3, n + 3);
  augmented.topLeftCorner(n, n) = length * A;
  augmented.block(0, n, n, 1) = (length * length) * bend;
  augmented.block(0, n + 1, n, 1) = length * rate;
  const double heaviest = augmented.rightCols(3).cwiseAbs().maxCoeff();
  scale_ = heaviest > 1.0 ? heaviest : 1.0;
  augmented.rightCols(3) /= scale_;
  augmented(n, n + 1) = 1.0;
  augmented(n + 1, n + 2) = 1.0;
  const double norm = row_norm(augmented);
  const int doublings = std::max(1, static_cast<int>(std::ceil(std::log2(norm / series_norm))));
  step_ = augmented * std::ldexp(1.0, -doublings);
  // The [7/7] Pade approximant p(M)/p(-M) is exact to rounding up to a norm of 0.95 (Higham, SIAM
  // J. Matrix Anal. Appl. 26, 2005). With p = even + odd it is 1 + 2 odd/(even - odd), of which
  // nothing cancels.
  const Matrix square = step_ * step_;
  const Matrix fourth = square * square;
  const Matrix sixth = fourth * square;
  Matrix even = 56.0 * sixth + 25200.0 * fourth + 1995840.0 * square;
  even.diagonal().array() += 17297280.0;
  Matrix factor = sixth + 1512.0 * fourth + 277200.0 * square;
  factor.diagonal().array() += 8648640.0;
  const Matrix odd = step_ * factor;
  ways_.reserve(static_cast<std::size_t>(doublings) + 1);
  ways_.emplace_back((even - odd).partialPivLu().solve(2.0 * odd));
  for (int i = 0; i < doublings; ++i) {
    Matrix next = ways_.back() * ways_.back();
    next += 2.0 * ways_.back();
    ways_.push_back(std::move(next));
  }
}

Motion SingleStretch::motion_of(std::size_t way) const {
  const Index n = A_.rows();
  const Matrix& growth = ways_[way];
  const double share = std::ldexp(1.0, static_cast<int>(way) - static_cast<int>(ways_.size()) + 1);
  Motion motion;
  motion.moved = scale_ * growth.block(0, n + 1, n, 1);
  motion.area = (scale_ * length_) * growth.block(0, n + 2, n, 1);
  motion.rate = rate_ + A_ * motion.moved + (share * length_) * bend_;
  return motion;
}

Vector SingleStretch::moved(double time) const {
  const Index n = A_.rows();
  Vector state = Vector::Zero(n + 3);
  state[n + 1] = 1.0;
  double left = time / length_;
  for (std::size_t i = ways_.size(); i-- > 0;) {
    const double share = std::ldexp(1.0, static_cast<int>(i) - static_cast<int>(ways_.size()) + 1);
    if (left >= share) {
      state += (ways_[i] * state).eval();
      left -= share;
    }
  }
  // What is left, in parts of the shortest time.
  const double part = std::ldexp(left, static_cast<int>(ways_.size()) - 1);
  if (part > 0.0) {
    Vector sum = state / factorial(growth_terms + 1);
    for (int k = growth_terms - 1; k >= 0; --k) {
      sum = (part * (step_ * sum)).eval();
      sum += state / factorial(k + 1);
    }
    state += part * (step_ * sum);
  }
  return scale_ * state.head(n);
}

}  // namespace lashband::heat::kernel
