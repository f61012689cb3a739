#pragma once

#include <optional>

#include "lashband/report/view.hpp"
#include "torsion_charts.hpp"

namespace lashband::report {

/// Every elastomer at every condition shown: temperature, stiffness, twist, strain and heat. Empty
/// where there is none.
[[nodiscard]] std::optional<DrawnTable> elastomer_chart(const design::TorsionResult& result,
                                                        const View& view, const Measures& measures,
                                                        const Colours& colours);

/// How the temperature of an elastomer was found, in words.
[[nodiscard]] const char* status_words(design::ElastomerState::Status status);

}  // namespace lashband::report
