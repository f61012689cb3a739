#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "analysis.hpp"
#include "commands.hpp"
#include "errors.hpp"
#include "exit_codes.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/error.hpp"
#include "lashband/io/measured_spectrum.hpp"
#include "lashband/units/parse.hpp"
#include "lashband/units/rotation.hpp"
#include "output.hpp"
#include "speed_option.hpp"
#include "verdict.hpp"

namespace lashband::app {
namespace {

using units::AngularVelocity;

// A ratio from 0 up to `most`: "2 %" or 0.02.
double ratio_of(const std::string& text, const char* option, double most) {
  const auto ratio = units::try_parse<units::Ratio>(text);
  if (!ratio) {
    throw UsageError(std::string(option) + ": " + ratio.failure().message());
  }
  const double value = ratio.value().value();
  if (!(value >= 0.0 && value <= most)) {
    throw UsageError(std::string(option) + ": \"" + text + "\" is not from 0 to " +
                     std::to_string(static_cast<int>(std::lround(100.0 * most))) + " %");
  }
  return value;
}

// One speed, a list with commas, or both ends of a range.
void read_speeds(const std::string& text, design::FrequencyQuestion& question) {
  constexpr std::string_view to = "..";
  const std::size_t range = text.find(to);
  if (range != std::string::npos) {
    question.range = true;
    question.speeds = {speed_asked(std::string_view(text).substr(0, range)),
                       speed_asked(std::string_view(text).substr(range + to.size()))};
    if (!(question.speeds[0] < question.speeds[1])) {
      throw UsageError("--speed: \"" + text +
                       R"(" is no range; the lower end comes first, as "600 rpm .. 3000 rpm")");
    }
    return;
  }
  std::string_view rest = text;
  while (true) {
    const std::size_t comma = rest.find(',');
    question.speeds.push_back(speed_asked(rest.substr(0, comma)));
    if (comma == std::string_view::npos) {
      return;
    }
    rest.remove_prefix(comma + 1);
  }
}

design::FrequencyQuestion question_of(const design::Design& design,
                                      const FrequenciesCommand& command) {
  design::FrequencyQuestion question;
  if (command.referred_to) {
    question.reference = shaft_named(design, *command.referred_to, "--referred-to");
  }
  if (command.speed) {
    read_speeds(*command.speed, question);
  }
  if (command.harmonics) {
    question.lines.harmonics = static_cast<int>(*command.harmonics);
  }
  if (command.sidebands) {
    question.lines.sidebands = static_cast<int>(*command.sidebands);
  }
  if (command.within) {
    question.coincidences.within = ratio_of(*command.within, "--within", 0.5);
  }
  return question;
}

// Options that tell nothing without a spectrum are refused, lest they be thought to have been used.
void check_measured(const FrequenciesCommand& command) {
  if (command.measured) {
    return;
  }
  for (const auto& [given, option] :
       {std::pair(command.speed_uncertainty.has_value(), "--speed-uncertainty"),
        std::pair(command.match_within.has_value(), "--match-within"),
        std::pair(command.prominence.has_value(), "--prominence")}) {
    if (given) {
      throw UsageError(std::string(option) + " goes with --measured, which names a spectrum");
    }
  }
}

std::optional<design::MeasuredQuestion> measured_of(const FrequenciesCommand& command,
                                                    const design::FrequencyQuestion& question) {
  check_measured(command);
  if (!command.measured) {
    return std::nullopt;
  }
  design::MeasuredQuestion measured;
  measured.input = io::measured_spectrum(*command.measured);
  if (measured.input.axis == design::MeasuredInput::Axis::order) {
    // Its orders are turns of the reference shaft, whatever that turns at.
    measured.speed = units::angular_velocity(units::from_si<units::Frequency>(1.0));
  } else if (question.speeds.size() != 1) {
    throw UsageError(
        "--measured needs one --speed, that of the reference shaft as read on the test bench" +
        (question.speeds.empty() ? std::string(", such as --speed \"1800 rpm\"")
                                 : ", not " + std::to_string(question.speeds.size())));
  } else {
    measured.speed = question.speeds.front();
  }
  if (command.speed_uncertainty) {
    measured.attribution.speed_uncertainty =
        ratio_of(*command.speed_uncertainty, "--speed-uncertainty", 0.2);
  }
  if (command.match_within) {
    measured.attribution.within = ratio_of(*command.match_within, "--match-within", 0.1);
  }
  if (command.prominence) {
    measured.peaks.prominence = ratio_of(*command.prominence, "--prominence", 1.0);
  }
  return measured;
}

}  // namespace

int run(const FrequenciesCommand& command) {
  const AnalysisOptions& options = command.options;
  check_output(options.output);
  const design::Design design = design_for(options);
  const design::FrequencyQuestion question = question_of(design, command);
  const std::optional<design::MeasuredQuestion> measured = measured_of(command, question);
  design::FrequenciesResult result;
  try {
    result = design::frequencies(design, question, measured);
  } catch (const DomainError& error) {
    throw UsageError(error.what());  // the question, not the computation
  }
  write_output(rendered(result, options), options.output);
  return done;
}

}  // namespace lashband::app
