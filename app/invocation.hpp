#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <variant>

#include "lashband/report/view.hpp"

/// What the command line asks for, as plain data.
namespace lashband::app {

enum class Format { table, json, csv };

/// Where the result goes.
struct OutputOptions {
  std::optional<std::filesystem::path> file;  ///< empty: standard output
  bool force = false;                         ///< replace an existing file
  bool quiet = false;
};

/// Options of the commands that analyse a train.
struct AnalysisOptions {
  std::string file;  ///< "-" is standard input
  Format format = Format::table;
  OutputOptions output;
  std::optional<std::string> carrier;
  report::View view;
  std::optional<std::filesystem::path> materials_folder;
  bool no_verdict = false;
  bool extrapolate = false;
  std::uint64_t seed = 1;
  std::optional<std::uint64_t> samples;
  std::optional<unsigned> threads;  ///< empty: as many as the machine has cores
};

struct BacklashCommand {
  AnalysisOptions options;
};

struct CarriersCommand {
  AnalysisOptions options;
};

struct BudgetCommand {
  AnalysisOptions options;
};

struct WarmupCommand {
  AnalysisOptions options;
};

struct TrainCommand {
  AnalysisOptions options;
  std::optional<std::string> of;    ///< a shaft; goes with the next one
  std::optional<std::string> held;  ///< another
};

/// Options that are numbers are texts as typed, read where the command runs.
struct FrequenciesCommand {
  AnalysisOptions options;
  std::optional<std::string> speed;
  std::optional<std::string> referred_to;
  std::optional<std::uint64_t> harmonics;
  std::optional<std::uint64_t> sidebands;
  std::optional<std::string> within;
  std::optional<std::filesystem::path> measured;
  std::optional<std::string> speed_uncertainty;
  std::optional<std::string> match_within;
  std::optional<std::string> prominence;
};

/// Options that are quantities are texts as typed, read where the command runs.
struct TorsionCommand {
  AnalysisOptions options;
  std::optional<std::string> speed;
  std::optional<std::string> order;
};

enum class ReportFormat { html, vega_lite };

struct ReportCommand {
  AnalysisOptions options;  ///< its format is not used
  ReportFormat format = ReportFormat::html;
  std::optional<std::string> chart;    ///< needed for a format of single charts
  std::optional<std::string> compare;  ///< a second file
  bool stamp = false;
  std::string command_line;  ///< as typed, quoted for a shell
};

struct ExampleCommand {
  std::optional<std::string> name;              ///< empty: list
  std::optional<std::filesystem::path> folder;  ///< empty: a folder of the example's name
  bool force = false;
  bool quiet = false;
};

struct SchemaCommand {
  std::string which = "input";
  OutputOptions output;
};

struct MaterialsListCommand {
  std::optional<std::string> family;
  std::optional<std::filesystem::path> materials_folder;
};

struct MaterialsShowCommand {
  std::string id;
  std::optional<std::filesystem::path> materials_folder;
};

struct MaterialsCheckCommand {
  std::filesystem::path file;
};

using Command =
    std::variant<BacklashCommand, CarriersCommand, BudgetCommand, WarmupCommand, TrainCommand,
                 FrequenciesCommand, TorsionCommand, ReportCommand, ExampleCommand, SchemaCommand,
                 MaterialsListCommand, MaterialsShowCommand, MaterialsCheckCommand>;

}  // namespace lashband::app
