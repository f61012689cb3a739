#pragma once

#include <complex>
#include <numbers>
#include <string>
#include <utility>

#include "lashband/design/torsion.hpp"
#include "made_designs.hpp"

// Torsional models made in C++, all invented, for tests of whole runs.
namespace lashband::design::test {

inline constexpr double pi = std::numbers::pi;

inline units::AngularVelocity rad_per_s(double value) {
  return units::from_si<units::AngularVelocity>(value);
}
inline units::Inertia kg_m2(double value) {
  return units::from_si<units::Inertia>(value);
}
inline units::Torque newton_metres(double value) {
  return units::from_si<units::Torque>(value);
}
inline units::TorsionalStiffness per_rad(double newton_metres) {
  return units::from_si<units::TorsionalStiffness>(newton_metres);
}

/// A station on a shaft that carries these gears.
inline void add_station(Design& design, const std::string& id, std::size_t shaft, double inertia,
                        std::vector<std::size_t> gears) {
  Station station;
  station.id = id;
  station.shaft = shaft;
  station.inertia = kg_m2(inertia);
  station.gears = std::move(gears);
  design.torsion->stations.push_back(std::move(station));
}

inline void add_stiffness(Design& design, std::size_t mesh, double newton_per_metre,
                          double damping_ratio) {
  MeshDynamics dynamics;
  dynamics.mesh = mesh;
  dynamics.stiffness = units::from_si<units::LinearStiffness>(newton_per_metre);
  dynamics.damping_ratio = damping_ratio;
  design.torsion->meshes.push_back(std::move(dynamics));
}

/// A torque on a station with a mean and one order.
inline ShaftTorque torque(const std::string& id, std::size_t station, double mean, double order,
                          double amplitude) {
  ShaftTorque one;
  one.id = id;
  one.station = station;
  one.mean = newton_metres(mean);
  if (amplitude > 0.0) {
    one.orders = {{order, newton_metres(amplitude), deg(25.0), SpeedScaling::constant}};
  }
  return one;
}

/// Two equal shafts that turn against each other, 30 teeth of module 3 mm each, and A drives.
struct Twin {
  static constexpr double inertia = 0.02;   // kg m2 each
  static constexpr double stiffness = 2e8;  // of the mesh, N/m
  static constexpr double speed = 160.0;    // rad/s

  [[nodiscard]] static Design design(double damping_ratio = 0.05) {
    Design twin = empty_design(11.5e-6);
    add_shaft(twin, "A", at(0.0, 0.0));
    add_shaft(twin, "B", at(90.1, 0.0));
    for (std::size_t i = 0; i < 2; ++i) {
      add_gear(twin, i == 0 ? "a" : "b", i, teeth(30, 3.0), between(-0.06, -0.04));
    }
    add_mesh(twin, "a-b", 0, 1, mm(90.1));
    twin.conditions = {condition("running", 20, 20)};
    twin.conditions[0].speeds = {{0, rad_per_s(speed)}};
    twin.torsion.emplace();
    add_station(twin, "A", 0, inertia, {0});
    add_station(twin, "B", 1, inertia, {1});
    add_stiffness(twin, 0, stiffness, damping_ratio);
    return twin;
  }

  [[nodiscard]] static double base_radius() { return 0.045 * std::cos(pi / 9.0); }
  /// k* of the mesh at `omega`, its damping from the ratio of the pair alone.
  [[nodiscard]] static std::complex<double> dynamic_stiffness(double omega, double damping_ratio) {
    const double mass = 0.5 * inertia / (base_radius() * base_radius());
    return {stiffness, omega * 2.0 * damping_ratio * std::sqrt(stiffness * mass)};
  }
  /// theta_A - theta_B under a torque of amplitude 1 on A, each in its own sense:
  /// J u'' = T - 2 r^2 k* u.
  [[nodiscard]] static std::complex<double> twist(double omega, double damping_ratio) {
    const double r = base_radius();
    return 1.0 / (2.0 * r * r * dynamic_stiffness(omega, damping_ratio) - inertia * omega * omega);
  }
};

}  // namespace lashband::design::test
