#include "lashband/report/text.hpp"

#include <algorithm>
#include <set>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "selection.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

using units::fixed_number;
using units::Force;
using units::format_fixed;
using units::Length;

// A soak sweep of more points than this is thinned in tables.
constexpr std::size_t soak_points_shown = 9;

// How many of the points of a sweep to show: as many as allowed that are evenly spaced, unless that
// would leave very few.
std::size_t thinned(std::size_t points) {
  if (points <= soak_points_shown) {
    return points;
  }
  for (std::size_t shown = soak_points_shown; shown >= 5; --shown) {
    if ((points - 1) % (shown - 1) == 0) {
      return shown;
    }
  }
  return soak_points_shown;
}

// Numbers in the units of the view.
class Numbers {
 public:
  explicit Numbers(UnitSystem units) : inch_(units == UnitSystem::inch) {}

  // Distances of the drawing.
  [[nodiscard]] std::string distance(Length x) const {
    return inch_ ? format_fixed(x, "in", 5) : format_fixed(x, "mm", 4);
  }
  [[nodiscard]] const char* distance_unit() const { return inch_ ? "in" : "mm"; }
  [[nodiscard]] std::string clearance(Length x) const {
    return inch_ ? format_fixed(x, "in", 4) : format_fixed(x, "mm", 3);
  }
  // Gaps.
  [[nodiscard]] std::string gap(Length x) const {
    return inch_ ? format_fixed(x, "thou", 2) : format_fixed(x, "um", 1);
  }
  [[nodiscard]] std::string gap(const std::optional<Length>& x) const {
    return x ? gap(*x) : std::string("-");
  }
  [[nodiscard]] const char* gap_unit() const { return inch_ ? "thou" : "µm"; }
  [[nodiscard]] std::string force(Force f) const {
    return inch_ ? format_fixed(f, "lbf", 1) : format_fixed(f, "N", 0);
  }
  [[nodiscard]] const char* force_unit() const { return inch_ ? "lbf" : "N"; }

 private:
  bool inch_;
};

class Paint {
 public:
  explicit Paint(bool color) : color_(color) {}
  [[nodiscard]] std::string verdict(bool met) const {
    std::string word = met ? "met" : "NOT MET";
    if (!color_) {
      return word;
    }
    return (met ? "\x1b[32m" : "\x1b[1;31m") + word + "\x1b[0m";
  }

 private:
  bool color_;
};

std::string basis_text(design::Basis basis) {
  return basis == design::Basis::nominal ? "nominal" : "worst case";
}

