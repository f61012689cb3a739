#include "band/gap_sum_distribution.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "band/elongation_nodes.hpp"
#include "band/gap_terms.hpp"
#include "band/kink_response.hpp"
#include "band/part_terms.hpp"
#include "band/spread_nodes.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;
using tolerance::kernel::Branch;
using tolerance::kernel::Measure;
using tolerance::kernel::Part;
using tolerance::kernel::Term;

// A bend of less than this of the standard deviation is none, and a change of the variance by less
// than twice as much: what is left out of a percentile is less than a thousandth of it.
constexpr double no_bend = 1e-4;

// Of the standard deviation: a sum is one of lengths a thousand times as long, and what cancels but
// for rounding does not vary.
constexpr double rounding_of_reach = 1e-9;

bool same_terms(const LinearForm& a, const LinearForm& b) {
  return std::equal(a.terms.begin(), a.terms.end(), b.terms.begin(), b.terms.end(),
                    [](const LinearTerm& x, const LinearTerm& y) {
                      return x.draw == y.draw && x.coefficient == y.coefficient;
                    });
}

bool same(const LinearForm& a, const LinearForm& b) {
  return a.constant == b.constant && same_terms(a, b);
}

// The same float, whatever share of it arrives.
bool same_seat(const SeatModel& a, const SeatModel& b) {
  return a.outer_factor == b.outer_factor && a.inner_factor == b.inner_factor &&
         same(a.clearance, b.clearance) && same(a.outer, b.outer) && same(a.inner, b.inner);
}

// |M| of a mesh, as it adds to the sum.
struct SlopeTerm {
  LinearForm form;
  double factor;
};

// The mean of |form|.
double mean_size(const LinearForm& form, const Draws& draws) {
  double mean = 0.0;
  for (const Node& node : nodes_with_kink(form, draws, 0.0)) {
    mean += node.weight * std::abs(node.value);
  }
  return mean;
}

// The draws that move both forms.
std::vector<std::size_t> shared_draws(const LinearForm& a, const LinearForm& b) {
  std::vector<std::size_t> shared;
  for (const LinearTerm& term : a.terms) {
    if (term.coefficient != 0.0 && has_any_of(b, {term.draw})) {
      shared.push_back(term.draw);
    }
  }
  return shared;
}

// Nodes for what bends within a part of the standard deviation of the draw.
std::vector<Node> fine_nodes(std::size_t draw, const Draws& draws) {
  return nodes_with_kink({0.0, {{draw, 1.0}}}, draws, 0.0);
}

// The covariance of |a| and |b|, which meet in the draws of the helices they share: at given ones
// the two are independent.
double covariance_of_sizes(const LinearForm& a, const LinearForm& b, const Draws& draws) {
  constexpr std::size_t nodes_a_draw = 12;  // of several
  const std::vector<std::size_t> shared = shared_draws(a, b);
  if (shared.empty()) {
    return 0.0;
  }
  ElongationNodes nodes(std::vector<double>(draws.shapes.size(), 0.0));
  if (shared.size() == 1) {
    nodes.add(shared.front(), fine_nodes(shared.front(), draws), 1);
  } else {
    for (const std::size_t draw : shared) {
      nodes.add(draw, nodes_of(draws.shapes[draw], nodes_a_draw), shared.size());
    }
  }
  double mean_a = 0.0;
  double mean_b = 0.0;
  double product = 0.0;
  std::vector<double> y;
  for (std::size_t index = 0; index < nodes.count(); ++index) {
    const double weight = nodes.at(index, y);
    const double one = mean_size(given(a, shared, y), draws);
    const double two = mean_size(given(b, shared, y), draws);
    mean_a += weight * one;
    mean_b += weight * two;
    product += weight * one * two;
  }
  return product - mean_a * mean_b;
}

// How far |form| reaches.
double most_of(const LinearForm& form, const Draws& draws) {
  constexpr double normal_reach_in_sigma = 9.0;
  double most = std::abs(form.constant);
  for (const LinearTerm& term : form.terms) {
    const Shape& shape = draws.shapes[term.draw];
    most += std::abs(term.coefficient) *
            (shape.kind() == Shape::Kind::normal ? normal_reach_in_sigma * shape.sigma() : 1.0);
  }
  return most;
}

