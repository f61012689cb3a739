#include "lashband/units/plain_number.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "lashband/error.hpp"

namespace lashband::units {

std::string fixed_number(double number, int decimals) {
  if (!std::isfinite(number) || decimals < 0 || decimals > 17) {
    throw DomainError("only finite numbers with 0 to 17 decimals can be written");
  }
  // The greatest double has 309 digits before its point.
  std::array<char, 400> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number,
                                 std::chars_format::fixed, decimals);
  std::string text(buffer.data(), end.ptr);
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) {
    text.erase(0, 1);
  }
  return text;
}

}  // namespace lashband::units
