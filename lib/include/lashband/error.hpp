#pragma once

#include <stdexcept>
#include <string>

namespace lashband {

/// Root of every exception that lashband throws.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// A value lies outside the domain of a function or a type.
/// The message names the value, the rule and the unit.
class DomainError : public Error {
 public:
  using Error::Error;
};

/// A material is asked for outside its temperature range, or for a property it does not have.
class MaterialError : public Error {
 public:
  using Error::Error;
};

/// A computation at a given state has no result (for instance base circles that overlap).
/// The message names the mesh and the state once they are known.
class ComputationError : public Error {
 public:
  using Error::Error;
};

}  // namespace lashband
