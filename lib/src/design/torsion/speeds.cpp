#include "speeds.hpp"

#include <cmath>

namespace lashband::design {

std::optional<double> condition_speed(const Design& design, const Condition& condition,
                                      const train::Train& train) {
  const std::size_t reference = design.train.reference;
  for (const ShaftSpeed& given : condition.speeds) {
    if (train.group(given.shaft) == train.group(reference) && given.speed.value() != 0.0) {
      return std::abs(given.speed.value() *
                      train::nearest_double(train.ratio(reference, given.shaft)));
    }
  }
  return std::nullopt;
}

std::vector<double> contact_ratios(const BacklashResult& backlash, std::size_t state) {
  std::vector<double> result(backlash.meshes.size(), 0.0);
  for (std::size_t m = 0; m < result.size(); ++m) {
    for (const MeshState& mesh : backlash.meshes[m].states) {
      if (mesh.state == state) {
        result[m] = mesh.eps_alpha;
      }
    }
  }
  return result;
}

}  // namespace lashband::design
