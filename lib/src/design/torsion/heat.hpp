#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lashband/design/torsion.hpp"
#include "lines.hpp"
#include "state.hpp"

namespace lashband::design {

/// How the temperature of an elastomer came about.
struct ElastomerHeat {
  ElastomerState::Status status = ElastomerState::Status::given;
  std::string message{};  ///< in words, where it did not settle
};

/// Gives every elastomer with a conductance the temperature at which it sheds what it makes at that
/// speed, its stiffness and loss fed back. The mean forces are taken as they were. By element;
/// elements that are no elastomers stay `given`.
[[nodiscard]] std::vector<ElastomerHeat> heat_elastomers(TorsionState& state,
                                                         const TorsionLines& lines,
                                                         const TorsionLayout& layout,
                                                         const thermal::Reference& reference,
                                                         double speed);

/// Power that an elastomer turns into heat, W, from its amplitudes at each order.
[[nodiscard]] double elastomer_heat(const torsion::kernel::Law& law, double omega,
                                    double amplitude);

}  // namespace lashband::design
