#include "band/float_measure.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include "band/gap_terms.hpp"
#include "band/gauss_rules.hpp"
#include "band/spread_nodes.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::kernel::Measure;

constexpr double inverse_root_of_two_pi = 0.398942280401432678;

// A fit is either tight and takes from the clearance, or loose and adds its own play.
struct Fit {
  std::vector<Node> taken;  // f * I where I > 0
  std::vector<Node> play;   // -I where I < 0
};

Fit fit_of(const LinearForm& interference, double factor, const Draws& draws) {
  Fit fit;
  for (const Node& node : nodes_with_kink(interference, draws, 0.0)) {
    if (node.value >= 0.0) {
      fit.taken.push_back({factor * node.value, node.weight});
    } else {
      fit.play.push_back({-node.value, node.weight});
    }
  }
  return fit;
}

double greatest(const std::vector<Node>& nodes) {
  double most = 0.0;
  for (const Node& node : nodes) {
    most = std::max(most, node.value);
  }
  return most;
}

// The sum of two independent variables in few nodes.
std::vector<Node> sum(const std::vector<Node>& a, const std::vector<Node>& b) {
  if (a.size() == 1 || b.size() == 1) {
    std::vector<Node> shifted = a.size() == 1 ? b : a;
    const Node& by = a.size() == 1 ? a.front() : b.front();
    for (Node& node : shifted) {
      node = {node.value + by.value, node.weight * by.weight};
    }
    return shifted;
  }
  MeasureBuilder builder(0.0, greatest(a) + greatest(b));
  for (const Node& one : a) {
    for (const Node& two : b) {
      builder.add(one.value + two.value, one.weight * two.weight);
    }
  }
  // What takes their place meets the kink of the clearance, so that it has to be finer than a term.
  constexpr double panel_in_sigma = 1.0 / 3.0;
  const Measure measure = builder.built(panel_in_sigma);
  std::vector<Node> nodes;
  for (std::size_t i = 0; i < measure.place.size(); ++i) {
    nodes.push_back({measure.place[i], measure.weight[i]});
  }
  return nodes;
}

// What clearance is left when `taken` is taken from it: a point mass at none, and nodes above.
struct Left {
  double none = 0.0;
  std::vector<Node> some;
};

class Clearance {
 public:
  Clearance(const LinearForm& form, const Draws& draws) : form_(form), draws_(draws) {
    double variance = 0.0;
    for (const LinearTerm& term : form.terms) {
      const tolerance::Shape& shape = draws.shapes[term.draw];
      normal_ = normal_ && shape.kind() == tolerance::Shape::Kind::normal;
      const double sigma = term.coefficient * shape.sigma();
      variance += sigma * sigma;
    }
    sigma_ = std::sqrt(variance);
    normal_ = normal_ && sigma_ > 0.0;
  }

  [[nodiscard]] Left after(const std::vector<Node>& taken) const {
    Left left;
    for (const Node& by : taken) {
      if (normal_) {
        take_from_normal(by, left);
      } else {
        take(by, left);
      }
    }
    return left;
  }

  /// Of what is left of it, max(0, clearance - taken).
  struct Powers {
    double mean = 0.0;
    double square = 0.0;
  };
  [[nodiscard]] Powers powers_after(const std::vector<Node>& taken) const {
    Powers sum;
    for (const Node& by : taken) {
      const Powers one = normal_ ? normal_powers_above(by.value) : powers_above(by.value);
      sum.mean += by.weight * one.mean;
      sum.square += by.weight * one.square;
    }
    return sum;
  }

 private:
  [[nodiscard]] Powers powers_above(double level) const {
    Powers powers;
    for (const Node& clearance : nodes_with_kink(form_, draws_, level)) {
      const double left = std::max(0.0, clearance.value - level);
      powers.mean += clearance.weight * left;
      powers.square += clearance.weight * left * left;
    }
    return powers;
  }

  [[nodiscard]] Powers normal_powers_above(double level) const {
    const double kink = (level - form_.constant) / sigma_;
    const double density = inverse_root_of_two_pi * std::exp(-0.5 * kink * kink);
    const double above = 0.5 * std::erfc(kink / std::numbers::sqrt2);
    return {sigma_ * (density - kink * above),
            sigma_ * sigma_ * ((1.0 + kink * kink) * above - kink * density)};
  }

