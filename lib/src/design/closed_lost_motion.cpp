#include "closed_lost_motion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <set>
#include <thread>
#include <utility>

#include "band/unit_draws.hpp"
#include "closed_ways.hpp"
#include "shaft_places.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using band::kernel::End;
using band::kernel::Over;
using units::Angle;
using units::from_si;

constexpr double rss_sigmas = 3.0;
constexpr double turn = 2.0 * std::numbers::pi;

// What the meshes of closed pairs leave in one unit, for ClosedWays; memory is used again.
struct ClosedGaps {
  std::vector<double> half_gap;
  std::vector<double> offset;
};

// A unit, its |M| by mesh of the train or, empty, as its draws make it.
struct Unit {
  std::vector<double> y;
  std::vector<double> misalignment;
};

// The gaps of some meshes and how the places of bores move their middles.
class GapsOfUnits {
 public:
  GapsOfUnits(const LostMotionBase& run, const train::Closure& closure,
              std::vector<std::size_t> meshes)
      : run_(run),
        closure_(closure),
        meshes_(std::move(meshes)),
        places_(run.input().design, run.input().run.contributors(), meshes_),
        as_drawn_(offsets_at(places_.drawn())) {}

  // Of a unit, into `gaps`.
  void put(std::size_t usable, Over over, const Unit& unit, bool with_float,
           ClosedGaps& gaps) const {
    gaps.half_gap.resize(run_.input().train.meshes().size(), 0.0);
    const double* y = unit.y.data();
    for (const std::size_t mesh : meshes_) {
      const LostMotionMesh& at = *run_.at(mesh, usable);
      const double misalignment = unit.misalignment.empty() ? std::abs(at.state->misalignment.at(y))
                                                            : unit.misalignment[mesh];
      double length = centred_gap(*at.model, *at.state, over, y, misalignment);
      if (with_float) {
        length += float_of(*at.state, y) + run_.axial(mesh).at(y);
      }
      gaps.half_gap[mesh] = length * half_per_length(mesh, at);
    }
    gaps.offset = places_.any_moves() ? offsets_at(places_.at(unit.y)) : as_drawn_;
  }

  // Each mesh at an end of its own, the bores as drawn.
  [[nodiscard]] ClosedGaps ends(std::size_t usable, End end, bool with_float) const {
    ClosedGaps gaps{std::vector<double>(run_.input().train.meshes().size(), 0.0), as_drawn_};
    const auto pick = [end](const ResultBand<units::Length>& band) {
      return end == End::low ? band.low.value() : band.high.value();
    };
    for (const std::size_t mesh : meshes_) {
      const LostMotionMesh& at = *run_.at(mesh, usable);
      double length = pick(at.result->gap.j_bt);
      if (with_float) {
        length += (at.result->float_1 ? pick(*at.result->float_1) : 0.0) +
                  (at.result->float_2 ? pick(*at.result->float_2) : 0.0) +
                  run_.axial(mesh).constant;
      }
      gaps.half_gap[mesh] = length * half_per_length(mesh, at);
    }
    return gaps;
  }

  [[nodiscard]] ClosedGaps nominal(std::size_t usable, bool with_float) const {
    ClosedGaps gaps{std::vector<double>(run_.input().train.meshes().size(), 0.0), as_drawn_};
    for (const std::size_t mesh : meshes_) {
      const LostMotionMesh& at = *run_.at(mesh, usable);
      double length = at.result->gap.j_bt.nominal.value();
      if (with_float) {
        length += mid_float(*at.result) + run_.axial(mesh).constant;
      }
      gaps.half_gap[mesh] = length * half_per_length(mesh, at);
    }
    return gaps;
  }

 private:
  [[nodiscard]] double half_per_length(std::size_t mesh, const LostMotionMesh& at) const {
    const train::Mesh& pair = run_.input().train.meshes()[mesh];
    // 2 p_bt |w| = 2 (2 pi r_b1 / z_1) z_1 |r_1|
    return 1.0 / (2.0 * turn * at.base_radius_1 * run_.speed(pair.shaft_1));
  }

