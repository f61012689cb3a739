#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "backlash_run.hpp"
#include "band/gap_distribution.hpp"
#include "band/root_sum_square.hpp"
#include "carrier_run.hpp"
#include "judgement.hpp"
#include "lashband/design/run.hpp"
#include "lashband/error.hpp"
#include "mesh_states.hpp"

namespace lashband::design {
namespace {

using band::kernel::Gap;
using band::kernel::GapDistribution;
using band::kernel::GapMeasure;
using band::kernel::LinearSpread;
using units::from_si;
using units::Length;

// The usable states of one mesh that could be worked out.
struct MeshStates {
  std::vector<std::size_t> usable;  ///< index into CarrierRun::usable
  std::vector<std::size_t> places;  ///< the same states in the result of the mesh
  std::vector<std::size_t> first;   ///< the first of them at the same temperatures
  [[nodiscard]] std::size_t count() const { return usable.size(); }
};

bool alike(const UsableState& a, const UsableState& b, std::size_t zones) {
  for (std::size_t zone = 0; zone < zones; ++zone) {
    const thermal::ZoneIndex index{zone};
    if (a.temperatures.of(index).value() != b.temperatures.of(index).value()) {
      return false;
    }
  }
  return true;
}

MeshStates states_of_mesh(const Design& design, const CarrierRun& run, const MeshModels& models,
                          const MeshResult& result) {
  MeshStates states;
  for (const std::size_t usable : models.usable) {
    const std::size_t state = run.usable()[usable].index;
    const auto same =
        std::find_if(result.states.begin(), result.states.end(),
                     [state](const MeshState& other) { return other.state == state; });
    if (same != result.states.end()) {
      const auto as_warm =
          std::find_if(states.usable.begin(), states.usable.end(), [&](const std::size_t other) {
            return alike(run.usable()[other], run.usable()[usable], design.zones.size());
          });
      states.first.push_back(static_cast<std::size_t>(as_warm - states.usable.begin()));
      states.usable.push_back(usable);
      states.places.push_back(static_cast<std::size_t>(same - result.states.begin()));
    }
  }
  return states;
}

double width(const WorstCaseEnds& ends) {
  return ends.high - ends.low;
}

// The band of j_wt of one mesh with the bands of its contributors times some factors, worked out
// state by state as it is asked for, each temperature once.
class ScaledBand {
 public:
  /// All but `factors` must outlive the object.
  ScaledBand(const Design& design, const CarrierRun& run, std::size_t mesh,
             const MeshStates& states, band::kernel::FloatMeasures& floats,
             std::vector<double> factors)
      : design_(design),
        run_(run),
        mesh_(mesh),
        states_(states),
        floats_(floats),
        factors_(std::move(factors)),
        known_(states.count()) {}

  [[nodiscard]] const WorstCaseEnds& worst_case(std::size_t i) {
    AtState& at = at_state(i);
    if (!at.worst_case) {
      at.worst_case = worst_case_ends(design_, *at.models, 0, run_.draws());
    }
    return *at.worst_case;
  }
  /// The low percentile of j_least.
  [[nodiscard]] double low(std::size_t i) {
    AtState& at = at_state(i);
    if (!at.low) {
      at.low = percentile(*at.models, Gap::least, low_percentile);
    }
    return *at.low;
  }
  /// The high percentile of j_greatest.
  [[nodiscard]] double high(std::size_t i) {
    AtState& at = at_state(i);
    if (!at.high) {
      at.high = percentile(*at.models, Gap::greatest, high_percentile);
    }
    return *at.high;
  }

 private:
  struct AtState {
    std::optional<MeshModels> models;
    std::optional<WorstCaseEnds> worst_case;
    std::optional<double> low;
    std::optional<double> high;
  };

  [[nodiscard]] AtState& at_state(std::size_t i) {
    const std::size_t first = states_.first[i];
    AtState& at = known_[first];
    if (!at.models) {
      at.models = run_.scaled(mesh_, factors_, states_.usable[first]);
    }
    return at;
  }

  [[nodiscard]] double percentile(const MeshModels& models, Gap gap, double share) {
    const GapDistribution distribution(models.model, models.model.states.front(), run_.draws(), gap,
                                       floats_);
    return distribution.quantile(GapMeasure::j_wt, share);
  }

