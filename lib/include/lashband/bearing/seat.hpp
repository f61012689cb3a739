#pragma once

#include <optional>
#include <string_view>

#include "lashband/units/quantities.hpp"

/// The float of one rolling bearing on its shaft and in its housing, over temperature. All
/// clearances, interferences and floats are diametral.
///
/// Simplifications: every part (ring, balls, shaft, seat) has one temperature; round parts stay
/// round; a loose ring moves until it touches, so its play adds to that of the bearing; no load, so
/// nothing is taken up by deflection.
namespace lashband::bearing {

/// To be shown where the raceways were not given.
inline constexpr std::string_view raceway_estimate_note =
    "raceways estimated from bore and outside diameter; from memory, verify";

/// The diameters of a bearing that clearance depends on.
struct BearingDiameters {
  units::Length bore;           ///< d, of the inner ring
  units::Length outside;        ///< D, of the outer ring
  units::Length outer_raceway;  ///< D_o
  units::Length inner_raceway;  ///< d_i
  units::Length ball;           ///< D_w
  bool raceways_estimated = false;
};

/// The diameters of a ball bearing. Raceways that are not given are estimated,
///   D_o = 0.20 (d + 4 D)     d_i = 0.20 (4 d + D)     D_w = (D_o - d_i) / 2,
/// a rule of bearing makers' handbooks for deep groove ball bearings, from memory; it puts balls of
/// 0.3 (D - d) amid the section. Throws DomainError unless 0 < d < d_i < D_o < D, all finite.
[[nodiscard]] BearingDiameters ball_bearing_diameters(
    units::Length bore, units::Length outside, std::optional<units::Length> outer_raceway = {},
    std::optional<units::Length> inner_raceway = {});

/// Free thermal elongations of the parts of a seat, eps = L(T)/L(reference) - 1.
struct SeatElongations {
  double outer_ring = 0.0;
  double inner_ring = 0.0;
  double balls = 0.0;
  double housing = 0.0;  ///< of the solid that holds the outer ring
  double shaft = 0.0;
};

/// Clearance and fits of a seat, at the reference state or at a temperature.
struct SeatFits {
  units::Length clearance;           ///< G, before the fits take from it; negative: preload
  units::Length outer_interference;  ///< I_o, outer ring in its bore; negative: clearance
  units::Length inner_interference;  ///< I_i, inner ring on its shaft; negative: clearance
};

/// What the raceways take over from the fits, see thick_ring.hpp.
struct RacewayFactors {
  double outer = 0.0;  ///< f_o
  double inner = 0.0;  ///< f_i
};

/// One bearing in its place.
struct Seat {
  BearingDiameters bearing;
  SeatFits reference;      ///< at the reference temperature
  RacewayFactors factors;  ///< with the moduli at the state
};

/// A seat at one temperature state.
struct SeatState {
  SeatFits fits;                       ///< at the state
  units::Length operating_clearance;   ///< G less what the fits take; negative: radial preload
  units::Length radial_preload;        ///< 0 or more
  units::Length outer_ring_looseness;  ///< 0 or more
  units::Length inner_ring_looseness;  ///< 0 or more
  units::Length radial_float;          ///< of the shaft in the housing, diametral, 0 or more
};

/// What temperature adds to clearance and fits. Linear in the elongations:
///   dI_o = D (eps_outer - eps_housing)     dI_i = d (eps_shaft - eps_inner)
///   dG   = D_o eps_outer - d_i eps_inner - 2 D_w eps_balls
/// An inner ring and balls that are hotter than the outer ring by dT cost alpha dT D_o of
/// clearance. Exact in the elongations. Throws DomainError unless each elongation is above -1 and
/// finite.
[[nodiscard]] SeatFits thermal_shift(const BearingDiameters& bearing,
                                     const SeatElongations& elongations);

/// The float that clearance and fits at one state leave:
///   g     = G - f_o max(0, I_o) - f_i max(0, I_i)
///   float = max(0, g) + max(0, -I_o) + max(0, -I_i)
/// Exact. Throws DomainError unless everything is finite and the factors are 0 or more.
[[nodiscard]] SeatState state_with_fits(const SeatFits& at_state, const RacewayFactors& factors);

/// The state of a seat at a temperature: `state_with_fits` of the reference fits + `thermal_shift`.
/// Throws as both.
[[nodiscard]] SeatState seat_state(const Seat& seat, const SeatElongations& elongations);

}  // namespace lashband::bearing
