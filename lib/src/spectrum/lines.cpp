#include "lashband/spectrum/lines.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <numeric>
#include <utility>

#include "exact_order.hpp"
#include "requirement.hpp"

namespace lashband::spectrum {
namespace {

using kernel::ExactOrder;
using kernel::named;
using kernel::require;

// Products with tooth numbers, harmonics and excitations stay in the range of doubles.
constexpr double least_order = 1e-150;
constexpr double greatest_order = 1e150;
constexpr int most_multiples = 1000;

/// Empty where nothing turns.
std::optional<ExactOrder> turning(const std::optional<ExactRatio>& order) {
  if (!order || *order == 0) {
    return std::nullopt;
  }
  return ExactOrder(*order);
}

/// The nearest double, in range.
double rounded(const ExactOrder& order, const std::string& what) {
  const double value = order.rounded();
  require(value >= least_order && value <= greatest_order, what,
          "a line's order must be from 1e-150 to 1e150 times the reference's speed", value, "");
  return value;
}

const TurningShaft& shaft_at(const Machine& machine, std::size_t shaft, const std::string& what) {
  require(shaft < machine.shafts.size(), what, "the index of its shaft must be one of those given",
          static_cast<double>(shaft), "");
  return machine.shafts[shaft];
}

void check_multiples(const char* what, int multiples, int least) {
  require(
      multiples >= least && multiples <= most_multiples, what,
      least == 0 ? "their number must be from 0 to 1000" : "their number must be from 1 to 1000",
      multiples, "");
}

void append_shaft(const TurningShaft& shaft, const LineOptions& options, std::vector<Line>& lines) {
  const std::optional<ExactOrder> n = turning(shaft.order);
  if (!n) {
    return;
  }
  for (int k = 1; k <= options.shaft_harmonics; ++k) {
    lines.push_back({.kind = LineKind::shaft,
                     .source = shaft.id,
                     .harmonic = k,
                     .order = rounded(n->times(k, 1), named("shaft", shaft.id))});
  }
}

/// z |n| against the bores of whichever shaft has a speed; empty where neither turns.
std::optional<ExactOrder> mesh_order(const MeshOnShafts& mesh, const TurningShaft& shaft_1,
                                     const TurningShaft& shaft_2, const std::string& what) {
  const std::optional<ExactOrder> n_1 = turning(shaft_1.order_against_bores);
  const std::optional<ExactOrder> n_2 = turning(shaft_2.order_against_bores);
  const bool both_given = shaft_1.order_against_bores && shaft_2.order_against_bores;
  const bool agree =
      !both_given || (n_1.has_value() == n_2.has_value() &&
                      (!n_1 || n_1->times(mesh.teeth_1, 1).equals(n_2->times(mesh.teeth_2, 1))));
  if (!agree) {
    throw DomainError(what + ": the speeds of shafts '" + shaft_1.id + "' and '" + shaft_2.id +
                      "' against their bores must be as its teeth, " +
                      std::to_string(mesh.teeth_1) + " and " + std::to_string(mesh.teeth_2) +
                      ", make them");
  }
  if (n_1) {
    return n_1->times(mesh.teeth_1, 1);
  }
  if (n_2) {
    return n_2->times(mesh.teeth_2, 1);
  }
  return std::nullopt;
}

void append_mesh(const Machine& machine, const MeshOnShafts& mesh, const LineOptions& options,
                 std::vector<Line>& lines) {
  const std::string what = named("mesh", mesh.id);
  const TurningShaft& shaft_1 = shaft_at(machine, mesh.shaft_1, what);
  const TurningShaft& shaft_2 = shaft_at(machine, mesh.shaft_2, what);
  require(mesh.teeth_1 >= 1, what, "its tooth numbers must be 1 or more", mesh.teeth_1, "");
  require(mesh.teeth_2 >= 1, what, "its tooth numbers must be 1 or more", mesh.teeth_2, "");
  const std::optional<ExactOrder> f_z = mesh_order(mesh, shaft_1, shaft_2, what);
  if (!f_z) {
    return;
  }
  const long long z_1 = mesh.teeth_1;
  const long long z_2 = mesh.teeth_2;
  for (int k = 1; k <= options.harmonics; ++k) {
    lines.push_back({.kind = LineKind::mesh,
                     .source = mesh.id,
                     .harmonic = k,
                     .order = rounded(f_z->times(k, 1), what)});
    for (const auto& [shaft, z] : {std::pair(&shaft_1, z_1), std::pair(&shaft_2, z_2)}) {
      for (int m = 1; m <= options.sidebands; ++m) {
        for (const int side : {-m, m}) {
          const long long teeth = k * z + side;  // k f_z + side n = (k z + side) n, n = f_z / z
          if (teeth <= 0) {
            continue;
          }
          lines.push_back({.kind = LineKind::sideband,
                           .source = mesh.id,
                           .harmonic = k,
                           .sideband = side,
                           .around = shaft->id,
                           .order = rounded(f_z->times(teeth, z), what)});
        }
      }
    }
  }
  const long long N = std::gcd(z_1, z_2);
  lines.push_back({.kind = LineKind::hunting_tooth,
                   .source = mesh.id,
                   .order = rounded(f_z->times(N, z_1 * z_2), what)});
  lines.push_back({.kind = LineKind::assembly_phase,
                   .source = mesh.id,
                   .order = rounded(f_z->times(1, N), what)});
}

void check_inside(const RollingElements& inside, const std::string& what) {
  const double D_w = inside.element.value();
  const double D_pw = inside.pitch_diameter.value();
  const double alpha = inside.contact_angle.value();
  require(inside.count >= 3, what, "its rolling elements must be 3 or more", inside.count, "");
  require(D_w > 0.0 && std::isfinite(D_w), what, "the diameter of its elements must be above 0 mm",
          1e3 * D_w, " mm");
  require(D_pw > D_w && std::isfinite(D_pw), what,
          "its pitch diameter must be above that of an element", 1e3 * D_pw, " mm");
  require(alpha >= 0.0 && alpha < 0.5 * std::numbers::pi, what,
          "its contact angle must be from 0 to below 90 deg", alpha * 180.0 / std::numbers::pi,
          " deg");
}

void append_bearing(const Machine& machine, const BearingOnShaft& bearing,
                    const LineOptions& options, std::vector<Line>& lines) {
  const std::string what = named("bearing", bearing.id);
  const TurningShaft& shaft = shaft_at(machine, bearing.shaft, what);
  check_inside(bearing.inside, what);
  const std::optional<ExactOrder> turns = turning(shaft.order_against_bores);
  if (!turns) {
    return;
  }
  const double n = rounded(*turns, what);
  const double D_w = bearing.inside.element.value();
  const double D_pw = bearing.inside.pitch_diameter.value();
  const double g = D_w * std::cos(bearing.inside.contact_angle.value()) / D_pw;
  const int Z = bearing.inside.count;
  const double cage = 0.5 * n * (1.0 - g);
  const std::array<std::pair<LineKind, double>, 4> kinds{{
      {LineKind::cage, cage},
      {LineKind::rolling_element, n * (D_pw / D_w) * (1.0 - g) * (1.0 + g)},
      {LineKind::inner_race, Z * 0.5 * n * (1.0 + g)},
      {LineKind::outer_race, Z * cage},
  }};
  for (const auto& [kind, order] : kinds) {
    for (int k = 1; k <= options.bearing_harmonics; ++k) {
      lines.push_back({.kind = kind, .source = bearing.id, .harmonic = k, .order = k * order});
    }
  }
}

void append_excitation(const Machine& machine, const Excitation& excitation,
                       std::vector<Line>& lines) {
  const std::string what = named("excitation", excitation.id);
  const std::optional<ExactOrder> n = turning(shaft_at(machine, excitation.shaft, what).order);
  for (const double order : excitation.orders) {
    require(order >= least_order && order <= greatest_order, what,
            "its orders must be above 0, from 1e-150 to 1e150", order, "");
    if (n) {
      lines.push_back({.kind = LineKind::excitation,
                       .source = excitation.id,
                       .order = rounded(n->times(order), what)});
    }
  }
}

}  // namespace

std::vector<Line> lines(const Machine& machine, const LineOptions& options) {
  check_multiples("harmonics of meshes", options.harmonics, 1);
  check_multiples("sidebands", options.sidebands, 0);
  check_multiples("harmonics of shafts", options.shaft_harmonics, 1);
  check_multiples("harmonics of bearings", options.bearing_harmonics, 1);
  std::vector<Line> lines;
  for (const TurningShaft& shaft : machine.shafts) {
    append_shaft(shaft, options, lines);
  }
  for (const MeshOnShafts& mesh : machine.meshes) {
    append_mesh(machine, mesh, options, lines);
  }
  for (const BearingOnShaft& bearing : machine.bearings) {
    append_bearing(machine, bearing, options, lines);
  }
  for (const Excitation& excitation : machine.excitations) {
    append_excitation(machine, excitation, lines);
  }
  return lines;
}

ToothMeeting tooth_meeting(int teeth_1, int teeth_2) {
  require(teeth_1 >= 1, "teeth that meet", "a tooth number must be 1 or more", teeth_1, "");
  require(teeth_2 >= 1, "teeth that meet", "a tooth number must be 1 or more", teeth_2, "");
  const int N = std::gcd(teeth_1, teeth_2);
  return {.common_factor = N,
          .hunting = N == 1,
          .partners_of_1 = teeth_2 / N,
          .partners_of_2 = teeth_1 / N,
          .revolutions_1 = teeth_2 / N,
          .revolutions_2 = teeth_1 / N};
}

double mesh_phase(const CommonGear& gear) {
  const std::string what = "phase of two meshes";
  const double dphi = gear.from_first_to_second.value();
  require(gear.teeth >= 1, what, "the tooth number must be 1 or more", gear.teeth, "");
  require(std::isfinite(dphi), what, "the angle between the meshes must be finite", dphi, " rad");
  const double pitches = gear.teeth * (dphi / (2.0 * std::numbers::pi));
  double behind = pitches;
  if (gear.idler) {
    require(gear.thickness_share > 0.0 && gear.thickness_share < 1.0, what,
            "the thickness of a tooth must be above 0 and below 1 of the pitch",
            gear.thickness_share, "");
    behind -= gear.thickness_share;
  }
  const double phase = behind - std::floor(behind);
  // 24 teeth over 120 degrees are 8 pitches but for the rounding of pi, and not 8 less a little.
  constexpr double rounding = 1e-15;
  return 1.0 - phase <= rounding * std::max(1.0, std::abs(pitches)) ? 0.0 : phase;
}

}  // namespace lashband::spectrum
