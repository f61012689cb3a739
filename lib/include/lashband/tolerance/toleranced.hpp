#pragma once

#include "lashband/tolerance/shape.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::tolerance {

/// A value of the drawing that differs from one built unit to the next: its band, and how the
/// values are spread over it. The worst case looks at the band alone.
template <class Q>
struct Toleranced {
  units::Band<Q> band{};
  Shape shape = Shape::normal();

  [[nodiscard]] Q mid() const { return band.mid(); }
  /// Half the width of the band.
  [[nodiscard]] Q reach() const { return 0.5 * (band.high - band.low); }
};

/// A deviation that has a limit and no sign, such as a run-out: from nothing to the limit. Normal
/// within these ends unless told otherwise, since it cannot be negative.
template <class Q>
[[nodiscard]] Toleranced<Q> magnitude_up_to(Q limit) {
  return {{Q(), limit}, Shape::truncated_normal()};
}

/// A deviation that may go either way up to the limit.
template <class Q>
[[nodiscard]] Toleranced<Q> symmetrical(Q limit) {
  return {{-limit, limit}, Shape::normal()};
}

}  // namespace lashband::tolerance
