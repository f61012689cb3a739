#include "number_text.hpp"

#include <nlohmann/json.hpp>

namespace lashband::report {

std::string number_text(double number) {
  return nlohmann::json(number).dump();
}

}  // namespace lashband::report