  const Design& design_;
  const CarrierRun& run_;
  std::size_t mesh_;
  const MeshStates& states_;
  band::kernel::FloatMeasures& floats_;
  std::vector<double> factors_;
  std::vector<AtState> known_;
};

// The least over the states of something that is at least `bound` at each: asked for only where the
// bound leaves room.
template <class Value>
double least_over(const std::vector<double>& bound, const Value& value) {
  std::vector<std::size_t> order(bound.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&bound](std::size_t a, std::size_t b) { return bound[a] < bound[b]; });
  double least = std::numeric_limits<double>::infinity();
  for (const std::size_t i : order) {
    if (bound[i] >= least) {
      break;
    }
    least = std::min(least, value(i));
  }
  return least;
}

// The states of one mesh that could be worked out, and everything that its budgets are made from.
class MeshBudget {
 public:
  MeshBudget(const Design& design, const CarrierRun& run, const MeshResult& result,
             const MeshModels& models)
      : design_(design),
        run_(run),
        mesh_(models.mesh),
        result_(result),
        states_(states_of_mesh(design, run, models, result)),
        acts_(contributors(), false),
        full_(scaled(std::vector<double>(contributors(), 1.0))),
        without_(scaled(std::vector<double>(contributors(), 0.0))) {
    for (const std::size_t usable : states_.usable) {
      const auto which = std::find(models.usable.begin(), models.usable.end(), usable);
      spreads_.push_back(
          spread(models.model,
                 models.model.states[static_cast<std::size_t>(which - models.usable.begin())]));
      for (std::size_t draw = 0; draw < contributors(); ++draw) {
        acts_[draw] = acts_[draw] || spreads_.back().parts[draw] != 0.0;
      }
    }
    for (std::size_t draw = 0; draw < contributors(); ++draw) {
      std::vector<double> alone(contributors(), 0.0);
      alone[draw] = 1.0;
      alone_.push_back(scaled(std::move(alone)));
      std::vector<double> halved(contributors(), 1.0);
      halved[draw] = 0.5;
      halved_.push_back(scaled(std::move(halved)));
    }
  }
  // The bands refer to the states and floats of this object.
  MeshBudget(const MeshBudget&) = delete;
  MeshBudget& operator=(const MeshBudget&) = delete;
  MeshBudget(MeshBudget&&) = delete;
  MeshBudget& operator=(MeshBudget&&) = delete;
  ~MeshBudget() = default;

  [[nodiscard]] std::size_t states() const { return states_.count(); }
  /// Place of a state in the result of the mesh.
  [[nodiscard]] std::size_t place(std::size_t i) const { return states_.places[i]; }

  [[nodiscard]] Budget at_state(std::size_t i, Length at_reference) {
    const MeshState& state = result_.states[states_.places[i]];
    Budget budget;
    budget.mesh = result_.id;
    budget.state = run_.states()[state.state].id;
    budget.j_wt = state.gap.j_wt;
    budget.temperature = state.gap.j_wt.nominal - at_reference;
    add_rows(
        budget, i, [i](ScaledBand& band, bool) { return width(band.worst_case(i)); },
        [i](ScaledBand& band, bool) { return band.high(i) - band.low(i); });
    return budget;
  }

  [[nodiscard]] Budget over_states() {
    Budget budget;
    budget.mesh = result_.id;
    budget.state = "envelope";
    const MeshState& least = result_.states[*result_.least];
    const MeshState& greatest = result_.states[*result_.greatest];
    budget.least_at = run_.states()[least.state].id;
    budget.greatest_at = run_.states()[greatest.state].id;
    budget.j_wt = least.gap.j_wt;
    for (const MeshState& state : result_.states) {
      widen(budget.j_wt, state.gap.j_wt);
    }
    budget.temperature = result_.swing;
    const auto place = std::find(states_.places.begin(), states_.places.end(), *result_.least);

    const Bounds worst_case =
        bounds([](ScaledBand& band, std::size_t i) { return band.worst_case(i); });
    Bounds percentiles;
    if (has_percentiles()) {
      percentiles = bounds([](ScaledBand& band, std::size_t i) {
        return WorstCaseEnds{band.low(i), band.high(i)};
      });
    }
    add_rows(
        budget, static_cast<std::size_t>(place - states_.places.begin()),
        [&](ScaledBand& band, bool) {
          // A band within the full one at every state.
          return width_over(
              worst_case, true, [&](std::size_t i) { return band.worst_case(i).low; },
              [&](std::size_t i) { return band.worst_case(i).high; });
        },
        [&](ScaledBand& band, bool narrows) {
          return width_over(
              percentiles, narrows, [&](std::size_t i) { return band.low(i); },
              [&](std::size_t i) { return band.high(i); });
        });
    return budget;
  }

 private:
  [[nodiscard]] std::size_t contributors() const { return run_.contributors().all().size(); }

