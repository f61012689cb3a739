#pragma once

#include "lashband/error.hpp"

namespace lashband::app {

/// The command line asks for something that is not there; the message says what there is.
class UsageError : public Error {
 public:
  using Error::Error;
};

/// A result could not be written.
class OutputError : public Error {
 public:
  using Error::Error;
};

}  // namespace lashband::app
