#pragma once

#include <cstddef>
#include <numeric>
#include <random>
#include <string>
#include <vector>

#include "lashband/train/freedom.hpp"
#include "lashband/train/train.hpp"

// Trains for tests, by chance. Whatever meshes are put in, they can turn: each shaft is given its
// sense and its speed first, and the teeth of a mesh follow from the speeds of its shafts.
namespace lashband::train::test {

// Uniform draws that are the same with every standard library.
class Draw {
 public:
  explicit Draw(unsigned seed) : engine_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_() >> 11U) * 0x1.0p-53);
  }
  int whole(int low, int high) {
    return low + static_cast<int>(engine_() % static_cast<unsigned>(high - low + 1));
  }
  std::size_t index(std::size_t count) { return static_cast<std::size_t>(engine_() % count); }

 private:
  std::mt19937_64 engine_;
};

inline Mesh mesh(std::string id, std::size_t shaft_1, std::size_t shaft_2, int teeth_1, int teeth_2,
                 Mesh::Kind kind = Mesh::Kind::external) {
  return {std::move(id), shaft_1, shaft_2, teeth_1, teeth_2, kind};
}

inline std::vector<std::string> names(std::size_t count) {
  std::vector<std::string> list;
  list.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    list.push_back(std::to_string(i));
    list.back().insert(0, 1, 'S');
  }
  return list;
}

struct Made {
  std::vector<std::string> shafts{};
  std::vector<Mesh> meshes{};
};

// A connected train: a random tree and `more` meshes anywhere. Speeds are 1/12 to 1/60.
inline Made random_train(Draw& draw, std::size_t shafts, std::size_t more) {
  Made made{names(shafts), {}};
  std::vector<int> slowness;
  std::vector<bool> sense;
  slowness.reserve(shafts);
  sense.reserve(shafts);
  for (std::size_t i = 0; i < shafts; ++i) {
    slowness.push_back(draw.whole(12, 60));
    sense.push_back(draw.whole(0, 1) == 1);
  }
  made.meshes.reserve(shafts - 1 + more);
  for (std::size_t i = 1; i < shafts + more; ++i) {
    std::size_t first = i < shafts ? i : draw.index(shafts);
    std::size_t second = draw.index(i < shafts ? i : shafts);
    if (first == second) {
      second = (first + 1) % shafts;
    }
    if (draw.whole(0, 1) == 1) {
      std::swap(first, second);
    }
    const int common = std::gcd(slowness[first], slowness[second]);
    const int times = draw.whole(1, 3);
    made.meshes.push_back(
        mesh(std::to_string(i), first, second, slowness[first] / common * times,
             slowness[second] / common * times,
             sense[first] == sense[second] ? Mesh::Kind::internal : Mesh::Kind::external));
  }
  return made;
}

inline MeshFreedom play(double gap_in_mm, double base_pitch_in_mm, double offset = 0.0) {
  return {units::from_si<units::Length>(1e-3 * gap_in_mm),
          units::from_si<units::Length>(1e-3 * base_pitch_in_mm), offset};
}

// Gaps and offsets of a random train. The shafts stand somewhere, far from where the teeth would be
// in the middle of their gaps, and the loops close but for `misfit` pitches a mesh.
inline std::vector<MeshFreedom> random_play(Draw& draw, const Train& train, double misfit) {
  std::vector<double> rotation;
  rotation.reserve(train.shafts().size());
  for (std::size_t i = 0; i < train.shafts().size(); ++i) {
    rotation.push_back(draw.between(-0.1, 0.1));
  }
  std::vector<MeshFreedom> meshes;
  meshes.reserve(train.meshes().size());
  for (const Mesh& one : train.meshes()) {
    const double passed = one.teeth_1 * nearest_double(train.ratio(one.shaft_1));
    meshes.push_back(play(
        draw.between(0.04, 0.4), draw.between(3.0, 12.0),
        passed * (rotation[one.shaft_1] - rotation[one.shaft_2]) + draw.between(-misfit, misfit)));
  }
  return meshes;
}

}  // namespace lashband::train::test