// "least_backlash" reads "least backlash" in a table.
std::string spaced(std::string text) {
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

// The states of a mesh that a table shows: every condition, and a soak sweep thinned to a few
// points and the extremes.
class ShownStates {
 public:
  ShownStates(const design::BacklashResult& result, const design::MeshResult& mesh,
              const View& view) {
    std::vector<std::size_t> soak;
    for (std::size_t i = 0; i < mesh.states.size(); ++i) {
      const design::State& state = result.states[mesh.states[i].state];
      if (!shows_state(view, state)) {
        continue;
      }
      if (state.condition == "soak") {
        soak.push_back(i);
      } else {
        shown_.insert(i);
      }
    }
    soak_points_ = soak.size();
    const std::size_t points = view.condition ? soak.size() : thinned(soak.size());
    for (std::size_t k = 0; k < points; ++k) {
      shown_.insert(soak[points < 2 ? 0 : k * (soak.size() - 1) / (points - 1)]);
    }
    for (const auto& extreme : {mesh.least, mesh.greatest}) {
      if (extreme && shows_state(view, result.states[mesh.states[*extreme].state])) {
        shown_.insert(*extreme);
      }
    }
    for (const std::size_t i : soak) {
      soak_shown_ += shown_.count(i);
    }
  }
  [[nodiscard]] const std::set<std::size_t>& places() const { return shown_; }
  [[nodiscard]] std::string what_was_left_out() const {
    if (soak_shown_ == soak_points_) {
      return "";
    }
    return "  soak: " + std::to_string(soak_shown_) + " of " + std::to_string(soak_points_) +
           " points shown; --condition soak, or CSV and JSON, have all\n";
  }

 private:
  std::set<std::size_t> shown_;
  std::size_t soak_points_ = 0;
  std::size_t soak_shown_ = 0;
};

std::string title_lines(const design::Provenance& input) {
  return input.title.empty() ? std::string() : wrapped(printable(input.title), 0);
}

std::string mark(const design::MeshResult& mesh, std::size_t place) {
  const bool least = mesh.least && *mesh.least == place;
  const bool greatest = mesh.greatest && *mesh.greatest == place;
  return least && greatest ? "↕ " : least ? "↓ " : greatest ? "↑ " : "  ";
}

std::string mesh_table(const design::BacklashResult& result, const design::MeshResult& mesh,
                       const View& view) {
  const Numbers numbers(view.units);
  std::string out = wrapped("mesh " + printable(mesh.id) + ": gears " + printable(mesh.gear_1) +
                                " and " + printable(mesh.gear_2),
                            2);
  if (mesh.states.empty()) {
    return out + "  no state could be computed\n";
  }
  out += "  " + left("condition", 20) + right("a", 10) + right("α_wt", 7) + right("c", 8) +
         right("ε_α", 7) + right("j_wt", 8) + right("least", 9) + right("greatest", 9) + "\n";
  out += "  " + left("", 20) + right(numbers.distance_unit(), 10) + right("deg", 7) +
         right(numbers.distance_unit(), 8) + right("", 7) + right(numbers.gap_unit(), 8) +
         right(numbers.gap_unit(), 9) + right(numbers.gap_unit(), 9) + "\n";
  const ShownStates shown(result, mesh, view);
  for (const std::size_t place : shown.places()) {
    const design::MeshState& at = mesh.states[place];
    out += mark(mesh, place) + left(printable(result.states[at.state].id), 20) +
           right(numbers.distance(at.a), 10) + right(format_fixed(at.alpha_wt, "deg", 2), 7) +
           right(numbers.clearance(std::min(at.c_1, at.c_2)), 8) +
           right(fixed_number(at.eps_alpha, 3), 7) + right(numbers.gap(at.gap.j_wt.nominal), 8) +
           right(numbers.gap(at.gap.j_wt.low), 9) + right(numbers.gap(at.gap.j_wt.high), 9) + "\n";
  }
  return out + shown.what_was_left_out();
}

// Force and free travel of the carrier's joint, where it has one.
std::string joint_table(const design::BacklashResult& result, const View& view) {
  const bool has_joint =
      std::any_of(result.carrier_states.begin(), result.carrier_states.end(),
                  [](const auto& at) { return at.carrier.joint_force.has_value(); });
  if (!has_joint || result.meshes.empty()) {
    return "";
  }
  const Numbers numbers(view.units);
  std::string out = "joint of the carrier (positive force: the case stretches the insert)\n";
  out += "  " + left("condition", 20) + right("force", 14) + right("squeeze left", 16) +
         right("stretch left", 16) + "\n";
  out += "  " + left("", 20) + right(numbers.force_unit(), 14) + right(numbers.gap_unit(), 16) +
         right(numbers.gap_unit(), 16) + "\n";
  const ShownStates shown(result, result.meshes.front(), view);
  for (const std::size_t place : shown.places()) {
    const std::size_t state = result.meshes.front().states[place].state;
    const thermal::CarrierState* carrier = carrier_at(result, state);
    if (carrier != nullptr && carrier->joint_force) {
      out += "  " + left(printable(result.states[state].id), 20) +
             right(numbers.force(*carrier->joint_force), 14) +
             right(numbers.gap(carrier->squeeze_left), 16) +
             right(numbers.gap(carrier->stretch_left), 16) + "\n";
    }
  }
  return out + "\n";
}

std::string limit_text(const design::RequirementRow& row, double value, const Numbers& numbers) {
  return row.kind == design::RequirementRow::Kind::ratio
             ? fixed_number(value, 3)
             : numbers.gap(units::from_si<Length>(value)) + " " + numbers.gap_unit();
}

std::string requirement_table(const std::vector<design::RequirementRow>& rows, const View& view) {
  if (rows.empty()) {
    return "";
  }
  const Numbers numbers(view.units);
  const Paint paint(view.color);
  const bool one_basis = std::all_of(rows.begin(), rows.end(), [&rows](const auto& row) {
    return row.basis == rows.front().basis;
  });
  std::string out =
      one_basis ? "requirements, judged on: " + basis_text(rows.front().basis) + "\n"
                : std::string("requirements (those not marked are judged on the worst case)\n");
  out += "  " + left("mesh", 8) + left("", 24) + right("limit", 12) + right("found", 11) + "  at\n";
  std::size_t failed = 0;
  for (const design::RequirementRow& row : rows) {
    failed += row.met ? 0U : 1U;
    const bool at_most = row.what.substr(0, 8) == "greatest";
    const std::string suffix =
        !one_basis && row.basis == design::Basis::nominal ? " (nominal)" : "";
    out += "  " + left(printable(row.mesh), 7) + " " + left(spaced(row.what) + suffix, 24) +
           right((at_most ? "≤ " : "≥ ") + limit_text(row, row.limit, numbers), 12) +
           right(limit_text(row, row.found, numbers), 11) + "  " + left(printable(row.state), 13) +
           " " + paint.verdict(row.met) + "\n";
  }
  out += failed == 0 ? "  all " + std::to_string(rows.size()) + " requirements met\n"
                     : "  " + std::to_string(failed) + " of " + std::to_string(rows.size()) +
                           " requirements not met\n";
  return out;
}

std::string warning_lines(const std::vector<design::Warning>& warnings) {
  if (warnings.empty()) {
    return "";
  }
  std::string out = "\nwarnings\n";
  for (const design::Warning& warning : warnings) {
    std::string line = "  " + warning.kind;
    if (!warning.carrier.empty()) {
      line += ", with " + printable(warning.carrier);
    }
    if (!warning.subject.empty()) {
      line += ", " + printable(warning.subject);
    }
    if (!warning.state.empty()) {
      line += ", " + printable(warning.state);
    }
    out += wrapped(line + ": " + printable(warning.text), 4);
  }
  return out;
}

std::string failure_lines(const std::vector<design::Failure>& failures) {
  std::string out;
  for (const design::Failure& failure : failures) {
    out += wrapped("not computed: " + printable(failure.subject) +
                       (failure.state.empty() ? "" : " at " + printable(failure.state)) + ": " +
                       printable(failure.text),
                   4);
  }
  return out;
}

std::string carrier_table(const design::CarriersResult& result, std::size_t mesh,
                          const View& view) {
  const Numbers numbers(view.units);
  std::string out = "mesh " + printable(result.rows.front().result.meshes[mesh].id) +
                    ": backlash j_wt over all states\n";
  out += "  " + left("carrier", 21) + right("least", 8) + "  " + left("at", 14) +
         right("greatest", 9) + "  " + left("at", 14) + right("swing", 8) + "\n";
  out += "  " + left("", 21) + right(numbers.gap_unit(), 8) + left("", 16) +
         right(numbers.gap_unit(), 9) + left("", 16) + right(numbers.gap_unit(), 8) + "\n";
  for (const design::CarrierRow& row : result.rows) {
    const design::MeshResult& one = row.result.meshes[mesh];
    out += (row.in_use ? "* " : "  ") + left(printable(row.result.carrier), 21);
    if (!one.least || !one.greatest) {
      out += "  not computed\n";
      continue;
    }
    const design::MeshState& least = one.states[*one.least];
    const design::MeshState& greatest = one.states[*one.greatest];
    const bool nominal = one.basis == design::Basis::nominal;
    const auto& low = nominal ? least.gap.j_wt.nominal : least.gap.j_wt.low;
    const auto& high = nominal ? greatest.gap.j_wt.nominal : greatest.gap.j_wt.high;
    out += right(numbers.gap(low), 8) + "  " +
           left(printable(row.result.states[least.state].id), 14) + right(numbers.gap(high), 9) +
           "  " + left(printable(row.result.states[greatest.state].id), 14) +
           right(numbers.gap(one.swing), 8) + "\n";
  }
  return out + "\n";
}

std::string joint_comparison(const design::CarriersResult& result, const View& view) {
  const Numbers numbers(view.units);
  const Paint paint(view.color);
  std::string out = "  " + left("carrier", 23) + right("joint force", 20) +
                    right("squeeze left", 13) + right("stretch left", 13) + "  verdict\n";
  out += "  " + left("", 23) + right(numbers.force_unit(), 20) + right(numbers.gap_unit(), 13) +
         right(numbers.gap_unit(), 13) + "\n";
  for (const design::CarrierRow& row : result.rows) {
    const design::JointSummary& joint = row.joint;
    const std::string force =
        joint.force_low && joint.force_high
            ? numbers.force(*joint.force_low) + " … " + numbers.force(*joint.force_high)
            : std::string("-");
    const bool complete = row.result.failures.empty();
    out += (row.in_use ? "* " : "  ") + left(printable(row.result.carrier), 23) + right(force, 20) +
           right(numbers.gap(joint.squeeze_left), 13) + right(numbers.gap(joint.stretch_left), 13) +
           "  " + (complete ? paint.verdict(row.result.all_requirements_met()) : "not computed") +
           "\n";
  }
  return out;
}

}  // namespace

