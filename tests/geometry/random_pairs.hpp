#pragma once

#include <cmath>
#include <numbers>
#include <random>

#include "lashband/geometry/toothed_body.hpp"

// Random gears for tests, from plain numbers in mm and degrees.
namespace lashband::geometry::test {

inline constexpr double degree = std::numbers::pi / 180.0;

inline units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}
inline units::Angle deg(double value) {
  return units::from_si<units::Angle>(degree * value);
}

inline ToothData teeth(int z, double m_n, double alpha_n, double beta, double x,
                       double E_sn = 0.0) {
  ToothData data;
  data.teeth = z;
  data.module = mm(m_n);
  data.pressure_angle = deg(alpha_n);
  data.helix_angle = deg(beta);
  data.profile_shift = x;
  data.face_width = mm(10.0 * m_n);
  data.thickness_allowance = mm(E_sn);
  return data;
}

// Uniform draws that are the same with every standard library.
class Draw {
 public:
  explicit Draw(unsigned seed) : engine_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_() >> 11U) * 0x1.0p-53);
  }
  int whole(int low, int high) {
    return low + static_cast<int>(engine_() % static_cast<unsigned>(high - low + 1));
  }

 private:
  std::mt19937_64 engine_;
};

}  // namespace lashband::geometry::test
