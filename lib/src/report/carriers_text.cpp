#include <algorithm>
#include <optional>
#include <string>

#include "failure_probability.hpp"
#include "lashband/report/text.hpp"
#include "loop_text.hpp"
#include "message_text.hpp"
#include "numbers.hpp"
#include "requirement_text.hpp"
#include "selection.hpp"
#include "state_text.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

using units::Length;

// One end of a band over all states, with the state.
struct End {
  Length gap;
  std::size_t state = 0;  // index into BacklashResult::states
};

// `end` gives the low end of a state's band, or nothing.
template <class Of>
std::optional<End> lowest(const design::MeshResult& mesh, const Of& end) {
  std::optional<End> found;
  for (const design::MeshState& at : mesh.states) {
    const std::optional<Length> here = end(at.gap.j_wt);
    if (here && (!found || *here < found->gap)) {
      found = End{*here, at.state};
    }
  }
  return found;
}

template <class Of>
std::optional<End> highest(const design::MeshResult& mesh, const Of& end) {
  std::optional<End> found;
  for (const design::MeshState& at : mesh.states) {
    const std::optional<Length> here = end(at.gap.j_wt);
    if (here && (!found || *here > found->gap)) {
      found = End{*here, at.state};
    }
  }
  return found;
}

using Band = design::ResultBand<Length>;
using MaybeLength = std::optional<Length>;

// Name of a carrier's row; a star marks the one in use.
std::string row_head(const design::CarrierRow& row, std::size_t width) {
  return (row.in_use ? "* " : "  ") + left(printable(row.result.carrier), width);
}

std::string worst_case_table(const design::CarriersResult& result, std::size_t mesh,
                             const Numbers& numbers) {
  std::string out = "  " + left("worst case", 21) + right("least", 8) + "  " + left("at", 14) +
                    right("greatest", 9) + "  " + left("at", 14) + right("swing", 8) + "\n";
  out += "  " + left("", 21) + right(numbers.gap_unit(), 8) + left("", 16) +
         right(numbers.gap_unit(), 9) + left("", 16) + right(numbers.gap_unit(), 8) + "\n";
  for (const design::CarrierRow& row : result.rows) {
    const design::MeshResult& one = row.result.meshes[mesh];
    const auto least = lowest(one, [](const Band& j) { return MaybeLength(j.low); });
    const auto greatest = highest(one, [](const Band& j) { return MaybeLength(j.high); });
    out += row_head(row, 21);
    if (!least || !greatest) {
      out += "  not computed\n";
      continue;
    }
    out += right(numbers.gap(least->gap), 8) + "  " +
           state_label(row.result.states[least->state], 14) + right(numbers.gap(greatest->gap), 9) +
           "  " + state_label(row.result.states[greatest->state], 14) +
           right(numbers.gap(one.swing), 8) + "\n";
  }
  return out;
}

std::string gap_text(const std::optional<End>& end, const Numbers& numbers) {
  return end ? numbers.gap(end->gap) : "-";
}

// Root sum square, percentiles and binding; nothing where no carrier has them.
std::string statistics_table(const design::CarriersResult& result, std::size_t mesh,
                             const Numbers& numbers) {
  bool any = false;
  std::string rows;
  for (const design::CarrierRow& row : result.rows) {
    const design::MeshResult& one = row.result.meshes[mesh];
    const auto rss_low = lowest(one, [](const Band& j) { return j.rss_low; });
    const auto rss_high = highest(one, [](const Band& j) { return j.rss_high; });
    const auto low = lowest(
        one, [](const Band& j) { return j.least ? MaybeLength(j.least->low) : std::nullopt; });
    const auto high = highest(one, [](const Band& j) {
      return j.greatest ? MaybeLength(j.greatest->high) : std::nullopt;
    });
    const auto binds = most_likely(one, Fault::binds);
    any = any || rss_low || low || binds;
    rows += row_head(row, 21) + right(gap_text(rss_low, numbers), 8) +
            right(gap_text(rss_high, numbers), 8) + right(gap_text(low, numbers), 9) +
            right(gap_text(high, numbers), 8) +
            right(binds ? probability_text(binds->probability, one.percentiles_sampled) : "-", 9);
    rows += binds && binds->probability > 0.0
                ? "  " + state_label(row.result.states[binds->state], 13)
                : "";
    rows.erase(rows.find_last_not_of(' ') + 1);
    rows += "\n";
  }
  if (!any) {
    return "";
  }
  std::string out = "\n  " + left("", 21) + right("RSS", 16) + right("99.73 %", 17) + "\n";
  out += "  " + left(std::string("in ") + numbers.gap_unit(), 21) + right("min", 8) +
         right("max", 8) + right("min", 9) + right("max", 8) + right("P(bind)", 9) + "  at\n";
  return out + rows;
}

std::string mesh_comparison(const design::CarriersResult& result, std::size_t mesh,
                            const View& view) {
  const Numbers numbers(view.units);
  return wrapped("mesh " + printable(result.rows.front().result.meshes[mesh].id) +
                     ": backlash j_wt over all states",
                 2) +
         worst_case_table(result, mesh, numbers) + statistics_table(result, mesh, numbers) + "\n";
}

