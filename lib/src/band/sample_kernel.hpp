#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "band/sample_plan.hpp"

// The work on one chunk of samples, compiled for several instruction sets, of which the best that
// the processor has is taken at run time. All give the same numbers, bit for bit: eight logical
// lanes whatever the width of a register, sample i in lane i mod 8, and no fused multiply-add.
namespace lashband::band::kernel {

inline constexpr std::size_t lanes = 8;
inline constexpr std::size_t chunk_samples = 256;  ///< so that a chunk's columns stay in the cache

/// One number for each sample of a chunk. The gap keeps the same rows of neighbouring columns from
/// lying 4096 bytes apart, where processors take a load for one that waits for a store.
struct alignas(64) Column {
  std::array<double, chunk_samples> row;
  std::array<double, 24> gap;
};

/// The gaps that are counted at every state.
enum Stream : std::size_t { least_bt, least_wt, greatest_bt, greatest_wt, bind_bt };
inline constexpr std::size_t streams = 5;

/// Where a percentile is looked for: values inside are sorted into bins of equal width.
inline constexpr std::size_t bins = 128;
struct Bracket {
  double low = 0.0;
  double high = 0.0;
  double bins_per_length = 0.0;
};

enum Percentile : std::size_t { p_low, p_mid, p_high };
inline constexpr std::size_t percentiles = 3;

/// What a stream is counted against.
struct StreamWindow {
  /// Moments are taken about the centre. A value whose square distance from it is above
  /// `square_radius` may lie in the brackets of the tails or beyond; no other value does.
  double centre = 0.0;
  double square_radius = 0.0;
  std::array<Bracket, percentiles> bracket;
};

struct StreamCounts {
  std::uint64_t below_low = 0;      ///< the bracket of the low percentile
  std::uint64_t not_below_mid = 0;  ///< the bracket of the median
  std::uint64_t above_high = 0;     ///< the bracket of the high percentile
  std::array<std::array<std::uint64_t, bins>, percentiles> histogram{};
};

/// Powers of the distance from the centre, summed for each lane.
struct alignas(64) StreamSums {
  std::array<double, lanes> first{}, second{}, third{}, fourth{};
};

/// How many samples failed.
struct StateCounts {
  std::uint64_t bind_negative = 0, below_least = 0, above_greatest = 0;
};

/// What one thread counts. Streams are numbered through: mesh by mesh, state by state.
struct Tally {
  std::vector<StreamSums> sums;  ///< of one block
  std::vector<StreamCounts> counts;
  std::vector<StateCounts> states;
  std::vector<StateCounts> anywhere;  ///< at any state of a mesh
  std::uint64_t bind_anywhere = 0;
};

inline constexpr std::size_t scratch_columns = 16;

/// The columns of one thread.
struct Workspace {
  explicit Workspace(const SamplePlan& plan);

  std::vector<Column> columns;  ///< of the plan: draws, then derived ones
  std::vector<Column> scratch;
  std::array<Column, streams> gaps{};
};

/// The draws of samples first ... first + chunk_samples - 1.
void draw_chunk(const DrawPlan& plan, std::uint64_t first, Workspace& work);

/// The derived columns of a mesh, from the draws.
void derive_columns(const MeshPlan& mesh, Workspace& work);

/// The gaps at a state, from draws and derived columns.
void evaluate_gaps(const MeshPlan& mesh, const StatePlan& state, Workspace& work);

/// Everything about the first `count` samples of a chunk, added to the tally. `windows` has one
/// entry a stream. With `with_shape` the third and fourth powers are summed as well.
void count_chunk(const SamplePlan& plan, std::uint64_t first, std::size_t count,
                 const std::vector<StreamWindow>& windows, bool with_shape, Workspace& work,
                 Tally& tally);

}  // namespace lashband::band::kernel
