#pragma once

#include <string>

#include "lashband/design/torsion.hpp"
#include "lashband/report/view.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/quantities.hpp"
#include "number_text.hpp"
#include "numbers.hpp"

namespace lashband::report {

/// Numbers of the torsional model's tables in the units of the view; heads name the unit. Loads and
/// stiffnesses span decades, so that they have digits, not decimals.
class TorsionNumbers {
 public:
  explicit TorsionNumbers(UnitSystem units) : inch_(units == UnitSystem::inch), plain_(units) {}

  [[nodiscard]] std::string force(units::Force x) const {
    return digits(inch_ ? units::value_in(x, "lbf") : units::value_in(x, "N"));
  }
  [[nodiscard]] const char* force_unit() const { return plain_.force_unit(); }
  [[nodiscard]] std::string torque(units::Torque x) const {
    return digits(inch_ ? units::value_in(x, "lbf ft") : units::value_in(x, "N m"));
  }
  [[nodiscard]] const char* torque_unit() const { return inch_ ? "lbf ft" : "N m"; }
  [[nodiscard]] std::string stiffness(units::LinearStiffness x) const {
    return digits(inch_ ? units::value_in(x, "lbf/in") : units::value_in(x, "N/um"));
  }
  [[nodiscard]] const char* stiffness_unit() const { return inch_ ? "lbf/in" : "N/µm"; }
  [[nodiscard]] std::string stiffness(units::TorsionalStiffness x) const {
    return digits(inch_ ? units::value_in(x, "lbf ft/rad") : units::value_in(x, "N m/rad"));
  }
  [[nodiscard]] const char* torsional_unit() const { return inch_ ? "lbf ft/rad" : "N m/rad"; }
  [[nodiscard]] std::string inertia(units::Inertia x) const {
    return digits(inch_ ? units::value_in(x, "lb in2") : units::value_in(x, "kg m2")) + " " +
           (inch_ ? "lb in2" : "kg m2");
  }
  [[nodiscard]] std::string level(units::Temperature x) const { return plain_.level(x); }
  [[nodiscard]] const char* level_unit() const { return plain_.level_unit(); }

  [[nodiscard]] static std::string power(units::Power x) { return digits(units::value_in(x, "W")); }
  [[nodiscard]] static std::string rpm(units::AngularVelocity x) {
    return rounded_number(units::value_in(x, "rpm"), 6);
  }
  [[nodiscard]] static std::string digits(double x, int count = 5) {
    return rounded_number(x + 0.0, count);  // -0 becomes 0
  }

 private:
  bool inch_;
  Numbers plain_;
};

}  // namespace lashband::report
