#include "suggestion.hpp"

#include "lashband/nearest_name.hpp"

namespace lashband::app {

std::string suggestion(const std::string& written, const std::vector<std::string>& known) {
  const auto nearest = nearest_name(written, known);
  return nearest ? "; did you mean \"" + *nearest + "\"?" : ".";
}

}  // namespace lashband::app
