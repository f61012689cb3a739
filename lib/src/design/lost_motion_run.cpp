#include "lost_motion_run.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include "band/gap_sum.hpp"
#include "band/gap_sum_distribution.hpp"
#include "band/monte_carlo.hpp"
#include "closed_lost_motion.hpp"
#include "judgement.hpp"
#include "lashband/error.hpp"
#include "lost_motion_base.hpp"

namespace lashband::design {
namespace {

using band::kernel::End;
using band::kernel::GapSum;
using band::kernel::LinearForm;
using band::kernel::Over;
using units::Angle;
using units::from_si;

constexpr double rss_sigmas = 3.0;

// An open way: its meshes add up.
class OpenWay {
 public:
  OpenWay(const LostMotionBase& run, std::size_t of, std::vector<std::size_t> meshes)
      : run_(run), of_(of), meshes_(std::move(meshes)) {}

  [[nodiscard]] LostMotionState at(std::size_t usable, bool with_percentiles,
                                   band::kernel::FloatMeasures& floats,
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
    if (with_percentiles) {
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
      const LostMotionMesh& at = *run_.at(mesh, usable);
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

  const LostMotionBase& run_;
  std::size_t of_;
  std::vector<std::size_t> meshes_;
};

// The meshes of the way at the state of the greatest, as drawn.
void add_shares(const LostMotionBase& run, const LostMotionPair& asked,
                const std::vector<std::size_t>& way, LostMotion& pair) {
  if (!pair.greatest) {
    return;
  }
  std::size_t usable = 0;
  while (run.state_index(usable) != pair.states[*pair.greatest].state) {
    ++usable;
  }
  for (const std::size_t mesh : way) {
    const MeshState& state = *run.at(mesh, usable)->result;
    const double factor = run.per_gap(mesh, usable, asked.of);
    pair.shares.push_back({run.input().design.meshes[mesh].id,
                           from_si<Angle>(factor * state.gap.j_bt.nominal.value()),
                           from_si<Angle>(factor * mid_float(state)),
                           from_si<Angle>(factor * run.axial(mesh).constant)});
  }
}

void find_ends(LostMotion& pair) {
  for (std::size_t i = 0; i < pair.states.size(); ++i) {
    const auto& total = pair.states[i].total;
    const Angle low = total ? low_end(*total, pair.basis) : Angle();
    const Angle high = total ? high_end(*total, pair.basis) : Angle();
    const auto end = [&](const std::optional<std::size_t>& place, bool greatest) {
      const auto& other = pair.states[*place].total;
      return !other     ? Angle()
             : greatest ? high_end(*other, pair.basis)
                        : low_end(*other, pair.basis);
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

LostMotions lost_motions(const LostMotionInput& input, const std::vector<LostMotionPair>& asked,
                         const RunOptions& options) {
  const LostMotionBase run(input);
  const std::uint64_t samples = options.samples.value_or(lost_motion_samples_by_default);
  const bool varies = !input.run.draws().shapes.empty();
  const bool correlated = !input.run.draws().correlations.empty();
  LostMotions result;
  std::vector<std::vector<std::size_t>> ways;
  ClosedLostMotion through_loops(run);
  std::vector<std::optional<std::size_t>> closed;  // numbers in `through_loops`
  for (const LostMotionPair& one : asked) {
    LostMotion pair;
    pair.of = input.design.shafts[one.of].id;
    pair.held = input.design.shafts[one.held].id;
    pair.basis = one.basis;
    std::vector<std::size_t> way;
    for (const train::Step& step : input.train.way(one.of, one.held)) {
      way.push_back(step.mesh);
      pair.way.push_back(input.design.meshes[step.mesh].id);
      pair.loops = pair.loops || input.train.on_a_loop(step.mesh);
    }
    // Correlated draws are for sampling, along open ways too.
    closed.push_back(pair.loops || correlated ? std::optional(through_loops.add(one.of, one.held))
                                              : std::nullopt);
    ways.push_back(std::move(way));
    result.pairs.push_back(std::move(pair));
  }

  band::kernel::FloatMeasures floats;
  for (std::size_t usable = 0; usable < run.states(); ++usable) {
    const bool moment = input.run.states()[run.state_index(usable)].time.has_value();
    std::vector<ClosedLostMotion::Wanted> to_sample;
    for (std::size_t p = 0; p < asked.size(); ++p) {
      LostMotion& pair = result.pairs[p];
      if (!has_all(run, closed[p] ? through_loops.meshes(*closed[p]) : ways[p], usable)) {
        continue;  // the failure of the mesh is told already
      }
      // Of the moments of a history percentiles are worked out only where they are judged.
      const bool percentiles = varies && (!moment || pair.basis == Basis::percentile);
      if (pair.loops) {
        pair.states.push_back(through_loops.at(*closed[p], usable));
      } else {
        pair.states.push_back(OpenWay(run, asked[p].of, ways[p])
                                  .at(usable, percentiles && !correlated, floats, result.failures));
      }
      if (closed[p] && !through_loops.is_large(*closed[p]) && percentiles &&
          pair.states.back().total) {
        to_sample.push_back({*closed[p], &pair.states.back()});
        pair.percentiles_sampled = true;
      }
    }
    if (!to_sample.empty()) {
      through_loops.sample(to_sample, usable, options, samples);
      result.sampling = Sampling{options.seed, samples, band::kernel::instruction_set()};
    }
  }
  for (std::size_t p = 0; p < asked.size(); ++p) {
    if (closed[p] && through_loops.is_large(*closed[p])) {
      result.warnings.push_back(
          {"lost motion", "", result.pairs[p].of + " - " + result.pairs[p].held, "",
           std::to_string(through_loops.meshes(*closed[p]).size()) +
               " meshes take part, more than are followed together: its ends are those of each "
               "mesh by itself with the bores as drawn, without root sum square and percentiles"});
    }
    find_ends(result.pairs[p]);
    add_shares(run, asked[p], ways[p], result.pairs[p]);
  }
  return result;
}

}  // namespace lashband::design
