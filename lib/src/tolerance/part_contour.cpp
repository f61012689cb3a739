#include "tolerance/part_contour.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <sstream>
#include <string>
#include <utility>

#include "lashband/error.hpp"
#include "tolerance/contour_lanes.hpp"
#include "tolerance/curve.hpp"
#include "tolerance/term_nodes.hpp"

// Symbols: side = +1 for the lower tail, -1 for the upper one; s = c + i k h on the contour;
// u = side s g_1 tilts d, v = side s a0 tilts a. Derived in docs/theory/distribution.md.
namespace lashband::tolerance::kernel {
namespace {

constexpr double pi = std::numbers::pi;

/// Rungs of the ladder of c, in 1/sigma: 2, 4, 8, ... One contour serves from its own saddle point
/// down to where the integrand at its start exceeds that at the best rung by e^4: there some 2
/// digits cancel.
constexpr double first_rung = 2.0;
constexpr double rung_slack = 4.0;
constexpr std::size_t most_rungs = 200;
/// Where even the bound on the probability is below e^-85 = 1e-37, it is 0 to every digit asked.
constexpr double log_negligible = -85.0;

/// Relative error of the step of the contour, and where it ends, relative to its start; both as
/// logarithms: 1e-13 and 1e-14, or 1e-11 from the second rung on.
constexpr double log_step_error = -30.0;
constexpr double log_end = -32.2;
constexpr double log_end_of_powers = -29.9;  ///< 1e-13, where no normal term ends it
constexpr double log_end_in_tail = -25.3;
constexpr double log_end_refined = 3.5;  ///< how much further at twice the resolution
/// The probability is below the bound on it by about a factor e^4.
constexpr double bound_slack = 4.0;
constexpr std::size_t most_points = 16384;

/// What the rule leaves of the integrand at its start; where more than that cancels, the
/// probability is lost.
constexpr double rule_error = 1e-13;

/// Powers of d kept in the series of the curve: from `least` to `most` in steps of two.
constexpr std::size_t least_curve_order = 4;
constexpr std::size_t most_curve_order = 24;
/// The series is long enough when what it leaves is below this share of the probability at the
/// first rung. A quantile moves by the share over c, so the others may leave more in proportion.
constexpr double curve_share = 1e-12;
/// What is demanded of it at last; below the smallest probability of interest it is absolute.
constexpr double central_accuracy = 1e-8;
constexpr double tail_accuracy = 1e-3;
constexpr double tail_begin = 1e-4;
constexpr double tail_end = 1e-12;

/// Closed forms of piecewise linear densities cancel for a small exponent z = |u| reach: order m of
/// a jet loses m!/z^m, which counts as much as the powers of the curve that it is multiplied with.
/// Two digits are given away, and from this z on order 0 loses less than that.
constexpr double least_closed_exponent = 0.5;
constexpr double greatest_closed_loss = 100.0;

/// From this exponent on the edge of a truncated normal density alone decides.
constexpr double most_tilted_exponent = 500.0;

/// A rung is of use as long as the curve bends less than this, under the tilt, from its tangent:
/// ln E e^{-side c X} is then known to about as much.
constexpr double strength_of_tangent = 0.3;

/// Weights of both signs are matched moments: they stand for probabilities only as long as
/// e^{-side c x} is smooth between their places. Where the sum is less than this share of its terms
/// without signs, the transform is lost and the ladder ends; up to there its logarithm is too low
/// by the slack of the bound at most.
constexpr double least_uncancelled = 0.03;

/// Below this strength of the bend the tangent at the mean chooses the contour as well.
constexpr double strength_of_line = 0.01;

std::string text(double value) {
  std::ostringstream out;
  out << value;
  return out.str();
}

double factorial(std::size_t n) {
  double result = 1.0;
  for (std::size_t i = 2; i <= n; ++i) {
    result *= static_cast<double>(i);
  }
  return result;
}

/// Places and weights of a bounded term about its mean.
Nodes centred_nodes(const BoundedTerm& term, double exponent) {
  Nodes result;
  if (term.shape == nullptr) {
    result = {term.measure->place, term.measure->weight};
    for (double& place : result.place) {
      place -= term.mean;
    }
    return result;
  }
  result = nodes(*term.shape, exponent * std::abs(term.reach));
  for (double& place : result.place) {
    place = term.reach * place - term.mean;
  }
  return result;
}

/// How a group is tilted along the contour.
struct GroupTilt {
  double u_c;  ///< u = u_c + i k step
  double step;
  double greatest_u;  ///< of |u|
  double bend;        ///< of the series in d: |s| times its coefficient of d^2, about
  std::size_t order;
};

/// Whether the closed form keeps enough digits.
bool closed_form_holds(const BoundedTerm& term, const GroupTilt& tilt) {
  if (term.shape == nullptr || term.shape->kind() == Shape::Kind::truncated_normal) {
    return false;
  }
  const double z = std::abs(tilt.u_c * term.reach);
  if (!(z >= least_closed_exponent)) {
    return false;
  }
  const double squares = tilt.bend * term.reach * term.reach;
  double loss = 1.0;  // n!/z^n times squares^(n/2)/(n/2)!
  for (std::size_t n = 2; n <= tilt.order; n += 2) {
    const auto order = static_cast<double>(n);
    loss *= order * (order - 1.0) / (z * z) * squares * 2.0 / order;
    if (!(loss <= greatest_closed_loss)) {
      return false;
    }
  }
  return true;
}

/// The jets of a bounded term about a centre.
class TermJets {
 public:
  TermJets(const BoundedTerm& term, double centre, const GroupTilt& tilt)
      : closed_(closed_form_holds(term, tilt)), sums_({}, {}, 0) {
    std::vector<double> angle;
    std::vector<double> coefficient;
    const std::size_t powers = tilt.order + 1;
    const auto append_powers = [&](double d, double weight) {
      for (std::size_t m = 0; m < powers; ++m) {
        coefficient.push_back(weight);
        weight *= d / static_cast<double>(m + 1);
      }
    };
    if (closed_) {
      const std::vector<Break> places = breaks(*term.shape);
      bends_ = term.shape->kind() != Shape::Kind::uniform;
      coefficient.reserve(2 * powers * places.size());
      for (const Break& one : places) {
        const double d = term.reach * one.y - term.mean - centre;
        const double tilted = std::exp(-tilt.u_c * d) / term.reach;
        angle.push_back(-tilt.step * d);
        append_powers(d, tilted * one.jump);
        if (bends_) {
          append_powers(d, tilted * one.bend / term.reach);
        }
      }
    } else {
      const double exponent =
          tilt.greatest_u + 0.5 * static_cast<double>(tilt.order) / std::abs(term.reach);
      const Nodes rule = centred_nodes(term, exponent);
      coefficient.reserve(powers * rule.place.size());
      for (std::size_t j = 0; j < rule.place.size(); ++j) {
        const double d = rule.place[j] - centre;
        angle.push_back(-tilt.step * d);
        append_powers(d, rule.weight[j] * std::exp(-tilt.u_c * d));
      }
    }
    sums_ = RotatingSums(angle, std::move(coefficient), bends_ ? 2 * powers : powers);
    raw_.resize(closed_ ? sums_.rows() : 0);
  }

