#pragma once

#include <chrono>
#include <optional>
#include <string>

#include "interruption.hpp"
#include "invocation.hpp"

namespace lashband::app {

/// What a sampling tells of its progress: a bar on standard error, where that is a terminal and the
/// work takes longer than a second, and whether Ctrl-C has stopped it.
class SamplingProgress {
 public:
  explicit SamplingProgress(const OutputOptions& output);
  SamplingProgress(const SamplingProgress&) = delete;
  SamplingProgress& operator=(const SamplingProgress&) = delete;
  SamplingProgress(SamplingProgress&&) = delete;
  SamplingProgress& operator=(SamplingProgress&&) = delete;
  /// Wipes the bar.
  ~SamplingProgress();

  /// Takes the share done, 0 to 1; returns false where the sampling is to stop.
  bool take(double share);

 private:
  bool shown_;
  std::string bar_;  ///< that stands on the terminal now
  std::chrono::steady_clock::time_point start_;
  std::optional<InterruptionWatch> watch_;  ///< from the first call on: before it nothing listens
};

}  // namespace lashband::app
