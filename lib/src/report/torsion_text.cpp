#include <string>

#include "lashband/design/torsion.hpp"
#include "lashband/report/text.hpp"
#include "message_text.hpp"
#include "number_text.hpp"
#include "requirement_text.hpp"
#include "terminal_table.hpp"
#include "torsion_numbers.hpp"
#include "torsion_text_parts.hpp"
#include "torsion_words.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

std::string introduction(const design::TorsionResult& result) {
  std::string text = "torsional model: " + counted(result.inertias.size(), "inertia", "inertias") +
                     " and " + counted(result.elements.size(), "part", "parts") +
                     " between them; speeds and orders are those of " +
                     printable(result.reference) + "; " + printable(result.driver) +
                     " takes up what the mean torques leave; ";
  text += result.revolutions_per_cycle
              ? "everything repeats after " + rounded_number(*result.revolutions_per_cycle, 6) +
                    (*result.revolutions_per_cycle == 1.0 ? " turn of " : " turns of ") +
                    printable(result.reference)
              : "nothing shakes the train";
  return wrapped("carrier: " + printable(result.carrier), 2) + wrapped(text, 2) +
         (result.revolutions_per_cycle
              ? wrapped(
                    "Λ, the rattle index: how far the force of a mesh falls below its mean, over "
                    "the mean; above 1 the teeth part. Least and greatest are those of a whole "
                    "cycle",
                    0)
              : "") +
         "\n";
}

std::string condition_title(const design::TorsionResult& result,
                            const design::TorsionCondition& condition,
                            const TorsionNumbers& numbers) {
  std::string text = "condition " + printable(condition.id) + ": ";
  if (!has_speed(condition)) {
    return wrapped(text + "without a speed, natural frequencies alone", 2);
  }
  text += TorsionNumbers::rpm(condition.speed) + " rpm of " + printable(result.reference);
  if (!condition.speed_judged) {
    text += ", the top of the sweep, where nothing is judged (--speed gives another)";
  }
  return wrapped(text + "; " + printable(result.driver) + " takes up " +
                     numbers.torque(condition.balance) + " " + numbers.torque_unit(),
                 2);
}

std::string condition_text(const design::TorsionResult& result,
                           const design::TorsionCondition& condition, const View& view) {
  return condition_title(result, condition, TorsionNumbers(view.units)) + "\n" +
         load_tables(result, condition, view) + mode_table(result, condition) +
         crossing_table(result, condition, view) + elastomer_table(result, condition, view) +
         wind_up_table(result, condition) + reaction_lines(result, condition, view) +
         power_lines(condition) + knob_tables(result, condition, view) +
         sweep_table(result, condition, view);
}

}  // namespace

std::string text(const design::TorsionResult& result, const View& view) {
  std::string out = title_lines(result.input) + introduction(result);
  const std::string requirements = requirement_table(result.requirements, {}, view);
  out += requirements.empty() ? "" : requirements + "\n";
  for (const design::TorsionCondition& condition : result.conditions) {
    if (shows_condition(view, condition.id)) {
      out += condition_text(result, condition, view);
    }
  }
  out += failure_lines(result.failures);
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