  /// The jet at the next block, where 1/u is `inverse`.
  void next(const Lanes& inverse, Jet& out) {
    if (!closed_) {
      sums_.next(out);
      return;
    }
    // sum of e^{-(u - eps) d} (jump + bend/(u - eps))/(u - eps) in powers of eps: a division by
    // u - eps is out_m = (in_m + out_{m-1})/u.
    sums_.next(raw_);
    const std::size_t powers = out.size();
    Lanes slope;
    for (std::size_t m = 0; m < powers; ++m) {
      Lanes sum = raw_[m];
      if (bends_) {
        add(slope, 1.0, raw_[powers + m]);
        slope = product(slope, inverse);
        add(sum, 1.0, slope);
      }
      if (m > 0) {
        add(sum, 1.0, out[m - 1]);
      }
      out[m] = product(sum, inverse);
    }
  }

 private:
  bool closed_ = false;
  bool bends_ = false;
  RotatingSums sums_;
  Jet raw_;
};

/// A group of independent terms about its tilted mean.
class GroupJets {
 public:
  GroupJets(const RandomGroup& group, const std::vector<double>& centres, const GroupTilt& tilt)
      : u_c_(tilt.u_c),
        step_(tilt.step),
        variance_(group.normal_variance),
        factor_(tilt.order + 1) {
    terms_.reserve(group.bounded.size());
    for (std::size_t i = 0; i < group.bounded.size(); ++i) {
      terms_.emplace_back(group.bounded[i], centres[i], tilt);
    }
  }

