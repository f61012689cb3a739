#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "lashband/units/plain_number.hpp"
#include "selection.hpp"
#include "terminal_table.hpp"
#include "torsion_numbers.hpp"
#include "torsion_text_parts.hpp"
#include "torsion_words.hpp"

namespace lashband::report {
namespace {

using design::TorsionCondition;
using design::TorsionResult;

constexpr std::size_t modes_shown = 30;
constexpr std::size_t crossings_shown = 10;
constexpr std::size_t knobs_shown = 2;
constexpr double percent = 100.0;

// Modes count from 0, as requirements and JSON count them: free motions come
// first.
bool is_free(const design::NaturalMode& mode) {
  return !(mode.frequency.value() > 0.0);
}

std::string hertz(const design::NaturalMode& mode) {
  return rounded_number(units::value_in(mode.frequency, "Hz"), 6);
}

std::size_t place_of_greatest(const std::vector<double>& values) {
  return static_cast<std::size_t>(std::max_element(values.begin(), values.end()) - values.begin());
}

std::string signed_number(double value, int decimals, const char* unit = "") {
  const std::string text = units::fixed_number(value, decimals);
  return (value > 0.0 ? "+" : "") + text + unit;
}

// What a derivative is taken by.
struct Knob {
  std::string name;
  double change = 0.0;
};

std::vector<Knob> strongest(const TorsionResult& result, const std::vector<double>& by_stiffness,
                            const std::vector<double>& by_inertia) {
  std::vector<Knob> knobs;
  knobs.reserve(by_stiffness.size() + by_inertia.size());
  for (std::size_t e = 0; e < by_stiffness.size(); ++e) {
    knobs.push_back({"k " + element_words(result.elements[e]), by_stiffness[e]});
  }
  for (std::size_t i = 0; i < by_inertia.size(); ++i) {
    knobs.push_back({"J " + inertia_words(result.inertias[i]), by_inertia[i]});
  }
  std::stable_sort(knobs.begin(), knobs.end(), [](const Knob& one, const Knob& two) {
    return std::abs(one.change) > std::abs(two.change);
  });
  const auto first_without =
      std::find_if(knobs.begin(), knobs.end(), [](const Knob& knob) { return knob.change == 0.0; });
  knobs.erase(first_without, knobs.end());
  knobs.resize(std::min(knobs.size(), knobs_shown));
  return knobs;
}

std::string knob_row(const std::string& name, const std::vector<Knob>& knobs) {
  std::string row = "  " + left(name, 14);
  if (knobs.empty()) {
    return "  " + left(name, 14) + "-\n";
  }
  for (const Knob& knob : knobs) {
    row += left(knob.name, 22) + right(signed_number(knob.change, 3), 8) + "  ";
  }
  row.erase(row.find_last_not_of(' ') + 1);
  return row + "\n";
}

// The inertia of a piston and the gas above it are lines of one torque, and cross alike.
std::vector<design::Crossing> distinct_crossings(const TorsionResult& result,
                                                 const TorsionCondition& condition,
                                                 const View& view) {
  std::vector<design::Crossing> distinct;
  std::set<std::tuple<std::string, double, std::size_t>> seen;
  for (const design::Crossing& crossing : condition.crossings) {
    const design::ExcitationLine& line = result.lines[crossing.line];
    if (shows_order(view, line.order) && seen.emplace(line.id, line.order, crossing.mode).second) {
      distinct.push_back(crossing);
    }
  }
  return distinct;
}

std::string knob_heads(const std::string& what) {
  return "  " + left(what, 14) + left("first", 32) + "second\n";
}

std::string frequency_knobs(const TorsionResult& result, const TorsionCondition& condition) {
  std::string rows;
  std::size_t all = 0;
  for (std::size_t m = 0; m < condition.modes.size(); ++m) {
    const design::NaturalMode& mode = condition.modes[m];
    if (is_free(mode) || ++all > modes_shown) {
      continue;
    }
    rows += knob_row(
        std::to_string(m) + ", " + rounded_number(units::value_in(mode.frequency, "Hz"), 4) + " Hz",
        strongest(result, mode.frequency_by_stiffness, mode.frequency_by_inertia));
  }
  if (rows.empty()) {
    return "";
  }
  return wrapped(
             "what moves the natural frequencies most: f changes by so many % where the stiffness "
             "k or the inertia J of a part is 1 % greater (d ln f / d ln k)",
             2) +
         knob_heads("mode") + rows +
         rows_left_out(std::min(all, modes_shown), all, "natural frequencies") + "\n";
}

std::string index_knobs(const TorsionResult& result, const TorsionCondition& condition,
                        const View& view) {
  std::string rows;
  for (std::size_t i = 0; i < condition.meshes.size(); ++i) {
    const design::MeshVibration& mesh = condition.meshes[i];
    if (mesh.rattle_index && shows_mesh(view, mesh_id(result, i))) {
      rows += knob_row(printable(mesh_id(result, i)),
                       strongest(result, mesh.index_by_stiffness, mesh.index_by_inertia));
    }
  }
  if (rows.empty()) {
    return "";
  }
  return wrapped(
             "what moves the rattle indices most: Λ changes by a hundredth of this where k or J is "
             "1 % greater (dΛ / d ln k)",
             2) +
         knob_heads("mesh") + rows + "\n";
}

}  // namespace

std::string rows_left_out(std::size_t shown, std::size_t all, const char* what) {
  return shown == all ? ""
                      : "  " + std::to_string(shown) + " of " + std::to_string(all) + " " + what +
                            " shown; JSON has all\n";
}

std::string mode_table(const TorsionResult& result, const TorsionCondition& condition) {
  std::string rows;
  std::size_t all = 0;
  for (std::size_t m = 0; m < condition.modes.size(); ++m) {
    const design::NaturalMode& mode = condition.modes[m];
    if (is_free(mode) || ++all > modes_shown) {
      continue;
    }
    rows += "  " + right(std::to_string(m), 4) + right(hertz(mode), 12) +
            right(mode.damping_ratio ? units::fixed_number(*mode.damping_ratio, 4) : "-", 11) +
            right(std::to_string(mode.nodes.size()), 7) + "  ";
    if (mode.strain_share.empty()) {
      rows += "-\n";
      continue;
    }
    const std::size_t most = place_of_greatest(mode.strain_share);
    rows += left(element_words(result.elements[most]), 33) +
            right(units::fixed_number(percent * mode.strain_share[most], 1) + " %", 9) + "\n";
  }
  if (rows.empty()) {
    return wrapped("no natural frequency: the train moves freely alone", 2) + "\n";
  }
  return "natural frequencies\n  " + right("mode", 4) + right("Hz", 12) + right("damping", 11) +
         right("nodes", 7) + "  " + left("strained most", 33) + right("share", 9) + "\n" + "  " +
         right("", 4) + right("", 12) + right("ratio", 11) + "\n" + rows +
         rows_left_out(std::min(all, modes_shown), all, "natural frequencies") + "\n";
}

std::string crossing_table(const TorsionResult& result, const TorsionCondition& condition,
                           const View& view) {
  if (!has_speed(condition) || result.lines.empty()) {
    return "";
  }
  const std::vector<design::Crossing> all = distinct_crossings(result, condition, view);
  const std::size_t shown = std::min(crossings_shown, all.size());
  std::string rows;
  for (std::size_t i = 0; i < shown; ++i) {
    const design::Crossing& crossing = all[i];
    const design::ExcitationLine& line = result.lines[crossing.line];
    rows += "  " + right(std::to_string(crossing.mode), 4) + "  " + left(printable(line.id), 32) +
            right(rounded_number(line.order, 6), 12) +
            right(TorsionNumbers::rpm(crossing.speed), 13) +
            right(crossing.margin ? signed_number(percent * *crossing.margin, 1, " %") : "-", 13) +
            "\n";
  }
  const std::string of_order =
      view.order ? " of order " + rounded_number(*view.order, 6) : std::string();
  if (rows.empty()) {
    return wrapped("no excitation" + of_order + " meets a natural frequency within the speeds", 2) +
           "\n";
  }
  return wrapped("excitations" + of_order + " that meet natural frequencies, the nearest to " +
                     TorsionNumbers::rpm(condition.speed) +
                     " rpm first; margin: how far the excitation is above the natural frequency "
                     "at that speed",
                 2) +
         "  " + right("mode", 4) + "  " + left("excitation", 32) + right("order", 12) +
         right("at rpm", 13) + right("margin", 13) + "\n" + rows +
         rows_left_out(shown, all.size(), "crossings") + "\n";
}

std::string knob_tables(const TorsionResult& result, const TorsionCondition& condition,
                        const View& view) {
  return frequency_knobs(result, condition) + index_knobs(result, condition, view);
}

}  // namespace lashband::report
