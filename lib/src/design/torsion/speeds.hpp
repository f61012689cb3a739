#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/train/train.hpp"

namespace lashband::design {

/// The speed of the reference shaft at a condition, rad/s as a magnitude; empty where the condition
/// does not say, or has it stand still.
[[nodiscard]] std::optional<double> condition_speed(const Design& design,
                                                    const Condition& condition,
                                                    const train::Train& train);

/// eps_alpha of every mesh at a state; 0 where it could not be worked out.
[[nodiscard]] std::vector<double> contact_ratios(const BacklashResult& backlash, std::size_t state);

}  // namespace lashband::design
