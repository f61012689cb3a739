#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/torsion.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/thermal/temperature_state.hpp"
#include "layout.hpp"
#include "torsion/mean_flow.hpp"
#include "torsion/system.hpp"

namespace lashband::design {

/// The model at one speed.
struct TorsionAtSpeed {
  double speed = 0.0;                 ///< of the reference, rad/s
  torsion::kernel::System system{};   ///< as it swings
  torsion::kernel::System lasting{};  ///< against torques that last
  torsion::kernel::MeanFlow flow{};   ///< those
  double driven = 0.0;                ///< W, the balance included where it drives
  double loads = 0.0;                 ///< W, likewise
  double drag = 0.0;                  ///< W
};

/// A mesh with less than the load at which the standard's stiffness holds.
struct LightMesh {
  std::size_t mesh = 0;              ///< of the design
  double load_per_width = 0.0;       ///< N/m
  double stiffness = 0.0;            ///< with the factor for small loads, N/m
  double full_load_stiffness = 0.0;  ///< without it
};

/// The model at one temperature state.
class TorsionState {
 public:
  /// `contact_ratio` is eps_alpha by mesh of the design. What it refers to must outlive it.
  TorsionState(const Design& design, const TorsionLayout& layout,
               const thermal::TemperatureState& temperatures, const thermal::Reference& reference,
               std::vector<double> contact_ratio);

  /// By element: of elastomers alone. At first those of their zones.
  [[nodiscard]] const std::vector<std::optional<units::Temperature>>& elastomer_temperatures()
      const {
    return elastomer_temperatures_;
  }
  void set_elastomer_temperature(std::size_t element, units::Temperature temperature);

  [[nodiscard]] const Elastomer& elastomer_of(std::size_t element) const;

  /// Throws ComputationError, MaterialError or DomainError where there is no such state.
  [[nodiscard]] TorsionAtSpeed at(double speed) const;

  /// What the user should know of the meshes' stiffness at that speed.
  [[nodiscard]] std::vector<Warning> findings(const TorsionAtSpeed& at) const;
  /// The meshes whose stiffness follows from the standard with its factor for small loads.
  [[nodiscard]] std::vector<LightMesh> light_meshes(const TorsionAtSpeed& at) const;

 private:
  struct Laws {
    torsion::kernel::Law swinging{};
    torsion::kernel::Law lasting{};
  };

  [[nodiscard]] Laws law_of(std::size_t element) const;
  [[nodiscard]] Laws segment_law(const ShaftSegment& segment) const;
  [[nodiscard]] Laws mesh_law(std::size_t element, std::optional<double> force) const;
  [[nodiscard]] const MeshDynamics& dynamics_of(std::size_t mesh) const;
  /// The elements that are meshes and take their stiffness from the standard.
  [[nodiscard]] std::vector<std::size_t> meshes_by_standard() const;
  [[nodiscard]] std::vector<double> mean_torques(double speed, TorsionAtSpeed& into) const;
  [[nodiscard]] double drag_torque(const Drag& drag, double shaft_speed) const;

  const Design& design_;
  const TorsionLayout& layout_;
  const thermal::TemperatureState& temperatures_;
  const thermal::Reference& reference_;
  std::vector<double> contact_ratio_;
  std::vector<MeshDynamics> dynamics_;  // by mesh of the design
  std::vector<double> gas_torque_;      // by torque of the settings
  std::vector<std::optional<units::Temperature>> elastomer_temperatures_;
  std::vector<Laws> laws_;  // by element; of meshes without a load
};

}  // namespace lashband::design
