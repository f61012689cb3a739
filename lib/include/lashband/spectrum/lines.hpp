#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/train/exact_ratio.hpp"
#include "lashband/units/quantities.hpp"

/// The frequencies that a turning train makes, as orders: multiples of the speed of one shaft.
///
/// Simplifications: speeds are those of the tooth numbers; rolling bearings do not slip, their
/// outer rings stand still (or turn with the planet arm). With a planet arm the lines of meshes,
/// their sidebands and those of bearings are as they arise in the arm; what a sensor on the
/// standing case hears of them besides, since planets pass it and turn past it, is left out.
namespace lashband::spectrum {

using train::ExactRatio;

/// A rolling bearing's inside.
struct RollingElements {
  int count = 0;                   ///< Z >= 3
  units::Length element{};         ///< D_w, their diameter
  units::Length pitch_diameter{};  ///< D_pw > D_w
  units::Angle contact_angle{};    ///< alpha, 0 to below 90 deg
};

struct BearingOnShaft {
  std::string id{};
  std::size_t shaft = 0;
  RollingElements inside{};
};

struct TurningShaft {
  std::string id{};
  /// Speed over the reference's, signed; empty where nothing ties it to the reference.
  std::optional<ExactRatio> order{};
  /// The same against what its bores sit in (a planet arm; otherwise as `order`).
  /// Meshes and bearings go by this one alone, so it is given without an arm too.
  std::optional<ExactRatio> order_against_bores{};
};

struct MeshOnShafts {
  std::string id{};
  std::size_t shaft_1 = 0;
  std::size_t shaft_2 = 0;
  int teeth_1 = 0;  ///< z_1
  int teeth_2 = 0;  ///< |z_2|
};

/// What acts on a shaft so and so many times a revolution: cylinders, vanes, a crank's inertia.
struct Excitation {
  std::string id{};
  std::size_t shaft = 0;
  std::vector<double> orders{};  ///< > 0
};

/// Everything that turns, with its speeds referred to one shaft.
struct Machine {
  std::vector<TurningShaft> shafts{};
  std::vector<MeshOnShafts> meshes{};
  std::vector<BearingOnShaft> bearings{};
  std::vector<Excitation> excitations{};
};

enum class LineKind {
  shaft,            ///< n
  mesh,             ///< f_z = z n, and its harmonics
  sideband,         ///< k f_z +- m n of one of the two shafts
  hunting_tooth,    ///< f_z N / (z_1 z_2), N = gcd(z_1, z_2): the same two teeth meet again
  assembly_phase,   ///< f_z / N
  cage,             ///< of the rolling elements round the shaft, seen from the outer ring
  rolling_element,  ///< of an element about its axis, times two: it meets both rings
  inner_race,       ///< elements passing a point of the inner ring
  outer_race,       ///< elements passing a point of the outer ring
  excitation,
};

/// One line of the spectrum.
struct Line {
  LineKind kind = LineKind::shaft;
  std::string source{};  ///< id of the shaft, mesh, bearing or excitation
  int harmonic = 1;      ///< multiple of the line's own frequency
  int sideband = 0;      ///< signed, 0 but for sidebands
  std::string around{};  ///< of a sideband: the shaft whose speed it is apart by
  double order = 0.0;    ///< frequency over speed of the reference, > 0
};

struct LineOptions {
  int harmonics = 3;          ///< of meshes, 1 to 1000
  int sidebands = 1;          ///< on each side of each harmonic, by each of the shafts, 0 to 1000
  int shaft_harmonics = 1;    ///< 1 to 1000
  int bearing_harmonics = 1;  ///< 1 to 1000
};

/// Every line of a machine, those of shafts first, then by mesh, bearing, excitation.
///
///   shaft        n and its multiples, n the speed in space
///   mesh         k f_z, f_z = z |n| with n the speed against the bores, of shaft 1, or of shaft 2
///                where shaft 1 has none
///   sideband     k f_z - m n and k f_z + m n of shaft 1, then of shaft 2, n as for the mesh: a
///   gear
///                that runs out changes its mesh once in a turn against the bores that hold the
///                mesh
///   hunting tooth f_z N / (z_1 z_2), assembly phase f_z / N: one of each for every mesh, also
///   where
///                one is the line of a shaft (z_1 divides z_2) or of the mesh (N = 1)
///   excitation   its orders times the speed of its shaft in space
///
/// Rolling bearings by their kinematics with n the speed of the inner ring against the outer,
///   cage n/2 (1 - g), outer Z n/2 (1 - g), inner Z n/2 (1 + g), element n D_pw/(2 D_w) (1 - g^2)
///   times two, g = D_w cos alpha / D_pw.
///
/// What turns with nothing (order empty or 0) has no lines; a sideband at or below 0 is left out.
/// Orders are exact fractions rounded once, so that lines of one order have equal numbers; those of
/// bearings are exact to the rounding of a few products. Linear in the number of lines.
///
/// Source: derived in docs/theory/frequencies.md. Throws DomainError for an option, tooth number,
/// bearing or excitation outside its range, a shaft that there is not, two shafts of a mesh whose
/// speeds contradict its teeth, and a speed below 1e-150 or above 1e150 of the reference's.
[[nodiscard]] std::vector<Line> lines(const Machine& machine, const LineOptions& options);

/// How the teeth of a mesh meet.
struct ToothMeeting {
  int common_factor = 1;  ///< N = gcd(z_1, z_2)
  bool hunting = false;   ///< N = 1: every tooth meets every tooth of the other gear
  int partners_of_1 = 0;  ///< how many teeth of gear 2 one tooth of gear 1 meets, z_2 / N
  int partners_of_2 = 0;
  long long revolutions_1 = 0;  ///< of gear 1 until the same two teeth meet again, z_2 / N
  long long revolutions_2 = 0;
};
/// Exact. Throws DomainError for a tooth count below 1.
[[nodiscard]] ToothMeeting tooth_meeting(int teeth_1, int teeth_2);

/// Phase between two meshes of one gear.
struct CommonGear {
  int teeth = 0;                        ///< z
  units::Angle from_first_to_second{};  ///< dphi, at the gear, in its sense of rotation
  /// Whether the gear is driven by the first and drives the second (an idler); otherwise it drives
  /// both or is driven by both.
  bool idler = false;
  /// Thickness of its teeth over the pitch at the working pitch circle, s_w z / (2 pi r_w), above 0
  /// and below 1: 1/2 where nothing else is known. Counts for an idler only. Where the two meshes
  /// work on pitch circles of two sizes it is the mean of the shares at both.
  double thickness_share = 0.5;
};
/// Fraction of a mesh period by which the second mesh is behind the first, 0 <= phase < 1:
///   frac(z dphi / 2 pi), of an idler frac(z dphi / 2 pi - s_w z / (2 pi r_w)).
/// Accuracy z dphi / 2 pi times 1e-15; what is nearer than that to a whole period is 0. Both meshes
/// of a gear that drives both work on one pitch circle here; on two, the phase is less by half of
/// the share at the second less the share at the first. The backlash on either side of an idler
/// plays no part while it carries load.
/// Source: Parker and Lin, J. Mech. Des. 126 (2004) 365; derived in docs/theory/frequencies.md.
/// Throws DomainError for a tooth number below 1, an angle that is not finite, or a share outside
/// its range.
[[nodiscard]] double mesh_phase(const CommonGear& gear);

}  // namespace lashband::spectrum
