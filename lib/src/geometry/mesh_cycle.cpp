// Symbols of docs/theory/backlash.md and their names here:
//   xi       distance along the line of action from the base tangent point T1 of gear 1
//   L        distance between the base tangent points, a sin alpha_wt
//   xi_A, E  start and end of contact, where the tips of gear 2 and of gear 1 meet the line
//   p_1      base pitch of gear 1            Delta   p_b2 - p_b1
//   K        s_b1 + 2 r_b1 alpha_wt: xi_i + xi'_k = (i - k) p_1 + K for drive contact of tooth i at
//            xi_i and coast contact of tooth k at xi'_k, both of gear 1
//   w        b tan beta_b, by which the phase differs from one face to the other
//   g(u)     clearance left at a flank that has passed its end of contact by u
#include "lashband/geometry/mesh_cycle.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "involute_kernel.hpp"
#include "line_of_action.hpp"
#include "tip_corner.hpp"

namespace lashband::geometry {
namespace {

using units::from_si;
using units::Length;

// What the zone of action needs of a pair, in SI doubles.
struct Zone {
  double a, alpha_wt;
  double r_b1, r_b2, r_a1, r_a2;
  double L, xi_A, xi_E;
};

Zone zone_of(const GearPair& pair) {
  Zone zone{};
  zone.a = kernel::centre_distance(pair);
  zone.alpha_wt = pair.working_pressure_angle().value();
  zone.r_b1 = kernel::base_radius(pair.gear_1());
  zone.r_b2 = kernel::base_radius(pair.gear_2());
  zone.r_a1 = kernel::tip_radius(pair.gear_1());
  zone.r_a2 = kernel::tip_radius(pair.gear_2());
  zone.L = kernel::tangent_length(pair);
  // A tip beyond the base tangent point has no involute to meet there: contact ends at the point.
  // A ring gear has its base tangent point on the other side and no such end.
  zone.xi_A = std::max(zone.L - kernel::tip_curvature(pair.gear_2()), 0.0);
  zone.xi_E = kernel::tip_curvature(pair.gear_1());
  if (!pair.internal()) {
    zone.xi_E = std::min(zone.xi_E, zone.L);
  }
  return zone;
}

// The clearance that tip corners leave outside one end of the zone of action, as a function of how
// far gear 1 has passed that end. Capped: more than `cap` never matters.
class EndOfContact {
 public:
  // The end E, made by the tips of gear 1, or the end A, made by the tips of gear 2.
  enum class Side { A, E };

  EndOfContact(const Zone& zone, Side side, double cap)
      : tips_{zone.a,
              zone.alpha_wt,
              side == Side::E ? zone.r_b1 : zone.r_b2,
              side == Side::E ? zone.r_a1 : zone.r_a2,
              side == Side::E ? zone.xi_E : zone.L - zone.xi_A,
              side == Side::E ? zone.r_b2 : zone.r_b1,
              zone.L},
        side_(side),
        cap_(cap) {}

  // g(u), at most the cap; u is how far gear 1 (held still) is beyond the end.
  [[nodiscard]] double clearance(double u) const {
    if (u <= 0.0) {
      return 0.0;
    }
    if (side_ == Side::E) {
      return std::min(by_tip(u), cap_);
    }
    // At A the corner belongs to gear 2: with v how far gear 2 has passed, u = v - G(v), and the
    // clearance is G(v). The root lies below v = u + cap, or the clearance is capped.
    double low = u;
    double high = u + cap_;
    if (by_tip(high) >= cap_) {
      for (int i = 0; i < 200 && high - low > 1e-18; ++i) {
        const double mid = 0.5 * (low + high);
        if (mid <= low || mid >= high) {
          break;
        }
        (mid - by_tip(mid) < u ? low : high) = mid;
      }
      const double v = 0.5 * (low + high);
      return std::min(v - u, cap_);
    }
    for (int i = 0; i < 100; ++i) {
      const double next = u + by_tip(low);
      if (std::abs(next - low) <= 1e-18) {
        break;
      }
      low = next;
    }
    return std::min(low - u, cap_);
  }