// weight_a |a| + weight_b |b| of two forms that share one draw: at a given one they are
// independent.
Measure sum_of_sizes(const LinearForm& a, double weight_a, const LinearForm& b, double weight_b,
                     std::size_t shared, const Draws& draws) {
  MeasureBuilder builder(0.0, weight_a * most_of(a, draws) + weight_b * most_of(b, draws));
  std::vector<double> y(draws.shapes.size(), 0.0);
  for (const Node& node : fine_nodes(shared, draws)) {
    y[shared] = node.value;
    const Measure one = size_of(given(a, {shared}, y), draws);
    const Measure two = size_of(given(b, {shared}, y), draws);
    for (std::size_t i = 0; i < one.place.size(); ++i) {
      for (std::size_t k = 0; k < two.place.size(); ++k) {
        builder.add(weight_a * one.place[i] + weight_b * two.place[k],
                    node.weight * one.weight[i] * two.weight[k]);
      }
    }
  }
  Measure measure = builder.built();
  measure.low = weight_a * size_of(a, draws).low + weight_b * size_of(b, draws).low;
  return measure;
}

// The measure spread about its mean by a factor.
Measure widened(Measure measure, double factor) {
  const double mean = mean_of(measure);
  for (double& place : measure.place) {
    place = mean + factor * (place - mean);
  }
  measure.low = mean + factor * (measure.low - mean);
  measure.high = mean + factor * (measure.high - mean);
  return measure;
}

// |M| of one mesh, or of two that share one draw, as one measure.
struct SlopeGroup {
  std::size_t first;
  std::size_t second;  // the same of one mesh
  std::size_t shared;
  std::optional<Measure> fixed;  // where elongations do not act on it
};

// A sum as units with given elongations see it: in everything that has no kink it is taken as
// linear about the means, with the mean of its second order.
class SumAtElongations {
 public:
  SumAtElongations(const GapSum& sum, const Draws& draws, Over over, FloatMeasures& floats)
      : sum_(sum),
        draws_(draws),
        over_(over),
        elongations_(elongation_draws(sum, draws)),
        mids_(draws.shapes.size(), 0.0),
        means_(draws.shapes.size(), 0.0),
        true_slopes_(sum.meshes.size(), true),
        run_outs_(sum.meshes.size()) {
    for (std::size_t draw = 0; draw < means_.size(); ++draw) {
      means_[draw] = draws.elongation[draw] ? 0.0 : draws.shapes[draw].mean();
    }
    for (std::size_t m = 0; m < sum.meshes.size(); ++m) {
      const SummedMesh& part = sum.meshes[m];
      for (const SeatModel& seat : part.state->seats) {
        add_seat(seat, part.per_float * seat.weight);
      }
      if (part.per_gap == 0.0) {
        continue;
      }
      if (is_spread(given(part.state->misalignment, elongations_, mids_))) {
        true_slopes_[m] = false;
        slopes_.push_back({part.state->misalignment, -part.per_gap / part.mesh->cos_beta_b});
      }
      if (part.mesh->run_out_phase) {
        add_run_out(m, floats);
      }
    }
    add_linear();
    pair_slopes();
  }

  [[nodiscard]] const std::vector<std::size_t>& elongations() const { return elongations_; }
  [[nodiscard]] const std::vector<double>& mids() const { return mids_; }

  /// Whether a carrier's knee depends on the elongation.
  [[nodiscard]] bool acts_on_knee(std::size_t draw) const {
    const std::vector<std::size_t> one{draw};
    return std::any_of(sum_.meshes.begin(), sum_.meshes.end(), [&](const SummedMesh& part) {
      const std::vector<Knee>& knees = carrier_of(*part.state, over_).knees;
      return part.per_gap != 0.0 &&
             std::any_of(knees.begin(), knees.end(),
                         [&one](const Knee& knee) { return has_any_of(knee.argument, one); });
    });
  }

  /// Whether it acts on a float or on |M|.
  [[nodiscard]] bool acts_on_kinked(std::size_t draw) const {
    const std::vector<std::size_t> one{draw};
    return std::any_of(seats_.begin(), seats_.end(),
                       [&one](const SeatModel& seat) { return has_any_of(seat, one); }) ||
           std::any_of(slopes_.begin(), slopes_.end(),
                       [&one](const SlopeTerm& slope) { return has_any_of(slope.form, one); });
  }

  /// The sum at the elongations `y` without the terms of `terms`: what their places are added to.
  [[nodiscard]] double shift(const std::vector<double>& y) const {
    return without_kinks(at(y)) - linear_mean_ + bend_mean_;
  }

