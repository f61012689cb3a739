#include "band/gap_distribution.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "band/elongation_nodes.hpp"
#include "band/gap_terms.hpp"
#include "band/kink_response.hpp"
#include "band/part_terms.hpp"
#include "band/root_sum_square.hpp"
#include "band/worst_case.hpp"

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

void append(std::vector<Term>& terms, const LinearForm& form, double factor,
            const std::vector<Shape>& shapes) {
  for (const LinearTerm& term : form.terms) {
    if (factor * term.coefficient != 0.0) {
      terms.push_back({factor * term.coefficient, &shapes[term.draw]});
    }
  }
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

// One gap of one mesh at one state, as units with given elongations see it.
class GapAtElongations {
 public:
  GapAtElongations(const MeshModel& mesh, const StateModel& state, const Draws& draws, Gap gap)
      : mesh_(mesh),
        state_(state),
        draws_(draws),
        stance_(stance_of(gap)),
        carrier_(gap == Gap::least ? state.carrier_least : state.carrier_greatest),
        cycle_(gap == Gap::greatest ? state.cycle_greatest : state.cycle_least),
        elongations_(elongation_draws(state, draws)),
        mids_(draws.shapes.size(), 0.0) {
    for (const SeatModel& seat : state.seats) {
      const SeatModel rest = given(seat, elongations_, mids_);
      (is_spread(rest.clearance) || is_spread(rest.outer) || is_spread(rest.inner) ? seats_
                                                                                   : true_seats_)
          .push_back(seat);
    }
  }

  [[nodiscard]] const std::vector<std::size_t>& elongations() const { return elongations_; }
  [[nodiscard]] const std::vector<double>& mids() const { return mids_; }
  [[nodiscard]] const StrainModel& carrier() const { return carrier_; }

  /// Whether an elongation acts on a float or on |M|.
  [[nodiscard]] bool acts_on_kinked(std::size_t draw) const {
    const std::vector<std::size_t> one{draw};
    const auto acts_on = [&one](const SeatModel& seat) { return has_any_of(seat, one); };
    return has_any_of(state_.misalignment, one) ||
           std::any_of(state_.seats.begin(), state_.seats.end(), acts_on);
  }

  /// How a linear term adds to the spread.
  [[nodiscard]] LinearSpread spread() const {
    return linear_spread(mesh_, state_, carrier_, draws_, stance_, cycle_, GapMeasure::j_bt);
  }

  /// What elongations do to the floats, as they add to the centre distance, where the terms on that
  /// have the variance `curved_variance` at the mids.
  [[nodiscard]] KinkResponse floats(double curved_variance, FloatMeasures& floats) const {
    const double mid = float_moments(mids_, floats).variance;
    return {elongations_, draws_.shapes.size(), std::max(0.0, curved_variance - mid),
            [&](const std::vector<double>& y) { return float_moments(y, floats); }};
  }
  /// The same of |M|.
  [[nodiscard]] KinkResponse misalignments(double plain_variance) const {
    const double mid = misalignment_moments(mids_).variance;
    return {elongations_, draws_.shapes.size(), std::max(0.0, plain_variance - mid),
            [this](const std::vector<double>& y) { return misalignment_moments(y); }};
  }

  /// The gap with every other term at the mid of its band and the terms with a kink, which are
  /// measures, left out; those that nothing but elongations moves are no measures.
  [[nodiscard]] GapAt at(const std::vector<double>& y) const {
    double misalignment = 0.0;
    if (!is_spread(given(state_.misalignment, elongations_, mids_))) {
      misalignment = std::abs(state_.misalignment.at(y.data()));
    }
    GapAt gap = gap_at(mesh_, state_, carrier_, y.data(),
                       {0.0, mesh_.run_out_phase ? 0.0 : stance_.run_out}, misalignment);
    gap.j_bt += cycle_ * std::abs(mesh_.p_b2 * gap.e_2 - mesh_.p_b1 * gap.e_1);
    double slack = 0.0;
    for (const SeatModel& seat : true_seats_) {
      slack += seat_float(seat, y.data());
    }
    return slack != 0.0 ? opened(gap, 0.5 * stance_.shafts * slack) : gap;
  }

  /// Every term that is no elongation, those with a kink as they are at the elongations `y`.
  [[nodiscard]] Part terms(const std::vector<Shape>& shapes, const std::vector<double>& y,
                           FloatMeasures& floats) const {
    const GapAt mid = at(mids_);
    Part part;
    append(part.plain, mesh_.E_1, -mesh_.kappa * mid.e_1, shapes);
    append(part.plain, mesh_.E_2, -mesh_.kappa * mid.e_2, shapes);
    append(part.plain, mesh_.pitch_1, -mid.e_1 / mesh_.cos_beta_b, shapes);
    append(part.plain, mesh_.pitch_2, -mid.e_2 / mesh_.cos_beta_b, shapes);
    append(part.plain, mesh_.wear, 1.0 / mesh_.cos_beta_b, shapes);
    append(part.plain, mesh_.other_j, 1.0 / mesh_.cos_beta_b, shapes);
    const LinearForm misalignment = given(state_.misalignment, elongations_, y);
    if (is_spread(misalignment)) {
      part.plain_measures.push_back(scaled(size_of(misalignment, draws_), -1.0 / mesh_.cos_beta_b));
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
    // On the centre distance, whatever the floats add; half of that, since powers of two may halve
    // it.
    const double slope = slopes_of_opening(mid.a, mid.B)[0];
    const double grain = std::sqrt(moments_of(part.curved, {}).variance +
                                   moments_of(part.plain, {}).variance / (slope * slope));
    for (const SeatModel& seat : seats_) {
      part.curved_measures.push_back(scaled(
          floats.of(given(seat, elongations_, y), draws_, 2.0 * grain), 0.5 * stance_.shafts));
    }
    return part;
  }

 private:
  // Of the seats that the elongations act on; the others do not answer to them.
  [[nodiscard]] FloatMoments float_moments(const std::vector<double>& y,
                                           FloatMeasures& floats) const {
    FloatMoments sum;
    for (const SeatModel& seat : seats_) {
      if (has_any_of(seat, elongations_)) {
        const FloatMoments one = floats.moments_of(given(seat, elongations_, y), draws_);
        sum.mean += 0.5 * stance_.shafts * one.mean;
        sum.variance += 0.25 * one.variance;
      }
    }
    return sum;
  }

  [[nodiscard]] FloatMoments misalignment_moments(const std::vector<double>& y) const {
    const LinearForm form = given(state_.misalignment, elongations_, y);
    if (!has_any_of(state_.misalignment, elongations_) || !is_spread(form)) {
      return {};
    }
    return moments_of({}, {scaled(size_of(form, draws_), -1.0 / mesh_.cos_beta_b)});
  }

  const MeshModel& mesh_;
  const StateModel& state_;
  const Draws& draws_;
  Stance stance_;
  const StrainModel& carrier_;
  double cycle_;
  std::vector<std::size_t> elongations_;
  std::vector<double> mids_;
  std::vector<SeatModel> seats_;
  std::vector<SeatModel> true_seats_;  // that nothing but elongations moves
};

}  // namespace

GapDistribution::GapDistribution(const MeshModel& mesh, const StateModel& state, const Draws& draws,
                                 Gap gap, FloatMeasures& floats)
    : shapes_(with_a_normal(draws.shapes)) {
  mesh_.r_b1 = mesh.r_b1;
  mesh_.r_b2 = mesh.r_b2;
  const GapAtElongations gap_of(mesh, state, draws, gap);
  Part at_mids = gap_of.terms(*shapes_, gap_of.mids(), floats);

  // What decides about elongations; nothing else needs it in the usual case.
  const bool smoothed = needs_smoothing(at_mids);
  const LinearSpread spread =
      smoothed || !gap_of.elongations().empty() ? gap_of.spread() : LinearSpread{};
  const FloatMoments plain_at_mids = moments_of(at_mids.plain, at_mids.plain_measures);
  const FloatMoments curved_at_mids = moments_of(at_mids.curved, at_mids.curved_measures);
  const KinkResponse of_floats = gap_of.floats(curved_at_mids.variance, floats);
  const KinkResponse of_misalignment = gap_of.misalignments(plain_at_mids.variance);
  const GapAt mid = gap_of.at(gap_of.mids());
  const double scale_at_mid = 1.0 + strain(gap_of.carrier(), gap_of.mids().data());
  const double slope = slopes_of_opening(mid.a, mid.B)[0];
  ElongationNodes nodes(gap_of.mids());
  for (const std::size_t draw : gap_of.elongations()) {
    const Shape& shape = draws.shapes[draw];
    const double share =
        spread.sigma > 0.0 ? std::min(1.0, std::abs(spread.parts[draw]) / spread.sigma) : 0.0;
    const Acts acts = !gap_of.carrier().knees.empty() ? Acts::on_knee
                      : gap_of.acts_on_kinked(draw)   ? Acts::on_float
                                                      : Acts::smoothly;
    if (!nodes_serve(shape, share, acts)) {
      // Nodes would show through where there is nothing broader to smooth them.
      const auto at_end = [&](double end) {
        std::vector<double> y = gap_of.mids();
        y[draw] = end;
        GapAt at = opened(gap_of.at(y), of_floats.at(y).mean);
        at.j_bt += of_misalignment.at(y).mean;
        return at;
      };
      const GapAt below = at_end(-1.0);
      const GapAt above = at_end(1.0);
      Dominant dominant{&(*shapes_)[draw], 0.5 * (above.j_bt - below.j_bt), {}};
      for (const GapMeasure measure : all_measures) {
        dominant.divisor_reach.at(static_cast<std::size_t>(measure)) =
            0.5 * (divisor(measure, mesh, above) - divisor(measure, mesh, below));
      }
      dominant_.push_back(dominant);
      continue;
    }
    nodes.add(draw, nodes_for(shape, share, acts), gap_of.elongations().size());
  }

  std::vector<double> sigmas(draws.shapes.size(), 0.0);
  for (const std::size_t draw : nodes.draws()) {
    sigmas[draw] = draws.shapes[draw].sigma();
  }
  const std::array kinked{KinkedTerms{of_floats, slope, slope * slope * curved_at_mids.variance},
                          KinkedTerms{of_misalignment, 1.0, plain_at_mids.variance}};
  const Pieces pieces = pieces_of(nodes, sigmas, kinked);
  parts_.reserve(pieces.centres.size());
  if (pieces.centres.size() == 1) {
    parts_.push_back(std::move(at_mids));
  } else {
    for (const std::vector<double>& centre : pieces.centres) {
      parts_.push_back(gap_of.terms(*shapes_, centre, floats));
    }
  }
  for (const Part& part : parts_) {
    const FloatMoments plain = moments_of(part.plain, part.plain_measures);
    const FloatMoments curved = moments_of(part.curved, part.curved_measures);
    pieces_.push_back({{}, plain.mean, curved.mean, curved.variance});
  }
  std::vector<double> y;
  for (std::size_t index = 0; index < nodes.count(); ++index) {
    Branch branch;
    branch.weight = nodes.at(index, y);
    const std::size_t number = pieces.of_node[index];
    const std::vector<double>& centre = pieces.centres[number];
    Piece& piece = pieces_[number];
    const GapAt without_kinks = gap_of.at(y);
    // The centre distance's deviations grow with the carrier.
    const double stretch = (1.0 + strain(gap_of.carrier(), y.data())) / scale_at_mid;
    const KinkChange floats_by = of_floats.from(centre, y);
    const KinkChange misalignment_by = of_misalignment.from(centre, y);
    // All terms of a side are spread alike about their mean, which moves by what that of the floats
    // does.
    const double spread_of_curved = spread_by(floats_by);
    const double spread_of_plain = spread_by(misalignment_by);
    const double curve_scale = stretch * spread_of_curved;
    const double moved = floats_by.mean + (stretch - curve_scale) * piece.curved_mean;
    const GapAt at = moved == 0.0 ? without_kinks : opened(without_kinks, moved);
    const double plain_scale = (at.e_1 + at.e_2) / (mid.e_1 + mid.e_2);
    branch.plain_scale = plain_scale * spread_of_plain;
    branch.shift =
        at.j_bt + misalignment_by.mean + (plain_scale - branch.plain_scale) * piece.plain_mean;
    branch.q = slopes_of_opening(at.a, at.B);
    double power = 1.0;
    for (double& q : branch.q) {
      power *= curve_scale;
      q *= power;
    }
    parts_[number].branches.push_back(branch);
    piece.sides.push_back({at, curve_scale});
  }
  const Part& first = parts_.front();
  varies_ = nodes.count() > 1 || !dominant_.empty() || !first.plain.empty() ||
            !first.curved.empty() || !first.plain_measures.empty() ||
            !first.curved_measures.empty();
  if (smoothed) {
    const std::vector<Part> bare = parts_for(GapMeasure::j_bt, 0.0);
    support_ = tolerance::kernel::support(bare);
    for (Part& part : parts_) {
      part.plain.push_back({3.0 * smoothing * spread.sigma, &shapes_->back()});
    }
  }
  transverse_parts_ = parts_for(GapMeasure::j_bt, 0.0);
  transverse_ = std::make_unique<tolerance::kernel::Distribution>(transverse_parts_);
  if (!smoothed) {
    support_ = transverse_->support();
  }
}

std::vector<std::vector<Branch>> GapDistribution::branches_for(GapMeasure measure, double x) const {
  std::vector<std::vector<Branch>> all;
  all.reserve(parts_.size());
  for (std::size_t number = 0; number < parts_.size(); ++number) {
    std::vector<Branch> branches = parts_[number].branches;
    for (std::size_t k = 0; k < branches.size(); ++k) {
      Branch& branch = branches[k];
      const Side& side = pieces_[number].sides[k];
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
    all.push_back(std::move(branches));
  }
  return all;
}

std::vector<Part> GapDistribution::parts_for(GapMeasure measure, double x) const {
  std::vector<Part> parts = parts_;
  std::vector<std::vector<Branch>> branches = branches_for(measure, x);
  for (std::size_t number = 0; number < parts.size(); ++number) {
    Part& part = parts[number];
    for (const Dominant& dominant : dominant_) {
      const double reach =
          dominant.reach - x * dominant.divisor_reach.at(static_cast<std::size_t>(measure));
      // What cancels but for rounding does not vary.
      if (std::abs(reach) > rounding_of_reach * std::abs(dominant.reach)) {
        part.plain.push_back({reach, dominant.shape});
      }
    }
    part.branches = std::move(branches[number]);
  }
  return parts;
}

// What the distribution of "gap - x * divisor" answers. A dominant elongation is a term that
// depends on x; without one the terms stay and only the branches change.
template <class Question>
double GapDistribution::asked(GapMeasure measure, double x, const Question& question) const {
  if (dominant_.empty()) {
    tolerance::kernel::Distribution distribution =
        transverse_->with_branches(branches_for(measure, x));
    return question(distribution);
  }
  const std::vector<Part> parts = parts_for(measure, x);
  tolerance::kernel::Distribution distribution(parts);
  return question(distribution);
}

// The mean of the divisor where the gap has a value, by their regression line.
GapDistribution::Expected GapDistribution::expected(GapMeasure measure, double gap) const {
  const tolerance::kernel::Moments moments = transverse_->moments();
  double mean = 0.0;
  double mean_of_gaps = 0.0;
  double covariance = 0.0;
  for (std::size_t number = 0; number < parts_.size(); ++number) {
    const Piece& piece = pieces_[number];
    for (std::size_t k = 0; k < piece.sides.size(); ++k) {
      const GapAt& at = piece.sides[k].at;
      const Branch& branch = parts_[number].branches[k];
      const double step = measure == GapMeasure::j_wt ? piece.sides[k].scale / at.a : 0.0;
      const double middle = divisor(measure, mesh_, at) * (1.0 - step * piece.curved_mean);
      const double gap_there =
          branch.shift + branch.plain_scale * piece.plain_mean + branch.q[0] * piece.curved_mean;
      mean += branch.weight * middle;
      mean_of_gaps += branch.weight * gap_there;
      covariance +=
          branch.weight * middle * (gap_there - branch.q[0] * step * piece.curved_variance);
    }
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
  const bool constant_divisor = measure != GapMeasure::j_wt && pieces_.front().sides.size() == 1 &&
                                pieces_.size() == 1 && dominant_.empty();
  if (constant_divisor) {
    return transverse / divisor(measure, mesh_, pieces_.front().sides.front().at);
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
  std::vector<std::vector<Branch>> branches;
  branches.reserve(parts_.size());
  for (std::size_t number = 0; number < parts_.size(); ++number) {
    const Piece& piece = pieces_[number];
    branches.push_back(parts_[number].branches);
    for (std::size_t k = 0; k < branches.back().size(); ++k) {
      Branch& branch = branches.back()[k];
      const GapAt& at = piece.sides[k].at;
      const double u = 1.0 / divisor(measure, mesh_, at);
      const double v = measure == GapMeasure::j_wt ? piece.sides[k].scale / at.B : 0.0;
      const double scale = branch.plain_scale;
      branch.plain_scale = scale * (u + v * piece.curved_mean);
      double lower = branch.shift + scale * piece.plain_mean;
      branch.shift = u * lower - branch.plain_scale * piece.plain_mean;
      for (double& q : branch.q) {
        const double own = q;
        q = u * own + v * lower;
        lower = own;
      }
    }
  }
  if (dominant_.empty()) {
    return transverse_->with_branches(std::move(branches)).moments();
  }
  std::vector<Part> parts = parts_;
  const double gap = transverse_->moments().mean;
  const double middle = divisor(measure, mesh_, pieces_.front().sides.front().at);
  for (std::size_t number = 0; number < parts.size(); ++number) {
    for (const Dominant& dominant : dominant_) {
      const double of_divisor = dominant.divisor_reach.at(static_cast<std::size_t>(measure));
      parts[number].plain.push_back(
          {(dominant.reach - gap / middle * of_divisor) / middle, dominant.shape});
    }
    parts[number].branches = std::move(branches[number]);
  }
  return tolerance::kernel::moments(parts);
}

}  // namespace lashband::band::kernel
