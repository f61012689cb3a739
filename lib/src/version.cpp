#include "lashband/version.hpp"

namespace lashband {

std::string_view version() {
  return LASHBAND_VERSION;
}

}  // namespace lashband
