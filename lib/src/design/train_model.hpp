#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/train/closure.hpp"
#include "lashband/train/planet_arm.hpp"
#include "lashband/train/train.hpp"

namespace lashband::design {

/// The train of a design as the room `train` takes it; indices are those of the design. Throws
/// DomainError where a loop cannot turn.
[[nodiscard]] train::Train train_model(const Design& design);

/// Speeds of all shafts, and of the planet arm if the design has one, over that of one shaft.
[[nodiscard]] train::SpeedOrders orders_by(const Design& design, const train::Train& train,
                                           std::size_t shaft);

/// The places of its shafts as drawn.
[[nodiscard]] std::vector<std::optional<geometry::Point>> drawn_places(const Design& design);

/// How its loops close at the reference temperature.
[[nodiscard]] train::Closure closure_model(const Design& design, const train::Train& train);

/// "A-B, B-C, C-A": the meshes of a loop, which name it in results.
[[nodiscard]] std::string loop_name(const std::vector<std::string>& meshes);

/// Pitches of a mesh per revolution of the first shaft of its group, signed.
[[nodiscard]] double pitches_per_revolution(const train::Train& train, std::size_t mesh);

/// 1, with a ring gear -1: the sign of lengths between the axes, as ISO 21771 has it.
[[nodiscard]] double side_of(const Design& design, const Mesh& mesh);

}  // namespace lashband::design