  /// Every term that is no elongation, those with a kink as they are at the elongations `y`.
  [[nodiscard]] Part terms(const std::vector<Shape>& shapes, const std::vector<double>& y,
                           FloatMeasures& floats) const {
    Part part;
    for (const LinearTerm& term : linear_) {
      part.plain.push_back({term.coefficient, &shapes[term.draw]});
    }
    const double grain = std::sqrt(moments_of(part.plain, {}).variance);
    for (const SlopeGroup& group : groups_) {
      part.plain_measures.push_back(slope_measure(group, y));
    }
    part.plain_measures.insert(part.plain_measures.end(), run_out_measures_.begin(),
                               run_out_measures_.end());
    for (const SeatModel& seat : seats_) {
      part.plain_measures.push_back(floats.of(given(seat, elongations_, y), draws_, grain));
    }
    return part;
  }

  /// What the elongations do to floats and |M|, where all terms together have `variance` at the
  /// mids.
  [[nodiscard]] KinkResponse kinks(double variance, FloatMeasures& floats) const {
    const auto moments = [&](const std::vector<double>& y) {
      FloatMoments sum;
      for (const SeatModel& seat : seats_) {
        if (has_any_of(seat, elongations_)) {
          const FloatMoments one = floats.moments_of(given(seat, elongations_, y), draws_);
          sum.mean += one.mean;
          sum.variance += one.variance;
        }
      }
      for (const SlopeGroup& group : groups_) {
        if (!group.fixed) {
          const FloatMoments one = moments_of({}, {slope_measure(group, y)});
          sum.mean += one.mean;
          sum.variance += one.variance;
        }
      }
      return sum;
    };
    return {elongations_, draws_.shapes.size(), std::max(0.0, variance - moments(mids_).variance),
            moments};
  }

 private:
  // The run-out of a pair that keeps its phase.
  struct PhasedRunOut {
    bool kept = false;
    double mean = 0.0;  // on the centre distance, with the sense of the sum
  };

  // The means, and the elongations of `y`.
  [[nodiscard]] std::vector<double> at(const std::vector<double>& y) const {
    std::vector<double> unit = means_;
    for (const std::size_t draw : elongations_) {
      unit[draw] = y[draw];
    }
    return unit;
  }

  // One shaft may carry the gears of two meshes, so that its float comes twice.
  void add_seat(const SeatModel& seat, double weight) {
    if (weight == 0.0) {
      return;
    }
    const SeatModel rest = given(seat, elongations_, mids_);
    std::vector<SeatModel>& seats =
        is_spread(rest.clearance) || is_spread(rest.outer) || is_spread(rest.inner) ? seats_
                                                                                    : true_seats_;
    const auto known = std::find_if(seats.begin(), seats.end(), [&seat](const SeatModel& other) {
      return same_seat(seat, other);
    });
    if (known != seats.end()) {
      known->weight += weight;
    } else {
      seats.push_back(seat);
      seats.back().weight = weight;
    }
  }

  [[nodiscard]] GapAt true_gap(std::size_t m, const std::vector<double>& unit) const {
    const SummedMesh& part = sum_.meshes[m];
    const double misalignment =
        true_slopes_[m] ? std::abs(part.state->misalignment.at(unit.data())) : 0.0;
    Stance stance = stance_of(over_);
    if (part.mesh->run_out_phase) {
      stance.run_out = 0.0;
    }
    const GapAt gap = gap_at(*part.mesh, *part.state, carrier_of(*part.state, over_), unit.data(),
                             stance, misalignment);
    return run_outs_[m].kept ? opened(gap, run_outs_[m].mean) : gap;
  }

  // Everything but the terms that are measures, which the run-outs with a phase take part in by
  // their mean.
  [[nodiscard]] double without_kinks(const std::vector<double>& unit) const {
    double x = sum_.other.at(unit.data());
    for (std::size_t m = 0; m < sum_.meshes.size(); ++m) {
      const SummedMesh& part = sum_.meshes[m];
      if (part.per_gap != 0.0) {
        const GapAt gap = true_gap(m, unit);
        x += part.per_gap *
             (gap.j_bt + cycle_of(*part.state, over_) *
                             std::abs(part.mesh->p_b2 * gap.e_2 - part.mesh->p_b1 * gap.e_1));
      }
    }
    for (const SeatModel& seat : true_seats_) {
      x += seat_float(seat, unit.data());
    }
    return x;
  }

