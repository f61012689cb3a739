#include "lashband/bearing/thick_ring.hpp"

#include <array>
#include <boost/numeric/odeint/integrate/integrate_n_steps.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_fehlberg78.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::bearing;
using namespace lashband::test;
using units::from_si;
using units::Pressure;

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

// A closed form of some ten operations, none of which cancels more than a digit or two.
constexpr double closed_form = 1e-13;

FitPart part(double free_diameter_in_mm, double E, double nu) {
  return {mm(free_diameter_in_mm), from_si<Pressure>(E), nu};
}

constexpr double E_steel = 210e9;
constexpr double nu_steel = 0.3;

PressFit ring_in_housing() {
  const auto row = reference_row("steel ring in an aluminium bore");
  return {mm(row.at("D")), part(row.at("d_e"), row.at("E_ring"), row.at("nu_ring")),
          part(row.at("D_a"), row.at("E_housing"), row.at("nu_housing"))};
}

// Independent route: the equilibrium of a plane-stress ring, u'' + u'/r - u/r^2 = 0, integrated
// numerically from the inner to the outer radius; no formula in common with the library.
using State = std::array<double, 2>;  // u, u'

State integrated(State start, double from, double to) {
  constexpr std::size_t steps = 400;
  const auto ring = [](const State& y, State& dy, double r) {
    dy = {y[1], y[0] / (r * r) - y[1] / r};
  };
  boost::numeric::odeint::runge_kutta_fehlberg78<State> stepper;
  boost::numeric::odeint::integrate_n_steps(stepper, ring, start, from,
                                            (to - from) / static_cast<double>(steps), steps);
  return start;
}

struct Radial {
  double at_inner;  // u
  double at_outer;
};

// Displacements of a ring under a pressure of 1 on its outer or its inner surface.
Radial shot(double inner, double outer, double E, double nu, double on_inner, double on_outer) {
  const auto stress = [&](const State& y, double r) {
    return E / (1.0 - nu * nu) * (y[1] + nu * y[0] / r);
  };
  const State start_u = {inner, 0.0};
  const State start_slope = {0.0, 1.0};
  const State end_u = integrated(start_u, inner, outer);
  const State end_slope = integrated(start_slope, inner, outer);
  const double a11 = stress(start_u, inner);
  const double a12 = stress(start_slope, inner);
  const double a21 = stress(end_u, outer);
  const double a22 = stress(end_slope, outer);
  const double det = a11 * a22 - a12 * a21;
  const double x = (-on_inner * a22 + on_outer * a12) / det;
  const double y = (-a11 * on_outer + a21 * on_inner) / det;
  return {x * start_u[0], x * end_u[0] + y * end_slope[0]};
}

// A solid: u = r, the solution that stays finite in the middle, scaled to a pressure of 1.
Radial shot_solid(double outer, double E, double nu) {
  const double start = 0.05 * outer;
  const State end = integrated({start, 1.0}, start, outer);
  const double stress = E / (1.0 - nu * nu) * (end[1] + nu * end[0] / outer);
  return {0.0, -end[0] / stress};
}

struct Shooting {
  double pressure_per_interference;
  double outer_ring_factor;
  double inner_ring_factor;
};

Shooting shooting(const PressFit& fit) {
  const double r = 0.5 * fit.diameter.value();
  const double r_i = 0.5 * fit.inside.free_diameter.value();
  const double r_a = 0.5 * fit.around.free_diameter.value();
  const double E_i = fit.inside.youngs_modulus.value();
  const Radial inside = r_i > 0.0 ? shot(r_i, r, E_i, fit.inside.poisson_ratio, 0.0, 1.0)
                                  : shot_solid(r, E_i, fit.inside.poisson_ratio);
  const Radial around =
      shot(r, r_a, fit.around.youngs_modulus.value(), fit.around.poisson_ratio, 1.0, 0.0);
  const double interference_per_pressure = 2.0 * (around.at_inner - inside.at_outer);
  return {1.0 / interference_per_pressure, -2.0 * inside.at_inner / interference_per_pressure,
          2.0 * around.at_outer / interference_per_pressure};
}

}  // namespace

