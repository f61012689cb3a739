#pragma once

#include <cstddef>
#include <vector>

#include "lashband/train/train.hpp"

namespace lashband::train::kernel {

/// The blocks (biconnected components) of a train.
struct Blocks {
  std::size_t count = 0;
  std::vector<std::size_t> of_mesh{};
};

[[nodiscard]] Blocks blocks_of(std::size_t shafts, const std::vector<Mesh>& meshes);

}  // namespace lashband::train::kernel