  void take(const Node& by, Left& left) const {
    for (const Node& clearance : nodes_with_kink(form_, draws_, by.value)) {
      const double weight = by.weight * clearance.weight;
      if (clearance.value > by.value) {
        left.some.push_back({clearance.value - by.value, weight});
      } else {
        left.none += weight;
      }
    }
  }

  // The same where the clearance is normal: nodes above the kink, and the rest in closed form.
  void take_from_normal(const Node& by, Left& left) const {
    constexpr double reach = 8.5;  // 1e-17 lies beyond
    constexpr double piece = 4.0;
    constexpr std::size_t nodes_a_piece = 14;
    const double kink = (by.value - form_.constant) / sigma_;
    left.none += by.weight * 0.5 * std::erfc(-kink / std::numbers::sqrt2);
    const GaussRule& rule = gauss_legendre(nodes_a_piece);
    const double start = std::max(kink, -reach);
    const auto pieces = static_cast<int>(std::ceil(std::max(0.0, reach - start) / piece));
    for (int i = 0; i < pieces; ++i) {
      const double width = (reach - start) / pieces;
      const double middle = start + width * (i + 0.5);
      for (std::size_t k = 0; k < nodes_a_piece; ++k) {
        const double z = middle + 0.5 * width * rule.node[k];
        left.some.push_back(
            {sigma_ * (z - kink),
             by.weight * width * rule.weight[k] * inverse_root_of_two_pi * std::exp(-0.5 * z * z)});
      }
    }
  }

  const LinearForm& form_;
  const Draws& draws_;
  double sigma_ = 0.0;
  bool normal_ = true;
};

}  // namespace

Measure float_measure(const SeatModel& seat, const Draws& draws, double grain) {
  const double unweighted_grain = seat.weight > 0.0 ? grain / seat.weight : 0.0;
  const Fit outer = fit_of(seat.outer, seat.outer_factor, draws);
  const Fit inner = fit_of(seat.inner, seat.inner_factor, draws);
  const Clearance clearance(seat.clearance, draws);
  // By which of the fits are tight.
  struct Case {
    Left left;
    std::vector<Node> play;
  };
  const std::vector<Node> nothing{{0.0, 1.0}};
  std::vector<Case> cases;
  const auto add_case = [&](const std::vector<Node>& taken, const std::vector<Node>& play) {
    if (!taken.empty() && !play.empty()) {
      cases.push_back({clearance.after(taken), play});
    }
  };
  const auto both = [](const std::vector<Node>& a, const std::vector<Node>& b) {
    return a.empty() || b.empty() ? std::vector<Node>() : sum(a, b);
  };
  add_case(both(outer.taken, inner.taken), nothing);
  add_case(inner.taken, outer.play);
  add_case(outer.taken, inner.play);
  add_case(nothing, both(outer.play, inner.play));

  double most = 0.0;
  for (const Case& one : cases) {
    most = std::max(most, greatest(one.left.some) + greatest(one.play));
  }
  MeasureBuilder builder(0.0, most, unweighted_grain);
  for (const Case& one : cases) {
    // The clearance left in few nodes before it meets the play.
    MeasureBuilder left(0.0, greatest(one.left.some), unweighted_grain);
    for (const Node& node : one.left.some) {
      left.add(node.value, node.weight);
    }
    const Measure some = left.built();
    for (const Node& play : one.play) {
      if (play.value == 0.0) {
        builder.add_atom(0.0, one.left.none * play.weight);
      } else {
        builder.add(play.value, one.left.none * play.weight);
      }
      for (std::size_t i = 0; i < some.place.size(); ++i) {
        builder.add(some.place[i] + play.value, some.weight[i] * play.weight);
      }
    }
  }
  return scaled(builder.built(), seat.weight);
}

