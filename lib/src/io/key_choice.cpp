#include "io/key_choice.hpp"

namespace lashband::io {

KeyChoice choice_of(ObjectReader& object, std::initializer_list<std::string_view> keys) {
  KeyChoice choice;
  for (const std::string_view key : keys) {
    choice.all.emplace_back(key);
    if (object.has(key)) {
      choice.present.emplace_back(key);
    }
  }
  return choice;
}

std::optional<std::string> exactly_one(const Field& place, const KeyChoice& choice) {
  if (choice.present.size() == 1) {
    return choice.present.front();
  }
  place.report("read " +
               (choice.present.empty() ? "none of " + listed(choice.all)
                                       : listed(choice.present) + " together") +
               (choice.present.empty() ? "; needed is exactly one of them"
                                       : "; allowed is exactly one of " + listed(choice.all)));
  return std::nullopt;
}

bool at_most_one(const Field& place, const KeyChoice& choice) {
  if (choice.present.size() <= 1) {
    return true;
  }
  place.report("read " + listed(choice.present) + " together; allowed is no more than one of " +
               listed(choice.all));
  return false;
}

}  // namespace lashband::io
