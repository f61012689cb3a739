#include "command_line.hpp"

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <limits>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "exit_codes.hpp"
#include "lashband/nearest_name.hpp"
#include "lashband/version.hpp"
#include "suggestion.hpp"
#include "whole_number.hpp"

namespace lashband::app {
namespace {

constexpr const char* about =
    "lashband: backlash of a gear train over its whole temperature range.\n"
    "From a description of gears, bores and what carries them it works out the centre\n"
    "distance, the backlash with its tolerance band, tip clearance and contact ratio\n"
    "at every temperature, what the band is made of and how likely a built unit\n"
    "fails, and judges them against your requirements.\n";

constexpr const char* footer =
    "Start with:\n"
    "  lashband example                     lists the examples\n"
    "  lashband example rail_compressor     writes one to a folder\n"
    "  lashband backlash rail_compressor/train.json\n"
    "\n"
    "Exit status: 0 done and every requirement met; 1 done, some requirement not met;\n"
    "2 input or usage is wrong; 3 a computation or an output failed; 130 interrupted.\n"
    "\n"
    "Caution: these are screening results, not a proof of safety. Confirm by\n"
    "measurement on the built unit. A bound train can seize and break; rotating parts\n"
    "need guarding; local codes and licensed practice decide.\n";

const std::vector<std::string> command_names = {"backlash", "carriers",    "budget",   "warmup",
                                                "train",    "frequencies", "torsion",  "report",
                                                "example",  "schema",      "materials"};

// More samples than anybody waits for, and more threads than a machine has.
constexpr WholeNumbers allowed_samples{1, 1'000'000'000'000};
constexpr WholeNumbers allowed_threads{1, 1024};
constexpr WholeNumbers allowed_harmonics{1, 1000};
constexpr WholeNumbers allowed_sidebands{0, 1000};
constexpr WholeNumbers allowed_seeds{0, std::numeric_limits<std::uint64_t>::max()};

const std::map<std::string, Format> formats = {
    {"table", Format::table}, {"json", Format::json}, {"csv", Format::csv}};
const std::map<std::string, ReportFormat> report_formats = {{"html", ReportFormat::html},
                                                            {"vega-lite", ReportFormat::vega_lite}};
const std::map<std::string, report::UnitSystem> unit_systems = {
    {"metric", report::UnitSystem::metric}, {"inch", report::UnitSystem::inch}};

// CLI11 can turn words into enumerators itself, but then help shows numbers.
template <class Value>
void add_choice(CLI::App& app, const char* name, Value& value,
                const std::map<std::string, Value>& choices, const std::string& description) {
  std::vector<std::string> words;
  words.reserve(choices.size());
  for (const auto& choice : choices) {
    words.push_back(choice.first);
  }
  app.add_option_function<std::string>(
         name, [&value, &choices](const std::string& word) { value = choices.at(word); },
         description)
      ->check(CLI::IsMember(words))
      ->type_name("WORD");
}

// An option that takes a whole number.
template <class Take>
void add_number(CLI::App& app, const char* name, const WholeNumbers& allowed,
                const std::string& description, const Take& take) {
  app.add_option_function<std::string>(
         name,
         [name, allowed, take](const std::string& text) {
           take(whole_number(text, allowed, name));
         },
         description)
      ->type_name("N");
}

void add_output(CLI::App& app, OutputOptions& output) {
  app.add_option("-o,--output", output.file, "write a file, whole or not at all")
      ->type_name("FILE");
  app.add_flag("--force", output.force, "replace an existing file, which is refused otherwise");
  app.add_flag("--quiet", output.quiet, "no messages on standard error but errors");
}

void add_materials_folder(CLI::App& app, std::optional<std::filesystem::path>& folder) {
  app.add_option("--materials", folder, "a folder of your own material files")->type_name("FOLDER");
}

void add_file(CLI::App& app, AnalysisOptions& options) {
  app.add_option("FILE", options.file, "the train, a JSON file; - reads standard input")
      ->required();
  add_output(app, options.output);
}

// What the reader of the input takes.
void add_materials(CLI::App& app, AnalysisOptions& options) {
  add_materials_folder(app, options.materials_folder);
  app.add_flag("--extrapolate", options.extrapolate,
               "beyond a material's range warn instead of refusing");
}

// The input, what is made of it and where it goes.
void add_study(CLI::App& app, AnalysisOptions& options) {
  add_file(app, options);
  app.add_option("--carrier", options.carrier, "analyse this carrier, not the one in use")
      ->type_name("ID");
  app.add_option("--mesh", options.view.mesh, "show this mesh only; all are judged all the same")
      ->type_name("ID");
  add_choice(app, "--units", options.view.units, unit_systems,
             "metric (default) or inch, but for JSON");
  add_materials(app, options);
  add_number(app, "--samples", allowed_samples,
             "sample so many built units, as 1000000 or 1e6: gives\nthe probability of failing "
             "anywhere over all states",
             [&options](std::uint64_t number) { options.samples = number; });
  add_number(app, "--seed", allowed_seeds, "of the samples, default 1; same seed, same numbers",
             [&options](std::uint64_t number) { options.seed = number; });
  add_number(app, "--threads", allowed_threads,
             "for sampling, default every core; no number changes",
             [&options](std::uint64_t number) { options.threads = static_cast<unsigned>(number); });
  app.add_flag("--no-verdict", options.no_verdict, "exit with 0 where a requirement is not met");
}

// What tables have beside that.
void add_analysis(CLI::App& app, AnalysisOptions& options, bool& no_color,
                  const char* shown_states =
                      "show this condition only, all of soak, or all\n"
                      "moments of a history") {
  add_study(app, options);
  add_choice(app, "--format", options.format, formats, "table (default), json or csv");
  app.add_option("--condition", options.view.condition, shown_states)->type_name("ID");
  app.add_flag("--no-color", no_color, "no colours, as with NO_COLOR set");
}

void add_train(CLI::App& app, TrainCommand& train, bool& no_color) {
  add_analysis(app, train.options, no_color);
  app.add_option("--of", train.of,
                 "lost motion of this shaft, in place of the pairs in\nthe file, while")
      ->type_name("SHAFT");
  app.add_option("--held", train.held, "this one is held")->type_name("SHAFT");
}

// Lines need neither a carrier nor temperatures.
void add_frequencies(CLI::App& app, FrequenciesCommand& command, bool& no_color) {
  AnalysisOptions& options = command.options;
  add_file(app, options);
  add_choice(app, "--format", options.format, formats, "table (default), json or csv");
  app.add_option("--mesh", options.view.mesh, "show this mesh only, with shafts and bearings")
      ->type_name("ID");
  app.add_option("--condition", options.view.condition, "at the speed of this condition only")
      ->type_name("ID");
  app.add_option("--speed", command.speed,
                 "in place of the conditions': \"1800 rpm\", a list with\ncommas, or a range "
                 "\"600 rpm .. 3000 rpm\"")
      ->type_name("SPEED");
  app.add_option("--referred-to", command.referred_to,
                 "orders and --speed are of this shaft, not of the\ntrain's reference")
      ->type_name("SHAFT");
  add_number(app, "--harmonics", allowed_harmonics, "of each mesh, default 3",
             [&command](std::uint64_t number) { command.harmonics = number; });
  add_number(app, "--sidebands", allowed_sidebands, "on each side of each of them, default 1",
             [&command](std::uint64_t number) { command.sidebands = number; });
  app.add_option("--within", command.within, "lines this near fall together, default \"2 %\"")
      ->type_name("RATIO");
  app.add_option(
         "--measured", command.measured,
         "a spectrum, a CSV file, whose peaks are set against\nthe lines; needs one --speed")
      ->type_name("SPECTRUM");
  app.add_option("--speed-uncertainty", command.speed_uncertainty,
                 "how far off that speed may be, default \"2 %\"")
      ->type_name("RATIO");
  app.add_option("--match-within", command.match_within,
                 "how far a peak may lie from its line,\ndefault \"0.3 %\"")
      ->type_name("RATIO");
  app.add_option("--prominence", command.prominence,
                 "how far a peak must stand out, of the greatest\namplitude; left out, from the "
                 "spectrum's own noise")
      ->type_name("RATIO");
  add_materials(app, options);
  app.add_flag("--no-color", no_color, "no colours, as with NO_COLOR set");
}

// No numbers of tolerances: nothing is sampled for them.
void add_torsion(CLI::App& app, TorsionCommand& command, bool& no_color) {
  AnalysisOptions& options = command.options;
  add_file(app, options);
  app.add_option("--carrier", options.carrier, "with this carrier, not the one in use")
      ->type_name("ID");
  add_choice(app, "--format", options.format, formats, "table (default), json or csv");
  add_choice(app, "--units", options.view.units, unit_systems,
             "metric (default) or inch, but for JSON");
  app.add_option("--condition", options.view.condition, "show this condition only; all are judged")
      ->type_name("ID");
  app.add_option("--mesh", options.view.mesh, "show this mesh and no other one")->type_name("ID");
  app.add_option("--order", command.order,
                 "show crossings of this order of the reference shaft\nonly, such as 2")
      ->type_name("ORDER");
  app.add_option("--speed", command.speed,
                 "of the reference shaft, for every condition in place\nof its own: \"1800 rpm\"")
      ->type_name("SPEED");
  add_materials(app, options);
  app.add_flag("--no-verdict", options.no_verdict, "exit with 0 where a requirement is not met");
  app.add_flag("--no-color", no_color, "no colours, as with NO_COLOR set");
}

void add_report(CLI::App& app, ReportCommand& report) {
  add_study(app, report.options);
  add_choice(app, "--format", report.format, report_formats,
             "html (default), or vega-lite: charts as data");
  app.add_option("--chart", report.chart,
                 "of vega-lite: which, or all of them; an\nunknown one lists them")
      ->type_name("ID");
  app.add_option("--compare", report.compare, "a second file to set beside it, with what changed")
      ->type_name("OTHER");
  app.add_flag("--stamp", report.stamp,
               "tell when the page was made; without it the same\ninput gives the same bytes");
}

// The arguments as a shell would read them.
std::string command_line_text(int argc, const char* const* argv) {
  constexpr std::string_view plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./=:,+@%";
  std::string text = "lashband";
  for (int i = 1; i < argc; ++i) {
    const std::string_view argument = argv[i];
    text += ' ';
    if (!argument.empty() && argument.find_first_not_of(plain) == std::string_view::npos) {
      text += argument;
      continue;
    }
    text += '\'';
    for (const char c : argument) {
      text += c == '\'' ? "'\\''" : std::string(1, c);
    }
    text += '\'';
  }
  return text;
}

bool colours_wanted(bool no_color, const OutputOptions& output) {
  // The environment is read before any thread could be started.
  // NOLINTBEGIN(concurrency-mt-unsafe)
  const char* no_color_variable = std::getenv("NO_COLOR");
  const char* terminal = std::getenv("TERM");
  // NOLINTEND(concurrency-mt-unsafe)
  return !no_color && !output.file && ::isatty(STDOUT_FILENO) == 1 &&
         (no_color_variable == nullptr || *no_color_variable == '\0') && terminal != nullptr &&
         std::string_view(terminal) != "dumb";
}

void print_version() {
  std::cout << "lashband " << version() << '\n'
            << "licence Apache-2.0; no warranty\n"
            << "built with "
            <<
#if defined(__clang__)
      "clang " << __clang_major__ << '.' << __clang_minor__
#else
      "g++ " << __GNUC__ << '.' << __GNUC_MINOR__
#endif
            << ", CLI11 " << CLI11_VERSION << '\n';
}

int usage_error(const std::string& message) {
  std::cerr << "lashband: " << message << "\nlashband --help lists commands and options\n";
  return bad_input;
}

// A word that is no command gets the nearest one suggested; CLI11 only says that it did not expect
// it.
std::optional<std::string> unknown_command(int argc, const char* const* argv) {
  if (argc < 2 || std::string_view(argv[1]).substr(0, 1) == "-") {
    return std::nullopt;
  }
  const std::string word = argv[1];
  for (const std::string& name : command_names) {
    if (word == name) {
      return std::nullopt;
    }
  }
  return "there is no command \"" + word + "\"" + suggestion(word, command_names);
}

// The option nearest to an argument that no command knows.
std::string with_suggestion(const CLI::App& app, std::string message, int argc,
                            const char* const* argv) {
  const CLI::App* command = &app;
  for (const CLI::App* chosen = command; chosen != nullptr;) {
    command = chosen;
    const auto parsed = chosen->get_subcommands();
    chosen = parsed.empty() ? nullptr : parsed.front();
  }
  std::vector<std::string> known;
  for (const CLI::Option* option : command->get_options()) {
    for (const std::string& name : option->get_lnames()) {
      known.push_back("--" + name);
    }
  }
  for (int i = 1; i < argc; ++i) {
    const std::string argument = argv[i];
    const std::string word = argument.substr(0, argument.find('='));
    if (word.substr(0, 2) == "--" && std::find(known.begin(), known.end(), word) == known.end()) {
      const auto nearest = nearest_name(word, known);
      message = "there is no option " + word + " for this command" +
                (nearest ? "; did you mean " + *nearest + "?" : "");
      break;
    }
  }
  return message;
}

}  // namespace

std::variant<Command, int> command_of(int argc, const char* const* argv) {
  CLI::App app{about, "lashband"};
  app.footer(footer);
  app.require_subcommand(0, 1);
  app.set_help_flag("-h,--help", "print this help");
  app.get_formatter()->column_width(28);
  bool version_asked = false;
  app.add_flag("--version", version_asked, "print the version");

  bool no_color = false;
  AnalysisOptions analysis;
  CLI::App* backlash =
      app.add_subcommand("backlash", "every mesh at every temperature, and the verdict");
  add_analysis(*backlash, analysis, no_color);
  CLI::App* carriers = app.add_subcommand("carriers", "every carrier in the file, side by side");
  add_analysis(*carriers, analysis, no_color);
  CLI::App* budget =
      app.add_subcommand("budget", "what the spread of the backlash is made of, ranked");
  add_analysis(*budget, analysis, no_color);
  CLI::App* warmup =
      app.add_subcommand("warmup", "backlash over time, through each history of the file");
  add_analysis(*warmup, analysis, no_color, "show this history only");
  warmup->add_flag("--ascii", analysis.view.ascii, "plots of ASCII characters alone");
  TrainCommand train;
  CLI::App* train_app = app.add_subcommand("train", "ratios, speeds, lost motion, loops that bind");
  add_train(*train_app, train, no_color);
  FrequenciesCommand frequencies;
  CLI::App* frequencies_app =
      app.add_subcommand("frequencies", "every line of its spectrum, measured peaks to them");
  add_frequencies(*frequencies_app, frequencies, no_color);
  TorsionCommand torsion;
  CLI::App* torsion_app =
      app.add_subcommand("torsion", "natural frequencies, rattling teeth, warm rubber");
  add_torsion(*torsion_app, torsion, no_color);
  ReportCommand report;
  CLI::App* report_app =
      app.add_subcommand("report", "all of it on one page with charts, for a review");
  add_report(*report_app, report);

  ExampleCommand example;
  CLI::App* example_app =
      app.add_subcommand("example", "list the examples, or write one to a folder");
  example_app->add_option("NAME", example.name, "the example; none lists them");
  example_app->add_option("FOLDER", example.folder, "where to; default is a folder of that name");
  example_app->add_flag("--force", example.force, "replace existing files");
  example_app->add_flag("--quiet", example.quiet, "no messages");

  SchemaCommand schema;
  CLI::App* schema_app =
      app.add_subcommand("schema", "the JSON Schema of the input or of the results");
  schema_app->add_option("WHICH", schema.which, "input (default) or results")
      ->check(CLI::IsMember({"input", "results"}));
  add_output(*schema_app, schema.output);

  MaterialsListCommand list;
  CLI::App* materials_app =
      app.add_subcommand("materials", "list the materials, show one, check a file of yours");
  materials_app->require_subcommand(0, 1);
  materials_app->add_option("--family", list.family, "only this family")->type_name("WORD");
  add_materials_folder(*materials_app, list.materials_folder);
  MaterialsShowCommand show;
  CLI::App* show_app =
      materials_app->add_subcommand("show", "one material with its values and sources");
  show_app->add_option("ID", show.id, "the material's id, such as C45")->required();
  add_materials_folder(*show_app, show.materials_folder);
  MaterialsCheckCommand check;
  CLI::App* check_app = materials_app->add_subcommand("check", "check a material file of your own");
  check_app->add_option("FILE", check.file, "the file")->required();

  // The footer is for the program's own help; CLI11 would repeat it below every command.
  for (CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    command->footer("");
    for (CLI::App* below : command->get_subcommands([](const CLI::App*) { return true; })) {
      below->footer("");
    }
  }

  if (argc < 2) {
    std::cerr << about << "\nlashband --help lists commands and options\n";
    return bad_input;
  }
  if (const auto message = unknown_command(argc, argv)) {
    return usage_error(*message);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& request) {
    return app.exit(request);  // help
  } catch (const CLI::ParseError& error) {
    return usage_error(with_suggestion(app, error.what(), argc, argv));
  }
  if (version_asked) {
    print_version();
    return done;
  }

  analysis.view.color = colours_wanted(no_color, analysis.output);
  train.options.view.color = colours_wanted(no_color, train.options.output);
  frequencies.options.view.color = colours_wanted(no_color, frequencies.options.output);
  torsion.options.view.color = colours_wanted(no_color, torsion.options.output);
  if (backlash->parsed()) {
    return Command{BacklashCommand{analysis}};
  }
  if (carriers->parsed()) {
    return Command{CarriersCommand{analysis}};
  }
  if (budget->parsed()) {
    return Command{BudgetCommand{analysis}};
  }
  if (warmup->parsed()) {
    return Command{WarmupCommand{analysis}};
  }
  if (train_app->parsed()) {
    return Command{train};
  }
  if (frequencies_app->parsed()) {
    return Command{frequencies};
  }
  if (torsion_app->parsed()) {
    return Command{torsion};
  }
  if (report_app->parsed()) {
    report.command_line = command_line_text(argc, argv);
    return Command{report};
  }
  if (example_app->parsed()) {
    return Command{example};
  }
  if (schema_app->parsed()) {
    return Command{schema};
  }
  if (show_app->parsed()) {
    return Command{show};
  }
  if (check_app->parsed()) {
    return Command{check};
  }
  if (materials_app->parsed()) {
    return Command{list};
  }
  return usage_error("a command is needed");
}

}  // namespace lashband::app
