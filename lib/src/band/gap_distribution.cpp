#include "band/gap_distribution.hpp"

#include <algorithm>
#include <array>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numeric>
#include <utility>

#include "band/gap_terms.hpp"
#include "band/gauss_rules.hpp"
#include "band/root_sum_square.hpp"
#include "band/spread_nodes.hpp"
#include "band/worst_case.hpp"
#include "lashband/error.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;
using tolerance::kernel::Branch;
using tolerance::kernel::Measure;
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

// What the elongations do to a term with a kink: how much its mean changes, and the logarithm of
// how much the variance of all terms beside it, itself included, does.
struct KinkChange {
  double mean = 0.0;
  double log_variance = 0.0;
};

// The same at any elongations, to second order.
class KinkResponse {
 public:
  // `moments` are those of the terms with a kink, `other_variance` is that of what they add to.
  template <class MomentsAt>
  KinkResponse(const std::vector<std::size_t>& elongations, std::size_t draws,
               double other_variance, const MomentsAt& moments) {
    // A variance that vanishes or grows beyond this is no matter of a scale: the terms of another
    // centre have to tell it.
    constexpr double greatest_log = 1.5;
    std::vector<double> y(draws, 0.0);
    const FloatMoments mid = moments(y);
    const auto change = [&](const std::vector<double>& at) {
      const FloatMoments there = moments(at);
      const double ratio = (other_variance + there.variance) / (other_variance + mid.variance);
      const double log_ratio = std::log(ratio);
      return KinkChange{there.mean - mid.mean,
                        std::abs(log_ratio) <= greatest_log ? log_ratio : 0.0};
    };
    for (const std::size_t draw : elongations) {
      y[draw] = -1.0;
      const KinkChange below = change(y);
      y[draw] = 1.0;
      const KinkChange above = change(y);
      y[draw] = 0.0;
      const Response response{
          draw,
          {0.5 * (above.mean - below.mean), 0.5 * (above.log_variance - below.log_variance)},
          {0.5 * (above.mean + below.mean), 0.5 * (above.log_variance + below.log_variance)}};
      if (response.rise.mean != 0.0 || response.bend.mean != 0.0 ||
          response.rise.log_variance != 0.0 || response.bend.log_variance != 0.0) {
        responses_.push_back(response);
      }
    }
    for (std::size_t i = 0; i < responses_.size(); ++i) {
      for (std::size_t k = 0; k < i; ++k) {
        const Response& one = responses_[i];
        const Response& other = responses_[k];
        y[one.draw] = y[other.draw] = reach_of_crossing;
        const KinkChange together = change(y);
        y[one.draw] = y[other.draw] = -reach_of_crossing;
        const KinkChange opposite = change(y);
        y[one.draw] = y[other.draw] = 0.0;
        // Odd powers cancel between the two.
        constexpr double square = reach_of_crossing * reach_of_crossing;
        crossings_.push_back(
            {one.draw, other.draw,
             0.5 * (together.mean + opposite.mean) / square - one.bend.mean - other.bend.mean,
             0.5 * (together.log_variance + opposite.log_variance) / square -
                 one.bend.log_variance - other.bend.log_variance});
      }
    }
  }

  [[nodiscard]] bool any() const { return !responses_.empty(); }

  /// What half the band of an elongation does beyond moving the term as it is: the change of the
  /// logarithm of the variance, signed, and how far the mean bends.
  [[nodiscard]] KinkChange bent_by(std::size_t draw) const {
    for (const Response& response : responses_) {
      if (response.draw == draw) {
        return {response.bend.mean, std::copysign(std::abs(response.rise.log_variance) +
                                                      std::abs(response.bend.log_variance),
                                                  response.rise.log_variance)};
      }
    }
    return {};
  }

  [[nodiscard]] KinkChange from(const std::vector<double>& centre,
                                const std::vector<double>& y) const {
    const KinkChange there = at(y);
    const KinkChange here = at(centre);
    return {there.mean - here.mean, there.log_variance - here.log_variance};
  }

  /// From the mids to `y`.
  [[nodiscard]] KinkChange at(const std::vector<double>& y) const {
    KinkChange sum;
    for (const Response& response : responses_) {
      const double by = y[response.draw];
      sum.mean += (response.rise.mean + response.bend.mean * by) * by;
      sum.log_variance += (response.rise.log_variance + response.bend.log_variance * by) * by;
    }
    for (const Crossing& crossing : crossings_) {
      const double by = y[crossing.first] * y[crossing.second];
      sum.mean += crossing.mean * by;
      sum.log_variance += crossing.log_variance * by;
    }
    return sum;
  }