  void add_run_out(std::size_t m, FloatMeasures& floats) {
    const SummedMesh& part = sum_.meshes[m];
    const GapAt gap = true_gap(m, at(mids_));
    const Measure run_out =
        scaled(floats.run_out_of(*part.mesh, draws_, gap.e_1, gap.e_2), stance_of(over_).run_out);
    const FloatMoments moments = moments_of({}, {run_out});
    run_outs_[m] = {true, moments.mean};
    if (run_out.place.size() == 1) {
      return;
    }
    // The slope at the mean, and what the curve adds to the mean.
    const double step = std::sqrt(moments.variance);
    const GapAt middle = opened(gap, moments.mean);
    const double above = opened(middle, step).j_bt - middle.j_bt;
    const double below = opened(middle, -step).j_bt - middle.j_bt;
    const double slope = part.per_gap * 0.5 * (above - below) / step;
    run_out_measures_.push_back(scaled(run_out, slope));
    linear_mean_ += slope * moments.mean;
    bend_mean_ += part.per_gap * 0.5 * (above + below);
  }

  // |M| of two meshes with a gear in common scatter together, by its helix: they are one measure.
  // What is left, as a mesh belongs to one such pair at most, is their covariance with others.
  void pair_slopes() {
    std::vector<LinearForm> forms;
    forms.reserve(slopes_.size());
    for (const SlopeTerm& slope : slopes_) {
      forms.push_back(given(slope.form, elongations_, mids_));
    }
    std::vector<bool> taken(slopes_.size(), false);
    for (std::size_t i = 0; i < slopes_.size(); ++i) {
      if (taken[i]) {
        continue;
      }
      SlopeGroup group{i, i, 0, std::nullopt};
      for (std::size_t k = i + 1; k < slopes_.size() && group.second == i; ++k) {
        const std::vector<std::size_t> shared = shared_draws(forms[i], forms[k]);
        if (!taken[k] && shared.size() == 1) {
          group.second = k;
          group.shared = shared.front();
          taken[k] = true;
        }
      }
      const bool follows = has_any_of(slopes_[i].form, elongations_) ||
                           has_any_of(slopes_[group.second].form, elongations_);
      const Measure measure = slope_measure(group, mids_);
      if (!follows) {
        group.fixed = measure;
      }
      groups_.push_back(std::move(group));
    }
    double alone = 0.0;
    double together_more = 0.0;
    for (const SlopeGroup& group : groups_) {
      alone += moments_of({}, {slope_measure(group, mids_)}).variance;
    }
    for (std::size_t i = 0; i < slopes_.size(); ++i) {
      for (std::size_t k = i + 1; k < slopes_.size(); ++k) {
        if (!in_one_group(i, k)) {
          together_more += 2.0 * slopes_[i].factor * slopes_[k].factor *
                           covariance_of_sizes(forms[i], forms[k], draws_);
        }
      }
    }
    if (together_more != 0.0 && alone > 0.0) {
      width_of_slopes_ = std::sqrt(std::max(0.0, 1.0 + together_more / alone));
      for (SlopeGroup& group : groups_) {
        if (group.fixed) {
          group.fixed = widened(std::move(*group.fixed), width_of_slopes_);
        }
      }
    }
  }

  [[nodiscard]] bool in_one_group(std::size_t i, std::size_t k) const {
    return std::any_of(groups_.begin(), groups_.end(), [&](const SlopeGroup& group) {
      return group.first == i && group.second == k;
    });
  }

  [[nodiscard]] Measure slope_measure(const SlopeGroup& group, const std::vector<double>& y) const {
    if (group.fixed) {
      return *group.fixed;
    }
    const SlopeTerm& one = slopes_[group.first];
    const LinearForm form = given(one.form, elongations_, y);
    Measure measure;
    if (group.second == group.first) {
      measure = scaled(size_of(form, draws_), one.factor);
    } else {
      const SlopeTerm& two = slopes_[group.second];
      measure = scaled(sum_of_sizes(form, -one.factor, given(two.form, elongations_, y),
                                    -two.factor, group.shared, draws_),
                       -1.0);
    }
    return width_of_slopes_ == 1.0 ? measure : widened(std::move(measure), width_of_slopes_);
  }

