#pragma once

#include <variant>
#include <vector>

#include "lashband/materials/elastomer.hpp"
#include "lashband/units/quantities.hpp"

/// How an elastomer between two parts answers a twist that swings: theta Re(e^(i omega t)) needs
/// the torque Re((k' + i k'') theta e^(i omega t)), k' the storage and k'' the loss stiffness.
///
/// Simplifications: linear, so that amplitude does not matter (a filled compound is softer at a
/// greater amplitude); one temperature throughout.
namespace lashband::elastomer {

/// A spring beside a dashpot: k + i omega c.
struct KelvinVoigt {
  units::TorsionalStiffness stiffness{};
  units::TorsionalDamping damping{};
};

/// A loss that does not depend on frequency: k (1 + i eta). It holds for steady swinging alone:
/// nothing real behaves so at every frequency, and there is no such law in time.
struct LossFactor {
  units::TorsionalStiffness stiffness{};
  double loss_factor = 0.0;  ///< eta
};

/// A spring and a dashpot in a row: k_j i omega tau_j / (1 + i omega tau_j).
struct MaxwellBranch {
  units::TorsionalStiffness stiffness{};  ///< k_j
  units::Time relaxation_time{};          ///< tau_j
};

/// A spring beside such branches, k + sum of k_j i omega tau_j / (1 + i omega tau_j). With one
/// branch, Zener's standard solid.
struct GeneralisedMaxwell {
  units::TorsionalStiffness relaxed_stiffness{};  ///< k, of slow loading
  std::vector<MaxwellBranch> branches{};
};

/// One of the three, checked. Immutable.
class ElastomerLaw {
 public:
  using Form = std::variant<KelvinVoigt, LossFactor, GeneralisedMaxwell>;

  /// Throws DomainError unless stiffnesses are finite and above 0 (a relaxed stiffness 0 or more,
  /// above 0 without branches), dampings and loss factors finite and 0 or more, relaxation times
  /// finite and above 0.
  explicit ElastomerLaw(Form form);

  [[nodiscard]] const Form& form() const { return form_; }

 private:
  Form form_;
};

/// k' + i k''.
struct ComplexStiffness {
  units::TorsionalStiffness storage{};  ///< k'
  units::TorsionalStiffness loss{};     ///< k''

  /// eta = k''/k' = tan delta.
  [[nodiscard]] double loss_factor() const;

  /// psi = 2 pi eta, energy lost in a cycle over the greatest energy stored, 1/2 k' theta^2.
  [[nodiscard]] double relative_damping() const;

  /// |k*| = hypot(k', k''), amplitude of the torque over that of the twist.
  [[nodiscard]] units::TorsionalStiffness magnitude() const;
};

/// The complex stiffness at the angular frequency omega. Exact for each form. Throws DomainError
/// unless omega is finite and above 0.
[[nodiscard]] ComplexStiffness dynamic_stiffness(const ElastomerLaw& law,
                                                 units::AngularVelocity angular_frequency);

/// The stiffness against a torque that lasts: k of each form. Exact.
[[nodiscard]] units::TorsionalStiffness static_stiffness(const ElastomerLaw& law);

/// Energy that a swing of the amplitude theta loses in a cycle, pi k'' theta^2. Exact. Throws
/// DomainError unless the amplitude is finite and 0 or more.
[[nodiscard]] units::Energy energy_per_cycle(const ComplexStiffness& stiffness,
                                             units::Angle amplitude);

/// A law with every stiffness and damping times `factor`, loss factors and relaxation times as they
/// are: another modulus or another size of the same material. Exact. Throws DomainError unless the
/// factor is finite and above 0.
[[nodiscard]] ElastomerLaw scaled(const ElastomerLaw& law, double factor);

/// The dashpot that loses as much as a constant loss factor at one angular frequency,
/// c = k eta / omega. At any other its loss factor is eta omega'/omega. Exact there. Throws
/// DomainError unless omega is finite and above 0, and as ElastomerLaw does.
[[nodiscard]] KelvinVoigt equivalent_kelvin_voigt(const LossFactor& law,
                                                  units::AngularVelocity angular_frequency);

/// The chain of a record's Prony terms, for a part whose stiffness under slow loading is given:
/// branches of g_j times that. Times are those at the reference temperature of the WLF shift.
[[nodiscard]] GeneralisedMaxwell chain_of_prony_terms(
    units::TorsionalStiffness relaxed_stiffness, const std::vector<materials::PronyTerm>& terms);

}  // namespace lashband::elastomer
