#include "band/gap_distribution.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "band/gap_terms.hpp"
#include "band/root_sum_square.hpp"
#include "band/spread_nodes.hpp"
#include "band/worst_case.hpp"
#include "lashband/error.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;
using tolerance::kernel::Branch;
using tolerance::kernel::Part;
using tolerance::kernel::Term;

constexpr std::array all_measures{GapMeasure::j_bt, GapMeasure::j_wt, GapMeasure::phi_1,
                                  GapMeasure::phi_2};
// A gap is a difference of lengths a thousand times as long.
constexpr double rounding_of_reach = 1e-9;

// An elongation with more of the standard deviation than this is a term of the sum.
constexpr double share_of_half_the_variance = 0.7071;

// More combinations of elongations than this take longer than sampling.
constexpr std::size_t most_branches = 60000;

Stance stance_of(Gap gap) {
  switch (gap) {
    case Gap::least:
      return together;
    case Gap::greatest:
      return apart;
    case Gap::bind:
      break;
  }
  return taken_up;
}

bool has_any_of(const LinearForm& form, const std::vector<std::size_t>& draws) {
  return std::any_of(form.terms.begin(), form.terms.end(), [&draws](const LinearTerm& term) {
    return term.coefficient != 0.0 &&
           std::find(draws.begin(), draws.end(), term.draw) != draws.end();
  });
}

// The form with the elongations at `y` and everything else free.
LinearForm given(const LinearForm& form, const std::vector<std::size_t>& elongations,
                 const std::vector<double>& y) {
  LinearForm rest{form.constant, {}};
  for (const LinearTerm& term : form.terms) {
    if (std::find(elongations.begin(), elongations.end(), term.draw) != elongations.end()) {
      rest.constant += term.coefficient * y[term.draw];
    } else {
      rest.terms.push_back(term);
    }
  }
  return rest;
}

void append(std::vector<Term>& terms, const LinearForm& form, double factor,
            const std::vector<Shape>& shapes) {
  for (const LinearTerm& term : form.terms) {
    if (factor * term.coefficient != 0.0) {
      terms.push_back({factor * term.coefficient, &shapes[term.draw]});
    }
  }
}

SeatModel given(SeatModel seat, const std::vector<std::size_t>& elongations,
                const std::vector<double>& y) {
  seat.clearance = given(seat.clearance, elongations, y);
  seat.outer = given(seat.outer, elongations, y);
  seat.inner = given(seat.inner, elongations, y);
  return seat;
}

// Taylor coefficients of 2 B h(a/B) in the centre distance, from its slope 2 sin alpha_wt with
// sin^2 alpha_wt = 1 - (B/a)^2.
std::array<double, 4> slopes_of_opening(double a, double B) {
  const double w2 = (B / a) * (B / a);
  const double s0 = std::sqrt((1.0 - B / a) * (1.0 + B / a));
  const double s1 = w2 / s0;
  const double s2 = (-3.0 * w2 - s1 * s1) / (2.0 * s0);
  const double s3 = (4.0 * w2 - 2.0 * s1 * s2) / (2.0 * s0);
  return {2.0 * s0, s1 / a, 2.0 / 3.0 * s2 / (a * a), 0.5 * s3 / (a * a * a)};
}

// How a mean answers to the elongations: to second order in each, added up.
class MeanResponse {
 public:
  template <class Mean>
  MeanResponse(const std::vector<std::size_t>& elongations, std::size_t draws, const Mean& mean) {
    std::vector<double> y(draws, 0.0);
    const double mid = mean(y);
    for (const std::size_t draw : elongations) {
      y[draw] = -1.0;
      const double below = mean(y);
      y[draw] = 1.0;
      const double above = mean(y);
      y[draw] = 0.0;
      if (above != mid || below != mid) {
        responses_.push_back({draw, 0.5 * (above - below), 0.5 * (above + below) - mid});
      }
    }
  }

  /// By how much the mean differs from that at the mids.
  [[nodiscard]] double at(const std::vector<double>& y) const {
    double sum = 0.0;
    for (const Response& response : responses_) {
      sum += (response.rise + response.bend * y[response.draw]) * y[response.draw];
    }
    return sum;
  }

 private:
  struct Response {
    std::size_t draw;
    double rise;
    double bend;
  };
  std::vector<Response> responses_;
};