  // By mesh of the train; 0 for those that take no part.
  [[nodiscard]] std::vector<double> offsets_at(const ShaftPlaces::Places& places) const {
    std::vector<double> offsets(run_.input().train.meshes().size(), 0.0);
    for (std::size_t i = 0; i < meshes_.size(); ++i) {
      const auto& [one, two] = places_.ends(i);
      offsets[meshes_[i]] =
          closure_.offset(meshes_[i], places[one], places[two]) / run_.pitches(meshes_[i]);
    }
    return offsets;
  }

  const LostMotionBase& run_;
  const train::Closure& closure_;
  std::vector<std::size_t> meshes_;
  ShaftPlaces places_;
  std::vector<double> as_drawn_;
};

// Percentiles of sorted samples, and their standard errors from the order statistics a standard
// deviation to either side.
struct SampledPercentiles {
  Percentiles<Angle> value{};
  Percentiles<Angle> error{};
};

SampledPercentiles percentiles_of(std::vector<double> samples) {
  std::sort(samples.begin(), samples.end());
  const double last = static_cast<double>(samples.size()) - 1.0;
  const auto at = [&](double place) {
    const double inside = std::clamp(place, 0.0, last);
    const auto low = static_cast<std::size_t>(inside);
    const std::size_t high = std::min(low + 1, samples.size() - 1);
    const double share = inside - static_cast<double>(low);
    return (1.0 - share) * samples[low] + share * samples[high];
  };
  const auto set = [&](double p, Angle& value, Angle& error) {
    const double place = p * last;
    const double spread = std::sqrt(p * (1.0 - p) * (last + 1.0));
    value = from_si<Angle>(at(place));
    error = from_si<Angle>(0.5 * (at(place + spread) - at(place - spread)));
  };
  SampledPercentiles result;
  set(low_percentile, result.value.low, result.error.low);
  set(0.5, result.value.mid, result.error.mid);
  set(high_percentile, result.value.high, result.error.high);
  return result;
}

}  // namespace

// A pair that several ways join.
class ClosedPair {
 public:
  ClosedPair(const LostMotionBase& run, const train::Closure& closure, std::size_t of,
             std::size_t held)
      : run_(run),
        ways_(run.input().train, of, held),
        gaps_(run, closure, ways_.meshes()),
        speed_(run.speed(of)) {}

  [[nodiscard]] const std::vector<std::size_t>& meshes() const { return ways_.meshes(); }

  [[nodiscard]] double lost_motion(const ClosedGaps& gaps) const {
    return turn * speed_ * ways_.freedom(gaps.half_gap, gaps.offset);
  }

  [[nodiscard]] double lost_motion(std::size_t usable, Over over, const Unit& unit,
                                   bool with_float) const {
    ClosedGaps gaps;
    gaps_.put(usable, over, unit, with_float, gaps);
    return lost_motion(gaps);
  }

  [[nodiscard]] double own_end(std::size_t usable, End end, bool with_float) const {
    return lost_motion(gaps_.ends(usable, end, with_float));
  }

  [[nodiscard]] double nominal(std::size_t usable, bool with_float) const {
    return lost_motion(gaps_.nominal(usable, with_float));
  }

