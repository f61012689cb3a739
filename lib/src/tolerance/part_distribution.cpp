#include "tolerance/part_distribution.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <utility>

#include "lashband/error.hpp"
#include "tolerance/contour_lanes.hpp"
#include "tolerance/curve.hpp"
#include "tolerance/part_contour.hpp"
#include "tolerance/part_split.hpp"

// Symbols as in docs/theory/distribution.md: a = A - E A, d = D - E D; the curve about E D is
// g_1 d + ... + g_4 d^4, averaged over the branches of the part.
namespace lashband::tolerance::kernel {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// How many combinations of places of measures are summed one by one.
constexpr std::size_t most_atoms = 100000;
/// With one bounded term and few steps beside it the sum over the steps is exact and fast.
constexpr std::size_t most_steps_beside_one_term = 256;
/// A part without normal terms and with this many shapes or fewer has a transform that falls too
/// slowly for the contour.
constexpr std::size_t few_bounded_terms = 3;
/// A normal term beyond this many sigma has a probability below 1e-37.
constexpr double farthest_normal_sigmas = 13.0;
/// The curve must rise over the window: bounded terms, and this many sigma of the normal ones.
constexpr double window_sigmas = 8.0;

/// N Chebyshev nodes over half a range H give e^{-s (delta - mid)} to about I_N(|s| H), which is
/// (|s| H/2)^N/N! times e^{(c H)^2/(4 (N + 1))} at most for the real part c of s. Its mean over
/// places whose own mean is `off` from the mid of the range may be as small as e^{-c off} (Jensen).
/// Of that the error is to be 1e-15 on the contour up to |s| = 40/sigma of the noise, less what the
/// normal terms damp, and 1e-11 on the real axis up to 8/sigma.
constexpr double condensed_reach = 40.0;
constexpr double log_condensed_error = -34.5;
constexpr double condensed_tilt = 8.0;
/// Measures serve the percentiles, up to 4/sigma on the real axis; farther out all places are
/// taken.
constexpr double measure_tilt = 4.0;
constexpr double log_condensed_tilt_error = -25.3;

/// Every condensed weight is rounded to 1e-17 of the whole, also where there is next to no weight,
/// and the tilt raises that at the end farther from the mean by this power of e at most: to 1e-9.
constexpr double greatest_condensed_rise = 18.0;

/// Distributions of the same terms share their contours up to this relative difference of scale
/// and slope, which changes a logarithm of the transform by 0.3 at c = 8/sigma.
constexpr double greatest_shared_difference = 5e-3;

/// It is worth the trouble from this many nodes on, where it leaves this share of them or less.
constexpr double fewest_to_condense = 8.0;
constexpr double most_to_keep = 0.8;

std::size_t condensed_nodes(double half, double off, double noise, double normal_sigma,
                            double tilt) {
  const double c = tilt / noise;
  double log_factorial = 0.0;
  for (std::size_t n = 1;; ++n) {
    const auto N = static_cast<double>(n);
    log_factorial += std::log(N);
    const double s = std::min(condensed_reach / noise, std::sqrt(N) / normal_sigma);
    const double raised = c * off + 0.25 * c * half * c * half / (N + 1.0) - log_factorial;
    const double damped =
        N * std::log(0.5 * s * half) - 0.5 * s * s * normal_sigma * normal_sigma + raised;
    const double tilted = N * std::log(0.5 * c * half) + raised;
    if (!(damped > log_condensed_error || tilted > log_condensed_tilt_error)) {
      return n;
    }
  }
}

bool finite(const Branch& branch) {
  return std::isfinite(branch.weight) && std::isfinite(branch.shift) &&
         std::isfinite(branch.plain_scale) &&
         std::all_of(branch.q.begin(), branch.q.end(), [](double q) { return std::isfinite(q); });
}

std::size_t shapes_of(const RandomGroup& group) {
  return static_cast<std::size_t>(
      std::count_if(group.bounded.begin(), group.bounded.end(),
                    [](const BoundedTerm& term) { return term.shape != nullptr; }));
}

double normal_below(double u) {
  return 0.5 * std::erfc(-u / std::numbers::sqrt2);
}

}  // namespace

PartDistribution::PartDistribution(PartDistribution&&) noexcept = default;
PartDistribution& PartDistribution::operator=(PartDistribution&&) noexcept = default;
PartDistribution::~PartDistribution() = default;

