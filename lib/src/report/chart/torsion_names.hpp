#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "data_table.hpp"
#include "lashband/design/torsion.hpp"
#include "specification.hpp"

// What charts and tables of the torsional model share: its names in words, and its measures.
namespace lashband::report {

/// "mesh A-B, 2 f_z", "torque load, order 2".
[[nodiscard]] std::string excitation_name(const design::ExcitationLine& line);

/// Whether an excitation comes from the transmission error of a mesh.
[[nodiscard]] bool is_of_mesh(const design::ExcitationLine& line);

/// "mode 2 (412.3 Hz)", the modes counted from 0.
[[nodiscard]] std::string mode_name(const design::TorsionCondition& condition, std::size_t mode);

/// The element that a mode strains most; empty of a free motion.
[[nodiscard]] std::optional<std::size_t> most_strained(const design::NaturalMode& mode);

/// The number with that many significant digits, and with all of those before its point.
[[nodiscard]] std::string whole_number(double number, int digits);

/// "412.3 Hz", "1806 rpm": four digits.
[[nodiscard]] std::string hertz_words(units::Frequency frequency);
[[nodiscard]] std::string rpm_words(units::AngularVelocity speed);

/// Torques and what is made of them, in the units of a view.
class TorqueMeasures {
 public:
  explicit TorqueMeasures(UnitSystem units) : inch_(units == UnitSystem::inch) {}

  [[nodiscard]] Column torque(std::string field, std::string head) const;
  [[nodiscard]] Column stiffness(std::string field, std::string head) const;  ///< torsional
  [[nodiscard]] Column mesh_stiffness(std::string field, std::string head) const;
  [[nodiscard]] Column inertia(std::string field, std::string head) const;
  [[nodiscard]] static Column power(std::string field, std::string head);

  [[nodiscard]] Cell torque_cell(double torque_in_newton_metres) const;
  [[nodiscard]] Cell stiffness_cell(double stiffness_in_newton_metres_per_radian) const;
  [[nodiscard]] Cell mesh_stiffness_cell(double stiffness_in_newtons_per_metre) const;
  [[nodiscard]] Cell inertia_cell(units::Inertia inertia) const;
  [[nodiscard]] static Cell power_cell(units::Power power);

  /// "12.34 N m".
  [[nodiscard]] std::string torque_words(double torque_in_newton_metres) const;
  /// "0.001234 kg m2".
  [[nodiscard]] std::string inertia_words(units::Inertia inertia) const;

 private:
  bool inch_;
};

/// A number with five digits.
[[nodiscard]] Cell five_digits(double value, double scale = 1.0);

/// What hovering reads, with as many decimals as leave five digits to the greatest of a column.
[[nodiscard]] Specification scaled_tooltip(const DataTable& table,
                                           const std::vector<std::string_view>& names);

/// The conditions that a chart draws side by side, alike in every chart of the model.
struct ConditionSeries {
  std::vector<std::size_t> places{};  ///< in TorsionResult::conditions
  std::vector<std::string> names{};   ///< as tables have them
};
[[nodiscard]] ConditionSeries condition_series(const design::TorsionResult& result,
                                               const std::vector<std::size_t>& places);

}  // namespace lashband::report
