#pragma once

#include "lashband/units/quantities.hpp"

/// Worst case of a result over toleranced inputs. Knows nothing of gears.
///
/// Simplifications: the result rises, or falls, with each input over its whole band whatever the
/// others do; then the ends of the result lie where every input is at one of its own ends, and the
/// interval is exact.
namespace lashband::tolerance {

/// Which way the result goes when an input grows.
enum class Sense { rises, falls };

/// An input that may lie anywhere within a band.
template <class Q>
struct Toleranced {
  units::Band<Q> band;
  Sense sense = Sense::rises;

  [[nodiscard]] Q at_mid() const { return band.mid(); }
  /// The input that makes the result lowest.
  [[nodiscard]] Q at_least_result() const { return sense == Sense::rises ? band.low : band.high; }
  /// The input that makes the result highest.
  [[nodiscard]] Q at_greatest_result() const {
    return sense == Sense::rises ? band.high : band.low;
  }
};

}  // namespace lashband::tolerance
