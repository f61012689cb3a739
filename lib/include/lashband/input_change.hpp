#pragma once

#include <string>

namespace lashband {

/// A place where two input files say different things.
struct InputChange {
  std::string where;   ///< "meshes A-B, require, least_backlash"
  std::string first;   ///< as written there; empty: the first file has nothing there
  std::string second;  ///< likewise
};

}  // namespace lashband
