#pragma once

#include "lashband/units/quantities.hpp"

/// The radial float of a shaft on two angular contact or tapered roller bearings that are set
/// against each other.
///
/// Simplifications: while any preload is left there is no float; the contact angle stays as drawn;
/// radial growth of seats and rings, which also changes the setting, is left out.
namespace lashband::bearing {

/// Which way round the two bearings are set.
enum class Arrangement {
  face_to_face,  ///< set over the outer rings, by covers: a case that grows loosens
  back_to_back,  ///< set over the inner rings, by a shaft nut: a case that grows tightens
};

/// Two bearings preloaded axially against each other.
struct PreloadedPair {
  Arrangement arrangement{};
  /// By how much the rings must move apart until the preload is gone, from the reference state:
  /// 0 or more.
  units::Length preload_travel;
  units::Length span;          ///< L_x, between the places where the rings are held, above 0
  units::Angle contact_angle;  ///< from the plane across the shaft, above 0 and below 90 deg
};

/// How far the pair is from its float, in axial travel:
///   left = travel - s L_x (eps_case - eps_shaft)     s = 1 face to face, -1 back to back
/// Positive: preload left; negative: axial play of that size. Exact in the elongations. Throws
/// DomainError for a pair or an elongation outside its domain (elongations above -1, finite).
/// Common practice, no source.
[[nodiscard]] units::Length preload_travel_left(const PreloadedPair& pair, double eps_case,
                                                double eps_shaft);

/// The diametral float at each bearing: 0 while preload travel is left, then
///   axial play * tan(contact angle),
/// with the shaft amid its play. A shaft pushed to one end of it has no float at the one bearing
/// and twice this at the other. Of a contact at the angle alpha an axial gap g_x leaves g_x sin
/// alpha along its normal, which a radial way g_x tan alpha takes up. Throws as
/// `preload_travel_left`. Common practice, no source.
[[nodiscard]] units::Length preloaded_radial_float(const PreloadedPair& pair, double eps_case,
                                                   double eps_shaft);

}  // namespace lashband::bearing