// One gap of one mesh at one state, as units with given elongations see it.
class GapAtElongations {
 public:
  GapAtElongations(const MeshModel& mesh, const StateModel& state, const Draws& draws, Gap gap,
                   FloatMeasures& floats)
      : mesh_(mesh),
        state_(state),
        draws_(draws),
        stance_(stance_of(gap)),
        carrier_(gap == Gap::least ? state.carrier_least : state.carrier_greatest),
        cycle_(gap == Gap::greatest ? state.cycle_greatest : state.cycle_least),
        elongations_(elongation_draws(state, draws)),
        mids_(draws.shapes.size(), 0.0),
        misalignment_(given(state.misalignment, elongations_, mids_)),
        floats_(elongations_, draws.shapes.size(),
                [&](const std::vector<double>& y) { return mean_float(y, floats); }),
        misalignments_(elongations_, draws.shapes.size(),
                       [this](const std::vector<double>& y) { return mean_misalignment(y); }) {}

  [[nodiscard]] const std::vector<std::size_t>& elongations() const { return elongations_; }
  [[nodiscard]] const std::vector<double>& mids() const { return mids_; }
  [[nodiscard]] const StrainModel& carrier() const { return carrier_; }

  /// How a linear term adds to the spread.
  [[nodiscard]] LinearSpread spread() const {
    return linear_spread(mesh_, state_, carrier_, draws_, stance_, cycle_, GapMeasure::j_bt);
  }

  /// The gap with every other term at the mid of its band and the terms with a kink, which are
  /// measures, left out.
  [[nodiscard]] GapAt at(const std::vector<double>& y) const {
    const double misalignment = is_spread(misalignment_) ? 0.0 : std::abs(misalignment_.constant);
    GapAt gap = gap_at(mesh_, state_, carrier_, y.data(),
                       {0.0, mesh_.run_out_phase ? 0.0 : stance_.run_out},
                       misalignment + misalignments_.at(y));
    gap.j_bt += cycle_ * std::abs(mesh_.p_b2 * gap.e_2 - mesh_.p_b1 * gap.e_1);
    return opened(gap, 0.5 * stance_.shafts * floats_.at(y));
  }

  /// Every term that is no elongation.
  [[nodiscard]] Part terms(const std::vector<Shape>& shapes, FloatMeasures& floats) const {
    const GapAt mid = at(mids_);
    Part part;
    append(part.plain, mesh_.E_1, -mesh_.kappa * mid.e_1, shapes);
    append(part.plain, mesh_.E_2, -mesh_.kappa * mid.e_2, shapes);
    append(part.plain, mesh_.pitch_1, -mid.e_1 / mesh_.cos_beta_b, shapes);
    append(part.plain, mesh_.pitch_2, -mid.e_2 / mesh_.cos_beta_b, shapes);
    append(part.plain, mesh_.wear, 1.0 / mesh_.cos_beta_b, shapes);
    append(part.plain, mesh_.other_j, 1.0 / mesh_.cos_beta_b, shapes);
    if (is_spread(misalignment_)) {
      part.plain_measures.push_back(
          scaled(size_of(misalignment_, draws_), -1.0 / mesh_.cos_beta_b));
    }
    append(part.curved, mesh_.deviation, 1.0 + strain(carrier_, mids_.data()), shapes);
    append(part.curved, mesh_.other_a, 1.0, shapes);
    if (mesh_.run_out_phase) {
      part.curved_measures.push_back(
          scaled(floats.run_out_of(mesh_, draws_, mid.e_1, mid.e_2), stance_.run_out));
    } else {
      append(part.curved, mesh_.run_out_1, 0.5 * stance_.run_out * mid.e_1, shapes);
      append(part.curved, mesh_.run_out_2, 0.5 * stance_.run_out * mid.e_2, shapes);
    }
    for (const SeatModel& seat : state_.seats) {
      part.curved_measures.push_back(
          scaled(floats.of(given(seat, elongations_, mids_), draws_), 0.5 * stance_.shafts));
    }
    return part;
  }

 private:
  // Of the seats that the elongations act on; the others do not answer to them.
  [[nodiscard]] double mean_float(const std::vector<double>& y, FloatMeasures& floats) const {
    double mean = 0.0;
    for (const SeatModel& seat : state_.seats) {
      if (has_any_of(seat.clearance, elongations_) || has_any_of(seat.outer, elongations_) ||
          has_any_of(seat.inner, elongations_)) {
        mean += floats.mean_of(given(seat, elongations_, y), draws_);
      }
    }
    return mean;
  }

  [[nodiscard]] double mean_misalignment(const std::vector<double>& y) const {
    return has_any_of(state_.misalignment, elongations_)
               ? mean_of(size_of(given(state_.misalignment, elongations_, y), draws_))
               : 0.0;
  }

