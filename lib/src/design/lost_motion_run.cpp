#include "lost_motion_run.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <numbers>
#include <set>
#include <thread>
#include <utility>

#include "band/gap_sum.hpp"
#include "band/gap_sum_distribution.hpp"
#include "band/monte_carlo.hpp"
#include "band/unit_draws.hpp"
#include "closed_ways.hpp"
#include "lashband/error.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using band::kernel::End;
using band::kernel::GapSum;
using band::kernel::LinearForm;
using band::kernel::Over;
using units::Angle;
using units::from_si;

constexpr double rss_sigmas = 3.0;
constexpr double turn = 2.0 * std::numbers::pi;

// A mesh at one state, as lost motion needs it.
struct MeshAt {
  const band::kernel::MeshModel* model = nullptr;
  const band::kernel::StateModel* state = nullptr;
  const MeshState* result = nullptr;
  double base_radius_1 = 0.0;  // r_b1, grown
};

double mid_float(const MeshState& state) {
  return (state.float_1 ? state.float_1->nominal.value() : 0.0) +
         (state.float_2 ? state.float_2->nominal.value() : 0.0);
}

// Everything that is the same for all pairs.
class Run {
 public:
  explicit Run(const LostMotionInput& input) : input_(input) {
    const std::size_t meshes = input.design.meshes.size();
    known_.resize(meshes);
    for (std::size_t m = 0; m < meshes; ++m) {
      axial_.push_back(input.run.models().axial_play(m));
      std::map<std::size_t, const MeshState*> by_state;
      for (const MeshState& state : input.results[m].states) {
        by_state[state.state] = &state;
      }
      for (std::size_t which = 0; which < input.meshes[m].usable.size(); ++which) {
        const std::size_t usable = input.meshes[m].usable[which];
        const auto found = by_state.find(input.run.usable()[usable].index);
        if (found != by_state.end()) {
          const band::kernel::MeshModel& model = input.meshes[m].model;
          const band::kernel::StateModel& state = model.states[which];
          known_[m][usable] = {&model, &state, found->second,
                               model.r_b1 * (1.0 + state.growth_1.constant)};
        }
      }
    }
  }

  [[nodiscard]] const LostMotionInput& input() const { return input_; }
  [[nodiscard]] std::size_t states() const { return input_.run.usable().size(); }
  [[nodiscard]] std::size_t state_index(std::size_t usable) const {
    return input_.run.usable()[usable].index;
  }
  [[nodiscard]] const LinearForm& axial(std::size_t mesh) const { return axial_[mesh]; }
  // Empty where the mesh could not be worked out at the state.
  [[nodiscard]] const MeshAt* at(std::size_t mesh, std::size_t usable) const {
    const auto found = known_[mesh].find(usable);
    return found == known_[mesh].end() ? nullptr : &found->second;
  }
  [[nodiscard]] double speed(std::size_t shaft) const {
    return std::abs(train::nearest_double(input_.train.ratio(shaft)));
  }
  // Rotation of `of` for one metre along the line of action of the mesh.
  [[nodiscard]] double per_gap(std::size_t mesh, std::size_t usable, std::size_t of) const {
    const std::size_t shaft_1 = input_.train.meshes()[mesh].shaft_1;
    return speed(of) / (speed(shaft_1) * at(mesh, usable)->base_radius_1);
  }

 private:
  const LostMotionInput& input_;
  std::vector<LinearForm> axial_;
  std::vector<std::map<std::size_t, MeshAt>> known_;
};

bool has_all(const Run& run, const std::vector<std::size_t>& meshes, std::size_t usable) {
  return std::all_of(meshes.begin(), meshes.end(),
                     [&](std::size_t mesh) { return run.at(mesh, usable) != nullptr; });
}

// An open way: its meshes add up.
class OpenWay {
 public:
  OpenWay(const Run& run, std::size_t of, std::vector<std::size_t> meshes)
      : run_(run), of_(of), meshes_(std::move(meshes)) {}

  [[nodiscard]] LostMotionState at(std::size_t usable, band::kernel::FloatMeasures& floats,
                                   std::vector<Failure>& failures) const {
    const band::kernel::Draws& draws = run_.input().run.draws();
    const GapSum whole = sum(usable, true);
    const GapSum alone = sum(usable, false);
    LostMotionState state;
    state.state = run_.state_index(usable);
    state.total = ends(whole, usable, true);
    state.backlash_alone = ends(alone, usable, false);
    if (draws.shapes.empty()) {
      return state;
    }
    const band::kernel::LinearSpread low = linear_spread(whole, draws, Over::least);
    const band::kernel::LinearSpread high = linear_spread(whole, draws, Over::greatest);
    state.total->rss_low = from_si<Angle>(low.mean - rss_sigmas * low.sigma);
    state.total->rss_high = from_si<Angle>(high.mean + rss_sigmas * high.sigma);
    if (draws.correlations.empty()) {
      try {
        state.total->least = percentiles(whole, Over::least, floats);
        state.total->greatest = percentiles(whole, Over::greatest, floats);
      } catch (const Error& error) {
        failures.push_back({"percentiles of lost motion", run_.input().run.states()[state.state].id,
                            error.what()});
      }
    }
    return state;
  }

