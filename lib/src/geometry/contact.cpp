#include "lashband/geometry/contact.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "line_of_action.hpp"
#include "tip_corner.hpp"

namespace lashband::geometry {
namespace {

using kernel::tangent_length;
using kernel::tip_curvature;
using units::from_si;
using units::Length;

Length interference_margin(const GearPair& pair, const ToothedBody& gear, const ToothedBody& mate) {
  const double active_start = tangent_length(pair) - tip_curvature(mate);
  return from_si<Length>(active_start - std::max(gear.root_form_curvature().value(), 0.0));
}

Length tip_clearance(const GearPair& pair, const ToothedBody& tip, const ToothedBody& root) {
  const units::Length radii = [&] {
    // In a ring gear its radii count against those of the gear in it.
    if (tip.internal()) {
      return 0.5 * (root.root_diameter() - tip.tip_diameter());
    }
    return 0.5 * (root.internal() ? tip.tip_diameter() - root.root_diameter()
                                  : tip.tip_diameter() + root.root_diameter());
  }();
  return pair.internal() ? -pair.centre_distance() - radii : pair.centre_distance() - radii;
}

}  // namespace

Length path_of_contact(const GearPair& pair) {
  return from_si<Length>(tip_curvature(pair.gear_1()) + tip_curvature(pair.gear_2()) -
                         tangent_length(pair));
}

ContactRatio contact_ratio(const GearPair& pair) {
  const ToothedBody& g1 = pair.gear_1();
  const ToothedBody& g2 = pair.gear_2();
  const double smaller_pitch = std::min(g1.base_pitch().value(), g2.base_pitch().value());
  // Both widths in their own modules, so that neither growth nor a crossing of widths moves the
  // ratio.
  const auto width_in_modules = [](const ToothedBody& gear) {
    return gear.face_width().value() / gear.module().value();
  };
  // From the base tangent point to the pitch point the flanks' curvature grows to r_b tan alpha_wt.
  const auto beyond_pitch_point = [&pair](const ToothedBody& gear) {
    return tip_curvature(gear) - kernel::base_radius(gear) * pair.working_pressure_tangent();
  };
  return {.eps_alpha = path_of_contact(pair).value() / smaller_pitch,
          .eps_beta = std::min(width_in_modules(g1), width_in_modules(g2)) *
                      std::sin(g1.helix_angle().value()) / std::numbers::pi,
          .eps_1 = beyond_pitch_point(g1) / smaller_pitch,
          .eps_2 = beyond_pitch_point(g2) / smaller_pitch};
}

Length tip_clearance_1(const GearPair& pair) {
  return tip_clearance(pair, pair.gear_1(), pair.gear_2());
}

Length tip_clearance_2(const GearPair& pair) {
  return tip_clearance(pair, pair.gear_2(), pair.gear_1());
}

Length interference_margin_1(const GearPair& pair) {
  return interference_margin(pair, pair.gear_1(), pair.gear_2());
}

std::optional<Length> interference_margin_2(const GearPair& pair) {
  if (pair.internal()) {
    return std::nullopt;
  }
  return interference_margin(pair, pair.gear_2(), pair.gear_1());
}

std::optional<Length> tip_fouling_margin(const GearPair& pair) {
  if (!pair.internal()) {
    return std::nullopt;
  }
  const double a = pair.centre_distance().value();
  const double r_a1 = kernel::tip_radius(pair.gear_1());
  const double r_a2 = std::abs(kernel::tip_radius(pair.gear_2()));
  // Where the tip circles cross, seen from the gear's axis, from the line of centres.
  const double cosine = (r_a2 * r_a2 - a * a - r_a1 * r_a1) / (2.0 * a * r_a1);
  if (!(std::abs(cosine) < 1.0)) {
    return std::nullopt;
  }
  const kernel::TipCorner corner{.a = kernel::centre_distance(pair),
                                 .alpha_wt = pair.working_pressure_angle().value(),
                                 .r_b = kernel::base_radius(pair.gear_1()),
                                 .r_a = r_a1,
                                 .end_curvature = tip_curvature(pair.gear_1()),
                                 .mate_r_b = kernel::base_radius(pair.gear_2()),
                                 .L = tangent_length(pair)};
  const double turned =
      std::acos(cosine) + corner.alpha_wt - std::atan(corner.end_curvature / corner.r_b);
  return from_si<Length>(kernel::corner_clearance(corner, turned * corner.r_b));
}

}  // namespace lashband::geometry