  /// Without the factor of the normal terms that does not depend on the order.
  void next(std::size_t first_point, Jet& out) {
    Lanes inverse;
    Reals kappa{};
    for (std::size_t l = 0; l < lane_count; ++l) {
      const double im = static_cast<double>(first_point + l) * step_;
      const double square = u_c_ * u_c_ + im * im;
      inverse.re[l] = u_c_ / square;
      inverse.im[l] = -im / square;
      kappa[l] = im * variance_;
    }
    if (terms_.empty()) {
      std::fill(out.begin(), out.end(), Lanes{});
      out[0].re.fill(1.0);
    } else {
      terms_[0].next(inverse, out);
    }
    for (std::size_t i = 1; i < terms_.size(); ++i) {
      terms_[i].next(inverse, factor_);
      multiply(out, factor_);
    }
    if (variance_ > 0.0) {
      multiply_normal(out, kappa, variance_);
    }
  }

 private:
  double u_c_;
  double step_;
  double variance_;
  std::vector<TermJets> terms_;
  Jet factor_;
};

struct TiltedTerm {
  double log_transform = 0.0;  ///< ln E e^{-u (term - mean)}
  double centre = 0.0;         ///< its mean under the tilt, from its own mean
  bool sound = true;           ///< weights of both signs do not cancel
};

/// These choose the contour and do not enter the result, so six digits would do.
TiltedTerm tilted_term(const BoundedTerm& term, double u) {
  // Exponents are taken from the end that the tilt favours, so nothing overflows.
  const double edge = (u > 0.0 ? term.low : term.high) - term.mean;
  double zeroth = 0.0;
  double size = 0.0;   // of the zeroth, without signs
  double first = 0.0;  // from the edge
  const double z = std::abs(u * term.reach);
  if (term.shape != nullptr && term.shape->kind() == Shape::Kind::uniform && z > 0.0) {
    const double decay = std::exp(-2.0 * z);
    zeroth = z > 1e-8 ? -0.5 * std::expm1(-2.0 * z) / z : 1.0;
    const double from_edge =
        z > 1e-2 ? 1.0 / z - 2.0 * decay / (1.0 - decay) : 1.0 - z / 3.0 + z * z * z / 45.0;
    first = zeroth * std::copysign(std::abs(term.reach) * from_edge, -edge);
  } else if (term.shape != nullptr && term.shape->kind() == Shape::Kind::truncated_normal &&
             z > most_tilted_exponent +
                     20.0 * 9.0 * term.shape->capability() * term.shape->capability()) {
    // The edge alone: an exponential density that rises inwards by t^2 = (3 C_p)^2.
    const double t = 3.0 * term.shape->capability();
    zeroth = term.shape->density(1.0) / (z - t * t);
    first = zeroth * std::copysign(std::abs(term.reach) / (z - t * t), -edge);
  } else if (term.shape != nullptr && term.shape->kind() != Shape::Kind::truncated_normal &&
             z >=
                 least_closed_exponent * (1.0 + static_cast<double>(term.shape->points().size()))) {
    for (const Break& one : breaks(*term.shape)) {
      const double d = term.reach * one.y - term.mean - edge;
      const double jump = one.jump / (term.reach * u);
      const double bend = one.bend / (term.reach * term.reach * u * u);
      const double decay = std::exp(-u * d);
      zeroth += decay * (jump + bend);
      first += decay * (d * (jump + bend) + (jump + 2.0 * bend) / u);
    }
  } else {
    const Nodes rule = centred_nodes(term, std::abs(u));
    for (std::size_t j = 0; j < rule.place.size(); ++j) {
      const double w = rule.weight[j] * std::exp(-u * (rule.place[j] - edge));
      zeroth += w;
      size += std::abs(w);
      first += w * (rule.place[j] - edge);
    }
  }
  const double least = std::numeric_limits<double>::min();
  const double centre = zeroth > least ? edge + first / zeroth : edge;
  return {std::log(std::max(zeroth, least)) - u * edge,
          std::clamp(centre, term.low - term.mean, term.high - term.mean),
          zeroth >= least_uncancelled * size};
}

double sum_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) {
    sum += value;
  }
  return sum;
}

