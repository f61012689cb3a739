#include "thinned_times.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace lashband::design {

std::vector<std::size_t> thinned(const std::vector<double>& times,
                                 const std::vector<std::vector<double>>& curves, double tolerance) {
  if (times.empty()) {
    return {};
  }
  std::vector<std::size_t> kept{0};
  if (times.size() == 1) {
    return kept;
  }
  kept.push_back(times.size() - 1);
  std::vector<std::pair<std::size_t, std::size_t>> stretches{{0, times.size() - 1}};
  while (!stretches.empty()) {
    const auto [from, to] = stretches.back();
    stretches.pop_back();
    double farthest = tolerance;
    std::size_t split = from;
    for (std::size_t i = from + 1; i < to; ++i) {
      const double share = (times[i] - times[from]) / (times[to] - times[from]);
      for (std::size_t curve = 0; curve < curves[i].size(); ++curve) {
        const double off =
            std::abs(curves[i][curve] - std::lerp(curves[from][curve], curves[to][curve], share));
        if (off > farthest) {
          farthest = off;
          split = i;
        }
      }
    }
    if (split != from) {
      kept.push_back(split);
      stretches.emplace_back(from, split);
      stretches.emplace_back(split, to);
    }
  }
  std::sort(kept.begin(), kept.end());
  return kept;
}

}  // namespace lashband::design