TEST_CASE("the raceway of an inner ring on a solid shaft of the same material") {
  const auto row = reference_row("raceway growth on a solid shaft");
  const PressFit fit{mm(row.at("d")), part(0.0, row.at("E"), row.at("nu")),
                     part(row.at("d_i"), row.at("E"), row.at("nu"))};
  const double factor = inner_ring_expansion_factor(fit);
  CHECK_THAT(factor, WithinAbs(row.at("factor").get<double>(), closed_form));
  CHECK(factor > row.at("printed")[0].get<double>());
  CHECK(factor < row.at("printed")[1].get<double>());
}

TEST_CASE("a fit of two materials comes out as worked out for a tutorial") {
  const auto row = reference_row("two materials");
  // A shaft that does not give leaves the whole interference to the bore of the hub.
  constexpr double rigid = 1e25;
  const PressFit fit{from_si<units::Length>(2.0 * row.at("r_fit").get<double>()),
                     part(0.0, rigid, 0.3),
                     {from_si<units::Length>(2.0 * row.at("r_out").get<double>()),
                      from_si<Pressure>(row.at("E")), row.at("nu")}};
  const auto interference = from_si<units::Length>(2.0 * row.at("u_fit").get<double>());
  CHECK_THAT(interface_pressure(fit, interference).value(),
             WithinAbs(row.at("p")[0].get<double>(), row.at("p")[1].get<double>()));
}

TEST_CASE("a steel ring in an aluminium bore") {
  const auto row = reference_row("steel ring in an aluminium bore");
  const PressFit fit = ring_in_housing();
  const units::Length I = um(row.at("interference_um"));
  CHECK_THAT(1e-6 * interface_pressure(fit, I).value(),
             WithinAbs(row.at("p_MPa")[0].get<double>(), row.at("p_MPa")[1].get<double>()));
  CHECK_THAT(in_um(outer_ring_contraction_factor(fit) * I),
             WithinAbs(row.at("closes_um")[0].get<double>(), row.at("closes_um")[1].get<double>()));
}

TEST_CASE("closed forms agree with the differential equation solved numerically") {
  constexpr double integration = 1e-10;
  std::vector<PressFit> fits = {ring_in_housing()};
  for (const double d_i : {0.0, 10.0, 25.0, 38.0}) {
    for (const double D_a : {44.0, 50.2, 90.0}) {
      for (const double E_other : {71e9, 210e9, 400e9}) {
        fits.push_back({mm(40), part(d_i, E_other, 0.33), part(D_a, E_steel, nu_steel)});
        fits.push_back({mm(40), part(d_i, E_steel, nu_steel), part(D_a, E_other, 0.0)});
      }
    }
  }
  for (const PressFit& fit : fits) {
    INFO(fit.inside.free_diameter.value() << " " << fit.around.free_diameter.value());
    const Shooting numeric = shooting(fit);
    const units::Length I = um(17);
    CHECK_THAT(interface_pressure(fit, I).value(),
               WithinRel(numeric.pressure_per_interference * I.value(), integration));
    CHECK_THAT(inner_ring_expansion_factor(fit), WithinRel(numeric.inner_ring_factor, integration));
    if (fit.inside.free_diameter.value() > 0.0) {
      CHECK_THAT(outer_ring_contraction_factor(fit),
                 WithinRel(numeric.outer_ring_factor, integration));
    }
  }
}

TEST_CASE("a wall that is thick all around is the limit of a thick one") {
  // f_o = d_e/D where wall and ring are of one material (Lame).
  const PressFit endless{mm(80), part(70.6, E_steel, nu_steel), part(infinite, E_steel, nu_steel)};
  CHECK_THAT(outer_ring_contraction_factor(endless), WithinRel(70.6 / 80.0, closed_form));

  PressFit thick = endless;
  thick.around.free_diameter = mm(80e6);
  const double left_of_the_wall = 1e-11;  // (D/D_a)^2 = 1e-12, a few times
  CHECK_THAT(outer_ring_contraction_factor(thick),
             WithinRel(outer_ring_contraction_factor(endless), left_of_the_wall));
  CHECK_THAT(interface_pressure(thick, um(20)).value(),
             WithinRel(interface_pressure(endless, um(20)).value(), left_of_the_wall));
}

