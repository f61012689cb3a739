#pragma once

#include <string_view>

#include "lashband/units/quantities.hpp"

namespace lashband::limits {

/// What a recommended backlash of ISO/TR 10064-2 is meant for, to be shown beside it.
inline constexpr std::string_view iso_10064_scope =
    "ferrous gears in ferrous housings, pitch-line speed below 15 m/s";

/// The least normal backlash that ISO/TR 10064-2, annex A, recommends for industrial drives:
///   j_bn,min = 2/3 (0.06 + 0.0005 a + 0.03 m_n)    in mm, with a and m_n in mm,
/// rounded up to 0.01 mm, as in the printed table. `a` is the least centre distance.
///
/// Holds for what `iso_10064_scope` says, and so not for a housing of aluminium; a from 50 to
/// 1600 mm and m_n from 1.5 to 18 mm, the reach of the table (which leaves its corners of large
/// module at small distance, and the reverse, blank; the formula goes on there). From memory
/// (`from_memory_note`). Throws DomainError outside.
[[nodiscard]] units::Length recommended_least_normal_backlash(units::Length a, units::Length m_n);

}  // namespace lashband::limits