/// exp(-side s (g_1 d + ... + g_4 d^4)) as a series in d: n c_n = -side s sum of j g_j c_{n-j}.
void curve_series(const Lanes& minus_s, const std::array<double, 4>& g, Jet& c) {
  c[0] = {};
  c[0].re.fill(1.0);
  for (std::size_t n = 1; n < c.size(); ++n) {
    Lanes sum;
    for (std::size_t j = 1; j <= std::min<std::size_t>(4, n); ++j) {
      add(sum, static_cast<double>(j) * g[j - 1] / static_cast<double>(n), c[n - j]);
    }
    c[n] = product(minus_s, sum);
  }
}

double allowed_error(double p) {
  return p > tail_begin ? central_accuracy * p : tail_accuracy * std::max(p, tail_end);
}

}  // namespace

/// What a contour of a given length and order is built from, and the building.
struct PartDistribution::Builder {
  const PartDistribution& part;
  double sign;
  const Tilt& tilt;
  double h;
  std::size_t order;  ///< powers of d
  double greatest_s;  ///< what the nodes are chosen for
  double log_last;    ///< where the contour ends, relative to its start

  enum class Outcome { done, too_slow, nodes_too_few, order_too_low };

  Outcome build(Contour& contour) const;
};

PartDistribution::Builder::Outcome PartDistribution::Builder::build(Contour& contour) const {
  const double c = tilt.c;
  const RandomGroup& plain = part.plain(c, greatest_s);
  const RandomGroup& curved = part.curved(c, greatest_s);
  const double v_c = sign * c * part.scale_;
  // The slope is that at the mean which the slope at E D gives; what it then differs by from the
  // slope at the centre stays in the series.
  const double rough =
      sum_of(tilt.terms->curved_centres) - sign * c * part.curve_[0] * curved.normal_variance;
  const double slope = curve_slope(part.curve_, rough);
  const double u_c = sign * c * slope;
  const double plain_centre = sum_of(tilt.terms->plain_centres) - v_c * plain.normal_variance;
  const double curved_centre = sum_of(tilt.terms->curved_centres) - u_c * curved.normal_variance;
  CurveAt at = curve_at(part.curve_, curved_centre);
  at.coefficient[0] -= slope;

  const BranchSums& branches = part.branch_sums(c, greatest_s);
  const std::size_t rows = branches.rows;
  const bool deviate = rows > 1;
  std::vector<double> angle;
  std::vector<double> weight = branches.weight;
  angle.reserve(branches.place.size());
  for (std::size_t j = 0; j < branches.place.size(); ++j) {
    const double off = branches.place[j] - tilt.branch_centre;
    angle.push_back(-sign * h * off);
    const double tilted = std::exp(-sign * c * off);
    for (std::size_t row = 0; row < rows; ++row) {
      weight[j * rows + row] *= tilted;
    }
  }
  RotatingSums branch_sums(angle, std::move(weight), rows);
  Jet branch(rows);

  const std::size_t plain_order = deviate ? 2 : 0;
  GroupJets plain_jets(
      plain, tilt.terms->plain_centres,
      {v_c, sign * h * part.scale_, std::abs(part.scale_) * greatest_s, 0.0, plain_order});
  GroupJets curved_jets(curved, tilt.terms->curved_centres,
                        {u_c, sign * h * slope, std::abs(slope) * greatest_s,
                         part.bend_strength(c, part.sigma_, part.curve_), order});
  Jet a(plain_order + 1);
  Jet b(order + 1);
  Jet series(order + 1);
  std::vector<double> factorials;
  for (std::size_t n = 0; n <= order; ++n) {
    factorials.push_back(factorial(n));
  }

  const double variance =
      slope * slope * curved.normal_variance + part.scale_ * part.scale_ * plain.normal_variance;
  const double normal_factor = std::exp(-0.5 * c * c * variance);
  const double last = std::exp(log_last);
  contour = {};
  contour.c = c;
  contour.h = h;
  contour.centre = part.mean_ + part.scale_ * plain_centre + at.value + tilt.branch_centre;
  contour.first_alias = part.weight_ / std::expm1(2.0 * pi * c / h);
  double last_powers = 0.0;
  double powers_before = 0.0;
  double start = 0.0;
  for (std::size_t first = 0;; first += lane_count) {
    if (first >= most_points) {
      return Outcome::too_slow;
    }
    if (std::hypot(c, h * static_cast<double>(first + lane_count)) > greatest_s) {
      return Outcome::nodes_too_few;
    }
    Lanes s;
    Lanes minus_s;
    Reals normal{};
    for (std::size_t l = 0; l < lane_count; ++l) {
      const double im = h * static_cast<double>(first + l);
      s.re[l] = c;
      s.im[l] = im;
      minus_s.re[l] = -sign * c;
      minus_s.im[l] = -sign * im;
      normal[l] = normal_factor * std::exp(-0.5 * im * im * variance);
    }
    plain_jets.next(first, a);
    curved_jets.next(first, b);
    branch_sums.next(branch);
    curve_series(minus_s, at.coefficient, series);

    // E[d^m e^{-u d} e^{...}], m = 0 ... 4
    std::array<Lanes, 5> moment{};
    const std::size_t moments = deviate ? 5 : 1;
    for (std::size_t m = 0; m < moments; ++m) {
      for (std::size_t n = 0; n + m <= order; ++n) {
        Lanes term = b[n + m];
        for (std::size_t l = 0; l < lane_count; ++l) {
          term.re[l] *= factorials[n + m];
          term.im[l] *= factorials[n + m];
        }
        add_product(moment[m], series[n], term);
      }
    }
    const Lanes common = product(a[0], branch[0]);
    Lanes transform = product(common, moment[0]);
    if (deviate) {
      // about the means instead of the tilted means
      const double D = curved_centre;
      const double A = plain_centre;
      std::array<Lanes, 5> about_mean = moment;
      for (std::size_t m = 4; m > 0; --m) {
        double binomial = 1.0;
        double power = 1.0;
        for (std::size_t i = m; i-- > 0;) {
          power *= D;
          binomial *= static_cast<double>(i + 1) / static_cast<double>(m - i);
          add(about_mean[m], binomial * power, moment[i]);
        }
      }
      Lanes a1 = a[1];
      add(a1, A, a[0]);
      Lanes a2;
      add(a2, 2.0, a[2]);
      add(a2, 2.0 * A, a[1]);
      add(a2, A * A, a[0]);
      Lanes in_d;
      for (std::size_t m = 1; m <= 4; ++m) {
        add_product(in_d, branch[m + 1], about_mean[m]);
      }
      Lanes once = product(product(branch[1], a1), moment[0]);
      add_product(once, a[0], in_d);
      Lanes twice = product(product(branch[6], a2), moment[0]);
      add(twice, 2.0, product(product(branch[7], a1), about_mean[1]));
      add_product(twice, product(branch[8], a[0]), about_mean[2]);
      add(once, 0.5, product(minus_s, twice));
      add_product(transform, minus_s, once);
    }
    const auto size_of = [&](std::size_t n, std::size_t l) {
      return factorials[n] *
             std::sqrt((b[n].re[l] * b[n].re[l] + b[n].im[l] * b[n].im[l]) *
                       (series[n].re[l] * series[n].re[l] + series[n].im[l] * series[n].im[l]));
    };
    double greatest_at_end = 0.0;
    for (std::size_t l = 0; l < lane_count; ++l) {
      const double re = transform.re[l] * normal[l];
      const double im = transform.im[l] * normal[l];
      const double square = c * c + s.im[l] * s.im[l];
      const double over_re = (re * c + im * s.im[l]) / square;
      const double over_im = (im * c - re * s.im[l]) / square;
      contour.re.push_back(re);
      contour.im.push_back(im);
      contour.over_s_re.push_back(over_re);
      contour.over_s_im.push_back(over_im);
      if (first == 0 && l == 0) {
        start = std::abs(over_re);
        if (!(start > 0.0)) {
          return Outcome::too_slow;
        }
      }
      if (2 * l >= lane_count) {
        greatest_at_end = std::max(greatest_at_end, over_re * over_re + over_im * over_im);
      }
      if (order > 1) {
        const double scale =
            normal[l] *
            std::sqrt((common.re[l] * common.re[l] + common.im[l] * common.im[l]) / square);
        last_powers += scale * (size_of(order, l) + size_of(order - 1, l));
        if (order > 3) {
          powers_before += scale * (size_of(order - 2, l) + size_of(order - 3, l));
        }
      }
    }
    if (greatest_at_end < last * start * last * start) {
      break;
    }
  }
  // The terms left out, as if the series went on falling as fast as it does at its end.
  const bool bent =
      at.coefficient[1] != 0.0 || at.coefficient[2] != 0.0 || at.coefficient[3] != 0.0;
  if (bent) {
    const double ratio = std::min(1.0, last_powers / std::max(powers_before, start * 1e-300));
    contour.curve_error = h / pi * last_powers * ratio;
    if (!(contour.curve_error <= curve_share * (c * part.sigma_ / first_rung) * h / pi * start)) {
      return Outcome::order_too_low;
    }
  }
  return Outcome::done;
}