PartDistribution::PartDistribution(const Part& part, Resolution resolution)
    : part_(&part), given_(part.branches), resolution_(resolution) {
  auto terms = std::make_shared<Terms>();
  terms->plain = random_group(part.plain, part.plain_measures);
  terms->curved = random_group(part.curved, part.curved_measures);
  terms_ = terms;
  prepare();
  start_tilts();
  if (route_ == Route::contour) {
    condense_measures(*terms);
  }
}

PartDistribution::PartDistribution(const PartDistribution& other, std::vector<Branch> branches)
    : part_(other.part_),
      given_(std::move(branches)),
      resolution_(other.resolution_),
      terms_(other.terms_),
      tilts_(other.tilts_) {
  prepare();
  const auto alike = [](double own, double its) {
    return std::abs(own - its) <= greatest_shared_difference * std::abs(its);
  };
  if (!(alike(sigma_, tilts_->sigma) && alike(scale_, tilts_->scale) &&
        alike(curve_[0], tilts_->curve[0]))) {
    start_tilts();
  }
}

void PartDistribution::start_tilts() {
  tilts_ = std::make_shared<TermTilts>();
  tilts_->sigma = sigma_;
  tilts_->scale = scale_;
  tilts_->curve = curve_;
}

void PartDistribution::prepare() {
  check();
  average_branches();
  choose_route();
  if (route_ == Route::contour) {
    condense_branches();
  }
}

void PartDistribution::check() const {
  if (given_.empty()) {
    throw DomainError("a part of a distribution has no branch");
  }
  const bool any_curved = curved().normal_variance > 0.0 || !curved().bounded.empty();
  const double window = window_sigmas * std::sqrt(curved().normal_variance);
  for (const Branch& branch : given_) {
    if (!finite(branch)) {
      throw DomainError("a number of a branch is not finite");
    }
    if (!any_curved) {
      continue;
    }
    if (!(branch.q[0] > 0.0)) {
      throw DomainError("the linear coefficient of a curve is " + std::to_string(branch.q[0]) +
                        ", but must be above 0");
    }
    if (!(curve_slope(branch.q, curved().low - window) > 0.0 &&
          curve_slope(branch.q, curved().high + window) > 0.0)) {
      throw ComputationError(
          "a curve turns back within the window of its terms, so the distribution has no result");
    }
  }
}

