#pragma once

#include <string>
#include <vector>

#include "lashband/design/layout.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// What a number in the drawing stands for.
struct KeyEntry {
  std::string number{};
  std::string kind{};  ///< "shaft", "gear" or "mesh"
  std::string name{};
};

struct PlanView {
  std::string svg{};
  std::vector<KeyEntry> key{};  ///< in the order of the numbers; empty where all names are drawn
};

/// The train in plan view, to scale: one `svg` element, 680 units wide, with pitch and tip circles,
/// centre marks, senses of rotation, names and a scale bar. A name that is long or finds no room
/// is a number with an entry in the key; of more than 250 of these, the drawing has none and says
/// so. Colours and line widths are the page's, by class.
[[nodiscard]] PlanView plan_view(const design::Layout& layout, UnitSystem units);

}  // namespace lashband::report
