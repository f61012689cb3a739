#pragma once

#include <cstddef>
#include <vector>

#include "courses.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "lashband/design/warmup.hpp"

namespace lashband::design {

/// The moments that say where a history takes the train, as states in order of time: both ends,
/// those without which straight lines between them would miss a temperature by more than a
/// hundredth of what the history sweeps, and for each mesh the moments of its least and greatest
/// backlash and of the worst of everything that is asked of it. Those are found between samples
/// too, to a millisecond, on the basis that the mesh is judged on; in place of percentiles, which
/// take long and move alike, on the root sum square.
[[nodiscard]] std::vector<State> telling_moments(const Design& design, std::size_t carrier,
                                                 const RunOptions& options, const Course& course);

/// The same, a moment every interval of the history, and the turns between these at which a
/// requirement may be missed for less than an interval.
[[nodiscard]] std::vector<State> all_moments(const Design& design, std::size_t carrier,
                                             const RunOptions& options, const Course& course);

/// When each criterion of each mesh is violated, by mesh and in the order of criteria_of, from the
/// meshes at the moments of a history; begin and end are found between them to a millisecond, on
/// the basis that the mesh is judged on. Sampled percentiles are not known between moments; they
/// are taken as straight there. A mesh without states has no criteria.
[[nodiscard]] std::vector<std::vector<std::vector<TimeSpan>>> violated_spans(
    const Design& design, std::size_t carrier, const RunOptions& options, const Course& course,
    const BacklashResult& at_moments);

}  // namespace lashband::design