  // One end of the worst case: every draw at the end that its effect asks for, asked again from
  // there as long as that helps.
  [[nodiscard]] double end(std::size_t usable, Over over, End side, bool with_float) const {
    const band::kernel::Draws& draws = run_.input().run.draws();
    Unit unit;
    unit.y.assign(draws.shapes.size(), 0.0);
    unit.misalignment.assign(run_.input().train.meshes().size(), 0.0);
    for (const std::size_t mesh : ways_.meshes()) {
      const auto range = band::kernel::range_of(run_.at(mesh, usable)->state->misalignment, draws);
      const double most = std::max(std::abs(range.low), std::abs(range.high));
      const double least = range.low > 0.0 ? range.low : range.high < 0.0 ? -range.high : 0.0;
      unit.misalignment[mesh] = side == End::low ? most : least;
    }
    // Run-outs of a pair that keeps their phase add up in the worst case.
    for (const std::size_t mesh : ways_.meshes()) {
      if (const auto& phase = run_.at(mesh, usable)->model->run_out_phase) {
        for (const band::kernel::LinearTerm& term : phase->terms) {
          unit.y[term.draw] = -phase->constant / term.coefficient;
        }
      }
    }
    const double sense = side == End::low ? -1.0 : 1.0;
    double best = lost_motion(usable, over, unit, with_float);
    constexpr int most_rounds = 4;
    for (int round = 0; round < most_rounds; ++round) {
      Unit next = unit;
      next.y = pushed(usable, over, unit, with_float, sense);
      const double found = lost_motion(usable, over, next, with_float);
      if (round > 0 && !(sense * found > sense * best)) {
        break;
      }
      best = found;
      unit = std::move(next);
    }
    return best;
  }

  // Mean and standard deviation to first order.
  [[nodiscard]] band::kernel::LinearSpread spread(std::size_t usable, Over over) const {
    const band::kernel::Draws& draws = run_.input().run.draws();
    Unit unit;
    for (const tolerance::Shape& shape : draws.shapes) {
      unit.y.push_back(shape.mean());
    }
    band::kernel::LinearSpread spread;
    spread.mean = lost_motion(usable, over, unit, true);
    const std::vector<double> slopes = effects(usable, over, unit, true);
    double variance = 0.0;
    for (std::size_t draw = 0; draw < slopes.size(); ++draw) {
      spread.parts.push_back(slopes[draw] * draws.shapes[draw].sigma());
      variance += spread.parts.back() * spread.parts.back();
    }
    for (const band::kernel::Draws::Correlation& tie : draws.correlations) {
      variance += 2.0 * tie.coefficient * spread.parts[tie.first] * spread.parts[tie.second];
    }
    spread.sigma = std::sqrt(std::max(0.0, variance));
    return spread;
  }

 private:
  [[nodiscard]] std::vector<double> effects(std::size_t usable, Over over, const Unit& unit,
                                            bool with_float) const {
    constexpr double step = 1e-3;
    std::vector<double> slopes(unit.y.size(), 0.0);
    Unit moved = unit;
    for (std::size_t draw = 0; draw < slopes.size(); ++draw) {
      moved.y[draw] = unit.y[draw] + step;
      const double above = lost_motion(usable, over, moved, with_float);
      moved.y[draw] = unit.y[draw] - step;
      const double below = lost_motion(usable, over, moved, with_float);
      moved.y[draw] = unit.y[draw];
      slopes[draw] = (above - below) / (2.0 * step);
    }
    return slopes;
  }

  [[nodiscard]] std::vector<double> pushed(std::size_t usable, Over over, const Unit& unit,
                                           bool with_float, double sense) const {
    const std::vector<double> slopes = effects(usable, over, unit, with_float);
    std::vector<double> y = unit.y;
    for (std::size_t draw = 0; draw < y.size(); ++draw) {
      if (slopes[draw] != 0.0) {
        y[draw] = sense * slopes[draw] > 0.0 ? 1.0 : -1.0;
      }
    }
    for (const auto& [x, other] : run_.input().run.draws().discs) {
      const double length = std::hypot(slopes[x], slopes[other]);
      y[x] = length > 0.0 ? sense * slopes[x] / length : unit.y[x];
      y[other] = length > 0.0 ? sense * slopes[other] / length : unit.y[other];
    }
    return y;
  }

  const LostMotionBase& run_;
  ClosedWays ways_;
  GapsOfUnits gaps_;
  double speed_;
};

