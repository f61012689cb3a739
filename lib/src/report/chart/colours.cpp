#include "colours.hpp"

namespace lashband::report {

Colours Colours::plain() {
  return {"#c6d6e4", "#7fa6c9", "#0b4f8a",
          "#b54708", "#9a2c00", "#1b1f24",
          "#57606a", "#e1e4e8", {"#0b62a4", "#b54708", "#00735a", "#8a3f8f", "#6b5900", "#4a5568"}};
}

Colours Colours::of_page() {
  return {"var(--c-worst)",
          "var(--c-percentiles)",
          "var(--c-nominal)",
          "var(--c-limit)",
          "var(--missed)",
          "var(--ink)",
          "var(--quiet)",
          "var(--grid)",
          {"var(--c-1)", "var(--c-2)", "var(--c-3)", "var(--c-4)", "var(--c-5)", "var(--c-6)"}};
}

const std::vector<int>& dash_of_series(std::size_t place) {
  static const std::array<std::vector<int>, 5> dashes = {
      {{1, 0}, {8, 3}, {3, 3}, {8, 3, 2, 3}, {12, 4}}};
  return dashes[place % dashes.size()];
}

const std::string& shape_of_series(std::size_t place) {
  static const std::array<std::string, 7> shapes = {
      "circle", "square", "triangle-up", "cross", "diamond", "triangle-down", "triangle-right"};
  return shapes[place % shapes.size()];
}

}  // namespace lashband::report
