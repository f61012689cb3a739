#pragma once

#include "lashband/design/results.hpp"

// The ends that meshes and loops are judged on.
namespace lashband::report {

/// The low end on a basis; where the basis was not worked out (nothing varies), the worst case.
template <class Q>
[[nodiscard]] Q low_end(const design::ResultBand<Q>& band, design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return band.nominal;
    case design::Basis::rss:
      return band.rss_low.value_or(band.low);
    case design::Basis::percentile:
      return band.least ? band.least->low : band.low;
    case design::Basis::worst_case:
      break;
  }
  return band.low;
}

template <class Q>
[[nodiscard]] Q high_end(const design::ResultBand<Q>& band, design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return band.nominal;
    case design::Basis::rss:
      return band.rss_high.value_or(band.high);
    case design::Basis::percentile:
      return band.greatest ? band.greatest->high : band.high;
    case design::Basis::worst_case:
      break;
  }
  return band.high;
}

/// The same of j_wt, as functions that can be handed on.
[[nodiscard]] inline units::Length judged_low(const design::ResultBand<units::Length>& j_wt,
                                              design::Basis basis) {
  return low_end(j_wt, basis);
}
[[nodiscard]] inline units::Length judged_high(const design::ResultBand<units::Length>& j_wt,
                                               design::Basis basis) {
  return high_end(j_wt, basis);
}

/// The margin of a loop with the shafts in the middle of their float. A loop has no percentiles and
/// is judged on the root sum square in their place.
[[nodiscard]] inline units::Length judged_margin(const design::LoopState& at, design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return at.margin;
    case design::Basis::rss:
    case design::Basis::percentile:
      return at.margin_rss_low.value_or(at.margin_low);
    case design::Basis::worst_case:
      break;
  }
  return at.margin_low;
}

/// The margin with all float taken up: below zero the loop binds.
[[nodiscard]] inline units::Length judged_taken_up(const design::LoopState& at,
                                                   design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return at.taken_up;
    case design::Basis::rss:
    case design::Basis::percentile:
      return at.taken_up_rss_low.value_or(at.taken_up_low);
    case design::Basis::worst_case:
      break;
  }
  return at.taken_up_low;
}

}  // namespace lashband::report
