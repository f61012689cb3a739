#pragma once

#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "band/gap_model.hpp"

// Gap models made by hand for the tests of the band: a spur pair of 41 teeth, module 2.5 mm, 20
// deg, in all the ways a unit can differ. Invented.
namespace lashband::band::kernel::examples {

using tolerance::Shape;

struct Example {
  std::string name;
  MeshModel mesh;
  StateModel state;
  Draws draws;

  std::size_t add(const Shape& shape, bool elongation = false) {
    draws.shapes.push_back(shape);
    draws.elongation.push_back(elongation);
    return draws.shapes.size() - 1;
  }
};

inline constexpr double um = 1e-6;

// Thickness, centre distance, run-out, pitch: what every file has.
inline Example plain_pair(const Shape& shape = Shape::normal()) {
  Example e;
  e.name = "plain pair";
  constexpr double module = 2.5e-3;
  constexpr int teeth = 41;
  const double alpha = 20.0 * std::numbers::pi / 180.0;
  MeshModel& mesh = e.mesh;
  mesh.L = module * teeth;
  mesh.r_b1 = mesh.r_b2 = 0.5 * module * teeth * std::cos(alpha);
  mesh.p_b1 = mesh.p_b2 = std::numbers::pi * module * std::cos(alpha);
  mesh.s_b1 = mesh.s_b2 =
      2.0 * mesh.r_b1 * (0.5 * std::numbers::pi / teeth + std::tan(alpha) - alpha);
  mesh.kappa = std::cos(alpha);
  const auto thickness = [&] { return LinearForm{-57.5 * um, {{e.add(shape), 12.5 * um}}}; };
  mesh.E_1 = thickness();
  mesh.E_2 = thickness();
  mesh.deviation = {0.0, {{e.add(shape), 15.0 * um}}};
  const auto magnitude = [&](double limit) {
    const Shape of = shape.kind() == Shape::Kind::normal ? Shape::truncated_normal() : shape;
    return LinearForm{0.5 * limit, {{e.add(of), 0.5 * limit}}};
  };
  mesh.run_out_1 = magnitude(20.0 * um);
  mesh.run_out_2 = magnitude(24.0 * um);
  mesh.pitch_1 = magnitude(8.0 * um);
  mesh.pitch_2 = magnitude(9.0 * um);
  e.state.growth_1 = {-6.5e-4, {}};
  e.state.growth_2 = {-6.5e-4, {}};
  e.state.carrier_least.linear = {-1.25e-3, {}};
  e.state.carrier_greatest = e.state.carrier_least;
  return e;
}

inline Example with_misalignment(Example e, double tilt, const Shape& shape = Shape::normal()) {
  e.name += ", misalignment";
  e.state.misalignment.constant = tilt;
  for (const double limit : {9.0 * um, 10.0 * um, 4.0 * um}) {
    e.state.misalignment.terms.push_back({e.add(shape), limit});
  }
  return e;
}

// Three uncertain materials: gears, plate, case; a plate that the case may squeeze.
inline Example with_materials(Example e, bool knee) {
  e.name += knee ? ", materials and a stop" : ", materials";
  const std::size_t gears = e.add(Shape::normal(), true);
  const std::size_t plate = e.add(Shape::normal(), true);
  const std::size_t body = e.add(Shape::normal(), true);
  const double eps_gears = -6.5e-4;
  const double eps_plate = -6.9e-4;
  const double eps_case = -1.25e-3;
  const double u = 0.05;
  e.state.growth_1 = e.state.growth_2 = {eps_gears, {{gears, u * eps_gears}}};
  StrainModel strain;
  if (knee) {
    strain.linear = {eps_plate, {{plate, u * eps_plate}}};
    strain.knees.push_back({0.42,
                            {eps_case - eps_plate, {{body, u * eps_case}, {plate, -u * eps_plate}}},
                            -5.4e-4,
                            std::numeric_limits<double>::infinity()});
  } else {
    strain.linear = {0.6 * eps_plate + 0.4 * eps_case,
                     {{plate, 0.6 * u * eps_plate}, {body, 0.4 * u * eps_case}}};
  }
  e.state.carrier_least = e.state.carrier_greatest = strain;
  return e;
}

// Two bearings on either shaft, one of them with an outer ring that may be loose.
inline Example with_bearings(Example e, const Shape& shape = Shape::normal()) {
  e.name += ", bearings";
  for (const double looseness : {2.0, -6.0, 9.0, -9.0}) {
    SeatModel seat;
    seat.clearance = {14.0 * um, {{e.add(shape), 8.0 * um}}};
    seat.outer = {looseness * um, {{e.add(shape), 7.0 * um}, {e.add(shape), 6.0 * um}}};
    seat.inner = {5.0 * um, {{e.add(shape), 6.0 * um}}};
    seat.outer_factor = 0.6;
    seat.inner_factor = 0.75;
    seat.weight = 0.5;
    e.state.seats.push_back(seat);
  }
  return e;
}

// A 1:1 pair whose run-outs keep the phase of assembly.
inline Example with_drawn_phase(Example e) {
  e.name += ", phase drawn";
  e.mesh.run_out_phase =
      LinearForm{std::numbers::pi, {{e.add(Shape::uniform()), std::numbers::pi}}};
  return e;
}

inline Example with_given_phase(Example e, double phase) {
  e.name += ", phase given";
  e.mesh.run_out_phase = LinearForm{phase, {}};
  return e;
}

// One gear hotter than the other: the gap varies over the mesh cycle.
inline Example with_mismatch(Example e) {
  e.name += ", gears of two temperatures";
  e.state.growth_2.constant = 3.0e-4;
  e.state.cycle_least = -1.0;
  e.state.cycle_greatest = 0.4;
  return e;
}

inline std::vector<Example> all() {
  return {plain_pair(),
          plain_pair(Shape::uniform()),
          plain_pair(Shape::triangular(0.3)),
          plain_pair(Shape::tabulated({{-1.0, 0.2}, {-0.2, 1.0}, {0.1, 0.3}, {1.0, 0.9}})),
          with_misalignment(plain_pair(), 0.0),
          with_misalignment(plain_pair(Shape::uniform()), 3.0 * um, Shape::uniform()),
          with_materials(with_misalignment(plain_pair(), 2.0 * um), false),
          with_materials(plain_pair(), true),
          with_bearings(plain_pair()),
          with_bearings(with_misalignment(plain_pair(), 0.0), Shape::truncated_normal()),
          with_drawn_phase(plain_pair()),
          with_given_phase(plain_pair(), std::numbers::pi),
          with_mismatch(with_materials(plain_pair(), false))};
}

}  // namespace lashband::band::kernel::examples
