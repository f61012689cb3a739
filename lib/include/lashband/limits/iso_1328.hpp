#pragma once

#include "lashband/units/quantities.hpp"

/// Flank tolerances of cylindrical gears: ISO 1328-1:2013, classes 1 to 11.
namespace lashband::limits {

/// The gear as far as the tolerances depend on it. The reference diameter follows from it,
/// d = z m_n / cos beta.
struct TolerancedGear {
  int teeth = 0;             ///< z, 5 to 1000
  units::Length module;      ///< m_n, 0.5 to 70 mm
  units::Length face_width;  ///< b, 4 to 1200 mm
  units::Angle helix_angle;  ///< beta, -45 to 45 deg
};

struct FlankTolerances {
  units::Length f_ptT;      ///< single pitch
  units::Length F_pT;       ///< cumulative pitch, total
  units::Length f_HalphaT;  ///< profile slope
  units::Length f_falphaT;  ///< profile form
  units::Length F_alphaT;   ///< profile, total
  units::Length f_HbetaT;   ///< helix slope
  units::Length f_fbetaT;   ///< helix form
  units::Length F_betaT;    ///< helix, total
  units::Length F_rT;       ///< run-out; informative annex of the standard, 0.9 F_pT
};

/// The flank tolerances of class A, each rounded as the standard rounds. In micrometres, with d,
/// m_n and b in millimetres, every line times sqrt(2)^(A - 5):
///   f_ptT = 0.001 d + 0.4 m_n + 5               F_pT = 0.002 d + 0.55 sqrt(d) + 0.7 m_n + 12
///   f_HalphaT = 0.4 m_n + 0.001 d + 4           f_falphaT = 0.55 m_n + 5
///   f_HbetaT = 0.05 sqrt(d) + 0.35 sqrt(b) + 4  f_fbetaT = 0.07 sqrt(d) + 0.45 sqrt(b) + 4
///   F_alphaT, F_betaT = root of the sum of squares of slope and form, before rounding
///   F_rT = 0.9 F_pT, from the value before rounding
/// Rounding: over 10 um to whole micrometres, from 5 to 10 um to 0.5 um, below to 0.1 um.
///
/// The formulas are from memory (`from_memory_note`). Throws DomainError for a class other than 1
/// to 11, a value outside the limits of `TolerancedGear`, and unless 5 mm <= d <= 15 m.
[[nodiscard]] FlankTolerances flank_tolerances(int tolerance_class, const TolerancedGear& gear);

}  // namespace lashband::limits
