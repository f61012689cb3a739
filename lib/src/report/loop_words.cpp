#include "loop_words.hpp"

namespace lashband::report {

const char* closed_word(train::ClosedBy by) {
  switch (by) {
    case train::ClosedBy::places:
      return "places";
    case train::ClosedBy::assembly:
      return "assembly";
    case train::ClosedBy::unknown:
      break;
  }
  return "unknown";
}

}  // namespace lashband::report
