#pragma once

#include "errors.hpp"

namespace lashband::app {

/// Ctrl-C stopped a sampling. Nothing has been written.
class Interrupted : public Error {
 public:
  Interrupted() : Error("interrupted; nothing was written") {}
};

/// While one of these lives, Ctrl-C only leaves a mark, and a second Ctrl-C ends the program at
/// once. Otherwise Ctrl-C does what the system has it do.
class InterruptionWatch {
 public:
  InterruptionWatch();
  InterruptionWatch(const InterruptionWatch&) = delete;
  InterruptionWatch& operator=(const InterruptionWatch&) = delete;
  InterruptionWatch(InterruptionWatch&&) = delete;
  InterruptionWatch& operator=(InterruptionWatch&&) = delete;
  ~InterruptionWatch();
};

/// Whether Ctrl-C has left its mark.
[[nodiscard]] bool interrupted();

}  // namespace lashband::app