  // The passage at which the clearance reaches the cap.
  [[nodiscard]] double reach() const {
    double low = 0.0;
    double high = cap_;
    while (by_tip(high) < cap_) {
      low = high;
      high *= 2.0;
    }
    for (int i = 0; i < 200; ++i) {
      const double mid = 0.5 * (low + high);
      if (mid <= low || mid >= high) {
        break;
      }
      (by_tip(mid) < cap_ ? low : high) = mid;
    }
    return side_ == Side::E ? high : high - cap_;
  }

 private:
  // G: clearance against how far the gear with the corner has passed.
  [[nodiscard]] double by_tip(double passed) const {
    return kernel::corner_clearance(tips_, passed);
  }

  kernel::TipCorner tips_;
  Side side_;
  double cap_;
};

}  // namespace

Length same_tooth_gap(const GearPair& pair) {
  const ToothedBody& g1 = pair.gear_1();
  const ToothedBody& g2 = pair.gear_2();
  const double r_b_sum = kernel::base_radius(g1) + kernel::base_radius(g2);
  return from_si<Length>(g2.base_pitch().value() - g1.base_tooth_thickness().value() -
                         g2.base_tooth_thickness().value() +
                         2.0 * r_b_sum *
                             kernel::involute_of_tangent(pair.working_pressure_tangent()));
}

CycleGap cycle_gap(const GearPair& pair) {
  const double gap = same_tooth_gap(pair).value();
  const double mismatch = pair.base_pitch_mismatch().value();
  // Equal pitches differ by rounding at most, a few units in the last place; the gap does not vary.
  constexpr double rounding = 1e-14;
  if (std::abs(mismatch) <= rounding * pair.gear_1().base_pitch().value()) {
    return {from_si<Length>(gap), from_si<Length>(gap), true};
  }

  // With the larger pitch on gear 2 the drive contact that counts is the pair that entered last, at
  // A; with the larger pitch on gear 1 it is the pair that leaves next, at E. The coast flanks see
  // the mirror image. Only that end of the zone matters.
  const Zone zone = zone_of(pair);
  const double p_1 = pair.gear_1().base_pitch().value();
  const double step = std::abs(mismatch);
  // Across the face of a helical gear the phase differs by w. The drive-side clearance falls
  // (rises) with the phase and the coast-side clearance rises (falls), so one is least at one face
  // and the other at the other face: a spur pair whose two sides are shifted by w.
  const double w =
      std::min(pair.gear_1().face_width().value(), pair.gear_2().face_width().value()) *
      std::tan(pair.gear_1().base_helix_angle().value());
  const double K = pair.gear_1().base_tooth_thickness().value() + 2.0 * zone.r_b1 * zone.alpha_wt;
  const auto side = mismatch > 0.0 ? EndOfContact::Side::A : EndOfContact::Side::E;
  const EndOfContact end(zone, side, step);
  // How far (i - k) goes, as a real number, while both pairs are in the zone.
  const double extreme = ((mismatch > 0.0 ? 2.0 * zone.xi_A - K : K - 2.0 * zone.xi_E) - w) / p_1;

  if (zone.xi_E - zone.xi_A < p_1) {
    // Not always a pair in the zone: at some moments only corners touch. Bounds over what may.
    const double least = gap + std::ceil(extreme - 2.0 * end.reach() / p_1) * step;
    const double greatest = gap + (std::ceil(extreme) + 1.0) * step;
    return {from_si<Length>(least), from_si<Length>(greatest), false};
  }
  // With one pair in the zone at every moment the gap takes two levels, `low` and `low + step`.
  const double low = gap + std::ceil(extreme) * step;
  // X: gear 1's way from one pair leaving the zone to the other pair's entry being complete.
  const double X = (1.0 - (std::ceil(extreme) - extreme)) * p_1;
  const auto both = [&](double x) { return low - step + end.clearance(x) + end.clearance(X - x); };
  const double halfway = both(0.5 * X);
  if (halfway >= low + step) {
    return {from_si<Length>(low), from_si<Length>(low + step), true};
  }
  // The two transitions overlap. g is convex up to the cap, so the extremes of the sum lie at the
  // ends, halfway, or where one clearance reaches the cap.
  double least = std::min({low, both(0.0), halfway});
  double greatest = std::max({low, both(0.0), halfway});
  const double reach = end.reach();
  if (reach < X) {
    least = std::min(least, both(reach));
    greatest = std::max(greatest, both(reach));
  }
  return {from_si<Length>(least), from_si<Length>(greatest), true};
}

}  // namespace lashband::geometry
