#include "whole_number.hpp"

#include <charconv>
#include <cmath>
#include <optional>
#include <system_error>

#include "errors.hpp"

namespace lashband::app {
namespace {

template <class Number>
std::optional<Number> read_whole(const std::string& text) {
  Number number{};
  const char* end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, number);
  return read.ec == std::errc{} && read.ptr == end ? std::optional<Number>(number) : std::nullopt;
}

// Every whole number up to this one is a double.
constexpr double greatest_exact = 9007199254740992.0;  // 2^53

std::optional<std::uint64_t> read(const std::string& text) {
  if (const auto digits = read_whole<std::uint64_t>(text)) {
    return digits;
  }
  const auto number = read_whole<double>(text);
  if (number && *number >= 0.0 && *number <= greatest_exact && *number == std::floor(*number)) {
    return static_cast<std::uint64_t>(*number);
  }
  return std::nullopt;
}

}  // namespace

std::uint64_t whole_number(const std::string& text, const WholeNumbers& allowed,
                           const std::string& option) {
  const auto number = read(text);
  if (!number || *number < allowed.least || *number > allowed.greatest) {
    throw UsageError(option + ": \"" + text + "\" is not a whole number from " +
                     std::to_string(allowed.least) + " to " + std::to_string(allowed.greatest));
  }
  return *number;
}

}  // namespace lashband::app
