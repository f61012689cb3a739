#pragma once

namespace lashband::app {

/// What the program tells its caller. Part of the interface: see README.md.
enum ExitCode : int {
  done = 0,       ///< done, every requirement met
  not_met = 1,    ///< done, some requirement not met
  bad_input = 2,  ///< input or usage is wrong
  failed = 3,     ///< a computation or an output failed
  stopped = 130,  ///< by Ctrl-C: 128 and the number of the signal
};

}  // namespace lashband::app