  [[nodiscard]] ScaledBand scaled(std::vector<double> factors) {
    return {design_, run_, mesh_, states_, floats_, std::move(factors)};
  }

  // The low ends of the full band by state, and the high ends with their sign changed.
  struct Bounds {
    std::vector<double> low;
    std::vector<double> high;
  };

  template <class Ends>
  [[nodiscard]] Bounds bounds(const Ends& ends) {
    Bounds result;
    for (std::size_t i = 0; i < states(); ++i) {
      const WorstCaseEnds at = ends(full_, i);
      result.low.push_back(at.low);
      result.high.push_back(-at.high);
    }
    return result;
  }

  // From the lowest low end to the highest high end; the full band bounds both where it `narrows`.
  template <class Low, class High>
  [[nodiscard]] double width_over(const Bounds& full, bool narrows, const Low& low,
                                  const High& high) const {
    const std::vector<double> none(states(), -std::numeric_limits<double>::infinity());
    const double lowest = least_over(narrows ? full.low : none, low);
    const double highest =
        -least_over(narrows ? full.high : none, [&high](std::size_t i) { return -high(i); });
    return highest - lowest;
  }

  [[nodiscard]] bool has_percentiles() const { return run_.draws().correlations.empty(); }

  // Whether half the band of a contributor surely raises every low percentile of a gap and lowers
  // every high one: a magnitude does, unit by unit, and so does what is spread evenly about the mid
  // of its band.
  [[nodiscard]] bool surely_narrows(std::size_t draw) const {
    return run_.contributors().all()[draw].kind == Contributor::Kind::magnitude ||
           run_.draws().shapes[draw].mean() == 0.0;
  }

  static void widen(ResultBand<Length>& band, const ResultBand<Length>& other) {
    band.low = std::min(band.low, other.low);
    band.high = std::max(band.high, other.high);
    if (band.rss_low && other.rss_low) {
      band.rss_low = std::min(*band.rss_low, *other.rss_low);
      band.rss_high = std::max(*band.rss_high, *other.rss_high);
    }
    if (band.least && other.least && other.least->low < band.least->low) {
      band.least = other.least;
    }
    if (band.greatest && other.greatest && other.greatest->high > band.greatest->high) {
      band.greatest = other.greatest;
    }
  }

  [[nodiscard]] LinearSpread spread(const band::kernel::MeshModel& mesh,
                                    const band::kernel::StateModel& state) const {
    return band::kernel::linear_spread(mesh, state, state.carrier_least, run_.draws(),
                                       band::kernel::together, state.cycle_least, GapMeasure::j_wt);
  }

  // Rows with the shares at state `shares_at` and the widths that the two functions find.
  template <class WorstCaseWidth, class PercentileWidth>
  void add_rows(Budget& budget, std::size_t shares_at, const WorstCaseWidth& worst_case_width,
                const PercentileWidth& percentile_width) {
    const LinearSpread& at = spreads_[shares_at];
    double sum = 0.0;
    for (std::size_t draw = 0; draw < at.parts.size(); ++draw) {
      // The chance of assembly is no tolerance: nothing on the drawing narrows it.
      if (run_.contributors().all()[draw].kind != Contributor::Kind::assembly) {
        sum += at.parts[draw] * at.parts[draw];
      }
    }
    const double full_worst_case = worst_case_width(full_, true);
    const double full_percentile = has_percentiles() ? percentile_width(full_, true) : 0.0;
    for (std::size_t draw = 0; draw < halved_.size(); ++draw) {
      const Contributor& contributor = run_.contributors().all()[draw];
      if (contributor.kind == Contributor::Kind::assembly || !acts_[draw]) {
        continue;
      }
      BudgetRow row;
      row.contributor = contributor.id;
      row.what = contributor.what;
      row.tolerance = contributor.tolerance;
      // Alone at the state where the shares are taken; temperature would swamp it over several.
      row.range = from_si<Length>(width(alone_[draw].worst_case(shares_at)) -
                                  width(without_.worst_case(shares_at)));
      row.share = sum > 0.0 ? at.parts[draw] * at.parts[draw] / sum : 0.0;
      const bool narrows = surely_narrows(draw);
      row.gain_worst_case =
          from_si<Length>(full_worst_case - worst_case_width(halved_[draw], narrows));
      if (has_percentiles()) {
        row.gain_percentile =
            from_si<Length>(full_percentile - percentile_width(halved_[draw], narrows));
      }
      budget.rows.push_back(std::move(row));
    }
    std::stable_sort(budget.rows.begin(), budget.rows.end(),
                     [](const BudgetRow& a, const BudgetRow& b) { return a.share > b.share; });
  }

