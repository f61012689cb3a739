#pragma once

#include <complex>
#include <cstddef>
#include <functional>
#include <vector>

#include "torsion/response.hpp"
#include "torsion/system.hpp"

// The forced answer of a train at many speeds and orders, once for each of many laws of one
// element: what the choice of a damper or a coupling asks for. The train without that element is
// eliminated once for each speed and order, from the leaves of its tree to the two ends of the
// element, in O(n); each law then costs two complex equations and one pass over the angles. Derived
// in docs/theory/torsion-sweep.md.
//
// Simplifications: linear, steady, one element varied at a time.
namespace lashband::torsion::kernel {

/// What shakes the train at one multiple of its speed: the excitation given, times
/// (speed / reference_speed)^speed_exponent.
struct ShakenOrder {
  double order = 1.0;  ///< omega / speed, > 0
  Excitation excitation{};
  int speed_exponent = 0;        ///< 0, 1 or 2
  double reference_speed = 1.0;  ///< rad/s, > 0
};

struct OptionSweep {
  System system{};
  std::size_t varied = 0;        ///< the element; its law in `system` is not read
  std::vector<double> speeds{};  ///< of the reference, rad/s, each > 0, in any order
  std::vector<ShakenOrder> shaken{};
  std::vector<Law> options{};          ///< laws of the varied element
  std::vector<std::size_t> watched{};  ///< elements whose torque is wanted
};

/// The answers of one option at up to eight neighbouring speeds, at all orders. Speed i here is
/// speed `first_speed` + i of the sweep. Valid while the call lasts that hands it over.
struct OptionAnswers {
  static constexpr std::size_t lanes = 8;

  std::size_t option = 0;
  std::size_t first_speed = 0;
  std::size_t speeds = 0;   ///< 1 to 8
  std::size_t orders = 0;   ///< number of them
  std::size_t watched = 0;  ///< number of them

  /// [order][watched][real, imaginary][8 lanes], only the first `speeds` of each 8 of meaning.
  const double* torques = nullptr;
  /// [order][8 lanes]
  const double* energies = nullptr;

  /// Complex amplitude M of the torque (for a mesh: the force) of a watched element.
  [[nodiscard]] std::complex<double> torque(std::size_t order, std::size_t element,
                                            std::size_t speed) const {
    const double* real = torques + (order * watched + element) * 2 * lanes;
    return {real[speed], real[lanes + speed]};
  }
  /// Sum of 1/4 J omega^2 |theta|^2 over all inertias: the mean over a cycle, J.
  [[nodiscard]] double kinetic_energy(std::size_t order, std::size_t speed) const {
    return energies[order * lanes + speed];
  }
};

struct SweepCount {
  std::size_t solves = 0;  ///< options times orders times speeds
  std::size_t direct = 0;  ///< of these by response(), as elimination would have lost digits
};

/// Hands over the answers of all options for the first speeds, then for the next ones, and so on:
/// what is kept at one time does not grow with the options or the speeds.
///
/// Accuracy 1e-10, relative, of the root of the energy and of the torques in their norm over the
/// elements, as of response(); with displacements on elements far stiffer than the inertias hold
/// against them the torques here keep more digits than those of response(). An answer is the same,
/// bit for bit, whatever other speeds, orders and options (but with closed loops: speeds and
/// orders) are asked for beside it. The last digits differ between instruction sets: a fused
/// multiply-add is used where there is one.
///
/// A pivot below 1e-5 of the sum of the magnitudes that make it (an undamped part in resonance
/// against the rest held fast) sends its speed and order to response(), for all options; an option
/// that brings the whole train so close to resonance goes there alone. Systems with closed loops
/// take a path through dense matrices, a hundred times slower and more; elements side by side with
/// arms of one ratio are no loop.
///
/// Throws DomainError for a value outside its range, ComputationError ("resonance without damping",
/// with speed, order and option) as response() does. What `receive` throws passes through.
SweepCount sweep(const OptionSweep& sweep,
                 const std::function<void(const OptionAnswers&)>& receive);

/// Name of the instruction set that sweep() uses on this processor.
[[nodiscard]] const char* sweep_instruction_set();

}  // namespace lashband::torsion::kernel
