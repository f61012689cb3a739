#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "angle_text.hpp"
#include "lashband/units/plain_number.hpp"
#include "selection.hpp"
#include "terminal_table.hpp"
#include "torsion_numbers.hpp"
#include "torsion_text_parts.hpp"
#include "torsion_words.hpp"

namespace lashband::report {
namespace {

using design::ElastomerState;
using design::ElementState;
using design::TorsionCondition;
using design::TorsionElement;
using design::TorsionResult;
using units::Angle;
using units::from_si;

constexpr std::size_t rows_shown = 30;
constexpr double percent = 100.0;

std::string index_text(const std::optional<double>& index) {
  return index ? units::fixed_number(*index, 3) : "unloaded";
}

std::string mesh_table(const TorsionResult& result, const TorsionCondition& condition,
                       const View& view) {
  const TorsionNumbers numbers(view.units);
  const bool has_ends = cycle_known(result, condition);
  const auto force = [&numbers](double newtons) {
    return numbers.force(from_si<units::Force>(newtons));
  };
  std::string rows;
  std::size_t all = 0;
  for (std::size_t i = 0; i < result.meshes.size(); ++i) {
    if (!shows_mesh(view, mesh_id(result, i)) || ++all > rows_shown) {
      continue;
    }
    const ElementState& at = condition.elements[result.meshes[i]];
    rows += "  " + left(printable(mesh_id(result, i)), 18) + right(force(at.mean), 12) +
            right(has_ends ? force(at.least) : "-", 12) +
            right(has_ends ? force(at.greatest) : "-", 12) +
            right(has_ends ? index_text(condition.meshes[i].rattle_index) : "-", 11) +
            right(numbers.stiffness(from_si<units::LinearStiffness>(at.stiffness)), 13) + "\n";
  }
  if (rows.empty()) {
    return "";
  }
  return "meshes: force on the base tangent in " + std::string(numbers.force_unit()) + "\n  " +
         left("mesh", 18) + right("mean", 12) + right("least", 12) + right("greatest", 12) +
         right("Λ", 11) + right("stiffness", 13) + "\n  " + left("", 18) + right("", 47) +
         right(numbers.stiffness_unit(), 13) + "\n" + rows +
         rows_left_out(std::min(all, rows_shown), all, "meshes") + "\n";
}

std::string part_table(const TorsionResult& result, const TorsionCondition& condition,
                       const View& view) {
  const TorsionNumbers numbers(view.units);
  const bool has_ends = cycle_known(result, condition);
  const auto torque = [&numbers](double newton_metres) {
    return numbers.torque(from_si<units::Torque>(newton_metres));
  };
  std::string rows;
  std::size_t all = 0;
  for (std::size_t e = 0; e < result.elements.size(); ++e) {
    if (is_mesh(result.elements[e]) || ++all > rows_shown) {
      continue;
    }
    const ElementState& at = condition.elements[e];
    const std::string stiffness =
        at.stiffness > 0.0 ? numbers.stiffness(from_si<units::TorsionalStiffness>(at.stiffness))
                           : "-";
    rows += "  " + left(element_words(result.elements[e]), 29) +
            right(has_mean(result.elements[e]) ? torque(at.mean) : "-", 12) +
            right(has_ends ? torque(at.least) : "-", 12) +
            right(has_ends ? torque(at.greatest) : "-", 12) + right(stiffness, 13) + "\n";
  }
  if (rows.empty()) {
    return "";
  }
  return "other parts: torque in " + std::string(numbers.torque_unit()) + "\n  " +
         left("part", 29) + right("mean", 12) + right("least", 12) + right("greatest", 12) +
         right("stiffness", 13) + "\n  " + left("", 29) + right("", 36) +
         right(numbers.torsional_unit(), 13) + "\n" + rows +
         rows_left_out(std::min(all, rows_shown), all, "parts") + "\n";
}

const char* found_words(ElastomerState::Status status) {
  switch (status) {
    case ElastomerState::Status::settled:
      return "settled";
    case ElastomerState::Status::above_range:
      return "ABOVE RANGE";
    case ElastomerState::Status::runs_away:
      return "RUNS AWAY";
    case ElastomerState::Status::not_found:
      return "NOT FOUND";
    case ElastomerState::Status::given:
      break;
  }
  return "of its zone";
}

AngleScale twist_scale(const TorsionCondition& condition) {
  Angle greatest{};
  for (const ElastomerState& at : condition.elastomers) {
    greatest = std::max({greatest, at.greatest_twist, at.mean_twist, -at.mean_twist});
  }
  return AngleScale(greatest);
}

// What of an elastomer was worked out.
struct ElastomerColumns {
  bool turns;
  bool shaken;
  bool has_ends;
};

std::string elastomer_row(const TorsionElement& element, const ElastomerState& at,
                          const TorsionNumbers& numbers, const AngleScale& scale,
                          const ElastomerColumns& columns) {
  return "  " + left(printable(element.id), 12) + right(numbers.level(at.temperature), 6) + " " +
         left(found_words(at.status), 12) + right(numbers.stiffness(at.stiffness), 11) +
         right(columns.shaken ? units::fixed_number(at.loss_factor, 3) : "-", 7) +
         right(columns.turns ? scale.text(at.mean_twist) : "-", 8) +
         right(columns.has_ends ? scale.text(at.greatest_twist) : "-", 8) +
         right(columns.has_ends && at.shear_strain
                   ? units::fixed_number(percent * *at.shear_strain, 1)
                   : "-",
               6) +
         right(columns.shaken ? TorsionNumbers::digits(units::value_in(at.heat, "W"), 3) : "-", 7) +
         "\n";
}

// The greatest of a mesh over a sweep and where it stands.
struct Greatest {
  std::optional<double> value;
  units::AngularVelocity at{};

