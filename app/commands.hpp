#pragma once

#include "invocation.hpp"

/// The commands. Each returns the exit status of exit_codes.hpp; input errors are thrown.
namespace lashband::app {

[[nodiscard]] int run(const BacklashCommand& command);
[[nodiscard]] int run(const CarriersCommand& command);
[[nodiscard]] int run(const BudgetCommand& command);
[[nodiscard]] int run(const WarmupCommand& command);
[[nodiscard]] int run(const TrainCommand& command);
[[nodiscard]] int run(const FrequenciesCommand& command);
[[nodiscard]] int run(const TorsionCommand& command);
[[nodiscard]] int run(const ReportCommand& command);
[[nodiscard]] int run(const ExampleCommand& command);
[[nodiscard]] int run(const SchemaCommand& command);
[[nodiscard]] int run(const MaterialsListCommand& command);
[[nodiscard]] int run(const MaterialsShowCommand& command);
[[nodiscard]] int run(const MaterialsCheckCommand& command);

}  // namespace lashband::app
