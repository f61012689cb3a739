#include <unistd.h>

#include <ctime>
#include <filesystem>
#include <iostream>
#include <string>

#include "analysis.hpp"
#include "commands.hpp"
#include "errors.hpp"
#include "lashband/design/study.hpp"
#include "lashband/io/input_changes.hpp"
#include "lashband/report/html.hpp"
#include "lashband/report/vega_lite.hpp"
#include "output.hpp"
#include "verdict.hpp"

namespace lashband::app {
namespace {

// In place of the id of a chart.
constexpr const char* every_chart = "all";

// A page is no text for a terminal.
void check_destination(const ReportCommand& command) {
  const bool page = command.format == ReportFormat::html;
  if (page && !command.options.output.file && ::isatty(STDOUT_FILENO) == 1) {
    throw UsageError("report writes a page for a browser: name a file, as -o report.html");
  }
  if (page && command.chart) {
    throw UsageError("--chart goes with --format vega-lite; the page has all charts");
  }
  if (!page && !command.chart) {
    throw UsageError(
        "--format vega-lite needs --chart ID, or all; --chart list tells which there are");
  }
  if (!page && (command.compare || command.stamp)) {
    throw UsageError("--compare and --stamp are for the page, not for charts as data");
  }
}

std::string chart_list(const std::vector<report::ChartName>& charts) {
  std::string text;
  for (const report::ChartName& chart : charts) {
    text += "\n  " + chart.id + "  " + chart.title;
  }
  return text;
}

std::string charts_as_data(const design::Study& study, const ReportCommand& command) {
  const report::View& view = command.options.view;
  if (*command.chart == every_chart) {
    return report::vega_lite_of_all(study, view);
  }
  if (auto chart = report::vega_lite(study, view, *command.chart)) {
    return *chart;
  }
  throw UsageError("--chart: there is no chart \"" + *command.chart + "\"; " + every_chart +
                   " takes every one, and there are" +
                   chart_list(report::chart_names(study, view)));
}

std::string now_in_words() {
  const std::time_t now = std::time(nullptr);
  std::tm utc{};
  ::gmtime_r(&now, &utc);
  std::string text(32, '\0');
  text.resize(std::strftime(text.data(), text.size(), "%Y-%m-%d %H:%M UTC", &utc));
  return text;
}

struct Input {
  std::string name;
  std::string text;
  design::Study study;
};

Input studied(const AnalysisOptions& options) {
  const InputText text = input_text(options);
  design::Design design = design_for(options, text);
  Input input;
  input.name = text.name;
  input.text = text.text;
  input.study = analysed(options, [&design](const auto& run_options) {
    return design::study(std::move(design), run_options);
  });
  return input;
}

// The second file is judged with its own carrier in use, and shown as the first.
AnalysisOptions options_of_other(const ReportCommand& command) {
  AnalysisOptions options = command.options;
  options.file = *command.compare;
  options.carrier.reset();
  options.view.mesh.reset();
  return options;
}

}  // namespace

int run(const ReportCommand& command) {
  check_output(command.options.output);
  check_destination(command);
  const Input input = studied(command.options);
  if (command.format == ReportFormat::vega_lite) {
    write_output(charts_as_data(input.study, command), command.options.output);
    return exit_status(input.study, command.options);
  }

  report::ReportOptions options;
  options.view = command.options.view;
  options.command = command.command_line;
  options.input_name = input.name;
  options.input_text = input.text;
  if (command.stamp) {
    options.stamp = now_in_words();
  }
  std::optional<Input> other;
  if (command.compare) {
    other = studied(options_of_other(command));
    options.other.emplace(
        report::Comparison{other->study, other->name, io::input_changes(input.text, other->text)});
  }
  write_output(report::html(input.study, options), command.options.output);
  if (!report::charts_can_be_drawn() && !command.options.output.quiet) {
    std::cerr << "lashband: the page has no charts: this program was built without Node, which "
                 "gathers what draws them\n";
  }
  return exit_status(input.study, command.options);
}

}  // namespace lashband::app
