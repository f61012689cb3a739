#include "state_text.hpp"

#include <algorithm>
#include <cmath>

#include "lashband/units/plain_number.hpp"
#include "terminal_table.hpp"
#include "time_text.hpp"

namespace lashband::report {

const design::State* state_of(const std::vector<design::State>& states, const std::string& id) {
  const auto found = std::find_if(states.begin(), states.end(),
                                  [&id](const design::State& state) { return state.id == id; });
  return found == states.end() ? nullptr : &*found;
}

std::string state_label(const design::State& state, std::size_t width) {
  const std::string full = printable(state.id);
  if (!state.time || columns_of(full) <= width) {
    return left(full, width);
  }
  // A decimal of a second is worth less than the history's name, but not below 100 s.
  const double seconds = state.time->value();
  const std::string time =
      " " +
      (std::abs(seconds) < 100.0 ? seconds_text(*state.time) : units::fixed_number(seconds, 0)) +
      " s";
  const std::size_t room = columns_of(time) < width ? width - columns_of(time) : 0;
  if (room < 2) {
    return left(time.substr(1), width);
  }
  std::string history = left(printable(state.condition), room);
  history.erase(history.find_last_not_of(' ') + 1);
  return left(history + time, width);
}

std::string state_label(const std::vector<design::State>& states, const std::string& id,
                        std::size_t width) {
  const design::State* state = state_of(states, id);
  return state != nullptr ? state_label(*state, width) : left(printable(id), width);
}

}  // namespace lashband::report
