#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "band/sample_kernel.hpp"

// Percentiles of streams of values that are not kept. The samples are worked off in stages. Each
// stage counts its values in narrow brackets around the percentiles, which the stages before it
// have found; a small pilot, sorted, finds the first. What is asked is at last the cumulative count
// of all stages together, so that no value is lost and none is counted twice.
namespace lashband::band::kernel {

inline constexpr double percentile_share[percentiles] = {0.00135, 0.5, 0.99865};

/// How far from where a percentile is expected its bracket reaches, in standard errors of the
/// place, in the first attempt: missed once in two million brackets.
inline constexpr double usual_margin = 5.0;

/// Brackets from a pilot, which is reordered. Throws ComputationError unless all of it is finite.
[[nodiscard]] StreamWindow pilot_window(std::vector<double>& pilot, double margin);

/// What was counted of one percentile of one stream, stage by stage.
class PercentileSearch {
 public:
  /// A stage of `samples` samples: `below` of them lay below the bracket, and those inside as in
  /// the histogram.
  void add_stage(const Bracket& bracket, std::uint64_t samples, std::uint64_t below,
                 const std::array<std::uint64_t, bins>& histogram);

  [[nodiscard]] std::uint64_t samples() const { return samples_; }

  /// The value that a share of all samples lies below; linear within a bin. Empty where it lies
  /// outside the bracket of the last stage.
  [[nodiscard]] std::optional<double> at(double share) const;

  /// Its standard error, from the density in the bins around it: half the distance of the places
  /// that lie `reach` standard errors of the share away, divided by `reach`. `at(share)` is not
  /// empty.
  [[nodiscard]] double standard_error(double share) const;

  /// Whether linear interpolation within the bins may tell in the result: more samples lie in the
  /// bins of the percentile than its standard error in ranks, and the bins are wider than
  /// `fine`. So it is where the density jumps.
  [[nodiscard]] bool too_coarse(double share, double fine) const;

  /// A bracket inside the last one that holds the percentile unless `at(share)` is off by more than
  /// `margin` standard errors. `at(share)` is not empty.
  [[nodiscard]] Bracket next_bracket(double share, double margin) const;

  /// The same for samples that are all counted again: wider by a bin of the coarsest stage, within
  /// which the percentile may stand anywhere.
  [[nodiscard]] Bracket final_bracket(double share, double margin) const;

 private:
  struct Stage {
    Bracket bracket;
    std::vector<double> below;  ///< at the edges of the bins: bins + 1 numbers
  };

  [[nodiscard]] double count_below(double x) const;
  [[nodiscard]] double widest_bin() const;
  /// Where `count` samples lie below, moved into the last bracket.
  [[nodiscard]] double place_of(double count) const;

  std::vector<Stage> stages_;
  std::uint64_t samples_ = 0;
};

/// Window of the next stage. Each search has found its percentile.
[[nodiscard]] StreamWindow stream_window(const std::array<Bracket, percentiles>& brackets);

/// A bracket with a length that values of this size can tell.
[[nodiscard]] Bracket bracket_between(double low, double high);

}  // namespace lashband::band::kernel
