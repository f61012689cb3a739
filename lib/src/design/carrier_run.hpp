#pragma once

#include <vector>

#include "contributors.hpp"
#include "gap_models.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "mesh_states.hpp"

namespace lashband::design {

/// A design with one of its carriers, and how it stands at any state: what the runs have in common.
class CarrierBase {
 public:
  /// The design must outlive the object.
  CarrierBase(const Design& design, std::size_t carrier, const RunOptions& options);
  CarrierBase(const CarrierBase&) = delete;
  CarrierBase& operator=(const CarrierBase&) = delete;
  CarrierBase(CarrierBase&&) = delete;
  CarrierBase& operator=(CarrierBase&&) = delete;
  ~CarrierBase() = default;

  [[nodiscard]] const Design& design() const { return design_; }
  [[nodiscard]] const thermal::Carrier& carrier() const { return carrier_; }
  [[nodiscard]] const thermal::Reference& reference() const { return reference_; }
  [[nodiscard]] const Contributors& contributors() const { return contributors_; }
  [[nodiscard]] const band::kernel::Draws& draws() const { return draws_; }
  [[nodiscard]] const GapModels& models() const { return models_; }

  /// The states without an order among which friction joints may have been, for `usable`.
  void set_envelopes(const std::vector<thermal::TemperatureState>& states);

  /// The carrier at a state, `index` being the state's place in a list. Throws MaterialError where
  /// a material gives no answer.
  [[nodiscard]] UsableState usable(const State& state, std::size_t index) const;

 private:
  const Design& design_;
  const thermal::Carrier& carrier_;
  thermal::Reference reference_;
  std::vector<thermal::JointEnvelope> envelopes_;
  Contributors contributors_;
  band::kernel::Draws draws_;
  GapModels models_;
};

/// The same at every one of a list of states, as far as it can be worked out.
class CarrierRun {
 public:
  /// The design must outlive the object.
  CarrierRun(const Design& design, std::size_t carrier, const RunOptions& options,
             std::vector<State> states);

  [[nodiscard]] const thermal::Carrier& carrier() const { return base_.carrier(); }
  [[nodiscard]] const std::vector<State>& states() const { return states_; }
  [[nodiscard]] const std::vector<UsableState>& usable() const { return usable_; }
  [[nodiscard]] const Contributors& contributors() const { return base_.contributors(); }
  [[nodiscard]] const band::kernel::Draws& draws() const { return base_.draws(); }
  [[nodiscard]] const GapModels& models() const { return base_.models(); }
  /// States of the carrier that could not be computed.
  [[nodiscard]] const std::vector<Failure>& failures() const { return failures_; }

  /// The gap model of a mesh at every usable state. A state that cannot be computed goes to
  /// `failures`.
  [[nodiscard]] MeshModels mesh_models(std::size_t mesh, std::vector<Failure>& failures) const;
  /// The same with the bands of contributors times these factors, at one usable state. Throws
  /// where it cannot be computed.
  [[nodiscard]] MeshModels scaled(std::size_t mesh, std::vector<double> factors,
                                  std::size_t usable) const;

 private:
  void work_out_states();

  CarrierBase base_;
  std::vector<State> states_;
  std::vector<UsableState> usable_;
  std::vector<Failure> failures_;
};

}  // namespace lashband::design
