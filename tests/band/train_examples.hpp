#pragma once

#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "band/gap_sum.hpp"

// Sums of gaps made by hand for the tests of the band: a row of gears of module 2.5 mm, 20 deg, in
// a case, each in mesh with the next. Invented.
namespace lashband::band::kernel::examples {

struct TrainOptions {
  int meshes = 2;
  tolerance::Shape shape = tolerance::Shape::normal();
  bool bearings = false;
  bool misalignment = false;
  double uncertainty = 0.0;  ///< of the elongations of gears and case
  bool fits_follow = false;  ///< elongations act on the fits of the bearings
  bool ring_at_end = false;  ///< the last gear is a ring
  bool two_temperatures = false;
};

struct Train {
  std::string name;
  Draws draws;
  std::vector<MeshModel> meshes;
  std::vector<StateModel> states;
  LinearForm other;

  std::size_t add(const tolerance::Shape& shape, bool elongation = false) {
    draws.shapes.push_back(shape);
    draws.elongation.push_back(elongation);
    return draws.shapes.size() - 1;
  }

  /// At every mesh a little less of the gap arrives at the end of the row.
  [[nodiscard]] GapSum sum(double per_float = 0.7) const {
    GapSum result;
    result.other = other;
    double share = 1.0;
    for (std::size_t m = 0; m < meshes.size(); ++m) {
      result.meshes.push_back({&meshes[m], &states[m], share, per_float * share});
      share *= 0.8;
    }
    return result;
  }
};

// What one gear and its shaft bring to both of their meshes.
struct TrainGear {
  int teeth = 0;
  double base_radius = 0.0;
  LinearForm thickness, run_out, pitch;
  std::size_t place_x = 0, place_y = 0, helix = 0;
  std::vector<SeatModel> seats;
};

inline TrainGear train_gear(Train& train, const TrainOptions& options, int teeth,
                            double looseness) {
  constexpr double micron = 1e-6;
  const double alpha = 20.0 * std::numbers::pi / 180.0;
  TrainGear gear;
  gear.teeth = teeth;
  gear.base_radius = 0.5 * 2.5e-3 * std::abs(teeth) * std::cos(alpha);
  gear.thickness = {-57.5 * micron, {{train.add(options.shape), 12.5 * micron}}};
  const auto magnitude = [&](double limit) {
    const tolerance::Shape of = options.shape.kind() == tolerance::Shape::Kind::normal
                                    ? tolerance::Shape::truncated_normal()
                                    : options.shape;
    return LinearForm{0.5 * limit, {{train.add(of), 0.5 * limit}}};
  };
  gear.run_out = magnitude(20.0 * micron);
  gear.pitch = magnitude(8.0 * micron);
  gear.place_x = train.add(tolerance::Shape::normal());
  gear.place_y = train.add(tolerance::Shape::normal());
  train.draws.discs.push_back({gear.place_x, gear.place_y});
  gear.helix = train.add(options.shape);
  if (options.bearings) {
    for (const double more : {0.0, -6.0}) {
      SeatModel seat;
      seat.clearance = {14.0 * micron, {{train.add(options.shape), 8.0 * micron}}};
      seat.outer = {(looseness + more) * micron, {{train.add(options.shape), 7.0 * micron}}};
      seat.inner = {5.0 * micron, {{train.add(options.shape), 6.0 * micron}}};
      seat.outer_factor = 0.6;
      seat.inner_factor = 0.75;
      gear.seats.push_back(seat);
    }
  }
  return gear;
}

inline Train train_of(const TrainOptions& options) {
  constexpr double module = 2.5e-3;
  constexpr double micron = 1e-6;
  const double alpha = 20.0 * std::numbers::pi / 180.0;
  Train train;
  train.name = std::to_string(options.meshes) + " meshes, uncertainty " +
               std::to_string(options.uncertainty) + (options.bearings ? ", bearings" : "") +
               (options.misalignment ? ", misalignment" : "") +
               (options.fits_follow ? ", fits follow" : "") +
               (options.ring_at_end ? ", a ring" : "");
  LinearForm of_gears{6.5e-4, {}};
  LinearForm of_case{1.25e-3, {}};
  if (options.uncertainty > 0.0) {
    of_gears.terms.push_back(
        {train.add(tolerance::Shape::normal(), true), options.uncertainty * of_gears.constant});
    of_case.terms.push_back(
        {train.add(tolerance::Shape::normal(), true), options.uncertainty * of_case.constant});
  }
  std::vector<TrainGear> gears;
  for (int g = 0; g <= options.meshes; ++g) {
    const bool ring = options.ring_at_end && g == options.meshes;
    gears.push_back(train_gear(train, options, ring ? -103 : 29 + 6 * g, 4.0 - 3.0 * g));
    if (options.fits_follow && options.uncertainty > 0.0) {
      // The case grows away from the outer rings, the shaft into the inner ones.
      for (SeatModel& seat : gears.back().seats) {
        for (const auto& [form, factor] :
             {std::pair(&of_gears, 62e-3), std::pair(&of_case, -62e-3)}) {
          seat.outer.terms.push_back({form->terms[0].draw, factor * form->terms[0].coefficient});
        }
        seat.inner.terms.push_back({of_gears.terms[0].draw, 3e-3 * of_gears.terms[0].coefficient});
      }
    }
  }
  for (std::size_t m = 0; m + 1 < gears.size(); ++m) {
    const TrainGear& one = gears[m];
    const TrainGear& two = gears[m + 1];
    const double sense = two.teeth < 0 ? -1.0 : 1.0;
    MeshModel mesh;
    mesh.L = 0.5 * module * (one.teeth + two.teeth);
    mesh.r_b1 = one.base_radius;
    mesh.r_b2 = sense * two.base_radius;
    mesh.p_b1 = mesh.p_b2 = std::numbers::pi * module * std::cos(alpha);
    const double inv = std::tan(alpha) - alpha;
    mesh.s_b1 = 2.0 * one.base_radius * (0.5 * std::numbers::pi / one.teeth + inv);
    mesh.s_b2 =
        2.0 * two.base_radius * (0.5 * std::numbers::pi / std::abs(two.teeth) + sense * inv);
    mesh.kappa = std::cos(alpha);
    mesh.E_1 = one.thickness;
    mesh.E_2 = two.thickness;
    mesh.run_out_1 = one.run_out;
    mesh.run_out_2 = two.run_out;
    mesh.pitch_1 = one.pitch;
    mesh.pitch_2 = two.pitch;
    // The row bends by half a right angle at every gear, so that an idler's place tells in both of
    // its meshes, in part against itself.
    const double angle = 0.25 * std::numbers::pi * static_cast<double>(m);
    const double x = sense * 12.0 * micron * std::cos(angle);
    const double y = sense * 12.0 * micron * std::sin(angle);
    mesh.deviation = {0.0,
                      {{one.place_x, -x}, {one.place_y, -y}, {two.place_x, x}, {two.place_y, y}}};
    StateModel state;
    state.growth_1 = state.growth_2 = of_gears;
    if (options.two_temperatures && m == 0) {
      state.growth_1.constant += 4e-4;
      state.cycle_least = -1.0;
      state.cycle_greatest = 0.4;
    }
    state.carrier_least.linear = state.carrier_greatest.linear = of_case;
    if (options.misalignment) {
      state.misalignment = {2.0 * micron,
                            {{one.helix, 6.0 * micron},
                             {two.helix, 7.0 * micron},
                             {train.add(options.shape), 5.0 * micron}}};
    }
    for (SeatModel seat : one.seats) {
      seat.weight = 0.6;
      state.seats.push_back(seat);
    }
    for (SeatModel seat : two.seats) {
      seat.weight = 0.4;
      state.seats.push_back(seat);
    }
    train.meshes.push_back(mesh);
    train.states.push_back(state);
  }
  train.other = {40.0 * micron, {{train.add(options.shape), 15.0 * micron}}};
  return train;
}

inline std::vector<Train> trains() {
  using tolerance::Shape;
  return {
      train_of({.meshes = 2}),
      train_of({.meshes = 3, .shape = Shape::uniform(), .misalignment = true}),
      train_of({.meshes = 2, .bearings = true, .uncertainty = 0.02, .ring_at_end = true}),
      train_of({.meshes = 3,
                .bearings = true,
                .misalignment = true,
                .uncertainty = 0.05,
                .fits_follow = true,
                .ring_at_end = true}),
      train_of({.meshes = 4,
                .shape = Shape::triangular(0.2),
                .bearings = true,
                .misalignment = true,
                .uncertainty = 0.03,
                .fits_follow = true,
                .two_temperatures = true}),
      train_of({.meshes = 5,
                .bearings = true,
                .misalignment = true,
                .uncertainty = 0.05,
                .fits_follow = true,
                .two_temperatures = true}),
  };
}

}  // namespace lashband::band::kernel::examples
