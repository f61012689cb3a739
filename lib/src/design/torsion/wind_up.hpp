#pragma once

#include "lashband/design/train.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/train/train.hpp"

namespace lashband::design {

/// Adds to the lost motion of each pair what the mean torques of the torsional model wind up, at
/// every condition with a speed. Does nothing without a torsional model; what cannot be worked out
/// is a failure of the result.
void add_wind_up(const Design& design, const train::Train& train,
                 const thermal::Reference& reference, TrainResult& result);

}  // namespace lashband::design
