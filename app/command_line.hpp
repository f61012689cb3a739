#pragma once

#include <variant>

#include "invocation.hpp"

namespace lashband::app {

/// The command that the arguments ask for, or the exit status if there is none to run: help and
/// version were printed, or the usage was wrong and the reason is on standard error.
[[nodiscard]] std::variant<Command, int> command_of(int argc, const char* const* argv);

}  // namespace lashband::app
