#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "torsion/option_sweep.hpp"

// The vectorised part of the sweep, compiled for several instruction sets, of which the best that
// the processor has is taken at run time: eight speeds at a time, one a lane.
namespace lashband::torsion::kernel {

inline constexpr std::size_t sweep_lanes = OptionAnswers::lanes;

/// One number for each of eight speeds.
struct alignas(64) Row {
  std::array<double, sweep_lanes> lane{};
};
struct ComplexRow {
  Row re{}, im{};
};
using Lanes = std::array<double, sweep_lanes>;

/// One of the elements side by side between the same two inertias: x of its own is `scale` times
/// that of the first of them.
struct Strand {
  std::size_t element = 0;
  double scale = 1.0;
};

struct Ground {
  std::size_t element = 0;
  double arm = 1.0;
};

/// Where an inertia hangs: on the end of the varied element of that number, or on neither, so that
/// no option changes how it moves.
enum class Side : std::size_t { first, second, neither };

/// An inertia of the tree, with what joins it to the next one towards the root.
struct Joint {
  std::size_t inertia = 0;
  Side side = Side::neither;
  std::vector<Ground> grounds{};
  std::optional<std::size_t> parent{};  ///< empty: the root
  double arm = 1.0;                     ///< of the element above, at this inertia
  double arm_of_parent = -1.0;
  std::vector<Strand> strands{};
};

/// A watched element, by where its torque is to be had from.
struct Watch {
  enum class Kind { varied, beside_varied, joint, ground };
  Kind kind = Kind::varied;
  std::size_t element = 0;
  std::size_t joint = 0;  ///< that it is part of, or that of its inertia
  double scale = 1.0;     ///< of a strand; arm of a ground
  Side side = Side::neither;
};

/// The train as a forest, without the varied element. Every inertia comes before the one that it
/// hangs on.
struct SweepPlan {
  std::vector<Joint> joints{};
  std::array<std::optional<std::size_t>, 2> roots{};  ///< joints at the ends of the varied element
  std::array<double, 2> arms{1.0, 0.0};               ///< of the varied element, 0 for the case
  std::vector<Strand> beside_varied{};                ///< scale against the varied element
  std::vector<Watch> watched{};
  std::size_t varied = 0;
};

/// An angle as p + q times that of the root, times sqrt(J) omega/2.
struct Motion {
  ComplexRow constant{}, by_root{};
};

/// A torque as (constant + slope times k) / determinant.
struct Torque {
  ComplexRow constant{}, slope{};
};

/// The train at one order and eight speeds, reduced to the ends of the varied element:
/// theta_i = (constant_i + k slope_i) / (fixed + k by_stiffness).
struct Reduced {
  Row omega{};
  ComplexRow fixed{}, by_stiffness{};
  Row least{}, least_by_stiffness{};  ///< |determinant|^2 must be above their sum, the latter
                                      ///< times |k|^2
  std::array<ComplexRow, 2> constant{}, slope{};
  std::array<ComplexRow, 2> moved_constant{}, moved_slope{};  ///< of theta less its reference
  std::array<Row, 2> weight{};                                ///< J omega^2/4 of the roots
  Row energy{};                                               ///< of inertias that no option moves
  std::array<std::vector<Motion>, 2> motions{};               ///< by root, of inertias above 0
  std::vector<Torque> torques{};                              ///< by watched element
  std::uint32_t small_pivots = 0;  ///< lanes, a bit each, in which digits were lost
};

/// What elimination writes on the way: S (theta - reference) = torque at an inertia and all behind
/// it.
struct JointWork {
  ComplexRow stiffness{};               // S
  Row parts{};                          // sum of the magnitudes that make it
  Row stiffest{};                       // greatest |.|^2 of what makes it
  ComplexRow reference{};               // the angle at which that is at rest
  ComplexRow balanced{}, unbalanced{};  // torque; the first part came by levers alone
  ComplexRow rest{};                    // angle of the parent at which the joint is at rest
  ComplexRow reciprocal{};              // of the pivot
  ComplexRow offset{}, passed{};        // theta - reference = offset + passed (theta_p - rest)
  ComplexRow constant{}, by_root{};     // theta - reference = constant + by_root times the root's
};

/// Below this share of the magnitudes that make it, a pivot is too small.
inline constexpr double least_pivot = 1e-5;

/// Speeds of lanes without one of their own are copies.
void reduce(const System& system, const SweepPlan& plan, const ShakenOrder& shaken,
            const Lanes& speeds, std::vector<JointWork>& work, Reduced& reduced);

/// The answers of one option at eight speeds.
struct OptionRows {
  OptionRows(std::size_t orders, std::size_t watched)
      : torques(orders * watched * 2), energies(orders), small(orders) {}

  std::vector<Row> torques;          ///< [order][watched][real, imaginary]
  std::vector<Row> energies;         ///< [order]
  std::vector<std::uint32_t> small;  ///< [order]: lanes, a bit each, in which digits were lost
  std::uint32_t small_anywhere = 0;  ///< at any order
};

/// Options that are solved together, which leaves no unit of the processor waiting.
inline constexpr std::size_t options_at_once = 4;

/// As many options from `option` on as there are rows, `options_at_once` at most, at every order.
void solve(const SweepPlan& plan, const std::vector<Reduced>& orders,
           const std::vector<Law>& options, std::size_t option, std::vector<OptionRows>& rows);

}  // namespace lashband::torsion::kernel