  void take(double candidate, units::AngularVelocity speed) {
    if (!value || candidate > *value) {
      value = candidate;
      at = speed;
    }
  }
};

}  // namespace

std::string load_tables(const TorsionResult& result, const TorsionCondition& condition,
                        const View& view) {
  return has_speed(condition)
             ? mesh_table(result, condition, view) + part_table(result, condition, view)
             : "";
}

std::string elastomer_table(const TorsionResult& result, const TorsionCondition& condition,
                            const View& view) {
  if (condition.elastomers.empty()) {
    return "";
  }
  const TorsionNumbers numbers(view.units);
  const AngleScale scale = twist_scale(condition);
  const bool turns = has_speed(condition);
  const ElastomerColumns columns{turns, turns && result.revolutions_per_cycle.has_value(),
                                 turns && cycle_known(result, condition)};
  std::string out = "elastomers: temperature and where it comes from, twist in " +
                    std::string(scale.unit()) + "\n  " + left("of", 12) +
                    right(numbers.level_unit(), 6) + " " + left("", 12) + right("stiffness", 11) +
                    right("loss", 7) + right("twist", 16) + right("shear", 6) + right("heat", 7) +
                    "\n  " + left("", 31) + right(numbers.torsional_unit(), 11) +
                    right("factor", 7) + right("mean", 8) + right("most", 8) + right("%", 6) +
                    right("W", 7) + "\n";
  for (std::size_t i = 0; i < std::min(rows_shown, condition.elastomers.size()); ++i) {
    const ElastomerState& at = condition.elastomers[i];
    out += elastomer_row(result.elements[at.element], at, numbers, scale, columns);
  }
  return out +
         rows_left_out(std::min(rows_shown, condition.elastomers.size()),
                       condition.elastomers.size(), "elastomers") +
         "\n";
}

std::string wind_up_table(const TorsionResult& result, const TorsionCondition& condition) {
  if (!has_speed(condition) || condition.wind_up.empty()) {
    return "";
  }
  const bool has_ends = cycle_known(result, condition);
  Angle greatest{};
  for (const design::WindUp& row : condition.wind_up) {
    greatest = std::max({greatest, row.mean, -row.mean, row.phase_error});
  }
  const AngleScale scale(greatest);
  std::string out =
      wrapped(std::string("wind-up in ") + scale.unit() +
                  ": how far a shaft is behind the place that the tooth numbers give it against "
                  "another, and how it swings about that",
              2) +
      "  " + left("shaft", 24) + left("against", 24) + right("mean", 12) +
      right("phase error", 16) + "\n";
  const std::size_t shown = std::min(rows_shown, condition.wind_up.size());
  for (std::size_t i = 0; i < shown; ++i) {
    const design::WindUp& row = condition.wind_up[i];
    out += "  " + left(printable(row.shaft), 24) + left(printable(row.against), 24) +
           right(scale.text(row.mean), 12) +
           right(has_ends ? "± " + scale.text(row.phase_error) : "-", 16) + "\n";
  }
  return out + rows_left_out(shown, condition.wind_up.size(), "pairs") + "\n";
}

std::string reaction_lines(const TorsionResult& result, const TorsionCondition& condition,
                           const View& view) {
  const TorsionNumbers numbers(view.units);
  const design::CaseReaction& reaction = condition.reaction;
  std::string out =
      wrapped(
          "case reaction: the torque on the case is -J dω/dt, J the sum of J r, r the speed of "
          "each part over that of " +
              printable(result.reference) + ", ω",
          2) +
      wrapped("  J = " + numbers.inertia(reaction.inertia) + "; that of the greatest shaft " +
                  numbers.inertia(reaction.greatest_part),
              4);
  std::string ways;
  for (std::size_t i = 0; i < std::min(rows_shown, reaction.cancelling.size()); ++i) {
    const design::CaseReaction::Cancelling& one = reaction.cancelling[i];
    ways += (ways.empty() ? "" : ", or ") + numbers.inertia(one.inertia) + " on " +
            printable(one.shaft);
  }
  if (!ways.empty()) {
    out += wrapped("  J becomes 0 with another " + ways, 4);
  }
  if (has_speed(condition) && cycle_known(result, condition)) {
    out += "  vibration: ± " + numbers.torque(reaction.vibration) + " " + numbers.torque_unit() +
           " on the case\n";
  }
  return out + "\n";
}

std::string power_lines(const TorsionCondition& condition) {
  if (!has_speed(condition)) {
    return "";
  }
  const design::TorsionPower& power = condition.power;
  return "power in W" + right("in", 20) + right("loads", 14) + right("drag", 14) +
         right("vibration", 14) + "\n  " + left("mean torques", 16) +
         right(TorsionNumbers::power(power.driven), 12) +
         right(TorsionNumbers::power(power.loads), 14) +
         right(TorsionNumbers::power(power.drag), 14) + "\n  " + left("vibration", 16) +
         right(TorsionNumbers::power(power.vibration_in), 12) + right("", 28) +
         right(TorsionNumbers::power(power.vibration_out), 14) + "\n\n";
}

std::string sweep_table(const TorsionResult& result, const TorsionCondition& condition,
                        const View& view) {
  if (condition.sweep.empty()) {
    return "";
  }
  const TorsionNumbers numbers(view.units);
  std::string rows;
  std::size_t all = 0;
  for (std::size_t i = 0; i < result.meshes.size(); ++i) {
    if (!shows_mesh(view, mesh_id(result, i)) || ++all > rows_shown) {
      continue;
    }
    Greatest index;
    Greatest dynamic;
    for (const design::SweepPoint& point : condition.sweep) {
      if (point.rattle_index[i]) {
        index.take(*point.rattle_index[i], point.speed);
      }
      dynamic.take(point.dynamic[result.meshes[i]], point.speed);
    }
    rows += "  " + left(printable(mesh_id(result, i)), 22) + right(index_text(index.value), 14) +
            right(index.value ? TorsionNumbers::rpm(index.at) : "-", 13) +
            right(numbers.force(from_si<units::Force>(dynamic.value.value_or(0.0))), 16) +
            right(TorsionNumbers::rpm(dynamic.at), 13) + "\n";
  }
  if (rows.empty()) {
    return "";
  }
  return wrapped("sweep of " + std::to_string(condition.sweep.size()) + " speeds from " +
                     TorsionNumbers::rpm(condition.sweep.front().speed) + " to " +
                     TorsionNumbers::rpm(condition.sweep.back().speed) +
                     " rpm: the greatest of each mesh; dynamic force: half of greatest less least, "
                     "in " +
                     numbers.force_unit(),
                 2) +
         "  " + left("mesh", 22) + right("Λ", 14) + right("at rpm", 13) + right("dynamic", 16) +
         right("at rpm", 13) + "\n" + rows +
         rows_left_out(std::min(all, rows_shown), all, "meshes") + "\n";
}

}  // namespace lashband::report
