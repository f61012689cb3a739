#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "band/gap_distribution.hpp"
#include "band/root_sum_square.hpp"
#include "carrier_run.hpp"
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

// Ends of the band of a mesh at each of its states.
struct Ends {
  std::vector<WorstCaseEnds> worst_case;
  std::vector<WorstCaseEnds> percentiles;  ///< empty where contributors are correlated
};

double width(const WorstCaseEnds& ends) {
  return ends.high - ends.low;
}

WorstCaseEnds envelope(const std::vector<WorstCaseEnds>& states) {
  WorstCaseEnds all = states.front();
  for (const WorstCaseEnds& ends : states) {
    all.low = std::min(all.low, ends.low);
    all.high = std::max(all.high, ends.high);
  }
  return all;
}

// The states of one mesh that could be worked out, and everything that its budgets are made from.
class MeshBudget {
 public:
  MeshBudget(const Design& design, const CarrierRun& run, const MeshResult& result,
             MeshModels models)
      : design_(design), run_(run), result_(result), models_(std::move(models)) {
    for (std::size_t which = 0; which < models_.usable.size(); ++which) {
      const std::size_t state = run.usable()[models_.usable[which]].index;
      const auto same =
          std::find_if(result.states.begin(), result.states.end(),
                       [state](const MeshState& other) { return other.state == state; });
      if (same != result.states.end()) {
        which_.push_back(which);
        places_.push_back(static_cast<std::size_t>(same - result.states.begin()));
      }
    }
    const std::size_t count = run.contributors().all().size();
    const std::vector<double> none(count, 0.0);
    acts_.assign(count, false);
    for (const std::size_t which : which_) {
      spreads_.push_back(spread(which));
      for (std::size_t draw = 0; draw < count; ++draw) {
        acts_[draw] = acts_[draw] || spreads_.back().parts[draw] != 0.0;
      }
    }
    full_ = ends(models_);
    without_ = ends_of_worst_case(scaled(none));
    for (std::size_t draw = 0; draw < count; ++draw) {
      std::vector<double> alone = none;
      alone[draw] = 1.0;
      std::vector<double> halved(count, 1.0);
      halved[draw] = 0.5;
      const bool acts = acts_[draw];
      alone_.push_back(acts ? ends_of_worst_case(scaled(alone)) : without_);
      halved_.push_back(acts ? ends(scaled(halved)) : full_);
    }
  }

  [[nodiscard]] std::size_t states() const { return which_.size(); }

  [[nodiscard]] Budget at_state(std::size_t i, Length at_reference) const {
    const MeshState& state = result_.states[places_[i]];
    Budget budget;
    budget.mesh = result_.id;
    budget.state = run_.states()[state.state].id;
    budget.j_wt = state.gap.j_wt;
    budget.temperature = state.gap.j_wt.nominal - at_reference;
    add_rows(budget, i, [i](const std::vector<WorstCaseEnds>& states) { return states[i]; });
    return budget;
  }

  [[nodiscard]] Budget over_states() const {
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
    const auto place = std::find(places_.begin(), places_.end(), *result_.least);
    add_rows(budget, static_cast<std::size_t>(place - places_.begin()), envelope);
    return budget;
  }

 private:
  using Pick = std::function<WorstCaseEnds(const std::vector<WorstCaseEnds>&)>;

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

  [[nodiscard]] MeshModels scaled(std::vector<double> factors) const {
    return run_.scaled(models_.mesh, std::move(factors));
  }

  [[nodiscard]] LinearSpread spread(std::size_t which) const {
    const band::kernel::StateModel& state = models_.model.states[which];
    return band::kernel::linear_spread(models_.model, state, state.carrier_least, run_.draws(),
                                       band::kernel::together, state.cycle_least, GapMeasure::j_wt);
  }

  [[nodiscard]] std::vector<WorstCaseEnds> ends_of_worst_case(const MeshModels& models) const {
    std::vector<WorstCaseEnds> all;
    for (const std::size_t which : which_) {
      all.push_back(worst_case_ends(design_, models, which, run_.draws()));
    }
    return all;
  }

