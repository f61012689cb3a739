#pragma once

#include <cstddef>
#include <vector>

#include "torsion/system.hpp"

/// Which inertias turn together while the elements named are not strained. An element x = arm_1
/// theta_1 + arm_2 theta_2 = 0 fixes one ratio, so that a spanning tree gives the turning of a
/// whole part from that of one inertia, and every other element either agrees with it or stops the
/// part.
namespace lashband::torsion::kernel {

/// Up to this difference, relative, the arms around a loop are taken to agree.
inline constexpr double loop_slack = 1e-9;

/// A double among long doubles, said so that a compiler does not warn of it.
[[nodiscard]] inline long double wide(double x) {
  return static_cast<long double>(x);
}

/// Whether x is 0 within the slack: the two terms of an elongation.
[[nodiscard]] bool cancels(long double term_1, long double term_2);

/// Parts of a system, in the order of their first inertias.
struct Parts {
  std::vector<std::size_t> of{};  ///< part by inertia
  std::vector<double> ratio{};    ///< turning by inertia, the greatest of a part 1 in magnitude
  std::vector<bool> held{};       ///< by part: cannot turn without straining an element
};

/// `holds`: by element.
[[nodiscard]] Parts parts(const System& system, const std::vector<bool>& holds);

/// Elements with a stiffness or a branch.
[[nodiscard]] std::vector<bool> holding(const System& system);

/// One vector a free part: the turning of its inertias, the greatest 1 in magnitude.
[[nodiscard]] std::vector<std::vector<double>> turnings(const Parts& parts);

/// The inertias named, in that order, with all others fixed to the case. Elements that touch none
/// of them are left out.
[[nodiscard]] System with_others_fixed(const System& system, const std::vector<std::size_t>& kept);

}  // namespace lashband::torsion::kernel
