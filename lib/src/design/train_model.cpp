#include "train_model.hpp"

#include <utility>

namespace lashband::design {

train::Train train_model(const Design& design) {
  std::vector<std::string> shafts;
  shafts.reserve(design.shafts.size());
  for (const Shaft& shaft : design.shafts) {
    shafts.push_back(shaft.id);
  }
  std::vector<train::Mesh> meshes;
  meshes.reserve(design.meshes.size());
  for (const Mesh& mesh : design.meshes) {
    const Gear& gear_1 = design.gears[mesh.gear_1];
    const Gear& gear_2 = design.gears[mesh.gear_2];
    meshes.push_back({.id = mesh.id,
                      .shaft_1 = gear_1.shaft,
                      .shaft_2 = gear_2.shaft,
                      .teeth_1 = gear_1.body.teeth(),
                      .teeth_2 = gear_2.body.teeth(),
                      .kind = gear_2.body.internal() ? train::Mesh::Kind::internal
                                                     : train::Mesh::Kind::external});
  }
  return {std::move(shafts), std::move(meshes)};
}

train::SpeedOrders orders_by(const Design& design, const train::Train& train, std::size_t shaft) {
  std::optional<train::PlanetArm> arm;
  if (design.train.arm) {
    arm = train::PlanetArm{design.train.arm->held};
  }
  return train::speed_orders(train, arm, {shaft});
}

std::vector<std::optional<geometry::Point>> drawn_places(const Design& design) {
  std::vector<std::optional<geometry::Point>> places;
  places.reserve(design.shafts.size());
  for (const Shaft& shaft : design.shafts) {
    places.push_back(shaft.at);
  }
  return places;
}

train::Closure closure_model(const Design& design, const train::Train& train) {
  std::vector<train::MeshGears> gears;
  gears.reserve(design.meshes.size());
  for (const Mesh& mesh : design.meshes) {
    gears.push_back({mesh.gear_1, mesh.gear_2});
  }
  std::vector<train::GearPhase> phases;
  phases.reserve(design.gears.size());
  for (const Gear& gear : design.gears) {
    phases.push_back({gear.shaft, gear.tooth_at});
  }
  return {train, gears, phases, drawn_places(design)};
}

std::string loop_name(const std::vector<std::string>& meshes) {
  std::string name;
  for (const std::string& mesh : meshes) {
    if (!name.empty()) {
      name += ", ";
    }
    name += mesh;
  }
  return name;
}

double pitches_per_revolution(const train::Train& train, std::size_t mesh) {
  const train::Mesh& pair = train.meshes()[mesh];
  return pair.teeth_1 * train::nearest_double(train.ratio(pair.shaft_1));
}

double side_of(const Design& design, const Mesh& mesh) {
  return design.gears[mesh.gear_2].body.internal() ? -1.0 : 1.0;
}

}  // namespace lashband::design