  [[nodiscard]] Ends ends(const MeshModels& models) {
    Ends result;
    result.worst_case = ends_of_worst_case(models);
    if (!run_.draws().correlations.empty()) {
      return result;
    }
    for (const std::size_t which : which_) {
      const band::kernel::StateModel& state = models.model.states[which];
      const GapDistribution least(models.model, state, run_.draws(), Gap::least, floats_);
      const GapDistribution greatest(models.model, state, run_.draws(), Gap::greatest, floats_);
      result.percentiles.push_back({least.quantile(GapMeasure::j_wt, low_percentile),
                                    greatest.quantile(GapMeasure::j_wt, high_percentile)});
    }
    return result;
  }

  // Rows with the shares at state `shares_at` and the widths that `pick` takes from the states.
  void add_rows(Budget& budget, std::size_t shares_at, const Pick& pick) const {
    const LinearSpread& at = spreads_[shares_at];
    double sum = 0.0;
    for (std::size_t draw = 0; draw < at.parts.size(); ++draw) {
      // The chance of assembly is no tolerance: nothing on the drawing narrows it.
      if (run_.contributors().all()[draw].kind != Contributor::Kind::assembly) {
        sum += at.parts[draw] * at.parts[draw];
      }
    }
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
      row.range = from_si<Length>(width(alone_[draw][shares_at]) - width(without_[shares_at]));
      row.share = sum > 0.0 ? at.parts[draw] * at.parts[draw] / sum : 0.0;
      row.gain_worst_case =
          from_si<Length>(width(pick(full_.worst_case)) - width(pick(halved_[draw].worst_case)));
      if (!full_.percentiles.empty()) {
        row.gain_percentile = from_si<Length>(width(pick(full_.percentiles)) -
                                              width(pick(halved_[draw].percentiles)));
      }
      budget.rows.push_back(std::move(row));
    }
    std::stable_sort(budget.rows.begin(), budget.rows.end(),
                     [](const BudgetRow& a, const BudgetRow& b) { return a.share > b.share; });
  }

  const Design& design_;
  const CarrierRun& run_;
  const MeshResult& result_;
  MeshModels models_;
  band::kernel::FloatMeasures floats_;
  std::vector<std::size_t> which_;   ///< states of the models ...
  std::vector<std::size_t> places_;  ///< ... and the same states in the result
  std::vector<LinearSpread> spreads_;
  std::vector<bool> acts_;  ///< whether a contributor turns up in this mesh at all
  Ends full_;
  std::vector<WorstCaseEnds> without_;
  std::vector<std::vector<WorstCaseEnds>> alone_;
  std::vector<Ends> halved_;
};

// The design with everything at the reference temperature as its only state.
BacklashResult backlash_at_reference(const Design& design, std::size_t carrier,
                                     materials::Extrapolation extrapolation) {
  Design cold = design;
  cold.conditions = {
      {"reference",
       thermal::TemperatureState::uniform(design.zones.size(), design.reference_temperature),
       std::nullopt,
       {}}};
  cold.soak.reset();
  RunOptions options;
  options.extrapolation = extrapolation;
  return backlash(cold, carrier, options);
}

}  // namespace

BudgetResult budget(const Design& design, std::size_t carrier, const RunOptions& options) {
  BudgetResult result;
  result.backlash = backlash(design, carrier, options);
  result.input = result.backlash.input;
  result.carrier = result.backlash.carrier;
  result.warnings = result.backlash.warnings;
  result.failures = result.backlash.failures;

  const CarrierRun run(design, carrier, options);
  const BacklashResult at_reference = backlash_at_reference(design, carrier, options.extrapolation);
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    const MeshResult& mesh = result.backlash.meshes[m];
    if (mesh.states.empty()) {
      continue;  // the failures say why
    }
    std::vector<Failure> known;
    const MeshModels models = run.mesh_models(m, known);
    try {
      const MeshBudget budgets(design, run, mesh, models);
      const std::vector<MeshState>& cold = at_reference.meshes[m].states;
      if (cold.empty()) {
        throw ComputationError("no backlash at the reference temperature: " +
                               at_reference.failures.front().text);
      }
      result.budgets.push_back(budgets.over_states());
      for (std::size_t i = 0; i < budgets.states(); ++i) {
        result.budgets.push_back(budgets.at_state(i, cold.front().gap.j_wt.nominal));
      }
    } catch (const Error& error) {
      result.failures.push_back({"budget of mesh " + mesh.id, "", error.what()});
    }
  }
  return result;
}

}  // namespace lashband::design