/// Means, standard deviations, supports, and the branches as deviations from their average.
void PartDistribution::average_branches() {
  const std::vector<Branch>& branches = given_;
  std::vector<double> location;
  std::vector<std::array<double, 4>> slopes;
  location.reserve(branches.size());
  slopes.reserve(branches.size());
  double scale_sum = 0.0;
  double scale_weight = 0.0;
  std::array<double, 4> curve_sum{};
  for (const Branch& branch : branches) {
    const CurveAt at = curve_at(branch.q, curved().mean);
    location.push_back(branch.shift + branch.plain_scale * plain().mean + at.value);
    slopes.push_back(at.coefficient);
    weight_ += branch.weight;
    const double weight = std::abs(branch.weight);
    scale_weight += weight;
    scale_sum += weight * branch.plain_scale;
    for (std::size_t m = 0; m < 4; ++m) {
      curve_sum[m] += weight * at.coefficient[m];
    }
  }
  if (!(weight_ > 0.0)) {
    throw DomainError("the weights of the branches of a part add up to " + std::to_string(weight_) +
                      ", but must be above 0");
  }
  scale_ = scale_sum / scale_weight;
  for (std::size_t m = 0; m < 4; ++m) {
    curve_[m] = curve_sum[m] / scale_weight;
  }

  const CentralMoments& mu = curved().moments;
  const auto mean_of = [&](const std::array<double, 4>& g) {
    return g[1] * mu[2] + g[2] * mu[3] + g[3] * mu[4];
  };
  const auto variance_of = [&](double scale, const std::array<double, 4>& g) {
    double sum = scale * scale * plain().moments[2];
    for (std::size_t i = 0; i < 4; ++i) {
      for (std::size_t j = 0; j < 4; ++j) {
        sum += g[i] * g[j] * (mu[i + j + 2] - mu[i + 1] * mu[j + 1]);
      }
    }
    return sum;
  };
  for (std::size_t b = 0; b < branches.size(); ++b) {
    mean_ += branches[b].weight / weight_ * (location[b] + mean_of(slopes[b]));
  }
  double variance = 0.0;
  for (std::size_t b = 0; b < branches.size(); ++b) {
    const double off = location[b] + mean_of(slopes[b]) - mean_;
    variance += branches[b].weight / weight_ *
                (off * off + variance_of(branches[b].plain_scale, slopes[b]));
  }
  sigma_ = std::sqrt(std::max(0.0, variance));
  noise_ = std::sqrt(std::max(0.0, variance_of(scale_, curve_)));

  deviations_.reserve(branches.size());
  bool alike = true;
  for (std::size_t b = 0; b < branches.size(); ++b) {
    Deviation deviation{};
    deviation.delta = location[b] - mean_;
    deviation.epsilon = branches[b].plain_scale - scale_;
    alike = alike && branches[b].plain_scale == branches[0].plain_scale && slopes[b] == slopes[0];
    for (std::size_t m = 0; m < 4; ++m) {
      deviation.gamma[m] = slopes[b][m] - curve_[m];
    }
    deviations_.push_back(deviation);
  }
  branches_.rows = alike ? 1 : 9;
  for (std::size_t b = 0; b < branches.size(); ++b) {
    const Deviation& deviation = deviations_[b];
    const double w = branches[b].weight;
    branches_.place.push_back(deviation.delta);
    branches_.weight.push_back(w);
    if (!alike) {
      const double e = deviation.epsilon;
      const std::array<double, 4>& g = deviation.gamma;
      branches_.weight.insert(branches_.weight.end(),
                              {w * e, w * g[0], w * g[1], w * g[2], w * g[3], w * e * e,
                               w * e * g[0], w * g[0] * g[0]});
    }
  }

  support_ = {infinity, -infinity};
  effective_support_ = {infinity, -infinity};
  const double plain_normal = farthest_normal_sigmas * std::sqrt(plain().normal_variance);
  const double curved_normal = farthest_normal_sigmas * std::sqrt(curved().normal_variance);
  for (const Branch& branch : branches) {
    const double scale = std::abs(branch.plain_scale);
    const double plain_low =
        branch.plain_scale >= 0.0 ? scale * plain().low : -scale * plain().high;
    const double plain_high =
        branch.plain_scale >= 0.0 ? scale * plain().high : -scale * plain().low;
    const double low = branch.shift + plain_low + curve_value(branch.q, curved().low);
    const double high = branch.shift + plain_high + curve_value(branch.q, curved().high);
    const double beyond = scale * plain_normal;
    support_.low = std::min(support_.low, low);
    support_.high = std::max(support_.high, high);
    effective_support_.low =
        std::min(effective_support_.low, low - beyond - branch.q[0] * curved_normal);
    effective_support_.high =
        std::max(effective_support_.high, high + beyond + branch.q[0] * curved_normal);
  }
  if (plain().normal_variance > 0.0 || curved().normal_variance > 0.0) {
    support_ = {-infinity, infinity};
  }
}

/// Sums of weight * e^{-s place} are the same from few Chebyshev nodes in the range of the places:
/// weight_i = sum over the places of weight * L_i(place), L_i(x) = (1 + 2 sum over m of T_m(x_i)
/// T_m(x))/N.
void PartDistribution::BranchSums::condense(const BranchSums& many, double low, double high,
                                            std::size_t count) {
  const double half = 0.5 * (high - low);
  const double mid = 0.5 * (high + low);
  rows = many.rows;
  std::vector<double> moment(count * rows, 0.0);  // of T_m
  std::vector<Reals> sums(count);
  for (std::size_t row = 0; row < rows; ++row) {
    std::fill(sums.begin(), sums.end(), Reals{});
    // Several places side by side, so that the compiler works on them at once.
    for (std::size_t first = 0; first < many.place.size(); first += lane_count) {
      Reals twice_x{};
      Reals term{};    // weight times T_m
      Reals before{};  // and T_{m-1}
      for (std::size_t l = 0; l < std::min(lane_count, many.place.size() - first); ++l) {
        const double x = half > 0.0 ? (many.place[first + l] - mid) / half : 0.0;
        twice_x[l] = 2.0 * x;
        term[l] = many.weight[(first + l) * rows + row];
        before[l] = term[l] * x;
      }
      for (Reals& sum : sums) {
        for (std::size_t l = 0; l < lane_count; ++l) {
          sum[l] += term[l];
          const double next = twice_x[l] * term[l] - before[l];
          before[l] = term[l];
          term[l] = next;
        }
      }
    }
    for (std::size_t m = 0; m < count; ++m) {
      moment[m * rows + row] = (sums[m][0] + sums[m][1]) + (sums[m][2] + sums[m][3]);
    }
  }
  place.clear();
  weight.assign(count * rows, 0.0);
  const double share = 1.0 / static_cast<double>(count);
  for (std::size_t i = 0; i < count; ++i) {
    const double x = std::cos(std::numbers::pi * (static_cast<double>(i) + 0.5) * share);
    place.push_back(mid + half * x);
    double before = x;
    double t = 1.0;
    for (std::size_t m = 0; m < count; ++m) {
      const double factor = (m == 0 ? 1.0 : 2.0) * share * t;
      for (std::size_t row = 0; row < rows; ++row) {
        weight[i * rows + row] += factor * moment[m * rows + row];
      }
      const double next = 2.0 * x * t - before;
      before = t;
      t = next;
    }
  }
}

