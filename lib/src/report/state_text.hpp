#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"

namespace lashband::report {

/// The state of that id; null where there is none.
[[nodiscard]] const design::State* state_of(const std::vector<design::State>& states,
                                            const std::string& id);

/// The name of a state in exactly `width` columns. A long name is cut at its end; that of a moment
/// keeps its time and has its history's name cut: "cold star… 140 s".
[[nodiscard]] std::string state_label(const design::State& state, std::size_t width);

/// The same for a state by its id, which may also be none of `states`.
[[nodiscard]] std::string state_label(const std::vector<design::State>& states,
                                      const std::string& id, std::size_t width);

}  // namespace lashband::report
