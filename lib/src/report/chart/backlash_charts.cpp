#include "backlash_charts.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>

#include "band_specification.hpp"
#include "report/numbers.hpp"
#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "state_columns.hpp"

namespace lashband::report {
namespace {

using units::Length;

std::string gap_and_unit(const Measures& measures, Length gap) {
  return Numbers(measures.units()).gap_with_unit(gap);
}

// "6.3 to 246.0 µm"
std::string gaps_and_unit(const Measures& measures, Length low, Length high) {
  return Numbers(measures.units()).gap(low) + " to " + gap_and_unit(measures, high);
}

// Whether a state of that name is a point of the soak.
bool is_soak(const design::BacklashResult& result, const std::string& state) {
  return std::any_of(result.states.begin(), result.states.end(), [&state](const auto& one) {
    return one.id == state && kind_of(one) == StateKind::soak;
  });
}

// What the file asks for and whether it is kept: both limits are drawn, wherever they are decided.
std::string required_sentence(const design::BacklashResult& result, const std::string& mesh,
                              bool soak, const Measures& measures) {
  std::string sentence;
  for (const design::RequirementRow& row : result.requirements) {
    const bool least = row.what == "least_backlash";
    if (row.mesh != mesh || (!least && row.what != "greatest_backlash")) {
      continue;
    }
    const auto limit = units::from_si<Length>(row.limit);
    const auto found = units::from_si<Length>(row.found);
    const Length spare = least ? found - limit : limit - found;
    sentence += " Required is at " + std::string(least ? "least " : "most ") +
                gap_and_unit(measures, limit) + ", judged on " + basis_text(row.basis) + ": " +
                (row.met ? "kept with " + gap_and_unit(measures, spare) + " to spare"
                         : "missed by " + gap_and_unit(measures, -spare)) +
                " at " + named(row.state) +
                (is_soak(result, row.state) == soak ? "." : ", which is not in this chart.");
  }
  return sentence;
}

// Least and greatest of some of a mesh's states, worst case.
struct Extremes {
  const design::MeshState* least = nullptr;
  const design::MeshState* greatest = nullptr;
};

Extremes extremes(const design::BacklashResult& result, const design::MeshResult& mesh, bool soak) {
  Extremes found;
  for (const design::MeshState& at : mesh.states) {
    if ((kind_of(result.states[at.state]) == StateKind::soak) == soak) {
      if (found.least == nullptr || at.gap.j_wt.low < found.least->gap.j_wt.low) {
        found.least = &at;
      }
      if (found.greatest == nullptr || at.gap.j_wt.high > found.greatest->gap.j_wt.high) {
        found.greatest = &at;
      }
    }
  }
  return found;
}

std::string extremes_sentence(const design::BacklashResult& result, const design::MeshResult& mesh,
                              bool soak, const Measures& measures) {
  const Extremes found = extremes(result, mesh, soak);
  if (found.least == nullptr) {
    return "No state could be computed on " + named(result.carrier) + ".";
  }
  return "On " + named(result.carrier) + ", the one in use, the worst case runs from " +
         gaps_and_unit(measures, found.least->gap.j_wt.low, found.greatest->gap.j_wt.high) +
         ": least at " + named(result.states[found.least->state].id) + ", greatest at " +
         named(result.states[found.greatest->state].id) + ".";
}

// How the other carriers compare, by the width that their worst case sweeps.
std::string others_sentence(const design::Study& study, std::size_t mesh, bool soak,
                            const Measures& measures) {
  std::string sentence;
  for (const design::CarrierRow& row : study.carriers.rows) {
    const Extremes found = extremes(row.result, row.result.meshes[mesh], soak);
    if (row.in_use || found.least == nullptr) {
      continue;
    }
    sentence += (sentence.empty() ? " On " : "; on ") + named(row.result.carrier) +
                " it runs from " +
                gaps_and_unit(measures, found.least->gap.j_wt.low, found.greatest->gap.j_wt.high);
  }
  return sentence.empty() ? sentence : sentence + ".";
}

// A chart of one mesh over the soak, or at the conditions.
Chart chart_of(const design::Study& study, std::size_t mesh, bool soak, const DataTable& table,
               const Measures& measures, const Colours& colours) {
  const design::BacklashResult& result = study.backlash();
  const std::string& id = study.design.meshes[mesh].id;
  Chart chart;
  chart.id = (soak ? "soak-" : "conditions-") + std::to_string(mesh + 1);
  chart.table = table.id;
  chart.title = "Backlash of " + named(id) +
                (soak                          ? " with everything at one temperature"
                 : histories_of(table).empty() ? " at the conditions"
                                               : " at the conditions and the ends of histories");
  chart.reading = extremes_sentence(result, result.meshes[mesh], soak, measures) +
                  others_sentence(study, mesh, soak, measures) +
                  required_sentence(result, id, soak, measures);
  chart.spec = soak ? soak_bands(table, required_of(result, id), study.design.soak->points,
                                 measures, colours)
                    : condition_bands(table, required_of(result, id), measures, colours);
  return chart;
}

}  // namespace

std::vector<Chart> backlash_charts(const design::Study& study, std::size_t mesh,
                                   const DataTable& table, const Measures& measures,
                                   const Colours& colours) {
  std::vector<Chart> charts;
  if (has_column(table, "temperature") && any_number(table, "j_wt_nominal", true)) {
    charts.push_back(chart_of(study, mesh, true, table, measures, colours));
  }
  if (any_number(table, "j_wt_nominal", false)) {
    charts.push_back(chart_of(study, mesh, false, table, measures, colours));
  }
  return charts;
}

}  // namespace lashband::report
