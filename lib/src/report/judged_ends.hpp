#pragma once

#include "lashband/design/results.hpp"

// The ends of j_wt that a mesh is judged on.
namespace lashband::report {

/// The low end on a basis; where the basis was not worked out (nothing varies), the worst case.
[[nodiscard]] inline units::Length judged_low(const design::ResultBand<units::Length>& band,
                                              design::Basis basis) {
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

[[nodiscard]] inline units::Length judged_high(const design::ResultBand<units::Length>& band,
                                               design::Basis basis) {
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

}  // namespace lashband::report
