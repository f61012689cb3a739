#pragma once

#include <cstddef>
#include <vector>

#include "contributors.hpp"
#include "lashband/thermal/carrier.hpp"

namespace lashband::design {

/// One temperature state that the carrier can be worked out at.
struct UsableState {
  std::size_t index = 0;  ///< into the result's states
  thermal::TemperatureState temperatures;
  thermal::CarrierState carrier;
  std::vector<thermal::JointSlip> slips{};  ///< of a moment of a history, by wall
};

/// From the typed input to the gap model of each mesh: what the draws of a built unit do to its
/// three gaps.
///
/// Simplifications: deviations of fits do not grow with temperature; the tilt between two walls
/// follows the elongations linearly; both gears of a mesh sit at the mean of their places.
class GapModels {
 public:
  /// All arguments must outlive the object.
  GapModels(const Design& design, const thermal::Carrier& carrier,
            const thermal::Reference& reference, const Contributors& contributors,
            const std::vector<thermal::JointEnvelope>& envelopes);

  /// The bands of contributors times these factors from here on (a magnitude's limit, a dimension's
  /// band about its mid).
  void scale_bands(std::vector<double> factors) { factors_ = std::move(factors); }

  /// The mesh without its states. Throws as the geometry does.
  [[nodiscard]] band::kernel::MeshModel mesh_model(std::size_t index) const;

  /// The mesh at one state. Throws MaterialError where a material gives no answer, ComputationError
  /// where base circles overlap.
  [[nodiscard]] band::kernel::StateModel state_model(std::size_t index,
                                                     const band::kernel::MeshModel& model,
                                                     const UsableState& state) const;

  /// The seats of one shaft, in the order of its bearings; weights are those at the gears of
  /// `mesh`.
  [[nodiscard]] std::vector<band::kernel::SeatModel> seats(std::size_t shaft_index,
                                                           std::size_t gear,
                                                           const UsableState& state) const;

  /// What the axial float of both shafts lets helical gears turn, along the line of action:
  /// (float_1 + float_2) tan beta_b.
  [[nodiscard]] band::kernel::LinearForm axial_play(std::size_t index) const;

  /// Where the gears of the mesh sit along the shafts.
  [[nodiscard]] std::optional<units::Length> place(const Mesh& mesh) const;

 private:
  using Form = band::kernel::LinearForm;

  // The mid of a contributor with its band scaled: a magnitude shrinks towards nothing.
  [[nodiscard]] double mid(std::size_t draw) const;
  void add(Form& form, const Draw& draw, double factor) const;
  // mid and reach of a value; without a contributor its mid alone.
  template <class Q>
  void add_value(Form& form, const Draw& draw, const tolerance::Toleranced<Q>& value,
                 double factor) const;
  [[nodiscard]] Form elongation(const thermal::Solid& solid, const SolidDraws& draws,
                                const thermal::TemperatureState& temperatures) const;
  [[nodiscard]] band::kernel::SeatModel seat(const Shaft& shaft, const ShaftDraws& draws,
                                             std::size_t index, const UsableState& state) const;
  [[nodiscard]] band::kernel::SeatModel preloaded(const Shaft& shaft, const ShaftDraws& draws,
                                                  const UsableState& state) const;
  void set_cycle(std::size_t index, const UsableState& state,
                 band::kernel::StateModel& model) const;

  const Design& design_;
  const thermal::Carrier& carrier_;
  const thermal::Reference& reference_;
  const Contributors& contributors_;
  const std::vector<thermal::JointEnvelope>& envelopes_;
  std::vector<thermal::Solid> carrier_solids_;
  std::vector<double> factors_;
};

}  // namespace lashband::design
