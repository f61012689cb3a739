#pragma once

#include <string_view>

#include "lashband/limits/certainty.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::limits {

/// Clearance group of a rolling bearing, from tight to wide.
enum class ClearanceClass { C2, CN, C3, C4 };

/// "C3". Throws DomainError for a value outside the enum.
[[nodiscard]] std::string_view clearance_class_name(ClearanceClass clearance_class);

/// Radial internal clearance of a deep groove ball bearing with cylindrical bore, not mounted and
/// not loaded, at the reference temperature: ISO 5753-1, by the bore, over 6 up to 100 mm.
/// Throws DomainError for another bore.
[[nodiscard]] units::Band<units::Length> internal_clearance(ClearanceClass clearance_class,
                                                            units::Length bore);

/// Seen are bores over 10 mm, in the tables of four makers. Throws DomainError as above.
[[nodiscard]] Certainty internal_clearance_certainty(units::Length bore);

}  // namespace lashband::limits
