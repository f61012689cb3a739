#pragma once

#include <memory>
#include <numbers>
#include <string>
#include <utility>

#include "lashband/design/design.hpp"

// Designs made in C++, without a file, for tests of whole runs.
namespace lashband::design::test {

inline constexpr double degree = std::numbers::pi / 180.0;

inline units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}
inline units::Angle deg(double value) {
  return units::from_si<units::Angle>(degree * value);
}
inline geometry::Point at(double x_in_mm, double y_in_mm) {
  return {mm(x_in_mm), mm(y_in_mm)};
}
inline tolerance::Toleranced<units::Length> between(double low_in_mm, double high_in_mm) {
  return {{mm(low_in_mm), mm(high_in_mm)}, tolerance::Shape::normal()};
}

/// A material with one mean coefficient, known to `uncertainty`.
inline std::shared_ptr<const materials::Material> material(const std::string& id, double alpha) {
  materials::MaterialRecord record;
  record.id = id;
  record.family = "test";
  record.range = {units::celsius(-100), units::celsius(300)};
  record.elongation = materials::ElongationRecord{
      materials::MeanCoefficient{units::from_si<units::PerKelvin>(alpha)}, {}};
  record.sources["all"] = "invented for this test";
  return std::make_shared<const materials::Material>(std::move(record));
}

/// Zones "gears" and "case", a plain carrier with this coefficient; no shafts yet.
inline Design empty_design(double alpha_case) {
  Design design;
  design.title = "made in a test";
  design.zones = {"gears", "case"};
  design.carriers = {
      {"case", thermal::PlainCarrier{{material("case metal", alpha_case), thermal::ZoneIndex{1}}}}};
  return design;
}

inline thermal::Solid steel() {
  return {material("steel", 11.5e-6), thermal::ZoneIndex{0}};
}

inline geometry::ToothData teeth(int z, double module_in_mm, double beta_in_deg = 0.0,
                                 bool internal = false) {
  geometry::ToothData data;
  data.teeth = z;
  data.internal = internal;
  data.module = mm(module_in_mm);
  data.pressure_angle = deg(20.0);
  data.helix_angle = deg(beta_in_deg);
  data.face_width = mm(20.0);
  return data;
}

inline void add_shaft(Design& design, const std::string& id,
                      std::optional<geometry::Point> place = {}) {
  Shaft shaft;
  shaft.id = id;
  shaft.at = place;
  design.shafts.push_back(std::move(shaft));
}

inline void add_gear(Design& design, const std::string& id, std::size_t shaft,
                     const geometry::ToothData& data,
                     const tolerance::Toleranced<units::Length>& allowance) {
  Gear gear{id, shaft, geometry::ToothedBody(data), allowance, steel()};
  design.gears.push_back(std::move(gear));
}

inline void add_mesh(Design& design, const std::string& id, std::size_t gear_1, std::size_t gear_2,
                     units::Length centre_distance) {
  Mesh mesh;
  mesh.id = id;
  mesh.gear_1 = gear_1;
  mesh.gear_2 = gear_2;
  mesh.centre_distance = centre_distance;
  design.meshes.push_back(std::move(mesh));
}

inline Condition condition(const std::string& id, double gears_in_degC, double case_in_degC) {
  Condition one{
      id,
      thermal::TemperatureState({units::celsius(gears_in_degC), units::celsius(case_in_degC)}),
      {}};
  return one;
}

/// Four equal gears whose axes are the corners of a square: 30 teeth, module 3 mm, spur, with the
/// thickness allowance `E_sn` of every gear.
inline Design square(double alpha_case, double side_in_mm,
                     const tolerance::Toleranced<units::Length>& E_sn) {
  Design design = empty_design(alpha_case);
  add_shaft(design, "1", at(0.0, 0.0));
  add_shaft(design, "2", at(side_in_mm, 0.0));
  add_shaft(design, "3", at(side_in_mm, side_in_mm));
  add_shaft(design, "4", at(0.0, side_in_mm));
  for (std::size_t i = 0; i < 4; ++i) {
    add_gear(design, "g" + std::to_string(i + 1), i, teeth(30, 3.0), E_sn);
  }
  for (std::size_t i = 0; i < 4; ++i) {
    const std::size_t next = (i + 1) % 4;
    add_mesh(design, design.shafts[i].id + "-" + design.shafts[next].id, i, next, mm(side_in_mm));
  }
  return design;
}

}  // namespace lashband::design::test
