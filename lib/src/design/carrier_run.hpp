#pragma once

#include <vector>

#include "contributors.hpp"
#include "gap_models.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "mesh_states.hpp"

namespace lashband::design {

/// A design with one of its carriers at every state, as far as it can be worked out: what the runs
/// have in common.
class CarrierRun {
 public:
  /// The design must outlive the object.
  CarrierRun(const Design& design, std::size_t carrier, const RunOptions& options);
  CarrierRun(const CarrierRun&) = delete;
  CarrierRun& operator=(const CarrierRun&) = delete;
  CarrierRun(CarrierRun&&) = delete;
  CarrierRun& operator=(CarrierRun&&) = delete;
  ~CarrierRun() = default;

  [[nodiscard]] const thermal::Carrier& carrier() const { return carrier_; }
  [[nodiscard]] const std::vector<State>& states() const { return states_; }
  [[nodiscard]] const std::vector<UsableState>& usable() const { return usable_; }
  [[nodiscard]] const Contributors& contributors() const { return contributors_; }
  [[nodiscard]] const band::kernel::Draws& draws() const { return draws_; }
  [[nodiscard]] const GapModels& models() const { return models_; }
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

  const Design& design_;
  const thermal::Carrier& carrier_;
  thermal::Reference reference_;
  std::vector<State> states_;
  std::vector<thermal::JointEnvelope> envelopes_;
  std::vector<UsableState> usable_;
  std::vector<Failure> failures_;
  Contributors contributors_;
  band::kernel::Draws draws_;
  GapModels models_;
};

}  // namespace lashband::design
