#pragma once

#include <string_view>

#include "lashband/limits/certainty.hpp"
#include "lashband/units/quantities.hpp"

/// Limits and fits of plain parts: ISO 286-1:2010, nominal sizes up to 500 mm, as tables with the
/// rounded values that the standard prints.
///
/// A tolerance class is one or two letters and a grade, "H7" or "js8": capital letters for holes,
/// small ones for shafts. Of the letters, those whose tables are known well enough are here:
///   D E F G H   d e f g h   JS js     with every grade from 4 to 14
///   J j                               grades 6 to 8 (holes), 5 to 7 (shafts)
///   k                                 grades 4 to 7
///   m n p                             grades 4 to 14
///   K M N, P                          grades 5 to 8, 5 to 7
namespace lashband::limits {

/// The standard tolerance IT of a grade, 4 to 14 for IT4 to IT14 (table 1). Grade 14 starts above
/// 1 mm. Throws DomainError for another grade or size.
[[nodiscard]] units::Length standard_tolerance(int grade, units::Length nominal_size);

/// Seen are grades 5 to 11 from over 30 to 180 mm. Throws as `standard_tolerance`.
[[nodiscard]] Certainty standard_tolerance_certainty(int grade, units::Length nominal_size);

/// The limit deviations of a tolerance class, low and high, measured from the nominal size.
///
///   shafts  d to h: es = the fundamental deviation (0 for h), ei = es - IT
///           j to p: ei = the fundamental deviation, es = ei + IT
///   holes   D to H: EI = -es of the same letter, ES = EI + IT
///           J: ES as tabulated
///           K to P: ES = -ei of the same letter + Delta, Delta = IT(n) - IT(n-1) over 3 mm, else 0
///                   (from memory); M6 from over 250 to 315 mm: ES = -9 um as tabulated
///   js, JS  -IT/2 and +IT/2, not rounded (some tables round an odd IT down to whole micrometres)
///
/// Throws DomainError for a text that is no tolerance class, one that is not in the list above, and
/// a size outside the tables.
[[nodiscard]] units::Band<units::Length> deviations(std::string_view tolerance_class,
                                                    units::Length nominal_size);

/// `seen` where both the standard tolerance and the fundamental deviation are: from over 30 to
/// 180 mm those of H h JS js n p, and up to 80 mm those of k m. Throws as `deviations`.
[[nodiscard]] Certainty deviations_certainty(std::string_view tolerance_class,
                                             units::Length nominal_size);

}  // namespace lashband::limits
