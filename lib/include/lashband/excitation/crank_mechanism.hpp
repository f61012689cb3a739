#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "lashband/excitation/harmonics.hpp"
#include "lashband/units/quantities.hpp"

/// Slider-crank: crank, connecting rod and a piston that moves in a straight line.
///
/// Simplifications: rigid parts without clearance or friction; uniform speed; the rod is two
/// masses, one at the piston pin and one at the crank pin, which the caller shares out (the moment
/// of inertia that they miss is left out); weight is left out.
///
/// Signs and origin. theta is the angle of the crank, rising with rotation, from where the crank
/// pin points along the cylinder's axis towards the piston. Without offset that is top dead centre.
/// x is the distance of the piston pin from the crankshaft along that axis, greatest at top dead
/// centre. The offset e is the distance of the line of the piston pin from the crankshaft, positive
/// to the side on which the crank pin is for 0 < theta < 180 deg. A torque is positive where it
/// drives the crank on. Derived in docs/theory/excitation.md.
namespace lashband::excitation {

struct CrankDimensions {
  units::Length crank_radius{};  ///< r, half the stroke where there is no offset
  units::Length rod_length{};    ///< l, between the centres of its eyes
  units::Length offset{};        ///< e, of the piston pin or of the cylinder
};

/// A crank mechanism that can turn: l > r + |e|. Immutable.
class CrankMechanism {
 public:
  /// Throws DomainError unless r and l are finite and above 0, e is finite, and l > r + |e|.
  explicit CrankMechanism(const CrankDimensions& dimensions);

  [[nodiscard]] units::Length crank_radius() const { return dimensions_.crank_radius; }
  [[nodiscard]] units::Length rod_length() const { return dimensions_.rod_length; }
  [[nodiscard]] units::Length offset() const { return dimensions_.offset; }

  /// Distance of the piston pin, x = r cos theta + w, w = sqrt(l^2 - (r sin theta - e)^2).
  /// This and the two below: exact but for rounding, any finite theta; DomainError otherwise.
  [[nodiscard]] units::Length piston_distance(units::Angle theta) const;

  /// dx/dtheta in metres a radian, x' = -r sin theta - (r sin theta - e) r cos theta / w. The
  /// velocity of the piston is x' omega; a force F on the piston away from the crankshaft makes the
  /// torque F x' on the crank.
  [[nodiscard]] units::Length velocity_per_speed(units::Angle theta) const;

  /// d2x/dtheta2 in metres a radian squared; the acceleration of the piston at uniform speed is
  /// x'' omega^2.
  [[nodiscard]] units::Length acceleration_per_speed_squared(units::Angle theta) const;

  /// Where x is greatest: theta = asin(e / (l + r)). Exact but for rounding.
  [[nodiscard]] units::Angle top_dead_centre() const;
  /// Where x is least: theta = 180 deg + asin(e / (l - r)). Exact but for rounding.
  [[nodiscard]] units::Angle bottom_dead_centre() const;
  /// sqrt((l + r)^2 - e^2) - sqrt((l - r)^2 - e^2). Exact but for rounding.
  [[nodiscard]] units::Length stroke() const;

 private:
  CrankDimensions dimensions_;
};

/// Torque on the crank of a reciprocating mass m at uniform speed, T = -m omega^2 x' x'', over
/// m r^2 omega^2. Element k - 1 is the complex amplitude of order k, k = 1 ... harmonics:
///   T / (m r^2 omega^2) = sum of Re(t_k e^(i k theta));
/// without offset it is -i times the coefficient of sin(k theta). There is no mean.
///
/// By FFT of the closed form, of as many points (4096 or more) as leave only rounding: 1e-14 of the
/// greatest value of T for l above 1.1 (r + |e|). Throws DomainError unless 1 <= harmonics <=
/// most_harmonics, and ComputationError where the rod is longer than r + |e| by less than some
/// 5e-5 r, where harmonics do not end in time. Source: Biezeno and Grammel, for the series (from
/// memory); derived in docs/theory/excitation.md.
[[nodiscard]] std::vector<std::complex<double>> inertia_torque_harmonics(
    const CrankMechanism& mechanism, std::size_t harmonics);

/// The same as a torque, of one revolution, the mean exactly 0. It goes with the square of the
/// speed (SpeedScaling::squared). Throws as above, and DomainError unless m is finite and 0 or more
/// and the speed is finite; its sign does not matter.
[[nodiscard]] CyclicTorque inertia_torque(const CrankMechanism& mechanism,
                                          units::Mass reciprocating_mass,
                                          units::AngularVelocity speed, std::size_t harmonics);

/// The masses of one crank mechanism, shared out by the caller.
struct CrankMasses {
  units::Mass reciprocating{};  ///< m: piston, pin and the rod's share at the piston pin
  units::Mass rotating{};       ///< m_r: the rod's share at the crank pin, at the radius r
};

/// What the masses add to the inertia of the crankshaft as a mean over a revolution,
///   J = m mean(x'^2) + m_r r^2.
/// Without offset mean(x'^2) is r^2/2 (1 + (r/l)^2/4 + ...).
///
/// The inertia of the reciprocating mass goes up and down twice a revolution, between 0 and about
/// m r^2; that part is left out, but for the inertia torque that it makes at uniform speed. It can
/// feed vibration where m r^2 is a large share of the whole inertia. Error 1e-14, relative, for l
/// above 1.1 (r + |e|); ComputationError as for inertia_torque_harmonics. Throws DomainError unless
/// both masses are finite and 0 or more.
[[nodiscard]] units::Inertia mean_added_inertia(const CrankMechanism& mechanism,
                                                const CrankMasses& masses);

}  // namespace lashband::excitation
