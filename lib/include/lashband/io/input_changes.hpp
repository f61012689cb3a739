#pragma once

#include <string_view>
#include <vector>

#include "lashband/input_change.hpp"

namespace lashband::io {

/// What differs between two texts that were read without an error, in the order of the first; what
/// only the second has comes behind, list by list. Members of lists are matched by their `id`,
/// whatever their order, and by their number where they have none. Comments, blanks and the order
/// of keys are no difference; numbers are compared by value, all else as written.
[[nodiscard]] std::vector<InputChange> input_changes(std::string_view first,
                                                     std::string_view second);

}  // namespace lashband::io
