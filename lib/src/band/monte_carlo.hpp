#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <vector>

#include "band/gap_model.hpp"

// Sampling of built units: the exact gap model at every sample and state. The numbers depend on
// seed and sample count alone, not on the instruction set or the number of threads; memory does not
// grow with the samples.
namespace lashband::band::kernel {

/// What is asked of a mesh at every state; what is not asked for is infinite.
struct Limits {
  double least_wt = -std::numeric_limits<double>::infinity();  ///< of j_least, as j_wt
  double least_bt = -std::numeric_limits<double>::infinity();
  double greatest_wt = std::numeric_limits<double>::infinity();  ///< of j_greatest, as j_wt
  double greatest_bt = std::numeric_limits<double>::infinity();
};

struct SampleOptions {
  std::uint64_t seed = 1;
  std::uint64_t samples = 0;
  unsigned threads = 1;
  /// Told the share done, now and then, from one thread; returns false to stop early.
  std::function<bool(double)> progress;
};

/// A sampled number and its standard error.
struct Sampled {
  double value = 0.0;
  double standard_error = 0.0;
};

/// One gap at one state, as j_bt or j_wt.
struct SampledGap {
  Sampled mean, sigma;
  Sampled p_low, p_mid, p_high;  ///< the 0.135, 50 and 99.865 percentiles
};

struct SampledState {
  SampledGap least_bt, least_wt, greatest_bt, greatest_wt, bind_bt;
  Sampled bind_negative;   ///< P(j_bind < 0)
  Sampled below_least;     ///< P(j_least is below either of its limits)
  Sampled above_greatest;  ///< P(j_greatest is above either of its limits)
};

struct SampledMesh {
  std::vector<SampledState> states;
  // At any state of the envelope.
  Sampled bind_anywhere;
  Sampled below_least_anywhere;
  Sampled above_greatest_anywhere;
};

struct SampleResult {
  std::uint64_t samples = 0;  ///< fewer than asked for where progress stopped it
  std::vector<SampledMesh> meshes;
  Sampled bind_anywhere;  ///< any mesh, any state
};

/// `limits[m]` belongs to `meshes[m]`.
/// Throws DomainError where correlations are not those of any distribution (the matrix is not
/// positive semidefinite).
[[nodiscard]] SampleResult sampled(const std::vector<MeshModel>& meshes, const Draws& draws,
                                   const std::vector<Limits>& limits, const SampleOptions& options);

/// The name of the instruction set in use, as the SIMD library calls it.
[[nodiscard]] const char* instruction_set();

}  // namespace lashband::band::kernel