 private:
  [[nodiscard]] GapSum sum(std::size_t usable, bool with_float) const {
    GapSum result;
    for (const std::size_t mesh : meshes_) {
      const MeshAt& at = *run_.at(mesh, usable);
      const double factor = run_.per_gap(mesh, usable, of_);
      result.meshes.push_back({at.model, at.state, factor, with_float ? factor : 0.0});
      if (with_float) {
        const LinearForm& axial = run_.axial(mesh);
        result.other.constant += factor * axial.constant;
        for (const band::kernel::LinearTerm& term : axial.terms) {
          result.other.terms.push_back({term.draw, factor * term.coefficient});
        }
      }
    }
    return result;
  }

  [[nodiscard]] ResultBand<Angle> ends(const GapSum& sum, std::size_t usable,
                                       bool with_float) const {
    const band::kernel::Draws& draws = run_.input().run.draws();
    double nominal = 0.0;
    for (const std::size_t mesh : meshes_) {
      const MeshState& result = *run_.at(mesh, usable)->result;
      const double free = with_float ? mid_float(result) + run_.axial(mesh).constant : 0.0;
      nominal += run_.per_gap(mesh, usable, of_) * (result.gap.j_bt.nominal.value() + free);
    }
    ResultBand<Angle> band;
    band.nominal = from_si<Angle>(nominal);
    band.low = from_si<Angle>(worst_case(sum, draws, Over::least, End::low));
    band.high = from_si<Angle>(worst_case(sum, draws, Over::greatest, End::high));
    return band;
  }

  [[nodiscard]] Percentiles<Angle> percentiles(const GapSum& sum, Over over,
                                               band::kernel::FloatMeasures& floats) const {
    const band::kernel::GapSumDistribution distribution(sum, run_.input().run.draws(), over,
                                                        floats);
    return {from_si<Angle>(distribution.quantile(low_percentile)),
            from_si<Angle>(distribution.quantile(0.5)),
            from_si<Angle>(distribution.quantile(high_percentile))};
  }

  const Run& run_;
  std::size_t of_;
  std::vector<std::size_t> meshes_;
};

// A pair that several ways join.
class ClosedPair {
 public:
  ClosedPair(const Run& run, const train::Closure& closure, std::size_t of, std::size_t held)
      : run_(run), closure_(closure), ways_(run.input().train, of, held), speed_(run.speed(of)) {
    for (const Shaft& shaft : run.input().design.shafts) {
      places_.push_back(shaft.at);
    }
    std::set<std::size_t> shafts;
    for (const std::size_t mesh : ways_.meshes()) {
      shafts.insert(run.input().train.meshes()[mesh].shaft_1);
      shafts.insert(run.input().train.meshes()[mesh].shaft_2);
    }
    for (const std::size_t shaft : shafts) {
      const ShaftDraws& draws = run.input().run.contributors().shaft(shaft);
      if (draws.position_x && draws.position_y && places_[shaft]) {
        moved_.push_back({shaft, *draws.position_x, *draws.position_y});
      }
    }
  }

  [[nodiscard]] const std::vector<std::size_t>& meshes() const { return ways_.meshes(); }

  // A unit, its |M| by mesh of the train or, empty, as its draws make it.
  struct Unit {
    std::vector<double> y;
    std::vector<double> misalignment;
  };

  [[nodiscard]] double lost_motion(std::size_t usable, Over over, const Unit& unit,
                                   bool with_float) const {
    const std::size_t meshes = run_.input().train.meshes().size();
    std::vector<double> half_gap(meshes, 0.0);
    const double* y = unit.y.data();
    for (const std::size_t mesh : ways_.meshes()) {
      const MeshAt& at = *run_.at(mesh, usable);
      const double misalignment = unit.misalignment.empty() ? std::abs(at.state->misalignment.at(y))
                                                            : unit.misalignment[mesh];
      double length = centred_gap(*at.model, *at.state, over, y, misalignment);
      if (with_float) {
        length += float_of(*at.state, y) + run_.axial(mesh).at(y);
      }
      half_gap[mesh] = length * half_per_length(mesh, at);
    }
    return turn * speed_ * ways_.freedom(half_gap, offsets_of(unit.y));
  }

