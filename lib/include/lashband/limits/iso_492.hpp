#pragma once

#include "lashband/limits/certainty.hpp"
#include "lashband/units/quantities.hpp"

/// Deviations of the mean diameters of radial rolling bearings of the normal tolerance class,
/// tapered roller bearings excepted (ISO 492). Both lie below the nominal size, unlike those of a
/// plain H hole or h shaft.
namespace lashband::limits {

/// Deviation of the mean bore diameter, Delta_dmp, for a bore over 2.5 up to 500 mm. Throws
/// DomainError for another bore.
[[nodiscard]] units::Band<units::Length> mean_bore_deviation(units::Length bore);

/// Seen from over 30 to 180 mm. Throws as `mean_bore_deviation`.
[[nodiscard]] Certainty mean_bore_deviation_certainty(units::Length bore);

/// Deviation of the mean outside diameter, Delta_Dmp, over 6 up to 500 mm: from memory throughout
/// (`from_memory_note`). Throws DomainError for another diameter.
[[nodiscard]] units::Band<units::Length> mean_outside_diameter_deviation(
    units::Length outside_diameter);

}  // namespace lashband::limits
