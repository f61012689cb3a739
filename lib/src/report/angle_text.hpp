#pragma once

#include <string>

#include "lashband/units/quantities.hpp"

// Small angles of rotation in tables.
namespace lashband::report {

/// Writes the angles of one table in one unit, with as many decimals as leave four or five digits
/// to the greatest of them.
class AngleScale {
 public:
  /// deg from one degree on, arcmin below, arcsec below one minute.
  explicit AngleScale(units::Angle greatest);

  [[nodiscard]] const char* unit() const { return unit_; }
  [[nodiscard]] std::string text(units::Angle angle) const;
  /// "12.34 arcmin"
  [[nodiscard]] std::string with_unit(units::Angle angle) const;

 private:
  const char* unit_;
  int decimals_ = 2;
};

}  // namespace lashband::report
