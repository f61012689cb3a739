#pragma once

#include "lashband/units/quantities.hpp"

namespace lashband::geometry {

/// The involute function, inv alpha = tan alpha - alpha (ISO 21771, 4.3).
///
/// Valid for 0 <= alpha < 90 deg. Accuracy: 1e-15 relative below 16 deg, where a series replaces
/// the difference that would cancel; 1e-14 relative and 2e-16 absolute up to 45 deg; 1e-15 relative
/// of tan alpha beyond. Throws DomainError outside the domain.
[[nodiscard]] double involute(units::Angle alpha);

/// The pressure angle alpha whose involute function is `inv`: the inverse of `involute`.
///
/// Valid for 0 <= inv <= 1e6. Accuracy 2e-15 relative; an error e of `inv` itself is magnified to
/// e / tan^2 alpha, as for any inverse near alpha = 0. Newton's method from a series (derived in
/// docs/theory/tooth-geometry.md). Throws DomainError outside the domain.
[[nodiscard]] units::Angle inverse_involute(double inv);

}  // namespace lashband::geometry
