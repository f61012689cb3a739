#include "speed_option.hpp"

#include <string>

#include "errors.hpp"
#include "lashband/units/parse.hpp"

namespace lashband::app {

using units::AngularVelocity;

namespace {

std::string_view without_blanks(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(' ');
  return begin == std::string_view::npos
             ? std::string_view()
             : text.substr(begin, text.find_last_not_of(' ') - begin + 1);
}

}  // namespace

AngularVelocity speed_asked(std::string_view text) {
  const auto speed = units::try_parse<AngularVelocity>(without_blanks(text));
  if (!speed) {
    throw UsageError("--speed: " + speed.failure().message());
  }
  if (!(speed.value() > AngularVelocity())) {
    throw UsageError("--speed: \"" + std::string(without_blanks(text)) +
                     "\" is not above 0; speeds are magnitudes, and the teeth tell the senses");
  }
  return speed.value();
}

}  // namespace lashband::app