double PartDistribution::normal_sigma() const {
  return std::sqrt(scale_ * scale_ * plain().normal_variance +
                   curve_[0] * curve_[0] * curved().normal_variance);
}

void PartDistribution::condense_branches() {
  const auto [low, high] = std::minmax_element(branches_.place.begin(), branches_.place.end());
  const double half = 0.5 * (*high - *low);
  const auto at_hand = static_cast<double>(branches_.place.size());
  if (at_hand < fewest_to_condense || !(half < at_hand * noise_)) {
    return;
  }
  const double off = std::abs(0.5 * (*high + *low));  // their mean is near 0
  const double tilt = std::min(condensed_tilt, greatest_condensed_rise * noise_ / (half + off));
  const double wanted =
      std::ceil(static_cast<double>(condensed_nodes(half, off, noise_, normal_sigma(), tilt)) *
                resolution_.factor);
  if (!(wanted < most_to_keep * at_hand)) {
    return;
  }
  condensed_.condense(branches_, *low, *high, static_cast<std::size_t>(wanted));
  condensed_tilt_ = tilt / noise_;
  condensed_bound_ = condensed_reach / noise_;
}

void PartDistribution::condense_measures(Terms& terms) const {
  terms.plain_of_few = terms.plain;
  terms.curved_of_few = terms.curved;
  bool any = false;
  double least_tilt = measure_tilt;
  const auto condense = [&](RandomGroup& group, double slope) {
    for (BoundedTerm& term : group.bounded) {
      if (term.measure == nullptr) {
        continue;
      }
      const Measure& many = *term.measure;
      const auto [low, high] = std::minmax_element(many.place.begin(), many.place.end());
      const double half = 0.5 * std::abs(slope) * (*high - *low);
      const auto at_hand = static_cast<double>(many.place.size());
      if (at_hand < fewest_to_condense || !(half < at_hand * noise_)) {
        continue;
      }
      const double off = std::abs(slope * (0.5 * (*high + *low) - term.mean));
      const double tilt = std::min(measure_tilt, greatest_condensed_rise * noise_ / (half + off));
      const double wanted =
          std::ceil(static_cast<double>(condensed_nodes(half, off, noise_, normal_sigma(), tilt)) *
                    resolution_.factor);
      if (!(wanted < most_to_keep * at_hand)) {
        continue;
      }
      BranchSums few;
      few.condense({1, many.place, many.weight}, *low, *high, static_cast<std::size_t>(wanted));
      terms.few.push_back({std::move(few.place), std::move(few.weight), many.low, many.high});
      term.measure = &terms.few.back();
      any = true;
      least_tilt = std::min(least_tilt, tilt);
    }
  };
  condense(terms.plain_of_few, scale_);
  condense(terms.curved_of_few, curve_[0]);
  if (any) {
    terms.greatest_tilt = least_tilt / noise_;
    terms.greatest_s = condensed_reach / noise_;
  }
}

bool PartDistribution::has_curve() const {
  return std::any_of(given_.begin(), given_.end(), [](const Branch& branch) {
    return branch.q[1] != 0.0 || branch.q[2] != 0.0 || branch.q[3] != 0.0;
  });
}

std::vector<PartDistribution::Atom> PartDistribution::atoms() const {
  std::vector<Atom> result = {{0.0, 0.0, 1.0}};
  const auto spread = [&result](const RandomGroup& group, double Atom::*place) {
    for (const BoundedTerm& term : group.bounded) {
      if (term.measure == nullptr) {
        continue;
      }
      if (result.size() * term.measure->place.size() > most_atoms) {
        throw ComputationError(
            "a distribution that is made of steps alone has more than 100000 of them");
      }
      std::vector<Atom> next;
      next.reserve(result.size() * term.measure->place.size());
      for (const Atom& atom : result) {
        for (std::size_t i = 0; i < term.measure->place.size(); ++i) {
          Atom one = atom;
          one.*place += term.measure->place[i];
          one.weight *= term.measure->weight[i];
          next.push_back(one);
        }
      }
      result = std::move(next);
    }
  };
  spread(plain(), &Atom::plain);
  spread(curved(), &Atom::curved);
  return result;
}

