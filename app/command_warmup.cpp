#include "analysis.hpp"
#include "commands.hpp"
#include "lashband/design/warmup.hpp"
#include "output.hpp"
#include "verdict.hpp"

namespace lashband::app {

int run(const WarmupCommand& command) {
  const AnalysisOptions& options = command.options;
  check_output(options.output);
  const design::Design design = design_for(options);
  check_histories(design, options);
  const design::WarmupResult result = analysed(options, [&design](const auto& run_options) {
    return design::warmup(design, design.carrier_in_use, run_options);
  });
  write_output(rendered(result, options), options.output);
  return exit_status(result.all_requirements_met(), result.failures, options);
}

}  // namespace lashband::app
