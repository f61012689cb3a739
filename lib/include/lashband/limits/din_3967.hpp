#pragma once

#include <string_view>

#include "lashband/units/quantities.hpp"

namespace lashband::limits {

/// The band of the tooth-thickness allowance in the normal section, [A_sne - T_sn, A_sne], of a
/// fit such as "cd25": DIN 3967:1978, tables 1 and 2. Both ends are 0 or below.
///
/// `series` is one of a ab b bc c cd d e f g h (upper allowance A_sne), `tolerance` 21 to 30
/// (T_sn), d the reference diameter, above 0 up to 1000 mm. Throws DomainError otherwise.
///
/// Both tables are from memory (`from_memory_note`): wherever the value is shown, the note is.
[[nodiscard]] units::Band<units::Length> thickness_allowance(std::string_view series, int tolerance,
                                                             units::Length d);

}  // namespace lashband::limits