double PartDistribution::tilt_at(std::size_t index) const {
  return std::ldexp(first_rung, static_cast<int>(index)) / tilts_->sigma;
}

PartDistribution::TermTilt PartDistribution::term_tilt(double side, double c) const {
  TermTilt result;
  const std::array<double, 4>& curve = tilts_->curve;
  // Few places are sound up to their own tilt, although their weights cancel.
  const bool few = few_will_do(c, c);
  bool sound = true;
  const auto centres = [&](const RandomGroup& group, double u, std::vector<double>& into,
                           double& log_transform) {
    double sum = -u * group.normal_variance;
    log_transform = 0.5 * u * u * group.normal_variance;
    into.clear();
    for (const BoundedTerm& term : group.bounded) {
      const TiltedTerm tilted = tilted_term(term, u);
      into.push_back(tilted.centre);
      sum += tilted.centre;
      log_transform += tilted.log_transform;
      sound = sound && (few || tilted.sound);
    }
    return sum;
  };
  double log_plain = 0.0;
  double log_curved = 0.0;
  const RandomGroup& plain_terms = plain(c, c);
  const RandomGroup& curved_terms = curved(c, c);
  (void)centres(plain_terms, side * c * tilts_->scale, result.plain_centres, log_plain);
  // The curve is taken for its tangent at the tilted mean, found by repetition where it bends.
  double slope = curve[0];
  double d = centres(curved_terms, side * c * slope, result.curved_centres, log_curved);
  if (bend_strength(c, tilts_->sigma, curve) * curved_terms.moments[2] > strength_of_line) {
    constexpr int repetitions = 3;
    for (int i = 0; i < repetitions; ++i) {
      slope = curve_slope(curve, d);
      d = centres(curved_terms, side * c * slope, result.curved_centres, log_curved);
    }
  }
  result.log_transform = log_plain + log_curved - side * c * (curve_value(curve, d) - slope * d);
  double variance = curved_terms.normal_variance;
  for (std::size_t i = 0; i < curved_terms.bounded.size(); ++i) {
    const BoundedTerm& term = curved_terms.bounded[i];
    const double from_edge = std::min(result.curved_centres[i] - (term.low - term.mean),
                                      (term.high - term.mean) - result.curved_centres[i]);
    variance += std::min(term.moments[2], from_edge * from_edge);
  }
  result.known =
      sound && c * std::abs(curve_at(curve, d).coefficient[1]) * variance < strength_of_tangent;
  return result;
}

