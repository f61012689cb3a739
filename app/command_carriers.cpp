#include "analysis.hpp"
#include "commands.hpp"
#include "output.hpp"
#include "verdict.hpp"

namespace lashband::app {

int run(const CarriersCommand& command) {
  const AnalysisOptions& options = command.options;
  check_output(options.output);
  const design::Design design = design_for(options);
  const design::CarriersResult result = analysed(options, [&design](const auto& run_options) {
    return design::carriers(design, run_options);
  });
  write_output(rendered(result, options), options.output);
  return exit_status(result.rows.at(design.carrier_in_use).result, options);
}

}  // namespace lashband::app
