#pragma once

#include <array>
#include <cstddef>
#include <deque>
#include <memory>
#include <optional>
#include <vector>

#include "tolerance/random_group.hpp"
#include "tolerance/sum_distribution.hpp"

// One part of the mixture: terms and the branches that share them.
namespace lashband::tolerance::kernel {

/// What one part adds to both probabilities of the mixture.
struct PartProbability {
  double below = 0.0;
  double above = 0.0;
  /// Of the probability below; NaN where the route taken does not yield it.
  double density = 0.0;
};

/// Keeps what one evaluation leaves to the next, so it must not be shared between threads. The
/// result of an evaluation does not depend on those before it. The part must outlive it.
class PartDistribution {
 public:
  PartDistribution(const Part& part, Resolution resolution);
  PartDistribution(PartDistribution&&) noexcept;
  PartDistribution& operator=(PartDistribution&&) noexcept;
  PartDistribution(const PartDistribution&) = delete;
  PartDistribution& operator=(const PartDistribution&) = delete;
  ~PartDistribution();

  [[nodiscard]] PartProbability probability(double x);

  [[nodiscard]] double weight() const { return weight_; }
  [[nodiscard]] double mean() const { return mean_; }
  [[nodiscard]] double sigma() const { return sigma_; }
  [[nodiscard]] Support support() const { return support_; }
  /// The support, with 13 sigma of the normal terms to each side of what the bounded terms reach.
  [[nodiscard]] Support effective_support() const { return effective_support_; }

 private:
  /// A branch about the means of A and D:
  /// X = mean + delta + (a0 + epsilon) a + (g_1 + gamma_1) d + ... + (g_4 + gamma_4) d^4
  struct Deviation {
    double delta;
    double epsilon;
    std::array<double, 4> gamma;
  };
  /// Places of the branches with the weights that multiply 1, epsilon, gamma and their products.
  struct BranchSums {
    std::size_t rows = 1;
    std::vector<double> place;
    std::vector<double> weight;  ///< rows of them for every place
  };
  /// The distribution tilted by e^{-side c X}, in the linear approximation of the curve.
  struct Tilt {
    double c = 0.0;
    double log_transform = 0.0;  ///< ln E e^{-side c (X - mean)} / weight
    double centre = 0.0;         ///< mean of side (X - mean) under the tilt
    bool straight = true;        ///< the approximation holds
    double branch_centre = 0.0;
    std::vector<double> plain_centres;
    std::vector<double> curved_centres;
  };
  struct Contour;
  struct Builder;
  struct Rung {
    Tilt tilt;
    std::unique_ptr<Contour> contour;
  };
  enum class Route { steps, normal, single, contour, split };
  /// A combination of places of all measures.
  struct Atom {
    double plain;
    double curved;
    double weight;
  };

  void check() const;
  void average_branches();
  void condense_branches();
  void choose_route();
  [[nodiscard]] bool has_curve() const;
  [[nodiscard]] std::vector<Atom> atoms() const;

  [[nodiscard]] PartProbability from_steps(double x) const;
  [[nodiscard]] PartProbability from_normals(double x) const;
  [[nodiscard]] PartProbability from_single(double x) const;
  [[nodiscard]] std::optional<PartProbability> from_contour(double x);
  [[nodiscard]] PartProbability from_split(double x);

  [[nodiscard]] Tilt tilt(double side, double c) const;
  Rung& rung(std::size_t side, std::size_t index);
  [[nodiscard]] double height(std::size_t side, std::size_t index, double z);
  [[nodiscard]] double log_chernoff(std::size_t side, double z, double enough);
  [[nodiscard]] double lowest_place(std::size_t side, std::size_t index);
  [[nodiscard]] double period(std::size_t side, std::size_t index);
  [[nodiscard]] double bend_strength(double c) const;
  [[nodiscard]] std::unique_ptr<Contour> contour(std::size_t side, std::size_t index);

  const Part* part_;
  Resolution resolution_;
  RandomGroup plain_;
  RandomGroup curved_;
  double weight_ = 0.0;
  double mean_ = 0.0;
  double sigma_ = 0.0;
  double noise_ = 0.0;             ///< sigma without the spread of the branches
  double scale_ = 1.0;             ///< a0
  std::array<double, 4> curve_{};  ///< g_1 ... g_4
  std::vector<Deviation> deviations_;
  BranchSums branches_;   ///< one for every branch
  BranchSums condensed_;  ///< fewer, as good for |s| up to condensed_bound_
  double condensed_bound_ = 0.0;
  Support support_;
  Support effective_support_;
  Route route_ = Route::contour;
  std::vector<Atom> atoms_;
  std::array<std::deque<Rung>, 2> rungs_;  ///< of the lower and of the upper side

  /// For the route that conditions on one term.
  struct Split;
  std::unique_ptr<Split> split_;
};

}  // namespace lashband::tolerance::kernel
