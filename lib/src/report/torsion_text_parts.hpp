#pragma once

#include <cstddef>
#include <string>

#include "lashband/design/torsion.hpp"
#include "lashband/report/view.hpp"

// The tables of one condition of the torsional model. Each is empty where there is nothing to tell,
// and ends in an empty line elsewhere.
namespace lashband::report {

/// Natural frequencies: damping, and which part each strains most.
[[nodiscard]] std::string mode_table(const design::TorsionResult& result,
                                     const design::TorsionCondition& condition);
/// What excites them, nearest first.
[[nodiscard]] std::string crossing_table(const design::TorsionResult& result,
                                         const design::TorsionCondition& condition,
                                         const View& view);
/// The two parts that move each natural frequency and each rattle index most.
[[nodiscard]] std::string knob_tables(const design::TorsionResult& result,
                                      const design::TorsionCondition& condition, const View& view);

/// Forces of the meshes and their rattle index, then torques of all other parts.
[[nodiscard]] std::string load_tables(const design::TorsionResult& result,
                                      const design::TorsionCondition& condition, const View& view);
[[nodiscard]] std::string elastomer_table(const design::TorsionResult& result,
                                          const design::TorsionCondition& condition,
                                          const View& view);
[[nodiscard]] std::string wind_up_table(const design::TorsionResult& result,
                                        const design::TorsionCondition& condition);
[[nodiscard]] std::string reaction_lines(const design::TorsionResult& result,
                                         const design::TorsionCondition& condition,
                                         const View& view);
[[nodiscard]] std::string power_lines(const design::TorsionCondition& condition);
/// The greatest of each mesh over the sweep.
[[nodiscard]] std::string sweep_table(const design::TorsionResult& result,
                                      const design::TorsionCondition& condition, const View& view);

/// "  30 of 45 WHAT shown; JSON has all"; nothing where all are shown.
[[nodiscard]] std::string rows_left_out(std::size_t shown, std::size_t all, const char* what);

}  // namespace lashband::report
