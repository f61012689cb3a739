#pragma once

#include <string>

#include "lashband/units/quantities.hpp"

namespace lashband::report {

/// A time in words: 12.345 s is "12.345 s", 140.25 s is "2 min 20.3 s", 8430 s is
/// "2 h 20 min 30 s", and from two days on there are days. Below a minute to a millisecond, below
/// ten minutes to a tenth of a second, otherwise to a second. Units that are zero are left out.
[[nodiscard]] std::string time_words(units::Time time);

/// A number of seconds without trailing zeros, to a millisecond: "140.25".
[[nodiscard]] std::string seconds_text(units::Time time);

}  // namespace lashband::report
