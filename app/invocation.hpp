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

using Command = std::variant<BacklashCommand, CarriersCommand, BudgetCommand, WarmupCommand,
                             ReportCommand, ExampleCommand, SchemaCommand, MaterialsListCommand,
                             MaterialsShowCommand, MaterialsCheckCommand>;

}  // namespace lashband::app
