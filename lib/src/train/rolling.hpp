#pragma once

#include <cstddef>

#include "lashband/train/train.hpp"

/// Speeds passed on from mesh to mesh, in any kind of number: exact, or as a long double whose
/// range holds every real train.
namespace lashband::train::kernel {

[[nodiscard]] inline std::size_t start_of(const Mesh& mesh, bool forward) {
  return forward ? mesh.shaft_1 : mesh.shaft_2;
}

[[nodiscard]] inline std::size_t end_of(const Mesh& mesh, bool forward) {
  return forward ? mesh.shaft_2 : mesh.shaft_1;
}

/// omega_2 / omega_1 = sense_of z_1 / z_2
[[nodiscard]] inline int sense_of(const Mesh& mesh) {
  return mesh.kind == Mesh::Kind::external ? -1 : 1;
}

/// The speed at the far end of a mesh.
template <class Number>
[[nodiscard]] Number passed_on(const Mesh& mesh, bool forward, const Number& speed) {
  const int driving = forward ? mesh.teeth_1 : mesh.teeth_2;
  const int driven = forward ? mesh.teeth_2 : mesh.teeth_1;
  return speed * (sense_of(mesh) * driving) / driven;
}

/// w = z_1 omega_1, the pitches that pass, from the speed at the near end.
template <class Number>
[[nodiscard]] Number pitches_passed(const Mesh& mesh, bool forward, const Number& speed) {
  return forward ? Number(speed * mesh.teeth_1) : Number(speed * (sense_of(mesh) * mesh.teeth_2));
}

}  // namespace lashband::train::kernel
