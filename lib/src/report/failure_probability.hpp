#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>

#include "lashband/design/results.hpp"

// How likely a built unit fails, by the way in which it fails.
namespace lashband::report {

enum class Fault { binds, below_least, above_greatest };

inline constexpr std::array<Fault, 3> all_faults = {Fault::binds, Fault::below_least,
                                                    Fault::above_greatest};

/// Its key in JSON and CSV: "bind", "below_least", "above_greatest".
[[nodiscard]] const char* fault_word(Fault fault);

/// Whether the distribution of the gaps was worked out at a state.
[[nodiscard]] bool has_distribution(const design::MeshState& at);

/// The probability at one state; empty where it was not worked out or nothing was asked for.
[[nodiscard]] std::optional<double> probability(const design::MeshState& at, Fault fault);

/// The state where a fault is most likely.
struct MostLikely {
  double probability = 0.0;
  std::size_t state = 0;  ///< index into BacklashResult::states
};
[[nodiscard]] std::optional<MostLikely> most_likely(const design::MeshResult& mesh, Fault fault);

/// At any state of all; empty where it was not sampled.
[[nodiscard]] std::optional<design::SampledProbability> anywhere(const design::MeshResult& mesh,
                                                                 Fault fault);

/// A probability in a table, at most 7 columns wide: "0" only for 0 itself, "<1e-12" below that,
/// "2.3e-08", "0.0013", "0.031", ">0.999" next to certainty, "1". A sampled 0 is "none": it
/// happened in none of the samples.
[[nodiscard]] std::string probability_text(double probability, bool sampled);

/// "binds", "below the least asked for", "above the greatest asked for".
[[nodiscard]] const char* fault_phrase(Fault fault);

/// A sampled probability with its standard error: "3.1e-08 ± 1.2e-08"; "none" where there is none.
[[nodiscard]] std::string sampled_text(const design::SampledProbability& sampled);

}  // namespace lashband::report