PartDistribution::Tilt PartDistribution::tilt(std::size_t side_index, std::size_t index) const {
  const double side = side_index == 0 ? 1.0 : -1.0;
  const double c = tilt_at(index);
  std::deque<TermTilt>& known = tilts_->rungs[side_index];
  while (known.size() <= index) {
    known.push_back(term_tilt(side, tilt_at(known.size())));
  }
  const TermTilt& terms = known[index];
  Tilt result;
  result.c = c;
  result.log_transform = terms.log_transform;
  result.known = terms.known;
  result.terms = &terms;

  double edge = branches_.place.front();
  for (const double place : branches_.place) {
    edge = side > 0.0 ? std::min(edge, place) : std::max(edge, place);
  }
  const BranchSums& branches = branch_sums(c, c);
  double zeroth = 0.0;
  double first = 0.0;
  for (std::size_t j = 0; j < branches.place.size(); ++j) {
    const double w =
        branches.weight[j * branches.rows] * std::exp(-side * c * (branches.place[j] - edge));
    zeroth += w;
    first += w * branches.place[j];
  }
  const double least = std::numeric_limits<double>::min();
  result.branch_centre = zeroth > least ? first / zeroth : edge;
  result.log_transform += std::log(std::max(zeroth, least) / weight_) - side * c * edge;
  return result;
}

PartDistribution::Rung& PartDistribution::rung(std::size_t side, std::size_t index) {
  std::deque<Rung>& rungs = rungs_[side];
  while (rungs.size() <= index) {
    rungs.push_back({tilt(side, rungs.size()), nullptr});
  }
  return rungs[index];
}

double PartDistribution::height(std::size_t side, std::size_t index, double z) {
  const Tilt& at = rung(side, index).tilt;
  return at.log_transform + at.c * z - std::log(at.c * sigma_);
}

