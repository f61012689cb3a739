#pragma once

#include <complex>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/torsion.hpp"
#include "lashband/train/exact_ratio.hpp"
#include "layout.hpp"
#include "torsion/response.hpp"

namespace lashband::design {

/// One harmonic of one source.
struct TorsionLine {
  ExcitationLine shown{};
  train::ExactRatio order{};             ///< of the reference
  std::optional<std::size_t> inertia{};  ///< that a torque acts on; else
  std::size_t element = 0;               ///< the mesh whose teeth err
  std::complex<double> amplitude{};      ///< N m or m, at `scales_from` where it scales
  SpeedScaling scaling = SpeedScaling::constant;
  double scales_from = 0.0;  ///< speed of the reference at which the amplitude holds, rad/s
};

/// Everything that shakes at one frequency.
struct ShakenOrder {
  double order = 0.0;   ///< of the reference
  long long whole = 0;  ///< in a full cycle
  std::vector<std::size_t> lines{};
};

struct TorsionLines {
  std::vector<TorsionLine> lines{};
  std::vector<ShakenOrder> orders{};  ///< rising
  /// Revolutions of the reference in a full cycle; empty where nothing shakes.
  std::optional<double> revolutions{};
  /// Orders and cycle do not fit into `most_whole_order`: no course can be made.
  bool cycle_too_long = false;
};

/// The highest order of a full cycle: a course then has some ten million points.
inline constexpr long long most_whole_order = 1'000'000;

[[nodiscard]] TorsionLines torsion_lines(const Design& design, const TorsionLayout& layout);

/// The excitation of one order, with the reference turning at `speed`, rad/s.
[[nodiscard]] torsion::kernel::Excitation excitation_at(const TorsionLines& lines,
                                                        const ShakenOrder& order,
                                                        const TorsionLayout& layout, double speed);

/// What a torque that is given at the scaling speed of the settings is multiplied by at another
/// speed of the reference, rad/s.
[[nodiscard]] double scaling_at(const TorsionSettings& settings, SpeedScaling scaling,
                                double speed);

/// Mean of the gas torque of a crank, N m; 0 without a trace.
[[nodiscard]] double mean_gas_torque(const TorsionSettings& settings, const ShaftTorque& torque);

}  // namespace lashband::design
