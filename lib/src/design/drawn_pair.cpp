#include "drawn_pair.hpp"

namespace lashband::design {

using units::Length;

geometry::ToothedBody drawn_body(const Gear& gear) {
  return gear.body.with_thickness_allowance(
      gear.thickness_allowance ? gear.thickness_allowance->mid() : Length());
}

Length drawn_deviation(const Mesh& mesh) {
  return mesh.centre_distance_deviation ? mesh.centre_distance_deviation->mid() : Length();
}

geometry::GearPair drawn_pair(const Design& design, const Mesh& mesh) {
  return {drawn_body(design.gears[mesh.gear_1]), drawn_body(design.gears[mesh.gear_2]),
          mesh.centre_distance + drawn_deviation(mesh)};
}

}  // namespace lashband::design