/// Chernoff's bound on ln P(side (X - mean) <= z), from the rungs up to the one that gives
/// `enough`.
double PartDistribution::log_chernoff(std::size_t side, double z, double enough) {
  double least = 0.0;
  for (std::size_t i = 0; i < most_rungs; ++i) {
    const Tilt& at = rung(side, i).tilt;
    const double bound = at.log_transform + at.c * z;
    if (!(at.known && bound <= least)) {
      break;
    }
    least = bound;
    if (least < enough) {
      break;
    }
  }
  return least;
}

/// Whether a rung may carry a contour. The first one must; any other needs a rung beyond it, as the
/// bound of that one alone shows how far the aliases reach.
bool PartDistribution::carries(std::size_t side, std::size_t index) {
  return index == 0 || (rung(side, index).tilt.known && rung(side, index + 1).tilt.known);
}

/// Down to which z the contour of a rung serves: from there on a later rung is better by the slack,
/// or, where the ladder ends, the probability is negligible.
double PartDistribution::lowest_place(std::size_t side, std::size_t index) {
  double highest = -std::numeric_limits<double>::infinity();
  for (std::size_t next = index + 1; next < index + most_rungs; ++next) {
    const double z = (height(side, next, 0.0) + rung_slack - height(side, index, 0.0)) /
                     (rung(side, index).tilt.c - rung(side, next).tilt.c);
    if (!(z > highest)) {
      break;
    }
    if (!carries(side, next)) {
      const Tilt& last = rung(side, rung(side, next).tilt.known ? next : next - 1).tilt;
      return std::max(highest, (log_negligible - last.log_transform) / last.c);
    }
    highest = z;
  }
  return highest;
}

/// 2 pi/h so large that of the trapezoid rule's aliases F(z + k period) e^{-k c period} only those
/// with k > 0 count and have F = 1.
double PartDistribution::period(std::size_t side, std::size_t index) {
  constexpr double least_bound = -700.0;  // where e^bound leaves the range of doubles
  const double c = rung(side, index).tilt.c;
  const double highest = index == 0 ? 0.0 : std::min(0.0, lowest_place(side, index - 1));
  const double lowest = std::min(highest, lowest_place(side, index));
  const double at_highest = log_step_error + log_chernoff(side, highest, least_bound) - bound_slack;
  const double at_lowest = log_step_error + log_chernoff(side, lowest, least_bound) - bound_slack;
  constexpr double growth = 1.1;
  const double whole = support_.high - support_.low;
  double result = 4.0 / c;
  const auto holds = [&] {
    const double below = at_highest - c * result;
    const double above = at_lowest + c * result;
    return log_chernoff(side, highest - result, below) <= below &&
           (above >= 0.0 || log_chernoff(1 - side, -lowest - result, above) <= above);
  };
  while (result < whole && !holds()) {
    result *= growth;
  }
  // Beyond the whole support the aliases are exactly 0 and 1.
  return std::min(result, whole);
}

/// About |s| times the coefficient of d^2, with what d^3 and d^4 amount to.
double PartDistribution::bend_strength(double c, double sigma,
                                       const std::array<double, 4>& curve) const {
  const double d = std::sqrt(curved().moments[2]);
  return (c + 3.0 / sigma) *
         (std::abs(curve[1]) + std::abs(curve[2]) * d + std::abs(curve[3]) * d * d);
}

