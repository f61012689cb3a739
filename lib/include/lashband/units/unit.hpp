#pragma once

#include <string_view>
#include <type_traits>

#include "lashband/units/temperature.hpp"
#include "lashband/units/unit_expression.hpp"

/// Units as they stand in the source of a program, checked by the compiler.
namespace lashband::units {

namespace detail {

template <class Q>
inline constexpr bool is_level = std::is_same_v<Q, Temperature>;

/// Whether a quantity of type `Q` may be written in this unit.
template <class Q>
[[nodiscard]] constexpr bool measures(const UnitExpression& unit) {
  if constexpr (is_level<Q>) {
    return unit.level != LevelScale::none;
  } else {
    return unit.level != LevelScale::celsius && unit.level != LevelScale::fahrenheit &&
           unit.dimension == dimension_of<Q>;
  }
}

// Never defined: a call of one of them while compiling stops the compiler, which shows the name.
void this_text_is_not_a_unit();
void this_unit_has_another_dimension();

}  // namespace detail

/// A written unit of the quantity `Q`, as in `format(backlash, "um")` or
/// `const Unit<Length> unit = inch ? Unit<Length>("thou") : Unit<Length>("um");`.
/// Only a text that is known at compile time becomes one; a text that is no unit of `Q` does not
/// compile.
template <class Q>
class Unit {
 public:
  // Implicit, so that a unit is written as plain text where it is used.
  // NOLINTNEXTLINE(google-explicit-constructor)
  consteval Unit(const char* text) : text_(text) {
    const UnitExpression unit = unit_expression(text_);
    if (unit.fault != UnitFault::none) {
      detail::this_text_is_not_a_unit();
    }
    if (!detail::measures<Q>(unit)) {
      detail::this_unit_has_another_dimension();
    }
    scale_ = unit.scale;
    level_ = unit.level;
  }

  /// The unit as it was written.
  [[nodiscard]] constexpr std::string_view text() const { return text_; }

  [[nodiscard]] constexpr const UnitScale& scale() const { return scale_; }

  /// The scale of a temperature level; for other quantities it has no meaning.
  [[nodiscard]] constexpr LevelScale level() const { return level_; }

 private:
  std::string_view text_;
  UnitScale scale_;
  LevelScale level_ = LevelScale::none;
};

}  // namespace lashband::units
