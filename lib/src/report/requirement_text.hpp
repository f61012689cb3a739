#pragma once

#include <string>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

// Verdicts in words.
namespace lashband::report {

/// "met" or "NOT MET", in colour where the view has colours.
[[nodiscard]] std::string verdict(bool met, const View& view);

/// What a requirement is judged on, in words.
[[nodiscard]] std::string basis_text(design::Basis basis);

/// "least_backlash" reads "least backlash".
[[nodiscard]] std::string requirement_words(std::string what);

/// "≤ " or "≥ ".
[[nodiscard]] std::string limit_sign(const design::RequirementRow& row);

/// A pure number: "1.589", or "∞" for the rattle index of a mesh without a mean force that parts.
[[nodiscard]] std::string ratio_text(double ratio);

/// A limit or what was found, an SI value, with its unit where it has one: "30.0 µm", "1.589",
/// "12.34 arcmin".
[[nodiscard]] std::string requirement_value(const design::RequirementRow& row, double value,
                                            const View& view);

/// "A-B least backlash: 1.4 µm against 30.0 µm, cold start"; "loop A-B, B-C, C-A: -2.0 µm against
/// 0.0 µm, cold start".
[[nodiscard]] std::string requirement_line(const design::RequirementRow& row, const View& view);

/// All requirements, each below the basis that it is judged on, and how many are met. `states` are
/// those that the rows name.
[[nodiscard]] std::string requirement_table(const std::vector<design::RequirementRow>& rows,
                                            const std::vector<design::State>& states,
                                            const View& view);

/// "all 8 requirements met" or "2 of 8 requirements not met"; nothing where there are none.
[[nodiscard]] std::string requirement_count(const std::vector<design::RequirementRow>& rows);

}  // namespace lashband::report