std::string text(const design::BacklashResult& result, const View& view) {
  std::string out = title_lines(result.input);
  out += wrapped("carrier: " + printable(result.carrier), 2);
  out += wrapped(
             "j_wt: backlash at the mid of every tolerance; least, greatest: worst case of the "
             "tolerances given; c: the smaller tip clearance; ↓ ↑: least and greatest of all "
             "states",
             0) +
         "\n";
  for (const design::MeshResult& mesh : result.meshes) {
    if (shows_mesh(view, mesh.id)) {
      out += mesh_table(result, mesh, view) + "\n";
    }
  }
  out += joint_table(result, view);
  out += requirement_table(result.requirements, view);
  out += failure_lines(result.failures);
  out += warning_lines(result.warnings);
  return out;
}

std::string text(const design::CarriersResult& result, const View& view) {
  std::string out = title_lines(result.input) + "\n";
  if (result.rows.empty()) {
    return out;
  }
  const auto& meshes = result.rows.front().result.meshes;
  for (std::size_t mesh = 0; mesh < meshes.size(); ++mesh) {
    if (shows_mesh(view, meshes[mesh].id)) {
      out += carrier_table(result, mesh, view);
    }
  }
  out += joint_comparison(result, view);
  out +=
      "* in use; least and greatest on the basis of the requirements (worst case unless\n"
      "  the file says nominal), swing is what temperature does to the nominal backlash\n";
  for (const design::CarrierRow& row : result.rows) {
    std::size_t failed = 0;
    for (const design::RequirementRow& requirement : row.result.requirements) {
      failed += requirement.met ? 0U : 1U;
    }
    if (failed > 0) {
      out += "\n" + wrapped(printable(row.result.carrier) + " does not meet:", 2);
      for (const design::RequirementRow& requirement : row.result.requirements) {
        if (!requirement.met) {
          const Numbers numbers(view.units);
          out += wrapped("  " + printable(requirement.mesh) + " " + spaced(requirement.what) +
                             ": " + limit_text(requirement, requirement.found, numbers) +
                             " against " + limit_text(requirement, requirement.limit, numbers) +
                             ", " + printable(requirement.state),
                         4);
        }
      }
    }
    out += failure_lines(row.result.failures);
  }
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
