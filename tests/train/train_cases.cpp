// Writes closed trains as JSON, each with the freedom of its meshes and with what the library
// finds, for tests/scipy/lost_motion.py.
//
//   train_cases FILE
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>

#include "made_trains.hpp"

using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;

namespace {

nlohmann::json as_json(const Train& train, const std::vector<MeshFreedom>& meshes) {
  nlohmann::json json = nlohmann::json::array();
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    const Mesh& one = train.meshes()[i];
    json.push_back({{"shafts", {one.shaft_1, one.shaft_2}},
                    {"teeth", {one.teeth_1, one.teeth_2}},
                    {"internal", one.kind == Mesh::Kind::internal},
                    {"gap", meshes[i].gap.value()},
                    {"base_pitch", meshes[i].base_pitch.value()},
                    {"offset", meshes[i].offset}});
  }
  return json;
}

nlohmann::json one_case(Draw& draw) {
  const std::size_t shafts = 3 + draw.index(12);
  const Made made = random_train(draw, shafts, 1 + draw.index(8));
  const Train train(made.shafts, made.meshes);
  std::vector<MeshFreedom> meshes = random_play(draw, train, draw.between(0.0, 0.03));
  if (draw.whole(0, 9) == 0) {
    meshes[draw.index(meshes.size())].gap = units::from_si<units::Length>(-1e-5);
  }
  const Freedom freedom(train, meshes);
  nlohmann::json json{{"shafts", shafts},
                      {"meshes", as_json(train, meshes)},
                      {"shortfall", nullptr},
                      {"lost_motions", nlohmann::json::array()}};
  if (freedom.binding(0)) {
    json["shortfall"] = freedom.binding(0)->shortfall.value();
  }
  for (int i = 0; i < 4; ++i) {
    const std::size_t of = draw.index(shafts);
    const std::size_t held = (of + 1 + draw.index(shafts - 1)) % shafts;
    const auto angle = freedom.lost_motion(of, held);
    json["lost_motions"].push_back(
        {{"of", of},
         {"held", held},
         {"angle", angle ? nlohmann::json(angle->value()) : nlohmann::json(nullptr)}});
  }
  return json;
}

}  // namespace

int main(int count, char** words) {
  if (count != 2) {
    std::fprintf(stderr, "usage: train_cases FILE\n");
    return 2;
  }
  Draw draw(2024);
  nlohmann::json cases = nlohmann::json::array();
  for (int i = 0; i < 500; ++i) {
    cases.push_back(one_case(draw));
  }
  std::ofstream file(words[1]);
  file << cases;
  return file.good() ? 0 : 1;
}
