#include "lashband/materials/confidence.hpp"

#include <array>
#include <string>
#include <utility>

#include "lashband/error.hpp"

namespace lashband::materials {
namespace {

constexpr std::array<std::pair<Confidence, std::string_view>, 5> words = {{
    {Confidence::seen, "seen"},
    {Confidence::seen_proxy, "seen_proxy"},
    {Confidence::seen2, "seen2"},
    {Confidence::memory, "memory"},
    {Confidence::derived, "derived"},
}};

}  // namespace

std::string_view confidence_word(Confidence confidence) {
  for (const auto& [value, word] : words) {
    if (value == confidence) {
      return word;
    }
  }
  throw DomainError("confidence " + std::to_string(static_cast<int>(confidence)) +
                    " is none of the five that exist");
}

std::optional<Confidence> confidence_named(std::string_view word) {
  for (const auto& [value, its_word] : words) {
    if (its_word == word) {
      return value;
    }
  }
  return std::nullopt;
}

}  // namespace lashband::materials
