#include "interruption.hpp"

#include <signal.h>  // NOLINT(modernize-deprecated-headers): <csignal> need not have sigaction

#include <atomic>

namespace lashband::app {
namespace {

static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may touch nothing else");

// A signal handler reaches nothing but what is global.
std::atomic<bool> mark{false};  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)

extern "C" void leave_mark(int /*signal*/) {
  mark = true;
}

}  // namespace

InterruptionWatch::InterruptionWatch() {
  struct sigaction before {};
  // Where Ctrl-C is ignored, as in a background job of a shell, it stays so.
  if (::sigaction(SIGINT, nullptr, &before) == 0 && before.sa_handler == SIG_DFL) {
    struct sigaction watching {};
    watching.sa_handler = leave_mark;
    watching.sa_flags = static_cast<int>(SA_RESETHAND | SA_RESTART);
    ::sigaction(SIGINT, &watching, nullptr);
  }
}

InterruptionWatch::~InterruptionWatch() {
  struct sigaction now {};
  if (::sigaction(SIGINT, nullptr, &now) == 0 && now.sa_handler == leave_mark) {
    now.sa_handler = SIG_DFL;
    ::sigaction(SIGINT, &now, nullptr);
  }
}

bool interrupted() {
  return mark;
}

}  // namespace lashband::app
