#include "lashband/nearest_name.hpp"

#include <algorithm>
#include <numeric>

namespace lashband {
namespace {

// Not std::tolower, whose answer depends on the locale.
char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

}  // namespace

std::size_t edit_distance(std::string_view from, std::string_view to) {
  // distance[j]: from the part of `from` read so far to the first j letters of `to`.
  std::vector<std::size_t> distance(to.size() + 1);
  std::iota(distance.begin(), distance.end(), std::size_t{0});
  for (std::size_t i = 0; i < from.size(); ++i) {
    std::size_t replaced = distance[0];
    distance[0] = i + 1;
    for (std::size_t j = 0; j < to.size(); ++j) {
      const std::size_t same = replaced + (lower(from[i]) == lower(to[j]) ? 0 : 1);
      replaced = distance[j + 1];
      distance[j + 1] = std::min({same, distance[j] + 1, distance[j + 1] + 1});
    }
  }
  return distance[to.size()];
}

std::optional<std::string> nearest_name(std::string_view written,
                                        const std::vector<std::string>& candidates) {
  std::optional<std::string> nearest;
  std::size_t least = 0;
  for (const std::string& candidate : candidates) {
    const std::size_t distance = edit_distance(written, candidate);
    const std::size_t near_enough = (std::max(written.size(), candidate.size()) + 2) / 3;
    if (distance <= near_enough && (!nearest || distance < least)) {
      nearest = candidate;
      least = distance;
    }
  }
  return nearest;
}

}  // namespace lashband
