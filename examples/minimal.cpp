// The library without any file: one mesh of steel gears in an aluminium case, cold and hot.
// All numbers are invented.
#include <cstdio>

#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/thermal/expanded_pair.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/parse.hpp"

int main() {
  using lashband::units::parse;
  using Length = lashband::units::Length;

  lashband::geometry::ToothData teeth;
  teeth.teeth = 41;
  teeth.module = parse<Length>("2.5 mm");
  teeth.pressure_angle = parse<lashband::units::Angle>("20 deg");
  teeth.helix_angle = parse<lashband::units::Angle>("15 deg");
  teeth.profile_shift = 0.1;
  teeth.face_width = parse<Length>("18 mm");
  teeth.thickness_allowance = parse<Length>("-60 um");
  const lashband::geometry::ToothedBody gear(teeth);

  for (const double kelvin : {-60.0, 0.0, 100.0}) {
    const double steel = 11.5e-6 * kelvin;
    const double aluminium = 21.0e-6 * kelvin;
    const lashband::thermal::CentreDistance a{parse<Length>("106.608 mm"), Length(), aluminium,
                                              Length()};
    const auto pair = lashband::thermal::expanded_pair(gear, steel, gear, steel, a);
    const auto gap = lashband::geometry::backlash(pair, lashband::geometry::cycle_gap(pair).least);
    std::printf("%+5.0f K: a = %s mm, j_wt = %s um\n", kelvin,
                lashband::units::format_fixed(pair.centre_distance(), "mm", 4).c_str(),
                lashband::units::format_fixed(gap.j_wt, "um", 1).c_str());
  }
}