  [[nodiscard]] double nominal(std::size_t usable, bool with_float) const {
    const std::size_t meshes = run_.input().train.meshes().size();
    std::vector<double> half_gap(meshes, 0.0);
    for (const std::size_t mesh : ways_.meshes()) {
      const MeshAt& at = *run_.at(mesh, usable);
      double length = at.result->gap.j_bt.nominal.value();
      if (with_float) {
        length += mid_float(*at.result) + run_.axial(mesh).constant;
      }
      half_gap[mesh] = length * half_per_length(mesh, at);
    }
    return turn * speed_ * ways_.freedom(half_gap, offsets_at(places_));
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
  struct Moved {
    std::size_t shaft;
    std::size_t x;
    std::size_t y;
  };

  [[nodiscard]] double half_per_length(std::size_t mesh, const MeshAt& at) const {
    const train::Mesh& pair = run_.input().train.meshes()[mesh];
    // 2 p_bt |w| = 2 (2 pi r_b1 / z_1) z_1 |r_1|
    return 1.0 / (2.0 * turn * at.base_radius_1 * run_.speed(pair.shaft_1));
  }

  [[nodiscard]] std::vector<double> offsets_at(
      const std::vector<std::optional<geometry::Point>>& places) const {
    std::vector<double> offsets = closure_.offsets(places);
    for (const std::size_t mesh : ways_.meshes()) {
      offsets[mesh] /= pitches_per_revolution(run_.input().train, mesh);
    }
    return offsets;
  }

  [[nodiscard]] std::vector<double> offsets_of(const std::vector<double>& y) const {
    if (moved_.empty()) {
      return offsets_at(places_);
    }
    std::vector<std::optional<geometry::Point>> places = places_;
    const std::vector<Contributor>& all = run_.input().run.contributors().all();
    const auto by = [&](std::size_t draw) {
      return from_si<units::Length>(all[draw].mid + all[draw].reach * y[draw]);
    };
    for (const Moved& moved : moved_) {
      places[moved.shaft]->x += by(moved.x);
      places[moved.shaft]->y += by(moved.y);
    }
    return offsets_at(places);
  }

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

  const Run& run_;
  const train::Closure& closure_;
  ClosedWays ways_;
  double speed_;
  std::vector<std::optional<geometry::Point>> places_;
  std::vector<Moved> moved_;
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

// Samples one closed pair at one state; the numbers do not depend on the threads.
void sample(const ClosedPair& pair, const Run& run, std::size_t usable, const RunOptions& options,
            std::uint64_t samples, LostMotionState& state) {
  const band::kernel::UnitDraws units(run.input().run.draws(), options.seed);
  std::vector<double> least(samples);
  std::vector<double> greatest(samples);
  const auto work = [&](std::uint64_t from, std::uint64_t to) {
    ClosedPair::Unit unit;
    unit.y.resize(run.input().run.draws().shapes.size());
    for (std::uint64_t i = from; i < to; ++i) {
      units.unit(i, unit.y);
      least[i] = pair.lost_motion(usable, Over::least, unit, true);
      greatest[i] = pair.lost_motion(usable, Over::greatest, unit, true);
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
  const SampledPercentiles low = percentiles_of(std::move(least));
  const SampledPercentiles high = percentiles_of(std::move(greatest));
  state.total->least = low.value;
  state.total->greatest = high.value;
  state.least_error = low.error;
  state.greatest_error = high.error;
}

LostMotionState closed_state(const ClosedPair& pair, const Run& run, std::size_t usable) {
  LostMotionState state;
  state.state = run.state_index(usable);
  const auto band = [&](bool with_float) -> std::optional<ResultBand<Angle>> {
    const double nominal = pair.nominal(usable, with_float);
    if (!(nominal > 0.0)) {
      return std::nullopt;
    }
    ResultBand<Angle> result;
    result.nominal = from_si<Angle>(nominal);
    result.low = from_si<Angle>(pair.end(usable, Over::least, End::low, with_float));
    result.high = from_si<Angle>(pair.end(usable, Over::greatest, End::high, with_float));
    return result;
  };
  state.total = band(true);
  state.backlash_alone = band(false);
  if (state.total && !run.input().run.draws().shapes.empty()) {
    const auto low = pair.spread(usable, Over::least);
    const auto high = pair.spread(usable, Over::greatest);
    state.total->rss_low = from_si<Angle>(std::max(0.0, low.mean - rss_sigmas * low.sigma));
    state.total->rss_high = from_si<Angle>(high.mean + rss_sigmas * high.sigma);
  }
  return state;
}

Angle low_of(const ResultBand<Angle>& band, Basis basis) {
  switch (basis) {
    case Basis::nominal:
      return band.nominal;
    case Basis::rss:
      return band.rss_low.value_or(band.low);
    case Basis::percentile:
      return band.least ? band.least->low : band.low;
    case Basis::worst_case:
      break;
  }
  return band.low;
}

void find_ends(LostMotion& pair) {
  for (std::size_t i = 0; i < pair.states.size(); ++i) {
    const auto& total = pair.states[i].total;
    const Angle low = total ? low_of(*total, pair.basis) : Angle();
    const Angle high = total ? lost_motion_high(*total, pair.basis) : Angle();
    const auto end = [&](const std::optional<std::size_t>& place, bool greatest) {
      const auto& other = pair.states[*place].total;
      return !other     ? Angle()
             : greatest ? lost_motion_high(*other, pair.basis)
                        : low_of(*other, pair.basis);
    };
    if (!pair.least || low < end(pair.least, false)) {
      pair.least = i;
    }
    if (!pair.greatest || high > end(pair.greatest, true)) {
      pair.greatest = i;
    }
  }
}

}  // namespace

Angle lost_motion_high(const ResultBand<Angle>& band, Basis basis) {
  switch (basis) {
    case Basis::nominal:
      return band.nominal;
    case Basis::rss:
      return band.rss_high.value_or(band.high);
    case Basis::percentile:
      return band.greatest ? band.greatest->high : band.high;
    case Basis::worst_case:
      break;
  }
  return band.high;
}

LostMotions lost_motions(const LostMotionInput& input, const std::vector<LostMotionPair>& pairs,
                         const RunOptions& options) {
  const Run run(input);
  const train::Closure closure = closure_model(input.design, input.train);
  const std::uint64_t samples = options.samples.value_or(lost_motion_samples_by_default);
  band::kernel::FloatMeasures floats;
  LostMotions result;
  for (const LostMotionPair& asked : pairs) {
    LostMotion pair;
    pair.of = input.design.shafts[asked.of].id;
    pair.held = input.design.shafts[asked.held].id;
    pair.basis = asked.basis;
    std::vector<std::size_t> way;
    for (const train::Step& step : input.train.way(asked.of, asked.held)) {
      way.push_back(step.mesh);
      pair.way.push_back(input.design.meshes[step.mesh].id);
      pair.loops = pair.loops || input.train.on_a_loop(step.mesh);
    }
    const OpenWay open(run, asked.of, way);
    std::unique_ptr<ClosedPair> closed;
    if (pair.loops) {
      closed = std::make_unique<ClosedPair>(run, closure, asked.of, asked.held);
    }
    // Correlated draws are for sampling, along open ways too.
    const bool sampled = !input.run.draws().shapes.empty() &&
                         (pair.loops || !input.run.draws().correlations.empty());
    if (sampled && !closed) {
      closed = std::make_unique<ClosedPair>(run, closure, asked.of, asked.held);
    }
    for (std::size_t usable = 0; usable < run.states(); ++usable) {
      if (!has_all(run, closed ? closed->meshes() : way, usable)) {
        continue;  // the failure of the mesh is told already
      }
      pair.states.push_back(pair.loops ? closed_state(*closed, run, usable)
                                       : open.at(usable, floats, result.failures));
      if (sampled && pair.states.back().total) {
        sample(*closed, run, usable, options, samples, pair.states.back());
        pair.percentiles_sampled = true;
      }
    }
    find_ends(pair);
    if (pair.greatest) {
      // The way's meshes at that state, as drawn.
      std::size_t usable = 0;
      while (run.state_index(usable) != pair.states[*pair.greatest].state) {
        ++usable;
      }
      for (const std::size_t mesh : way) {
        const MeshState& state = *run.at(mesh, usable)->result;
        const double factor = run.per_gap(mesh, usable, asked.of);
        pair.shares.push_back({input.design.meshes[mesh].id,
                               from_si<Angle>(factor * state.gap.j_bt.nominal.value()),
                               from_si<Angle>(factor * mid_float(state)),
                               from_si<Angle>(factor * run.axial(mesh).constant)});
      }
    }
    result.pairs.push_back(std::move(pair));
    if (result.pairs.back().percentiles_sampled) {
      result.sampling = Sampling{options.seed, samples, band::kernel::instruction_set()};
    }
  }
  return result;
}

}  // namespace lashband::design
