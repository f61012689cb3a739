#include "lashband/thermal/expanded_pair.hpp"

namespace lashband::thermal {

units::Length CentreDistance::at_state() const {
  return (nominal + deviation) * (1.0 + strain) + load_shift;
}

geometry::GearPair expanded_pair(const geometry::ToothedBody& gear_1, double elongation_1,
                                 const geometry::ToothedBody& gear_2, double elongation_2,
                                 const CentreDistance& a) {
  return {gear_1.grown(elongation_1), gear_2.grown(elongation_2), a.at_state()};
}

}  // namespace lashband::thermal
