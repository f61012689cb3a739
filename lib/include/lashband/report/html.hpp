#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lashband/design/study.hpp"
#include "lashband/input_change.hpp"
#include "lashband/report/view.hpp"

/// The report as one HTML page that needs nothing beside itself.
namespace lashband::report {

/// A second study to set beside the first.
struct Comparison {
  const design::Study& study;
  std::string name;  ///< of its file
  std::vector<InputChange> changes{};
};

struct ReportOptions {
  View view{};
  std::string command{};     ///< that makes this page again, as typed
  std::string input_name{};  ///< of the file
  std::string input_text{};  ///< its content
  /// When the page was made, in words. Empty: not told, so that the same input gives the same
  /// bytes.
  std::optional<std::string> stamp{};
  std::optional<Comparison> other{};
};

/// The page: UTF-8, no reference to anything outside it, a policy that lets nothing but its own
/// script run. Charts are drawn by that script; a program built without it (`charts_can_be_drawn`)
/// writes the page without them. All numbers stand in tables as well, each with its full value in a
/// `data` element. The same arguments give the same bytes.
[[nodiscard]] std::string html(const design::Study& study, const ReportOptions& options);

/// Whether this program was built with what draws charts in a browser.
[[nodiscard]] bool charts_can_be_drawn();

}  // namespace lashband::report