ClosedLostMotion::ClosedLostMotion(const LostMotionBase& base)
    : base_(base), closure_(closure_model(base.input().design, base.input().train)) {}
ClosedLostMotion::~ClosedLostMotion() = default;

std::size_t ClosedLostMotion::add(std::size_t of, std::size_t held) {
  pairs_.push_back(std::make_unique<ClosedPair>(base_, closure_, of, held));
  return pairs_.size() - 1;
}

const std::vector<std::size_t>& ClosedLostMotion::meshes(std::size_t pair) const {
  return pairs_[pair]->meshes();
}

LostMotionState ClosedLostMotion::at(std::size_t number, std::size_t usable) const {
  const ClosedPair& pair = *pairs_[number];
  const bool large = is_large(number);
  LostMotionState state;
  state.state = base_.state_index(usable);
  const auto band = [&](bool with_float) -> std::optional<ResultBand<Angle>> {
    const double nominal = pair.nominal(usable, with_float);
    if (!(nominal > 0.0)) {
      return std::nullopt;
    }
    const auto end = [&](Over over, End side) {
      return from_si<Angle>(large ? pair.own_end(usable, side, with_float)
                                  : pair.end(usable, over, side, with_float));
    };
    ResultBand<Angle> result;
    result.nominal = from_si<Angle>(nominal);
    result.low = end(Over::least, End::low);
    result.high = end(Over::greatest, End::high);
    return result;
  };
  state.total = band(true);
  state.backlash_alone = band(false);
  if (state.total && !large && !base_.input().run.draws().shapes.empty()) {
    const auto low = pair.spread(usable, Over::least);
    const auto high = pair.spread(usable, Over::greatest);
    state.total->rss_low = from_si<Angle>(std::max(0.0, low.mean - rss_sigmas * low.sigma));
    state.total->rss_high = from_si<Angle>(high.mean + rss_sigmas * high.sigma);
  }
  return state;
}

void ClosedLostMotion::sample(const std::vector<Wanted>& wanted, std::size_t usable,
                              const RunOptions& options, std::uint64_t samples) const {
  std::set<std::size_t> used;
  for (const Wanted& one : wanted) {
    used.insert(meshes(one.pair).begin(), meshes(one.pair).end());
  }
  const GapsOfUnits meshes(base_, closure_, {used.begin(), used.end()});
  const band::kernel::UnitDraws units(base_.input().run.draws(), options.seed);
  std::vector<std::vector<double>> least(wanted.size(), std::vector<double>(samples));
  std::vector<std::vector<double>> greatest = least;
  const auto work = [&](std::uint64_t from, std::uint64_t to) {
    Unit unit;
    unit.y.resize(base_.input().run.draws().shapes.size());
    ClosedGaps gaps;
    for (std::uint64_t i = from; i < to; ++i) {
      units.unit(i, unit.y);
      for (const Over over : {Over::least, Over::greatest}) {
        meshes.put(usable, over, unit, true, gaps);
        for (std::size_t p = 0; p < wanted.size(); ++p) {
          (over == Over::least ? least : greatest)[p][i] =
              pairs_[wanted[p].pair]->lost_motion(gaps);
        }
      }
    }
  };
  const std::uint64_t threads = std::max(1U, options.threads);
  std::vector<std::thread> others;
  for (std::uint64_t t = 1; t < threads; ++t) {
    others.emplace_back(work, samples * t / threads, samples * (t + 1) / threads);
  }
  work(0, samples / threads);
  for (std::thread& other : others) {
    other.join();
  }
  for (std::size_t p = 0; p < wanted.size(); ++p) {
    const SampledPercentiles low = percentiles_of(std::move(least[p]));
    const SampledPercentiles high = percentiles_of(std::move(greatest[p]));
    LostMotionState& state = *wanted[p].state;
    state.total->least = low.value;
    state.total->greatest = high.value;
    state.least_error = low.error;
    state.greatest_error = high.error;
  }
}

}  // namespace lashband::design
