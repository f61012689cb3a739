#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "interruption.hpp"
#include "invocation.hpp"
#include "lashband/design/design.hpp"
#include "lashband/design/run.hpp"
#include "sampling_progress.hpp"

/// What every command over a train does first.
namespace lashband::app {

/// An input file as it was read.
struct InputText {
  std::string name;  ///< "<stdin>" for standard input
  std::string text;
  std::filesystem::path base_folder;  ///< where relative file names begin
};
/// Throws io::InputErrors for a file that cannot be read.
[[nodiscard]] InputText input_text(const AnalysisOptions& options);

/// The design that the text describes, with the carrier asked for made the one in use. Throws
/// io::InputErrors for a bad text, UsageError for an id of --carrier, --mesh or --condition that
/// the file does not have.
[[nodiscard]] design::Design design_for(const AnalysisOptions& options, const InputText& input);
/// The same for the file that `options` name.
[[nodiscard]] design::Design design_for(const AnalysisOptions& options);

/// Throws UsageError where the design has no history, or none that --condition names.
void check_histories(const design::Design& design, const AnalysisOptions& options);

/// Throws UsageError where --condition names a moment of a history that is none of `states`. Which
/// there are shows only once a run has chosen them.
void check_moment(const std::vector<design::State>& states, const AnalysisOptions& options);

/// The shaft of that id. Throws UsageError, which begins with `option`, where there is none.
[[nodiscard]] std::size_t shaft_named(const design::Design& design, const std::string& id,
                                      const std::string& option);

/// The options of a run, without anybody to tell of its progress.
[[nodiscard]] design::RunOptions run_options(const AnalysisOptions& options);

/// What `analysis` makes of the run options, with its progress shown. Throws Interrupted where
/// Ctrl-C stopped it, whatever it made of that.
template <class Analysis>
[[nodiscard]] auto analysed(const AnalysisOptions& options, const Analysis& analysis) {
  SamplingProgress progress(options.output);
  design::RunOptions run = run_options(options);
  run.progress = [&progress](double share) { return progress.take(share); };
  try {
    auto result = analysis(run);
    if (!interrupted()) {
      return result;
    }
  } catch (const Error&) {
    if (!interrupted()) {
      throw;
    }
  }
  throw Interrupted();
}

}  // namespace lashband::app