  const MeshModel& mesh_;
  const StateModel& state_;
  const Draws& draws_;
  Stance stance_;
  const StrainModel& carrier_;
  double cycle_;
  std::vector<std::size_t> elongations_;
  std::vector<double> mids_;
  LinearForm misalignment_;  // with the elongations at their mids
  MeanResponse floats_;
  MeanResponse misalignments_;
};

// The shapes of the draws and, last, a normal one.
std::shared_ptr<const std::vector<Shape>> with_a_normal(std::vector<Shape> shapes) {
  shapes.push_back(Shape::normal());
  return std::make_shared<const std::vector<Shape>>(std::move(shapes));
}

// A measure stands for a smooth density only where something broader than its panels is added: a
// normal term, or many bounded ones. Where there is neither, a normal of a hundredth of the spread
// is, which moves a percentile by 2e-4 of the spread at most.
constexpr double smoothing = 0.01;
bool needs_smoothing(const Part& part) {
  constexpr std::size_t few = 6;
  constexpr std::size_t many_places = 8;
  const auto broad = [](const tolerance::kernel::Measure& measure) {
    return measure.place.size() > many_places;
  };
  const auto normal = [](const Term& term) { return term.shape->kind() == Shape::Kind::normal; };
  return part.plain.size() + part.curved.size() <= few &&
         std::none_of(part.plain.begin(), part.plain.end(), normal) &&
         std::none_of(part.curved.begin(), part.curved.end(), normal) &&
         (std::any_of(part.plain_measures.begin(), part.plain_measures.end(), broad) ||
          std::any_of(part.curved_measures.begin(), part.curved_measures.end(), broad));
}

// As many nodes for an elongation as its share of the standard deviation asks for.
std::size_t nodes_for(double share, bool kinked) {
  return static_cast<std::size_t>((kinked ? 12.0 : 3.0) + std::ceil(10.0 * share));
}

}  // namespace

GapDistribution::GapDistribution(const MeshModel& mesh, const StateModel& state, const Draws& draws,
                                 Gap gap, FloatMeasures& floats)
    : shapes_(with_a_normal(draws.shapes)) {
  mesh_.r_b1 = mesh.r_b1;
  mesh_.r_b2 = mesh.r_b2;
  const GapAtElongations gap_of(mesh, state, draws, gap, floats);
  part_ = gap_of.terms(*shapes_, floats);

  // What decides about elongations; nothing else needs it in the usual case.
  const bool smoothed = needs_smoothing(part_);
  const LinearSpread spread =
      smoothed || !gap_of.elongations().empty() ? gap_of.spread() : LinearSpread{};
  std::vector<double> y = gap_of.mids();
  std::vector<std::size_t> elongations;
  std::vector<std::vector<Node>> nodes;
  std::size_t branches = 1;
  for (const std::size_t draw : gap_of.elongations()) {
    const double share =
        spread.sigma > 0.0 ? std::min(1.0, std::abs(spread.parts[draw]) / spread.sigma) : 0.0;
    if (share > share_of_half_the_variance) {
      // Nodes would show through where there is nothing broader to smooth them.
      y[draw] = -1.0;
      const GapAt below = gap_of.at(y);
      y[draw] = 1.0;
      const GapAt above = gap_of.at(y);
      y[draw] = 0.0;
      Dominant dominant{&(*shapes_)[draw], 0.5 * (above.j_bt - below.j_bt), {}};
      for (const GapMeasure measure : all_measures) {
        dominant.divisor_reach.at(static_cast<std::size_t>(measure)) =
            0.5 * (divisor(measure, mesh, above) - divisor(measure, mesh, below));
      }
      dominant_.push_back(dominant);
      continue;
    }
    elongations.push_back(draw);
    nodes.push_back(
        nodes_of(draws.shapes[draw], nodes_for(share, !gap_of.carrier().knees.empty())));
    branches *= nodes.back().size();
    if (branches > most_branches) {
      throw ComputationError("the elongations of " + std::to_string(gap_of.elongations().size()) +
                             " materials and strains are too many for the distribution; "
                             "an expansion group makes one of several");
    }
  }

  const GapAt mid = gap_of.at(y);
  const double scale_at_mid = 1.0 + strain(gap_of.carrier(), y.data());
  for (std::size_t index = 0; index < branches; ++index) {
    std::size_t rest = index;
    Branch branch;
    for (std::size_t i = 0; i < elongations.size(); ++i) {
      const Node& node = nodes[i][rest % nodes[i].size()];
      rest /= nodes[i].size();
      y[elongations[i]] = node.value;
      branch.weight *= node.weight;
    }
    const GapAt at = gap_of.at(y);
    // The centre distance's deviations grow with the carrier.
    const double stretch = (1.0 + strain(gap_of.carrier(), y.data())) / scale_at_mid;
    branch.shift = at.j_bt;
    branch.plain_scale = (at.e_1 + at.e_2) / (mid.e_1 + mid.e_2);
    branch.q = slopes_of_opening(at.a, at.B);
    double power = 1.0;
    for (double& q : branch.q) {
      power *= stretch;
      q *= power;
    }
    part_.branches.push_back(branch);
    sides_.push_back({at, stretch});
  }
  varies_ = branches > 1 || !dominant_.empty() || !part_.plain.empty() || !part_.curved.empty() ||
            !part_.plain_measures.empty() || !part_.curved_measures.empty();
  if (smoothed) {
    const Part bare = part_for(GapMeasure::j_bt, 0.0);
    support_ = tolerance::kernel::support({&bare, 1});
    part_.plain.push_back({3.0 * smoothing * spread.sigma, &shapes_->back()});
  }
  transverse_parts_.push_back(part_for(GapMeasure::j_bt, 0.0));
  transverse_ = std::make_unique<tolerance::kernel::Distribution>(transverse_parts_);
  if (!smoothed) {
    support_ = transverse_->support();
  }
  for (const Term& term : part_.plain) {
    plain_mean_ += term.reach * term.shape->mean();
  }
  for (const tolerance::kernel::Measure& measure : part_.plain_measures) {
    plain_mean_ += mean_of(measure);
  }
  for (const Term& term : part_.curved) {
    curved_mean_ += term.reach * term.shape->mean();
    curved_variance_ += std::pow(term.reach * term.shape->sigma(), 2);
  }
  for (const tolerance::kernel::Measure& measure : part_.curved_measures) {
    const double mean = mean_of(measure);
    curved_mean_ += mean;
    for (std::size_t i = 0; i < measure.place.size(); ++i) {
      curved_variance_ += measure.weight[i] * std::pow(measure.place[i] - mean, 2);
    }
  }
}

