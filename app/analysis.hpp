#pragma once

#include "invocation.hpp"
#include "lashband/design/design.hpp"
#include "lashband/design/run.hpp"

/// What every command over a train does first.
namespace lashband::app {

/// Reads the design that `options` name, with the carrier asked for made the one in use. Throws
/// io::InputErrors for a bad file, UsageError for an id of --carrier, --mesh or --condition that
/// the file does not have.
[[nodiscard]] design::Design design_for(const AnalysisOptions& options);

[[nodiscard]] design::RunOptions run_options(const AnalysisOptions& options);

}  // namespace lashband::app
