#include "number_text.hpp"

#include <array>
#include <charconv>
#include <nlohmann/json.hpp>

namespace lashband::report {

std::string number_text(double number) {
  return nlohmann::json(number).dump();
}

std::string rounded_number(double number, int digits) {
  std::array<char, 64> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number,
                                 std::chars_format::general, digits);
  return {buffer.data(), end.ptr};
}

}  // namespace lashband::report
