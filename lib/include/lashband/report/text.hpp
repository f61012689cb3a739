#pragma once

#include <string>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

/// Tables for a terminal 80 columns wide.
namespace lashband::report {

/// Backlash of every mesh at every condition. Of a soak sweep a few points are shown, with the
/// states of least and greatest backlash always among them; a line says what was left out.
[[nodiscard]] std::string text(const design::BacklashResult& result, const View& view);

/// The carriers side by side.
[[nodiscard]] std::string text(const design::CarriersResult& result, const View& view);

/// What the spread of every mesh is made of over all states; a single state where the view names
/// one.
[[nodiscard]] std::string text(const design::BudgetResult& result, const View& view);

}  // namespace lashband::report