std::string joint_comparison(const design::CarriersResult& result, const View& view) {
  const Numbers numbers(view.units);
  std::string out = "  " + left("carrier", 21) + right("joint force", 17) +
                    right("squeeze left", 13) + right("stretch left", 13) + "  verdict\n";
  out += "  " + left("", 21) + right(numbers.force_unit(), 17) + right(numbers.gap_unit(), 13) +
         right(numbers.gap_unit(), 13) + "\n";
  for (const design::CarrierRow& row : result.rows) {
    const design::JointSummary& joint = row.joint;
    const std::string force =
        joint.force_low && joint.force_high
            ? numbers.force(*joint.force_low) + " … " + numbers.force(*joint.force_high)
            : std::string("-");
    const bool complete = row.result.failures.empty();
    out += row_head(row, 21) + right(force, 17) + right(numbers.gap(joint.squeeze_left), 13) +
           right(numbers.gap(joint.stretch_left), 13) + "  " +
           (complete ? verdict(row.result.all_requirements_met(), view) : "not computed") + "\n";
  }
  return out;
}

template <class Has>
bool any_torsion(const design::CarriersResult& result, const Has& has) {
  return std::any_of(result.rows.begin(), result.rows.end(),
                     [&has](const auto& row) { return row.torsion && has(*row.torsion); });
}

bool has_rattle(const design::TorsionSummary& torsion) {
  return torsion.greatest_rattle_index.has_value();
}
bool has_margin(const design::TorsionSummary& torsion) {
  return torsion.least_margin.has_value();
}

// A number with where it was found; a dash where a carrier has none.
std::string torsion_row(const design::CarrierRow& row, const std::optional<double>& value,
                        const std::string& of, const std::string& condition) {
  std::string out = row_head(row, 21) + right(value ? ratio_text(*value) : "-", 10);
  if (value) {
    out += "  " + left(printable(of), 24) + " " + left(printable(condition), 20);
  }
  out.erase(out.find_last_not_of(' ') + 1);
  return out + "\n";
}

// The worst of the torsional model; nothing where no carrier has one.
std::string torsion_comparison(const design::CarriersResult& result) {
  std::string out;
  if (any_torsion(result, has_rattle)) {
    out += "  " + left("rattle index", 21) + right("greatest Λ", 10) + "  " + left("mesh", 24) +
           " at\n";
    for (const design::CarrierRow& row : result.rows) {
      const design::TorsionSummary torsion = row.torsion.value_or(design::TorsionSummary());
      out +=
          torsion_row(row, torsion.greatest_rattle_index, torsion.mesh, torsion.rattle_condition);
    }
    out += "\n";
  }
  if (any_torsion(result, has_margin)) {
    out += "  " + left("resonance margin", 21) + right("least", 10) + "  " +
           left("excitation", 24) + " at\n";
    for (const design::CarrierRow& row : result.rows) {
      const design::TorsionSummary torsion = row.torsion.value_or(design::TorsionSummary());
      out += torsion_row(row, torsion.least_margin, torsion.excitation, torsion.margin_condition);
    }
    out += "\n";
  }
  return out;
}

// What the heads mean.
std::string legend(const design::CarriersResult& result) {
  bool statistics = false;
  for (const design::CarrierRow& row : result.rows) {
    for (const design::MeshResult& mesh : row.result.meshes) {
      statistics = statistics || most_likely(mesh, Fault::binds).has_value();
    }
  }
  return wrapped(std::string("* in use; swing: what temperature does to the nominal backlash") +
                     (statistics ? "; P(bind): probability that a built unit binds, at the worst "
                                   "single state"
                                 : "") +
                     (any_torsion(result, has_rattle)
                          ? "; Λ: at the speeds of the conditions, above 1 the teeth part, ∞: they "
                            "carry no mean force and part"
                          : "") +
                     (any_torsion(result, has_margin)
                          ? "; margin: from an excitation to a natural frequency, over the latter"
                          : "") +
                     "; verdict: on the basis of each requirement",
                 2);
}

}  // namespace

std::string text(const design::CarriersResult& result, const View& view) {
  std::string out = title_lines(result.input) + "\n";
  if (result.rows.empty()) {
    return out;
  }
  const auto& meshes = result.rows.front().result.meshes;
  for (std::size_t mesh = 0; mesh < meshes.size(); ++mesh) {
    if (shows_mesh(view, meshes[mesh].id)) {
      out += mesh_comparison(result, mesh, view);
    }
  }
  out += loop_comparison(result, view) + torsion_comparison(result);
  out += joint_comparison(result, view) + legend(result) + sampling_line(sampling_of(result));
  for (const design::CarrierRow& row : result.rows) {
    std::string unmet;
    for (const design::RequirementRow& requirement : row.result.requirements) {
      unmet += requirement.met ? "" : wrapped("  " + requirement_line(requirement, view), 4);
    }
    if (!unmet.empty()) {
      out += "\n" + wrapped(printable(row.result.carrier) + " does not meet:", 2) + unmet;
    }
    out += failure_lines(row.result.failures);
  }
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
