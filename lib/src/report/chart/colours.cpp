#include "colours.hpp"

namespace lashband::report {

Colours Colours::plain() {
  return {"#c6d6e4", "#7fa6c9",
          "#0b4f8a", "#b54708",
          "#1b1f24", "#57606a",
          "#e1e4e8", {"#0b62a4", "#b54708", "#00735a", "#8a3f8f", "#6b5900", "#4a5568"}};
}

Colours Colours::of_page() {
  return {"var(--c-worst)",
          "var(--c-percentiles)",
          "var(--c-nominal)",
          "var(--c-limit)",
          "var(--ink)",
          "var(--quiet)",
          "var(--grid)",
          {"var(--c-1)", "var(--c-2)", "var(--c-3)", "var(--c-4)", "var(--c-5)", "var(--c-6)"}};
}

}  // namespace lashband::report