std::unique_ptr<PartDistribution::Contour> PartDistribution::contour(std::size_t side,
                                                                     std::size_t index) {
  const double sign = side == 0 ? 1.0 : -1.0;
  const double h = 2.0 * pi / (period(side, index) * resolution_.factor);
  const Tilt& at = rung(side, index).tilt;
  auto result = std::make_unique<Contour>();

  // Where the contour will end: by the normal terms, or by the powers of 1/s of the bounded ones,
  // which would take too long to 1e-14 and are as slow beyond as before.
  const double sigma_of_normals = normal_sigma();
  double powers = 1.0;
  for (const RandomGroup* group : {&plain(), &curved()}) {
    for (const BoundedTerm& term : group->bounded) {
      powers += term.shape != nullptr ? 1.0 : 0.0;
    }
  }
  const auto by_powers = [&](double logarithm) { return at.c * std::exp(logarithm / powers); };
  const auto by_normals = [&](double logarithm) {
    return std::sqrt(2.0 * logarithm) / sigma_of_normals;
  };
  const bool slow = by_powers(-log_end) < by_normals(-log_end);
  const double end = -(slow ? log_end_of_powers : (index == 0 ? log_end : log_end_in_tail)) +
                     log_end_refined * (resolution_.factor - 1.0);
  constexpr double margin = 1.3;
  double length =
      margin * std::max(std::sqrt(2.0 * end) / noise_, std::min(by_powers(end), by_normals(end))) +
      static_cast<double>(lane_count) * h;

  const bool bent = curve_[1] != 0.0 || curve_[2] != 0.0 || curve_[3] != 0.0;
  std::size_t order = branches_.rows > 1 ? least_curve_order : 0;
  if (bent) {
    const double strength = bend_strength(at.c, sigma_, curve_) * curved().moments[2];
    order = strength < 1e-5 ? 4 : strength < 3e-3 ? 6 : strength < 3e-2 ? 10 : 16;
  }
  if (resolution_.factor > 1.0 && order > 0) {
    order += 4;
  }
  for (;;) {
    const Builder builder{*this, sign, at, h, order, std::hypot(at.c, length), -end};
    switch (builder.build(*result)) {
      case Builder::Outcome::done:
        return result;
      case Builder::Outcome::too_slow:
        result->failed = true;
        return result;
      case Builder::Outcome::nodes_too_few:
        length *= 1.5;
        break;
      case Builder::Outcome::order_too_low:
        if (order >= most_curve_order) {
          return result;
        }
        order = std::min(order + 2, most_curve_order);
    }
  }
}

std::optional<PartProbability> PartDistribution::from_contour(double x) {
  const std::size_t side = x < mean_ ? 0 : 1;
  const double sign = side == 0 ? 1.0 : -1.0;
  const double z = sign * (x - mean_);
  if (log_chernoff(side, z, log_negligible) < log_negligible) {
    return side == 0 ? PartProbability{0.0, weight_, 0.0} : PartProbability{weight_, 0.0, 0.0};
  }
  double best = height(side, 0, z);
  for (std::size_t i = 1; i < most_rungs; ++i) {
    const double next = height(side, i, z);
    if (!(next < best && carries(side, i))) {
      break;
    }
    best = next;
  }
  std::size_t index = 0;
  while (height(side, index, z) > best + rung_slack) {
    ++index;
  }
  Rung& chosen = rung(side, index);
  if (!chosen.contour) {
    chosen.contour = contour(side, index);
  }
  const Contour& at = *chosen.contour;
  if (at.failed) {
    return std::nullopt;
  }
  const double from_centre = sign * (x - at.centre);
  const double step_re = std::cos(at.h * from_centre);
  const double step_im = std::sin(at.h * from_centre);
  double re = 1.0;
  double im = 0.0;
  double probability = -0.5 * at.over_s_re[0];
  double density = -0.5 * at.re[0];
  for (std::size_t k = 0; k < at.re.size(); ++k) {
    probability += re * at.over_s_re[k] - im * at.over_s_im[k];
    density += re * at.re[k] - im * at.im[k];
    const double next = re * step_re - im * step_im;
    im = re * step_im + im * step_re;
    re = next;
  }
  const double factor = std::exp(at.c * from_centre) * at.h / pi;
  const double p = factor * probability - at.first_alias;
  const double curve_error = std::exp(at.c * from_centre) * at.curve_error;
  if (!(curve_error <= allowed_error(std::abs(p)))) {
    throw ComputationError("the curve bends too much over the spread of its terms: " +
                           text((x - mean_) / sigma_) + " sigma from the mean a probability of " +
                           text(p) + " is known to " + text(curve_error) + " only");
  }
  if (!(rule_error * factor * std::abs(at.over_s_re[0]) <= allowed_error(std::abs(p)))) {
    throw ComputationError("too much cancels in a probability of " + text(p) + ", " +
                           text((x - mean_) / sigma_) +
                           " sigma from the mean: the tail there is too long beside the spread");
  }
  if (!(p >= 0.0)) {
    // Far below the smallest probability of interest the error may exceed the value.
    if (!(std::abs(p) <= tail_accuracy * tail_end)) {
      throw ComputationError("a probability came out as " + text(p));
    }
    return side == 0 ? PartProbability{0.0, weight_, 0.0} : PartProbability{weight_, 0.0, 0.0};
  }
  const double f = factor * density;
  return side == 0 ? PartProbability{p, weight_ - p, f} : PartProbability{weight_ - p, p, f};
}

}  // namespace lashband::tolerance::kernel
