#pragma once

#include "lashband/materials/confidence.hpp"
#include "lashband/materials/elastomer.hpp"
#include "lashband/units/quantities.hpp"

/// Shear modulus of an elastomer from its hardness.
///
/// Simplifications: small strain, slow loading, room temperature; incompressible, so that G = E/3;
/// one relation for every polymer. A measured modulus of the compound always goes first.
namespace lashband::elastomer {

/// A modulus with what is known about it.
struct EstimatedModulus {
  units::Pressure value{};
  units::Band<units::Pressure> scatter{};  ///< within which real compounds mostly lie
  materials::Confidence confidence{};
};

/// Hardness for which the relation below holds, 20 to 80 degrees.
inline constexpr double least_hardness = 20.0;
inline constexpr double greatest_hardness = 80.0;

/// By how much compounds of equal hardness differ from the relation, 30 % to either side.
inline constexpr double modulus_scatter = 0.3;

/// Gent's relation,
///   E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S)) MPa,   G = E/3
/// S the Shore A hardness; IRHD count as the same number of Shore A degrees, which they nearly are
/// between 30 and 80.
///
/// Valid for 20 <= S <= 80. The force of an indenter on an elastic half-space, so that compounds
/// whose stress-strain curve bends differ: 30 % to either side, `scatter`. Hardness itself is
/// measured within 2 degrees or so, which is 8 % of the modulus. Throws DomainError outside that
/// range.
/// Source: A. N. Gent, Trans. IRI 34 (1958) 46; the formula read in transcriptions (seen2), the
/// scatter from memory.
[[nodiscard]] EstimatedModulus shear_modulus(const materials::Hardness& hardness);

}  // namespace lashband::elastomer