std::vector<Branch> GapDistribution::branches_for(GapMeasure measure, double x) const {
  std::vector<Branch> branches = part_.branches;
  for (std::size_t k = 0; k < branches.size(); ++k) {
    Branch& branch = branches[k];
    const Side& side = sides_[k];
    branch.shift -= x * divisor(measure, mesh_, side.at);
    if (measure == GapMeasure::j_wt) {
      // B/a falls with the centre distance: B/(a + D) = B/a (1 - D/a + (D/a)^2 - ...).
      const double step = side.scale / side.at.a;
      double power = side.at.B / side.at.a;
      for (double& q : branch.q) {
        power *= -step;
        q -= x * power;
      }
    }
  }
  return branches;
}

Part GapDistribution::part_for(GapMeasure measure, double x) const {
  Part part = part_;
  for (const Dominant& dominant : dominant_) {
    const double reach =
        dominant.reach - x * dominant.divisor_reach.at(static_cast<std::size_t>(measure));
    // What cancels but for rounding does not vary.
    if (std::abs(reach) > rounding_of_reach * std::abs(dominant.reach)) {
      part.plain.push_back({reach, dominant.shape});
    }
  }
  part.branches = branches_for(measure, x);
  return part;
}

// What the distribution of "gap - x * divisor" answers. A dominant elongation is a term that
// depends on x; without one the terms stay and only the branches change.
template <class Question>
double GapDistribution::asked(GapMeasure measure, double x, const Question& question) const {
  if (dominant_.empty()) {
    tolerance::kernel::Distribution distribution =
        transverse_->with_branches({branches_for(measure, x)});
    return question(distribution);
  }
  const Part part = part_for(measure, x);
  tolerance::kernel::Distribution distribution({&part, 1});
  return question(distribution);
}

