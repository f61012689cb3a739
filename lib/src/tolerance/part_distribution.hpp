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
  /// The terms of another one with these branches, which may differ from its own as the branches
  /// of one part may differ.
  PartDistribution(const PartDistribution& other, std::vector<Branch> branches);
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

    /// Becomes `many` with `count` places from low to high.
    void condense(const BranchSums& many, double low, double high, std::size_t count);
  };
  /// What the terms alone do under a tilt by e^{-side c X}.
  struct TermTilt {
    double log_transform = 0.0;
    bool known = true;                  ///< log_transform is, see Tilt
    std::vector<double> plain_centres;  ///< means under the tilt, each from its own mean
    std::vector<double> curved_centres;
  };
  /// The same for every rung, shared by distributions that differ little by their branches, with
  /// what they are made from: that of the first of these.
  struct TermTilts {
    double sigma = 0.0;
    double scale = 1.0;             ///< a0
    std::array<double, 4> curve{};  ///< g_1 ... g_4
    std::array<std::deque<TermTilt>, 2> rungs;
  };
  /// The distribution tilted by e^{-side c X}, in the linear approximation of the curve.
  struct Tilt {
    double c = 0.0;
    double log_transform = 0.0;  ///< ln E e^{-side c (X - mean)} / weight
    bool known = true;  ///< it is: the approximation holds, and no weights of both signs cancel
    double branch_centre = 0.0;
    const TermTilt* terms = nullptr;  ///< among those shared
  };
  struct Contour;
  struct Builder;
  struct Rung {
    Tilt tilt;
    std::unique_ptr<Contour> contour;
  };
  /// The terms, and the same with measures of fewer places, which are as good for s up to the
  /// bounds.
  struct Terms {
    RandomGroup plain;
    RandomGroup curved;
    std::deque<Measure> few;
    RandomGroup plain_of_few;
    RandomGroup curved_of_few;
    double greatest_tilt = 0.0;  ///< of the real part of s
    double greatest_s = 0.0;     ///< of |s|
  };
  enum class Route { steps, normal, single, contour, split };
  /// A combination of places of all measures.
  struct Atom {
    double plain;
    double curved;
    double weight;
  };

  void prepare();
  void start_tilts();
  void check() const;
  void average_branches();
  [[nodiscard]] double normal_sigma() const;  ///< of the normal terms alone
  void condense_branches();
  void condense_measures(Terms& terms) const;
  void choose_route();
  [[nodiscard]] bool has_curve() const;
  [[nodiscard]] const RandomGroup& plain() const { return terms_->plain; }
  [[nodiscard]] const RandomGroup& curved() const { return terms_->curved; }
  /// The groups as a transform along s = c + i t with |s| up to `greatest_s` needs them.
  [[nodiscard]] const RandomGroup& plain(double c, double greatest_s) const {
    return few_will_do(c, greatest_s) ? terms_->plain_of_few : terms_->plain;
  }
  [[nodiscard]] const RandomGroup& curved(double c, double greatest_s) const {
    return few_will_do(c, greatest_s) ? terms_->curved_of_few : terms_->curved;
  }
  [[nodiscard]] bool few_will_do(double c, double greatest_s) const {
    return c <= terms_->greatest_tilt && greatest_s <= terms_->greatest_s;
  }
  /// The branches as they need them. Beyond the tilt that few are made for, their weights of both
  /// signs no longer cancel to what the branches at the edge add, and the sum may even turn
  /// negative.
  [[nodiscard]] const BranchSums& branch_sums(double c, double greatest_s) const {
    return c <= condensed_tilt_ && greatest_s <= condensed_bound_ ? condensed_ : branches_;
  }
  [[nodiscard]] std::vector<Atom> atoms() const;

  [[nodiscard]] PartProbability from_steps(double x) const;
  [[nodiscard]] PartProbability from_normals(double x) const;
  [[nodiscard]] PartProbability from_single(double x) const;
  [[nodiscard]] std::optional<PartProbability> from_contour(double x);
  [[nodiscard]] PartProbability from_split(double x);

  [[nodiscard]] double tilt_at(std::size_t index) const;
  [[nodiscard]] TermTilt term_tilt(double side, double c) const;
  [[nodiscard]] Tilt tilt(std::size_t side, std::size_t index) const;
  Rung& rung(std::size_t side, std::size_t index);
  [[nodiscard]] double height(std::size_t side, std::size_t index, double z);
  [[nodiscard]] double log_chernoff(std::size_t side, double z, double enough);
  [[nodiscard]] bool carries(std::size_t side, std::size_t index);
  [[nodiscard]] double lowest_place(std::size_t side, std::size_t index);
  [[nodiscard]] double period(std::size_t side, std::size_t index);
  [[nodiscard]] double bend_strength(double c, double sigma,
                                     const std::array<double, 4>& curve) const;
  [[nodiscard]] std::unique_ptr<Contour> contour(std::size_t side, std::size_t index);

  const Part* part_;  ///< its terms alone; the branches are `given_`
  std::vector<Branch> given_;
  Resolution resolution_;
  std::shared_ptr<const Terms> terms_;
  std::shared_ptr<TermTilts> tilts_;
  double weight_ = 0.0;
  double mean_ = 0.0;
  double sigma_ = 0.0;
  double noise_ = 0.0;             ///< sigma without the spread of the branches
  double scale_ = 1.0;             ///< a0
  std::array<double, 4> curve_{};  ///< g_1 ... g_4
  std::vector<Deviation> deviations_;
  BranchSums branches_;   ///< one for every branch
  BranchSums condensed_;  ///< fewer, as good for s up to the two bounds; none where those are 0
  double condensed_tilt_ = 0.0;   ///< of the real part of s
  double condensed_bound_ = 0.0;  ///< of |s|
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