FloatMoments float_moments(const SeatModel& seat, const Draws& draws) {
  // A fit as what it takes from the clearance, nothing where it is loose, and its play.
  struct Ring {
    std::vector<Node> taken;
    double play = 0.0;
    double square_of_play = 0.0;
  };
  const auto ring_of = [&draws](const LinearForm& interference, double factor) {
    Fit fit = fit_of(interference, factor, draws);
    Ring ring;
    double loose = 0.0;
    for (const Node& play : fit.play) {
      loose += play.weight;
      ring.play += play.weight * play.value;
      ring.square_of_play += play.weight * play.value * play.value;
    }
    ring.taken = std::move(fit.taken);
    if (loose > 0.0) {
      ring.taken.push_back({0.0, loose});
    }
    return ring;
  };
  const Ring outer = ring_of(seat.outer, seat.outer_factor);
  const Ring inner = ring_of(seat.inner, seat.inner_factor);
  const Clearance clearance(seat.clearance, draws);
  const Clearance::Powers left = clearance.powers_after(sum(outer.taken, inner.taken));
  // A loose ring takes nothing, so that its play stands beside what the other ring leaves.
  double covariance = 0.0;
  for (const auto& [loose, other] : {std::pair(&outer, &inner), std::pair(&inner, &outer)}) {
    if (loose->play > 0.0) {
      covariance += loose->play * (clearance.powers_after(other->taken).mean - left.mean);
    }
  }
  FloatMoments moments;
  moments.mean = seat.weight * (left.mean + outer.play + inner.play);
  moments.variance =
      seat.weight * seat.weight *
      (left.square - left.mean * left.mean + outer.square_of_play - outer.play * outer.play +
       inner.square_of_play - inner.play * inner.play + 2.0 * covariance);
  return moments;
}

void FloatMeasures::append(Key& key, const LinearForm& form, const Draws& draws) {
  key.push_back(form.constant);
  key.push_back(static_cast<double>(form.terms.size()));
  for (const LinearTerm& term : form.terms) {
    const tolerance::Shape& shape = draws.shapes[term.draw];
    key.insert(key.end(), {term.coefficient, static_cast<double>(shape.kind()), shape.capability(),
                           shape.mode()});
    for (const tolerance::Shape::Point& point : shape.points()) {
      key.insert(key.end(), {point.y, point.density});
    }
  }
}

FloatMeasures::Key FloatMeasures::key_of(const SeatModel& seat, const Draws& draws) {
  Key key{seat.outer_factor, seat.inner_factor};
  for (const LinearForm* form : {&seat.clearance, &seat.outer, &seat.inner}) {
    append(key, *form, draws);
  }
  return key;
}

namespace {

// Enough for a sweep of some dozen states with several kinds of bearings.
constexpr std::size_t most_known = 1024;

// What `known` holds for the key, or what `made` yields, which it then holds.
template <class Map, class Make>
const typename Map::mapped_type& kept(Map& known, const typename Map::key_type& key,
                                      const Make& made) {
  const auto found = known.find(key);
  if (found != known.end()) {
    return found->second;
  }
  if (known.size() >= most_known) {
    known.clear();
  }
  return known.emplace(key, made()).first->second;
}

SeatModel unweighted(const SeatModel& seat) {
  SeatModel result = seat;
  result.weight = 1.0;
  return result;
}

}  // namespace

Measure FloatMeasures::of(const SeatModel& seat, const Draws& draws, double grain) {
  Key key = key_of(seat, draws);
  // In powers of two, so that the gaps of a state share it.
  const double rough = grain > 0.0 && seat.weight > 0.0
                           ? std::exp2(std::floor(std::log2(grain / seat.weight)))
                           : 0.0;
  key.push_back(rough);
  return scaled(kept(known_, key, [&] { return float_measure(unweighted(seat), draws, rough); }),
                seat.weight);
}

Measure FloatMeasures::run_out_of(const MeshModel& mesh, const Draws& draws, double e_1,
                                  double e_2) {
  // Both gears are usually of one metal and equally warm, so that one measure serves every state.
  const double ratio = e_2 / e_1;
  Key key{ratio};
  for (const LinearForm* form : {&mesh.run_out_1, &mesh.run_out_2, &*mesh.run_out_phase}) {
    append(key, *form, draws);
  }
  return scaled(kept(known_run_outs_, key, [&] { return phased_run_out(mesh, draws, 1.0, ratio); }),
                e_1);
}

FloatMoments FloatMeasures::moments_of(const SeatModel& seat, const Draws& draws) {
  const FloatMoments& moments = kept(known_moments_, key_of(seat, draws),
                                     [&] { return float_moments(unweighted(seat), draws); });
  return {seat.weight * moments.mean, seat.weight * seat.weight * moments.variance};
}

}  // namespace lashband::band::kernel