TEST_CASE("no interference, no pressure") {
  const PressFit fit = ring_in_housing();
  CHECK(interface_pressure(fit, um(0)).value() == 0.0);
  CHECK(interface_pressure(fit, um(-5)).value() == 0.0);
  CHECK_THAT(interface_pressure(fit, um(40)).value(),
             WithinRel(2.0 * interface_pressure(fit, um(20)).value(), closed_form));
}

TEST_CASE("a stiffer or thicker housing closes the raceway more, a hollow shaft opens it less") {
  PressFit fit = ring_in_housing();
  double previous = 0.0;
  for (const double D_a : {81.0, 90.0, 120.0, 200.0, infinite}) {
    fit.around.free_diameter = mm(D_a);
    CHECK(outer_ring_contraction_factor(fit) > previous);
    previous = outer_ring_contraction_factor(fit);
  }
  for (const double E : {71e9, 120e9, 210e9, 400e9}) {
    fit.around.youngs_modulus = from_si<Pressure>(1.01 * E);
    CHECK(outer_ring_contraction_factor(fit) > previous);
    previous = outer_ring_contraction_factor(fit);
  }
  previous = 1.0;
  for (const double d_i : {0.0, 10.0, 20.0, 30.0, 39.0}) {
    const PressFit hollow{mm(40), part(d_i, E_steel, nu_steel), part(50.2, E_steel, nu_steel)};
    CHECK(inner_ring_expansion_factor(hollow) < previous);
    CHECK(inner_ring_expansion_factor(hollow) > 0.0);
    previous = inner_ring_expansion_factor(hollow);
  }
}

TEST_CASE("fits that cannot be are refused") {
  const PressFit good = ring_in_housing();
  const auto refused = [](const PressFit& fit) {
    CHECK_THROWS_AS(interface_pressure(fit, um(20)), DomainError);
    CHECK_THROWS_AS(outer_ring_contraction_factor(fit), DomainError);
    CHECK_THROWS_AS(inner_ring_expansion_factor(fit), DomainError);
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double D : {0.0, -80.0, 70.6, 120.0, nan, infinite}) {
    PressFit fit = good;
    fit.diameter = mm(D);
    refused(fit);
  }
  for (const double d_i : {-1.0, 80.0, nan}) {
    PressFit fit = good;
    fit.inside.free_diameter = mm(d_i);
    refused(fit);
  }
  for (const double D_a : {80.0, 0.0, nan}) {
    PressFit fit = good;
    fit.around.free_diameter = mm(D_a);
    refused(fit);
  }
  for (const double E : {0.0, -1.0, nan, infinite}) {
    PressFit fit = good;
    fit.around.youngs_modulus = from_si<Pressure>(E);
    refused(fit);
    fit = good;
    fit.inside.youngs_modulus = from_si<Pressure>(E);
    refused(fit);
  }
  for (const double nu : {-0.1, 0.51, nan}) {
    PressFit fit = good;
    fit.inside.poisson_ratio = nu;
    refused(fit);
    fit = good;
    fit.around.poisson_ratio = nu;
    refused(fit);
  }
  CHECK_THROWS_AS(interface_pressure(good, um(nan)), DomainError);
  CHECK_THROWS_AS(interface_pressure(good, um(infinite)), DomainError);

  PressFit solid = good;
  solid.inside.free_diameter = mm(0);
  CHECK_NOTHROW(interface_pressure(solid, um(20)));
  CHECK_THROWS_MATCHES(outer_ring_contraction_factor(solid), DomainError,
                       Message("the raceway of an outer ring must be above 0 mm, not 0 mm"));
  PressFit endless = good;
  endless.around.free_diameter = mm(infinite);
  CHECK_THROWS_MATCHES(inner_ring_expansion_factor(endless), DomainError,
                       Message("the raceway of an inner ring must be finite, not inf mm"));
}
