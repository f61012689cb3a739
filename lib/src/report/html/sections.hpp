#pragma once

#include "page_parts.hpp"

// The sections of the page in the order of a reader's questions. Each is empty where the study has
// nothing for it.
namespace lashband::report {

[[nodiscard]] Section verdict_section(const PageInput& input);
[[nodiscard]] Section comparison_section(const PageInput& input);
[[nodiscard]] Section backlash_section(const PageInput& input);
[[nodiscard]] Section warmup_section(const PageInput& input);
[[nodiscard]] Section budget_section(const PageInput& input);
[[nodiscard]] Section carrier_section(const PageInput& input);
[[nodiscard]] Section tooth_section(const PageInput& input);
[[nodiscard]] Section motion_section(const PageInput& input);
[[nodiscard]] Section frequencies_section(const PageInput& input);
[[nodiscard]] Section torsion_section(const PageInput& input);
[[nodiscard]] Section train_section(const PageInput& input);
[[nodiscard]] Section assumptions_section(const PageInput& input);
[[nodiscard]] Section materials_section(const PageInput& input);
[[nodiscard]] Section warnings_section(const PageInput& input);
[[nodiscard]] Section cautions_section(const PageInput& input);
[[nodiscard]] Section origin_section(const PageInput& input);

}  // namespace lashband::report
