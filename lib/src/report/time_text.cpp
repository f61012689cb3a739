#include "time_text.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <utility>

#include "lashband/units/plain_number.hpp"

namespace lashband::report {
namespace {

using Milliseconds = std::int64_t;

constexpr Milliseconds second = 1000;
constexpr Milliseconds minute = 60 * second;
constexpr Milliseconds hour = 60 * minute;
constexpr Milliseconds day = 24 * hour;

// Where a day begins to be said: below, hours are better known.
constexpr Milliseconds first_day = 48 * hour;

// Longer times, which no history has, are written as numbers.
constexpr double longest_in_seconds = 1e12;

// What is said of a time: no one needs tenths of a second beside hours.
Milliseconds grain_of(Milliseconds time) {
  return time < minute ? 1 : time < 10 * minute ? 100 : second;
}

std::string without_zeros(std::string number) {
  if (number.find('.') != std::string::npos) {
    number.erase(number.find_last_not_of('0') + 1);
    if (number.back() == '.') {
      number.pop_back();
    }
  }
  return number;
}

}  // namespace

std::string seconds_text(units::Time time) {
  return without_zeros(units::fixed_number(time.value(), 3));
}

std::string time_words(units::Time time) {
  const double size = std::abs(time.value());
  if (!(size < longest_in_seconds)) {
    return seconds_text(time) + " s";
  }
  auto left = static_cast<Milliseconds>(std::llround(1000.0 * size));
  const Milliseconds grain = grain_of(left);
  left = (left + grain / 2) / grain * grain;
  std::string text = time.value() < 0.0 && left > 0 ? "-" : "";
  bool begun = false;
  const auto add = [&](const std::string& number, const char* unit) {
    text += begun ? " " : "";
    text += number;
    text += unit;
    begun = true;
  };
  if (left >= first_day) {
    add(std::to_string(left / day), " d");
    left %= day;
  }
  for (const auto& [length, unit] :
       {std::pair<Milliseconds, const char*>{hour, " h"}, {minute, " min"}}) {
    if (left >= length) {
      add(std::to_string(left / length), unit);
      left %= length;
    }
  }
  if (left > 0 || !begun) {
    constexpr double per_second = 1000.0;
    add(without_zeros(units::fixed_number(static_cast<double>(left) / per_second, 3)), " s");
  }
  return text;
}

}  // namespace lashband::report