  void add_linear() {
    struct Effect {
      LinearTerm term;
      double bend;
    };
    std::vector<Effect> effects;
    double variance = 0.0;
    std::vector<double> unit = at(mids_);
    const double middle = without_kinks(unit);
    for (std::size_t draw = 0; draw < unit.size(); ++draw) {
      if (draws_.elongation[draw]) {
        continue;
      }
      const double mean = std::exchange(unit[draw], unit[draw] + 1.0);
      const double above = without_kinks(unit) - middle;
      unit[draw] = mean - 1.0;
      const double below = without_kinks(unit) - middle;
      unit[draw] = mean;
      effects.push_back({{draw, 0.5 * (above - below)}, 0.5 * (above + below)});
      variance += std::pow(effects.back().term.coefficient * draws_.shapes[draw].sigma(), 2);
    }
    const double rounding = rounding_of_reach * std::sqrt(variance);
    for (const Effect& effect : effects) {
      const Shape& shape = draws_.shapes[effect.term.draw];
      if (std::abs(effect.term.coefficient) * shape.sigma() > rounding) {
        linear_.push_back(effect.term);
        linear_mean_ += effect.term.coefficient * shape.mean();
        bend_mean_ += effect.bend * shape.sigma() * shape.sigma();
      }
    }
  }

  const GapSum& sum_;
  const Draws& draws_;
  Over over_;
  std::vector<std::size_t> elongations_;
  std::vector<double> mids_;
  std::vector<double> means_;          // of all but the elongations
  std::vector<SeatModel> seats_;       // weight: what the float adds to the sum
  std::vector<SeatModel> true_seats_;  // that nothing but elongations moves
  std::vector<SlopeTerm> slopes_;
  std::vector<SlopeGroup> groups_;
  std::vector<bool> true_slopes_;  // by mesh, likewise
  std::vector<PhasedRunOut> run_outs_;
  std::vector<Measure> run_out_measures_;
  double width_of_slopes_ = 1.0;  // for what two of them have in common
  std::vector<LinearTerm> linear_;
  double linear_mean_ = 0.0;  // of these and of the run-outs' measures
  double bend_mean_ = 0.0;    // what the second order adds to the mean
};

// As tolerance::kernel::support, which needs a term that is no measure.
tolerance::kernel::Support support_of(const std::vector<Part>& parts) {
  tolerance::kernel::Support support{std::numeric_limits<double>::infinity(),
                                     -std::numeric_limits<double>::infinity()};
  for (const Part& part : parts) {
    double low = 0.0;
    double high = 0.0;
    for (const Term& term : part.plain) {
      const auto [least, greatest] =
          std::minmax({term.reach * term.shape->least(), term.reach * term.shape->greatest()});
      low += least;
      high += greatest;
    }
    for (const Measure& measure : part.plain_measures) {
      low += measure.low;
      high += measure.high;
    }
    for (const Branch& branch : part.branches) {
      support.low = std::min(support.low, branch.shift + branch.plain_scale * low);
      support.high = std::max(support.high, branch.shift + branch.plain_scale * high);
    }
  }
  return support;
}

// The elongations, those that act smoothly as terms and the others as nodes.
struct Elongations {
  std::vector<Term> terms;
  double bend_mean = 0.0;  // what the second order of the terms adds to the mean
  ElongationNodes nodes;
};

Elongations elongations_of(const SumAtElongations& sum_at, const KinkResponse& kinks,
                           const LinearSpread& spread, double scatter,
                           const std::vector<Shape>& shapes) {
  Elongations result{{}, 0.0, ElongationNodes(sum_at.mids())};
  const double middle = sum_at.shift(sum_at.mids());
  std::vector<double> y = sum_at.mids();
  for (const std::size_t draw : sum_at.elongations()) {
    const Shape& shape = shapes[draw];
    const auto change = [&](double end) {
      y[draw] = end;
      const double by = sum_at.shift(y) - middle;
      const double kinked = kinks.at(y).mean;
      y[draw] = 0.0;
      return std::array{by, kinked};
    };
    const auto [above, kinked_above] = change(1.0);
    const auto [below, kinked_below] = change(-1.0);
    const double bend = 0.5 * (above + below);
    const KinkChange bent = kinks.bent_by(draw);
    const double share =
        spread.sigma > 0.0 ? std::min(1.0, std::abs(spread.parts[draw]) / spread.sigma) : 0.0;
    const double whole = std::hypot(scatter, spread.sigma);
    const bool smooth = std::abs(bend) <= no_bend * whole &&
                        std::abs(bent.mean) <= no_bend * whole &&
                        std::abs(bent.log_variance) <= 2.0 * no_bend;
    const Acts acts = sum_at.acts_on_knee(draw)                ? Acts::on_knee
                      : smooth || !sum_at.acts_on_kinked(draw) ? Acts::smoothly
                                                               : Acts::on_float;
    if ((smooth && acts == Acts::smoothly) || !nodes_serve(shape, share, acts)) {
      const double reach = 0.5 * (above - below + kinked_above - kinked_below);
      if (std::abs(reach) > rounding_of_reach * whole) {
        result.terms.push_back({reach, &shape});
      }
      result.bend_mean += (bend + 0.5 * (kinked_above + kinked_below)) *
                          (std::pow(shape.sigma(), 2) + std::pow(shape.mean(), 2));
    } else {
      result.nodes.add(draw, nodes_for(shape, share, acts), sum_at.elongations().size());
    }
  }
  return result;
}

}  // namespace