 private:
  struct Response {
    std::size_t draw;
    KinkChange rise;
    KinkChange bend;
  };
  struct Crossing {
    std::size_t first;
    std::size_t second;
    double mean;
    double log_variance;
  };
  // So that together they reach as far as one alone.
  static constexpr double reach_of_crossing = 0.70710678118654752;

  std::vector<Response> responses_;
  std::vector<Crossing> crossings_;
};

// How much more the terms are spread. A piece differs by little but for its outermost nodes, which
// have next to no weight, but must not take part in what the branches of a part may differ by.
double spread_by(const KinkChange& change) {
  constexpr double most = 0.3;
  return std::exp(0.5 * std::clamp(change.log_variance, -most, most));
}

double variance_of(const Measure& measure) {
  const double mean = mean_of(measure);
  double variance = 0.0;
  for (std::size_t i = 0; i < measure.place.size(); ++i) {
    variance += measure.weight[i] * std::pow(measure.place[i] - mean, 2);
  }
  return variance;
}

FloatMoments moments_of(const std::vector<Term>& terms, const std::vector<Measure>& measures) {
  FloatMoments sum;
  for (const Term& term : terms) {
    sum.mean += term.reach * term.shape->mean();
    sum.variance += std::pow(term.reach * term.shape->sigma(), 2);
  }
  for (const Measure& measure : measures) {
    sum.mean += mean_of(measure);
    sum.variance += variance_of(measure);
  }
  return sum;
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
    const auto acts_on = [&one](const SeatModel& seat) {
      return has_any_of(seat.clearance, one) || has_any_of(seat.outer, one) ||
             has_any_of(seat.inner, one);
    };
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
      if (has_any_of(seat.clearance, elongations_) || has_any_of(seat.outer, elongations_) ||
          has_any_of(seat.inner, elongations_)) {
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

// What an elongation acts on beside linear terms.
enum class Acts { smoothly, on_float, on_knee };

// As many nodes for an elongation as its share of the standard deviation asks for.
std::vector<Node> nodes_for(const Shape& shape, double share, Acts acts) {
  const double least = acts == Acts::on_knee ? 12.0 : acts == Acts::on_float ? 4.0 : 3.0;
  if (share <= share_of_half_the_variance) {
    return nodes_of(shape, static_cast<std::size_t>(least + std::ceil(10.0 * share)));
  }
  // The trapezoid rule, with a step that the rest of the spread smooths to 1e-9.
  const double rest = std::sqrt((1.0 - share) * (1.0 + share)) / share;
  if (shape.kind() != Shape::Kind::normal) {
    return nodes_of(shape, most_gauss_nodes);
  }
  constexpr double reach = 8.5;  // 1e-17 lies beyond
  const double half = std::ceil(reach / rest);
  const double step = reach / half;
  std::vector<Node> nodes;
  nodes.reserve(static_cast<std::size_t>(2.0 * half) + 1);
  double sum = 0.0;
  for (int i = -static_cast<int>(half); i <= static_cast<int>(half); ++i) {
    const double z = i * step;
    nodes.push_back({z * shape.sigma(), std::exp(-0.5 * z * z)});
    sum += nodes.back().weight;
  }
  for (Node& node : nodes) {
    node.weight /= sum;
  }
  return nodes;
}

// Whether nodes serve for an elongation of this share of the standard deviation.
bool nodes_serve(const Shape& shape, double share, Acts acts) {
  // Of the standard deviation, what nodes at hand can be smoothed by.
  const double most = shape.kind() == Shape::Kind::normal ? 0.999 : 0.95;
  return share <= (acts == Acts::smoothly ? share_of_half_the_variance : most);
}

// The nodes of a Gauss quadrature over the elongations, one dimension for each.
class ElongationNodes {
 public:
  explicit ElongationNodes(std::vector<double> mids) : mids_(std::move(mids)) {}

  void add(std::size_t draw, std::vector<Node> nodes) {
    count_ *= nodes.size();
    dimensions_.push_back({draw, std::move(nodes)});
  }
  [[nodiscard]] std::size_t count() const { return count_; }
  [[nodiscard]] const std::vector<double>& mids() const { return mids_; }

  [[nodiscard]] std::vector<std::size_t> draws() const {
    std::vector<std::size_t> draws;
    draws.reserve(dimensions_.size());
    for (const Dimension& dimension : dimensions_) {
      draws.push_back(dimension.draw);
    }
    return draws;
  }

  /// The weight of a node, whose place goes into `y`.
  double at(std::size_t index, std::vector<double>& y) const {
    y = mids_;
    double weight = 1.0;
    for (const Dimension& dimension : dimensions_) {
      const Node& node = dimension.nodes[index % dimension.nodes.size()];
      index /= dimension.nodes.size();
      y[dimension.draw] = node.value;
      weight *= node.weight;
    }
    return weight;
  }

 private:
  struct Dimension {
    std::size_t draw;
    std::vector<Node> nodes;
  };
  std::vector<double> mids_;
  std::vector<Dimension> dimensions_;
  std::size_t count_ = 1;
};

// Elongations that are near enough to one another that terms with a kink are those at the centre,
// but for mean and spread.
struct Pieces {
  std::vector<std::vector<double>> centres;  // elongations
  std::vector<std::size_t> of_node;
};

// Terms with a kink beside the others of the gap.
struct KinkedTerms {
  const KinkResponse& response;
  double slope;     // of the gap over what they add to
  double variance;  // of the gap by that
};

Pieces pieces_of(const ElongationNodes& nodes, const std::vector<double>& sigmas,
                 const std::array<KinkedTerms, 2>& kinked) {
  Pieces pieces{{nodes.mids()}, std::vector<std::size_t>(nodes.count(), 0)};
  const double variance = kinked[0].variance + kinked[1].variance;
  // How much a term changes along the elongations: of the variance, and the bend of the mean over
  // the standard deviation.
  std::vector<double> along(sigmas.size(), 0.0);
  double square = 0.0;
  for (const KinkedTerms& terms : kinked) {
    if (!terms.response.any() || !(variance > 0.0)) {
      continue;
    }
    for (std::size_t draw = 0; draw < along.size(); ++draw) {
      const KinkChange bent = terms.response.bent_by(draw);
      along[draw] += terms.variance / variance * bent.log_variance +
                     std::copysign(2.0 * std::abs(bent.mean * terms.slope) / std::sqrt(variance),
                                   bent.log_variance);
    }
  }
  for (std::size_t draw = 0; draw < along.size(); ++draw) {
    square += std::pow(along[draw] * sigmas[draw], 2);
  }
  const double sigma = std::sqrt(square);
  // The error of a percentile falls with the square of the number of pieces: 1e-3 of the spread is
  // left.
  constexpr double for_one_more = 200.0;
  constexpr double most_pieces = 15.0;
  const double wanted = std::min(most_pieces, std::sqrt(for_one_more * sigma));
  if (!(wanted > 1.0)) {
    return pieces;
  }
  // An odd number, so that the mids are a centre. Ends as for the least square from the centres of
  // a normal density (Panter and Dite 1951, from memory).
  const std::size_t count = 2 * static_cast<std::size_t>(std::ceil(0.5 * (wanted - 1.0))) + 1;
  std::vector<double> ends;
  ends.reserve(count);
  for (std::size_t i = 1; i < count; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(count);
    ends.push_back(-std::sqrt(6.0) * boost::math::erfc_inv(2.0 * share) * sigma);
  }
  std::vector<double> weights(count, 0.0);
  std::vector<std::vector<double>> centres(count, std::vector<double>(along.size(), 0.0));
  std::vector<double> y;
  for (std::size_t i = 0; i < nodes.count(); ++i) {
    const double weight = nodes.at(i, y);
    const double way = std::inner_product(y.begin(), y.end(), along.begin(), 0.0);
    const auto number =
        static_cast<std::size_t>(std::upper_bound(ends.begin(), ends.end(), way) - ends.begin());
    pieces.of_node[i] = number;
    weights[number] += weight;
    for (std::size_t draw = 0; draw < y.size(); ++draw) {
      centres[number][draw] += weight * y[draw];
    }
  }
  pieces.centres.clear();
  std::vector<std::size_t> renumbered(count, 0);
  for (std::size_t number = 0; number < count; ++number) {
    if (weights[number] == 0.0) {
      continue;
    }
    for (double& place : centres[number]) {
      place /= weights[number];
      // Rounding must not make another measure of what is that of the mids.
      constexpr double rounding = 1e-12;
      place = std::abs(place) < rounding ? 0.0 : place;
    }
    renumbered[number] = pieces.centres.size();
    pieces.centres.push_back(std::move(centres[number]));
  }
  for (std::size_t& number : pieces.of_node) {
    number = renumbered[number];
  }
  return pieces;
}

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
    nodes.add(draw, nodes_for(shape, share, acts));
    if (nodes.count() > most_branches) {
      throw ComputationError("the elongations of " + std::to_string(gap_of.elongations().size()) +
                             " materials and strains are too many for the distribution; "
                             "an expansion group makes one of several");
    }
  }

  std::vector<double> sigmas(draws.shapes.size(), 0.0);
  for (const std::size_t draw : nodes.draws()) {
    sigmas[draw] = draws.shapes[draw].sigma();
  }
  const Pieces pieces =
      pieces_of(nodes, sigmas,
                {KinkedTerms{of_floats, slope, slope * slope * curved_at_mids.variance},
                 KinkedTerms{of_misalignment, 1.0, plain_at_mids.variance}});
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
