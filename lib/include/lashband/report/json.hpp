#pragma once

#include <string>

#include "lashband/design/frequencies.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/design/train.hpp"
#include "lashband/design/warmup.hpp"
#include "lashband/report/view.hpp"

/// Results as JSON by the shipped schema (`results_schema`). Units are fixed: mm, deg for pressure
/// angles, rad for rotations, N, N m, N/m, N m/rad, kg m2, degC, s, J, W, Hz, rpm. What was not
/// computed is left out.
namespace lashband::report {

[[nodiscard]] std::string json(const design::BacklashResult& result, const View& view);

[[nodiscard]] std::string json(const design::CarriersResult& result, const View& view);

[[nodiscard]] std::string json(const design::BudgetResult& result, const View& view);

[[nodiscard]] std::string json(const design::WarmupResult& result, const View& view);

[[nodiscard]] std::string json(const design::TrainResult& result, const View& view);

[[nodiscard]] std::string json(const design::FrequenciesResult& result, const View& view);

[[nodiscard]] std::string json(const design::TorsionResult& result, const View& view);

}  // namespace lashband::report
