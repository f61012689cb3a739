#pragma once

#include <string>

#include "lashband/design/frequencies.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/design/train.hpp"
#include "lashband/design/warmup.hpp"
#include "lashband/report/view.hpp"

/// Tables for a terminal 80 columns wide.
namespace lashband::report {

/// Backlash of every mesh at every condition. Of a soak sweep a few points are shown, with the
/// states of least and greatest backlash always among them, and of each history a few moments; a
/// line says what was left out.
[[nodiscard]] std::string text(const design::BacklashResult& result, const View& view);

/// The carriers side by side.
[[nodiscard]] std::string text(const design::CarriersResult& result, const View& view);

/// What the spread of every mesh is made of over all states; a single state where the view names
/// one.
[[nodiscard]] std::string text(const design::BudgetResult& result, const View& view);

/// The train over time, history by history: a plot of each mesh and of the temperatures, the
/// moments that tell most, when each requirement is violated and from when on it holds, and the
/// heat of a network. The view's condition is the id of a history.
[[nodiscard]] std::string text(const design::WarmupResult& result, const View& view);

/// The train as a whole: ratios and speeds of the shafts, every loop and every lost motion state by
/// state, and what each mesh adds to it.
[[nodiscard]] std::string text(const design::TrainResult& result, const View& view);

/// The lines of a train at each speed, how its teeth meet, what falls together, and the peaks of a
/// measured spectrum with the lines that may explain them. Of many lines or speeds the first are
/// shown, and a line says so.
[[nodiscard]] std::string text(const design::FrequenciesResult& result, const View& view);

/// The torsional model, condition by condition: meshes with their rattle index, natural frequencies
/// and what meets them, elastomers, wind-up, what the case feels, powers, and what moves a
/// frequency or an index most. Of a sweep the greatest of each mesh. Of many rows the first are
/// shown, and a line says so.
[[nodiscard]] std::string text(const design::TorsionResult& result, const View& view);

}  // namespace lashband::report
