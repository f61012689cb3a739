#include <algorithm>
#include <string>

#include "report/message_text.hpp"
#include "sections.hpp"

namespace lashband::report {
Section warnings_section(const PageInput& input) {
  std::vector<std::string> texts;
  const auto add = [&texts](const std::vector<design::Warning>& warnings) {
    for (const design::Warning& warning : warnings) {
      const std::string text = warning_text(warning);
      if (std::find(texts.begin(), texts.end(), text) == texts.end()) {
        texts.push_back(text);
      }
    }
  };
  add(input.study.carriers.warnings);
  // Those of the budget come from the same run, but for what it found itself.
  for (const design::Warning& warning : input.study.budget.warnings) {
    const auto& known = input.study.backlash().warnings;
    const bool told = std::any_of(known.begin(), known.end(), [&warning](const auto& other) {
      return warning_text(other) == warning_text(warning);
    });
    if (!told) {
      add({warning});
    }
  }
  HtmlWriter html;
  if (!texts.empty()) {
    write_list(html, texts);
  }
  return {"warnings", "Warnings", html.take()};
}

Section cautions_section(const PageInput& /*input*/) {
  const std::string screening =
      "These are screening results, not a proof of safety. Confirm them by measurement on the "
      "built "
      "unit before it is loaded.";
  const std::string values =
      "Material values are typical, not guaranteed: confirm what decides by certificate or test.";
  HtmlWriter html;
  write_list(html, {screening,
                    "A bound train can seize and break; teeth and shafts can fail without warning.",
                    "Rotating parts need guarding; hot and cold parts can injure.", values,
                    "Local codes and licensed practice decide."});
  return {"cautions", "Cautions", html.take()};
}

}  // namespace lashband::report