void PartDistribution::choose_route() {
  const std::size_t shapes = shapes_of(plain()) + shapes_of(curved());
  const bool any_normal = plain().normal_variance > 0.0 || curved().normal_variance > 0.0;
  const bool any_measure = plain().bounded.size() + curved().bounded.size() > shapes;
  if (!any_normal && shapes == 0) {
    atoms_ = atoms();
    route_ = Route::steps;
    return;
  }
  if (any_normal && shapes == 0 && !any_measure &&
      (curved().normal_variance == 0.0 || !has_curve())) {
    route_ = Route::normal;
    return;
  }
  if (!any_normal && shapes == 1) {
    std::size_t steps = given_.size();
    for (const RandomGroup* group : {&plain(), &curved()}) {
      for (const BoundedTerm& term : group->bounded) {
        steps *= term.measure == nullptr ? 1 : term.measure->place.size();
      }
    }
    if (steps <= most_steps_beside_one_term) {
      atoms_ = atoms();
      route_ = Route::single;
      return;
    }
  }
  route_ = !any_normal && shapes > 1 && shapes <= few_bounded_terms ? Route::split : Route::contour;
}

PartProbability PartDistribution::probability(double x) {
  if (x < support_.low) {
    return {0.0, weight_, 0.0};
  }
  if (x >= support_.high) {
    return {weight_, 0.0, 0.0};
  }
  switch (route_) {
    case Route::steps:
      return from_steps(x);
    case Route::normal:
      return from_normals(x);
    case Route::single:
      return from_single(x);
    case Route::split:
      return from_split(x);
    case Route::contour:
      break;
  }
  const std::optional<PartProbability> result = from_contour(x);
  return result ? *result : from_split(x);
}

PartProbability PartDistribution::from_steps(double x) const {
  PartProbability result{0.0, 0.0, nan};
  for (const Branch& branch : given_) {
    for (const Atom& atom : atoms_) {
      const double value =
          branch.shift + branch.plain_scale * atom.plain + curve_value(branch.q, atom.curved);
      (x >= value ? result.below : result.above) += branch.weight * atom.weight;
    }
  }
  return result;
}

PartProbability PartDistribution::from_normals(double x) const {
  PartProbability result;
  for (std::size_t b = 0; b < deviations_.size(); ++b) {
    const Branch& branch = given_[b];
    const double sigma =
        std::sqrt(branch.plain_scale * branch.plain_scale * plain().normal_variance +
                  branch.q[0] * branch.q[0] * curved().normal_variance);
    const double u = (x - branch.shift) / sigma;
    result.below += branch.weight * normal_below(u);
    result.above += branch.weight * normal_below(-u);
    result.density +=
        branch.weight * std::exp(-0.5 * u * u) / (sigma * std::sqrt(2.0 * std::numbers::pi));
  }
  return result;
}

PartProbability PartDistribution::from_single(double x) const {
  PartProbability result;
  const bool in_plain = shapes_of(plain()) == 1;
  const std::vector<BoundedTerm>& group = in_plain ? plain().bounded : curved().bounded;
  const BoundedTerm& term = *std::find_if(
      group.begin(), group.end(), [](const BoundedTerm& one) { return one.shape != nullptr; });
  for (const Branch& branch : given_) {
    for (const Atom& atom : atoms_) {
      const double w = branch.weight * atom.weight;
      const double rest = x - branch.shift - branch.plain_scale * atom.plain;
      double slope = branch.plain_scale * term.reach;
      double y = 0.0;
      if (in_plain) {
        y = (rest - curve_value(branch.q, atom.curved)) / slope;
      } else {
        const double value =
            curve_root(branch.q, rest, atom.curved + term.low, atom.curved + term.high);
        y = (value - atom.curved) / term.reach;
        slope = term.reach * curve_slope(branch.q, value);
      }
      const double below = slope > 0.0 ? term.shape->below(y) : term.shape->above(y);
      const double above = slope > 0.0 ? term.shape->above(y) : term.shape->below(y);
      result.below += w * below;
      result.above += w * above;
      result.density += w * term.shape->density(y) / std::abs(slope);
    }
  }
  return result;
}

}  // namespace lashband::tolerance::kernel
