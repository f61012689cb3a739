#pragma once

#include <string>

namespace lashband::units {

/// A number without unit, with a fixed count of decimals (0 to 17): "1.603". Rounded from the exact
/// value of the double; zero has no sign. Throws DomainError for a number that is not finite or for
/// another count of decimals.
[[nodiscard]] std::string fixed_number(double number, int decimals);

}  // namespace lashband::units
