#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "analysis.hpp"
#include "commands.hpp"
#include "errors.hpp"
#include "lashband/design/train.hpp"
#include "output.hpp"
#include "verdict.hpp"

namespace lashband::app {
namespace {

// The shafts that meshes join to `shaft`, itself among them.
std::vector<bool> joined_to(const design::Design& design, std::size_t shaft) {
  std::vector<bool> joined(design.shafts.size());
  joined[shaft] = true;
  bool grows = true;
  while (grows) {
    grows = false;
    for (const design::Mesh& mesh : design.meshes) {
      const std::size_t one = design.gears[mesh.gear_1].shaft;
      const std::size_t two = design.gears[mesh.gear_2].shaft;
      if (joined[one] != joined[two]) {
        joined[one] = joined[two] = true;
        grows = true;
      }
    }
  }
  return joined;
}

std::string names_of(const design::Design& design, const std::vector<bool>& joined,
                     std::size_t but) {
  std::string list;
  for (std::size_t i = 0; i < joined.size(); ++i) {
    if (joined[i] && i != but) {
      list += list.empty() ? "\"" : ", \"";
      list += design.shafts[i].id + "\"";
    }
  }
  return list.empty() ? "none" : list;
}

// The pair that --of and --held name. The design's own pair where it has it, with its limit.
std::optional<design::LostMotionPair> pair_asked(const design::Design& design,
                                                 const TrainCommand& command) {
  if (!command.of && !command.held) {
    return std::nullopt;
  }
  if (!command.of || !command.held) {
    throw UsageError(std::string(command.of ? "--of" : "--held") + " needs " +
                     (command.of ? "--held" : "--of") +
                     " beside it: lost motion is how far one shaft turns while another is held");
  }
  design::LostMotionPair pair;
  pair.of = shaft_named(design, *command.of, "--of");
  pair.held = shaft_named(design, *command.held, "--held");
  if (pair.of == pair.held) {
    throw UsageError("--of and --held both name the shaft \"" + *command.of +
                     "\"; allowed are two different shafts");
  }
  const std::vector<bool> joined = joined_to(design, pair.of);
  if (!joined[pair.held]) {
    throw UsageError("--held: no way over meshes leads from \"" + *command.of + "\" to \"" +
                     *command.held + "\". Joined to \"" + *command.of +
                     "\": " + names_of(design, joined, pair.of));
  }
  const auto& asked = design.train.lost_motion;
  const auto own = std::find_if(asked.begin(), asked.end(), [&pair](const auto& one) {
    return one.of == pair.of && one.held == pair.held;
  });
  return own != asked.end() ? *own : pair;
}

}  // namespace

int run(const TrainCommand& command) {
  const AnalysisOptions& options = command.options;
  check_output(options.output);
  const design::Design design = design_for(options);
  design::TrainQuestion question;
  question.pair = pair_asked(design, command);
  const design::TrainResult result = analysed(options, [&](const auto& run_options) {
    return design::train_of(design, design.carrier_in_use, run_options, question);
  });
  check_moment(result.backlash.states, options);
  write_output(rendered(result, options), options.output);
  return exit_status(result.all_requirements_met(), result.failures, options);
}

}  // namespace lashband::app