  const Design& design_;
  const CarrierRun& run_;
  std::size_t mesh_;
  const MeshResult& result_;
  MeshStates states_;
  band::kernel::FloatMeasures floats_;
  std::vector<LinearSpread> spreads_;
  std::vector<bool> acts_;  ///< whether a contributor turns up in this mesh at all
  ScaledBand full_;
  ScaledBand without_;
  std::vector<ScaledBand> alone_;   ///< by contributor
  std::vector<ScaledBand> halved_;  ///< likewise
};

// The design with everything at the reference temperature as its only state.
BacklashResult backlash_at_reference(const Design& design, std::size_t carrier,
                                     materials::Extrapolation extrapolation) {
  RunOptions options;
  options.extrapolation = extrapolation;
  const State cold{
      "reference",
      "reference",
      0,
      thermal::TemperatureState::uniform(design.zones.size(), design.reference_temperature),
      std::nullopt,
      {}};
  return backlash_at(design, carrier, options, {cold});
}

// Of the many moments of a history only the extremes of the mesh have a budget of their own.
bool has_budget_of_its_own(const BacklashResult& backlash, const MeshResult& mesh,
                           std::size_t place) {
  const State& state = backlash.states[mesh.states[place].state];
  if (!state.time) {
    return true;
  }
  bool is_least = true;
  bool is_greatest = true;
  const auto& here = mesh.states[place].gap.j_wt;
  for (std::size_t i = 0; i < mesh.states.size(); ++i) {
    if (backlash.states[mesh.states[i].state].condition != state.condition) {
      continue;
    }
    // Of moments alike the first.
    const auto& other = mesh.states[i].gap.j_wt;
    const auto low = low_end(here, mesh.basis) - low_end(other, mesh.basis);
    const auto high = high_end(other, mesh.basis) - high_end(here, mesh.basis);
    is_least = is_least && (i < place ? low < Length() : low <= Length());
    is_greatest = is_greatest && (i < place ? high < Length() : high <= Length());
  }
  return is_least || is_greatest;
}

std::size_t index_of_carrier(const Design& design, const std::string& id) {
  const auto found =
      std::find_if(design.carriers.begin(), design.carriers.end(),
                   [&id](const thermal::Carrier& carrier) { return carrier.id == id; });
  if (found == design.carriers.end()) {
    throw DomainError("the budget's backlash is with carrier '" + id +
                      "', which the design does not have");
  }
  return static_cast<std::size_t>(found - design.carriers.begin());
}

}  // namespace

BudgetResult budget(const Design& design, std::size_t carrier, const RunOptions& options,
                    BudgetExtent extent) {
  return budget(design, backlash(design, carrier, options), options, extent);
}

BudgetResult budget(const Design& design, BacklashResult backlash, const RunOptions& options,
                    BudgetExtent extent) {
  if (backlash.meshes.size() != design.meshes.size()) {
    throw DomainError("the budget's backlash has " + std::to_string(backlash.meshes.size()) +
                      " meshes, the design " + std::to_string(design.meshes.size()));
  }
  const std::size_t carrier = index_of_carrier(design, backlash.carrier);
  BudgetResult result;
  result.backlash = std::move(backlash);
  result.input = result.backlash.input;
  result.carrier = result.backlash.carrier;
  result.warnings = result.backlash.warnings;
  result.failures = result.backlash.failures;

  const CarrierRun run(design, carrier, options, result.backlash.states);
  std::optional<BacklashResult> at_reference;
  if (extent == BudgetExtent::every_state) {
    at_reference = backlash_at_reference(design, carrier, options.extrapolation);
  }
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    const MeshResult& mesh = result.backlash.meshes[m];
    if (mesh.states.empty()) {
      continue;  // the failures say why
    }
    std::vector<Failure> known;
    const MeshModels models = run.mesh_models(m, known);
    try {
      MeshBudget budgets(design, run, mesh, models);
      result.budgets.push_back(budgets.over_states());
      if (!at_reference) {
        continue;
      }
      const std::vector<MeshState>& cold = at_reference->meshes[m].states;
      if (cold.empty()) {
        throw ComputationError("no backlash at the reference temperature: " +
                               at_reference->failures.front().text);
      }
      for (std::size_t i = 0; i < budgets.states(); ++i) {
        if (has_budget_of_its_own(result.backlash, mesh, budgets.place(i))) {
          result.budgets.push_back(budgets.at_state(i, cold.front().gap.j_wt.nominal));
        }
      }
    } catch (const Error& error) {
      result.failures.push_back({"budget of mesh " + mesh.id, "", error.what()});
    }
  }
  return result;
}

}  // namespace lashband::design