GapSumDistribution::GapSumDistribution(const GapSum& sum, const Draws& draws, Over over,
                                       FloatMeasures& floats)
    : shapes_(with_a_normal(draws.shapes)) {
  const SumAtElongations sum_at(sum, draws, over, floats);
  Part at_mids = sum_at.terms(*shapes_, sum_at.mids(), floats);
  const bool smoothed = needs_smoothing(at_mids);
  const LinearSpread spread = linear_spread(sum, draws, over);

  FloatMoments all = moments_of(at_mids.plain, at_mids.plain_measures);
  const Elongations elongations = elongations_of(sum_at, sum_at.kinks(all.variance, floats), spread,
                                                 std::sqrt(all.variance), *shapes_);
  at_mids.plain.insert(at_mids.plain.end(), elongations.terms.begin(), elongations.terms.end());
  all = moments_of(at_mids.plain, at_mids.plain_measures);
  const KinkResponse kinks = sum_at.kinks(all.variance, floats);

  const ElongationNodes& nodes = elongations.nodes;
  std::vector<double> sigmas(draws.shapes.size(), 0.0);
  for (const std::size_t draw : nodes.draws()) {
    sigmas[draw] = draws.shapes[draw].sigma();
  }
  const std::array kinked{KinkedTerms{kinks, 1.0, all.variance}};
  const Pieces pieces = pieces_of(nodes, sigmas, kinked);
  parts_.reserve(pieces.centres.size());
  if (pieces.centres.size() == 1) {
    parts_.push_back(std::move(at_mids));
  } else {
    for (const std::vector<double>& centre : pieces.centres) {
      parts_.push_back(sum_at.terms(*shapes_, centre, floats));
      std::vector<Term>& plain = parts_.back().plain;
      plain.insert(plain.end(), elongations.terms.begin(), elongations.terms.end());
    }
  }
  std::vector<double> means;
  means.reserve(parts_.size());
  for (const Part& part : parts_) {
    means.push_back(moments_of(part.plain, part.plain_measures).mean);
  }
  std::vector<double> y;
  for (std::size_t index = 0; index < nodes.count(); ++index) {
    Branch branch;
    branch.weight = nodes.at(index, y);
    const std::size_t number = pieces.of_node[index];
    const KinkChange change = kinks.from(pieces.centres[number], y);
    // All terms are spread alike about their mean, which moves by what that of the kinked ones
    // does.
    branch.plain_scale = spread_by(change);
    branch.shift = sum_at.shift(y) + elongations.bend_mean + change.mean +
                   (1.0 - branch.plain_scale) * means[number];
    parts_[number].branches.push_back(branch);
  }
  const Part& first = parts_.front();
  varies_ = nodes.count() > 1 || !first.plain.empty() || !first.plain_measures.empty();
  if (smoothed) {
    support_ = support_of(parts_);
    for (Part& part : parts_) {
      part.plain.push_back({3.0 * smoothing * spread.sigma, &shapes_->back()});
    }
  }
  distribution_ = std::make_unique<tolerance::kernel::Distribution>(parts_);
  if (!smoothed) {
    support_ = distribution_->support();
  }
}

tolerance::kernel::Probability GapSumDistribution::probability(double x) const {
  if (x < support_.low) {
    return {0.0, 1.0};
  }
  if (x >= support_.high) {
    return {1.0, 0.0};
  }
  return distribution_->probability(x);
}

double GapSumDistribution::quantile(double p) const {
  return distribution_->quantile(p);
}

tolerance::kernel::Moments GapSumDistribution::moments() const {
  return distribution_->moments();
}

}  // namespace lashband::band::kernel
