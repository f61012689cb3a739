#include "sampling_progress.hpp"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <iostream>

namespace lashband::app {
namespace {

constexpr std::chrono::seconds before_a_bar{1};
constexpr int bar_columns = 40;

std::string bar_of(double share) {
  const double within = std::isfinite(share) ? std::clamp(share, 0.0, 1.0) : 0.0;
  const auto filled = static_cast<std::size_t>(within * bar_columns);
  return "sampling [" + std::string(filled, '#') + std::string(bar_columns - filled, ' ') + "] " +
         std::to_string(static_cast<int>(100.0 * within)) + " %";
}

}  // namespace

SamplingProgress::SamplingProgress(const OutputOptions& output)
    : shown_(!output.quiet && ::isatty(STDERR_FILENO) == 1),
      start_(std::chrono::steady_clock::now()) {}

SamplingProgress::~SamplingProgress() {
  if (!bar_.empty()) {
    std::cerr << '\r' << std::string(bar_.size(), ' ') << '\r' << std::flush;
  }
}

bool SamplingProgress::take(double share) {
  if (!watch_) {
    watch_.emplace();
  }
  if (shown_ && std::chrono::steady_clock::now() - start_ >= before_a_bar) {
    const std::string bar = bar_of(share);
    if (bar != bar_) {
      const std::size_t rest = bar_.size() > bar.size() ? bar_.size() - bar.size() : 0;
      std::cerr << '\r' << bar << std::string(rest, ' ') << std::flush;
      bar_ = bar;
    }
  }
  return !interrupted();
}

}  // namespace lashband::app
