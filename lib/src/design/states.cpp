#include <array>
#include <charconv>
#include <cmath>

#include "lashband/design/design.hpp"

namespace lashband::design {
namespace {

// A soak point is named by its level, to a tenth of a millikelvin: enough to tell the points of any
// sweep apart that is wider than its steps are fine, and no trailing digits of binary fractions.
std::string soak_name(double level, double step) {
  constexpr double grain = 1e-4;
  const double shown = std::abs(step) > 2.0 * grain ? std::round(level / grain) * grain : level;
  // Rounding to a decimal grain leaves binary dust; a tenth of the grain is the digit to print to.
  std::array<char, 64> buffer{};
  const auto end = std::abs(step) > 2.0 * grain
                       ? std::to_chars(buffer.data(), buffer.data() + buffer.size(), shown,
                                       std::chars_format::fixed, 4)
                       : std::to_chars(buffer.data(), buffer.data() + buffer.size(), shown);
  std::string text(buffer.data(), end.ptr);
  if (text.find('.') != std::string::npos && text.find('e') == std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') {
      text.pop_back();
    }
  }
  return "soak " + (text == "-0" ? std::string("0") : text) + " degC";
}

}  // namespace

std::vector<State> states_of(const Design& design) {
  std::vector<State> states;
  for (const Condition& condition : design.conditions) {
    states.push_back({condition.id, condition.id, states.size(), condition.temperatures});
  }
  if (design.soak) {
    const double from = design.soak->from.value();
    const double to = design.soak->to.value();
    const std::size_t last = design.soak->points - 1;
    const double step = (to - from) / static_cast<double>(last);
    for (std::size_t i = 0; i <= last; ++i) {
      const double level =
          i == last ? to : from + (to - from) * static_cast<double>(i) / static_cast<double>(last);
      states.push_back(
          {soak_name(level, step), "soak", i,
           thermal::TemperatureState::uniform(design.zones.size(), units::celsius(level))});
    }
  }
  return states;
}

}  // namespace lashband::design
