#pragma once

#include <cstddef>
#include <string_view>

#include "lashband/units/quantity_kind.hpp"
#include "lashband/units/unit_expression.hpp"
#include "units/decimal.hpp"
#include "units/number_text.hpp"

/// A quantity as text, taken apart and valued, without any words about what may be wrong with it.
namespace lashband::units::detail {

/// How far the reading of a text came.
enum class Verdict {
  good,
  bad_number,
  bad_unit,
  other_kind,  ///< a quantity, but not of the wanted kind
  overflow,
  underflow,
  below_absolute_zero,
};

struct QuantityText {
  Verdict verdict = Verdict::good;
  NumberText number;
  std::size_t number_begin = 0;
  UnitExpression unit;
  std::size_t unit_begin = 0;
  /// In SI units, or in degrees Celsius for a level.
  double value = 0.0;
};

/// Whether the unit stands for a temperature level and nothing else: degC or degF.
[[nodiscard]] bool is_level_only(const UnitExpression& unit);

/// Whether a level is wanted, which shares its dimension with a difference.
[[nodiscard]] bool is_level_kind(const QuantityKind& kind);

/// Reads the quantity that begins at the byte `begin` and ends with the text, blanks around it
/// allowed.
[[nodiscard]] QuantityText read_quantity(std::string_view text, std::size_t begin,
                                         const QuantityKind& wanted);

/// The first byte from `begin` on that is no blank.
[[nodiscard]] std::size_t skip_spaces(std::string_view text, std::size_t begin);

}  // namespace lashband::units::detail