// The mean of the divisor where the gap has a value, by their regression line.
GapDistribution::Expected GapDistribution::expected(GapMeasure measure, double gap) const {
  const tolerance::kernel::Moments moments = transverse_->moments();
  double mean = 0.0;
  double mean_of_gaps = 0.0;
  double covariance = 0.0;
  for (std::size_t k = 0; k < sides_.size(); ++k) {
    const GapAt& at = sides_[k].at;
    const Branch& branch = part_.branches[k];
    const double step = measure == GapMeasure::j_wt ? sides_[k].scale / at.a : 0.0;
    const double middle = divisor(measure, mesh_, at) * (1.0 - step * curved_mean_);
    mean += branch.weight * middle;
    mean_of_gaps += branch.weight * branch.shift;
    covariance += branch.weight * middle * (branch.shift - branch.q[0] * step * curved_variance_);
  }
  covariance -= mean * mean_of_gaps;
  for (const Dominant& dominant : dominant_) {
    covariance += dominant.reach * dominant.divisor_reach.at(static_cast<std::size_t>(measure)) *
                  std::pow(dominant.shape->sigma(), 2);
  }
  const double variance = moments.sigma * moments.sigma;
  const double rise = variance > 0.0 ? covariance / variance : 0.0;
  const double at_gap = mean + rise * (gap - moments.mean);
  return {gap / at_gap, at_gap};
}

double GapDistribution::below(GapMeasure measure, double x) const {
  if (measure == GapMeasure::j_bt) {
    return x < support_.low ? 0.0 : x >= support_.high ? 1.0 : transverse_->probability(x).below;
  }
  return asked(measure, x, [](auto& gap) { return gap.probability(0.0).below; });
}

double GapDistribution::above(GapMeasure measure, double x) const {
  if (measure == GapMeasure::j_bt) {
    return x < support_.low ? 1.0 : x >= support_.high ? 0.0 : transverse_->probability(x).above;
  }
  return asked(measure, x, [](auto& gap) { return gap.probability(0.0).above; });
}

double GapDistribution::transverse_quantile(double p) const {
  for (const auto& [known, x] : known_quantiles_) {
    if (known == p) {
      return x;
    }
  }
  known_quantiles_.emplace_back(p, transverse_->quantile(p));
  return known_quantiles_.back().second;
}

double GapDistribution::quantile(GapMeasure measure, double p) const {
  const double transverse = transverse_quantile(p);
  if (measure == GapMeasure::j_bt) {
    return transverse;
  }
  const bool constant_divisor =
      measure != GapMeasure::j_wt && sides_.size() == 1 && dominant_.empty();
  if (constant_divisor) {
    return transverse / divisor(measure, mesh_, sides_.front().at);
  }
  // The divisor varies little, so that the quantile of "gap - x divisor" falls with x at nearly the
  // rate of the divisor there, and each step gains three digits or more.
  auto [x, rate] = expected(measure, transverse);
  const double near = 1e-3 * transverse_->moments().sigma;  // one step of Newton's rule is enough
  constexpr int most_steps = 20;
  constexpr double good = 5e-10;  // a step from here ends at 5e-13
  for (int i = 0; i < most_steps; ++i) {
    const double residual = asked(measure, x, [p, near](auto& gap) {
      const double step = gap.step_to_quantile(p, 0.0);
      return std::abs(step) <= near ? step : gap.quantile(p);
    });
    x += residual / rate;
    if (std::abs(residual) <= good) {
      break;
    }
  }
  return x;
}

tolerance::kernel::Moments GapDistribution::moments(GapMeasure measure) const {
  if (measure == GapMeasure::j_bt) {
    return transverse_->moments();
  }
  // gap/divisor is (shift + scale A + q_0 D + ...)(u + v D) in every branch, again a polynomial in
  // D. A, which varies, is multiplied with the mean of u + v D only: a part in 1e8 of the variance.
  std::vector<Branch> branches = part_.branches;
  for (std::size_t k = 0; k < branches.size(); ++k) {
    Branch& branch = branches[k];
    const GapAt& at = sides_[k].at;
    const double u = 1.0 / divisor(measure, mesh_, at);
    const double v = measure == GapMeasure::j_wt ? sides_[k].scale / at.B : 0.0;
    const double scale = branch.plain_scale;
    branch.plain_scale = scale * (u + v * curved_mean_);
    double lower = branch.shift + scale * plain_mean_;
    branch.shift = u * lower - branch.plain_scale * plain_mean_;
    for (double& q : branch.q) {
      const double own = q;
      q = u * own + v * lower;
      lower = own;
    }
  }
  if (dominant_.empty()) {
    return transverse_->with_branches({std::move(branches)}).moments();
  }
  Part part = part_;
  const double gap = transverse_->moments().mean;
  const double middle = divisor(measure, mesh_, sides_.front().at);
  for (const Dominant& dominant : dominant_) {
    const double of_divisor = dominant.divisor_reach.at(static_cast<std::size_t>(measure));
    part.plain.push_back({(dominant.reach - gap / middle * of_divisor) / middle, dominant.shape});
  }
  part.branches = std::move(branches);
  return tolerance::kernel::moments({&part, 1});
}

}  // namespace lashband::band::kernel
