#pragma once

#include <string>
#include <vector>

#include "lashband/design/torsion.hpp"
#include "lashband/units/parse.hpp"
#include "made_results.hpp"
#include "made_train.hpp"

// Results of the torsional model made by hand: with everything that one can have, and with as
// little as there can be. The numbers are invented; most differ, so that none stands for another.
namespace lashband::test {

inline std::vector<design::TorsionInertia> made_inertias() {
  using Kind = design::TorsionInertia::Kind;
  const auto inertia = [](double x) { return units::from_si<units::Inertia>(x); };
  return {{Kind::station, "pulley", "crank A", 1.0, inertia(0.0125)},
          {Kind::station, "seat", "crank A", 1.0, inertia(0.0034)},
          {Kind::station, "crank B", "crank B", -1.25, inertia(0.0052)},
          {Kind::rim, "rim of gB", "crank B", -1.25, inertia(0.0021)},
          {Kind::damper, "tuned", "crank A", 1.0, inertia(0.0007)}};
}

/// One part of every kind, and a second mesh.
inline std::vector<design::TorsionElement> made_elements() {
  using Kind = design::TorsionElement::Kind;
  return {{Kind::segment, "pulley - seat", 0, 1},
          {Kind::elastomer, "gB", 2, 3},
          {Kind::mesh, "A-B", 1, 3},
          {Kind::mesh, "B-I", 3, 2},
          {Kind::elastomer, "tuned", 0, 4},
          {Kind::damper, "tuned", 0, 4},
          {Kind::drag, "seal", 2, std::nullopt}};
}

inline design::NaturalMode free_mode() {
  design::NaturalMode mode;
  mode.shape = {1.0, 1.0, 1.0, 1.0, 1.0};
  return mode;
}

inline design::NaturalMode made_mode(double hertz) {
  design::NaturalMode mode;
  mode.frequency = units::from_si<units::Frequency>(hertz);
  mode.damping_ratio = 0.0213;
  mode.damped = units::from_si<units::Frequency>(hertz + 0.25);
  mode.shape = {1.0, 0.75, -0.25, -0.5, 0.125};
  mode.strain_share = {0.1875, 0.0625, 0.625, 0.09375, 0.03125, 0.0, 0.0};
  mode.nodes = {0, 2};
  mode.frequency_by_stiffness = {0.09375, 0.03125, 0.3125, 0.046875, 0.015625, 0.0, 0.0};
  mode.frequency_by_inertia = {-0.4375, -0.03125, -0.015625, -0.0078125, -0.0078125};
  return mode;
}

/// Of a frequency that two modes share: it has no derivatives.
inline design::NaturalMode twin_mode(double hertz) {
  design::NaturalMode mode = made_mode(hertz);
  mode.damping_ratio.reset();
  mode.damped.reset();
  mode.nodes.clear();
  mode.frequency_by_stiffness.clear();
  mode.frequency_by_inertia.clear();
  return mode;
}

inline std::vector<design::ExcitationLine> made_excitations() {
  return {{"torque compressor", 2.5, 2.0}, {"mesh A-B", 41.0, 1.0}, {"torque belt", 1.0, 1.0}};
}

inline std::vector<design::ElementState> made_element_states() {
  return {{90000.0, 12.5, 20.25, 4.75},    {2500.0, -8.5, -2.25, -14.75},
          {3.125e8, 512.5, 1040.0, -15.0}, {2.875e8, 0.0, 30.5, -31.5},
          {120.0, 0.0, 1.75, -1.75},       {0.0, 0.0, 0.375, -0.375},
          {0.0, 0.0, 0.125, -0.125}};
}

inline design::MeshVibration made_mesh_vibration() {
  design::MeshVibration mesh;
  mesh.mean = units::from_si<units::Force>(512.5);
  mesh.least = units::from_si<units::Force>(-15.0);
  mesh.rattle_index = 1.029268;
  mesh.index_by_stiffness = {0.25, -0.5, 0.125, 0.0, 0.0625, 0.0, 0.0};
  mesh.index_by_inertia = {-0.75, 0.375, 0.0, 0.0, 0.0};
  return mesh;
}

inline design::MeshVibration unloaded_mesh() {
  design::MeshVibration mesh;
  mesh.mesh = 4;
  mesh.least = units::from_si<units::Force>(-31.5);
  mesh.unloaded = true;
  return mesh;
}

inline std::vector<design::ElastomerState> made_elastomers() {
  using Status = design::ElastomerState::Status;
  design::ElastomerState one;
  one.element = 1;
  one.temperature = units::celsius(86.25);
  one.status = Status::settled;
  one.stiffness = units::from_si<units::TorsionalStiffness>(2500.0);
  one.loss_factor = 0.1625;
  one.mean_twist = units::from_si<units::Angle>(-0.0034);
  one.greatest_twist = units::from_si<units::Angle>(0.0059);
  one.shear_strain = 0.0425;
  one.heat = units::from_si<units::Power>(3.75);
  one.heat_per_cycle = units::from_si<units::Energy>(0.3);
  design::ElastomerState two = one;
  two.element = 4;
  two.temperature = units::celsius(41.5);
  two.status = Status::given;
  two.shear_strain.reset();
  return {one, two};
}

inline std::vector<design::SweepPoint> made_sweep() {
  const auto force = [](double x) { return units::from_si<units::Force>(x); };
  return {{made_rpm(600.0),
           {1.0, 2.0, 110.5, 12.25, 0.5, 0.25, 0.0},
           {0.215, std::nullopt},
           {force(402.0), force(-12.25)}},
          {made_rpm(1500.0),
           {7.75, 6.25, 527.5, 31.0, 1.75, 0.375, 0.125},
           {1.029268, std::nullopt},
           {force(-15.0), force(-31.5)}},
          {made_rpm(2400.0),
           {3.0, 4.0, 205.5, 44.75, 0.75, 0.5, 0.0},
           {0.4, 1.5},
           {force(307.5), force(-22.0)}}};
}

inline design::TorsionCondition made_torsion_condition() {
  design::TorsionCondition condition;
  condition.id = "cold start";
  condition.speed = made_rpm(1500.0);
  condition.speed_judged = true;
  condition.elements = made_element_states();
  condition.modes = {free_mode(), made_mode(61.75), twin_mode(418.25)};
  condition.crossings = {{0, 1, made_rpm(1482.0), 0.012146},
                         {1, 2, made_rpm(612.0734), 1.450687},
                         {2, 1, made_rpm(3705.0), std::nullopt}};
  condition.meshes = {made_mesh_vibration(), unloaded_mesh()};
  condition.wind_up = {{"crank B", "crank A", units::from_si<units::Angle>(0.0061),
                        units::from_si<units::Angle>(0.0019)}};
  condition.elastomers = made_elastomers();
  const auto inertia = [](double x) { return units::from_si<units::Inertia>(x); };
  condition.reaction.inertia = inertia(0.007475);
  condition.reaction.greatest_part = inertia(0.0166);
  condition.reaction.cancelling = {{"crank B", inertia(0.00598)}};
  condition.reaction.vibration = units::from_si<units::Torque>(6.5);
  condition.balance = units::from_si<units::Torque>(14.25);
  const auto power = [](double x) { return units::from_si<units::Power>(x); };
  condition.power = {power(2238.5), power(2100.25), power(138.25), power(9.125), power(9.0625)};
  condition.sweep = made_sweep();
  return condition;
}

/// Three conditions: at a speed of its own, at the top of the sweep, and at rest.
inline design::TorsionResult full_torsion() {
  design::TorsionResult result;
  result.input = {"A train made by hand (invented)", made_digest()};
  result.carrier = "steel plate";
  result.reference = "crank A";
  result.driver = "crank A";
  result.inertias = made_inertias();
  result.elements = made_elements();
  result.meshes = {2, 3};
  result.lines = made_excitations();
  result.revolutions_per_cycle = 2.0;
  design::TorsionCondition top = made_torsion_condition();
  top.id = "running hot, gears lead the case";
  top.speed = made_rpm(2400.0);
  top.speed_judged = false;
  top.elastomers[0].status = design::ElastomerState::Status::runs_away;
  top.elastomers[1].status = design::ElastomerState::Status::above_range;
  design::TorsionCondition still;
  still.id = "standing";
  still.elements = made_element_states();
  still.modes = {free_mode(), made_mode(60.5)};
  still.elastomers = {made_elastomers()[0]};
  still.elastomers[0].status = design::ElastomerState::Status::not_found;
  result.conditions = {made_torsion_condition(), top, still};
  result.requirements = torsion_requirements();
  result.warnings = {{"teeth_part", "", "mesh A-B", "cold start", "the teeth part"}};
  result.failures = {{"torsional model", "soak start", "no density at -60 degC"}};
  return result;
}

/// Nothing shakes it, nothing is asked of it.
inline design::TorsionResult bare_torsion() {
  design::TorsionResult result;
  result.input = {"", made_digest()};
  result.carrier = "steel plate";
  result.reference = "crank A";
  result.driver = "crank B";
  using Kind = design::TorsionInertia::Kind;
  result.inertias = {
      {Kind::station, "crank A", "crank A", 1.0, units::from_si<units::Inertia>(0.0034)},
      {Kind::station, "crank B", "crank B", -1.25, units::from_si<units::Inertia>(0.0052)}};
  result.elements = {{design::TorsionElement::Kind::mesh, "A-B", 0, 1}};
  result.meshes = {0};
  design::TorsionCondition condition;
  condition.id = "cold start";
  condition.speed = made_rpm(1500.0);
  condition.speed_judged = true;
  condition.elements = {{3.125e8, 0.0, 0.0, 0.0}};
  design::NaturalMode mode;
  mode.frequency = units::from_si<units::Frequency>(812.5);
  mode.shape = {1.0, -0.5};
  mode.strain_share = {1.0};
  design::NaturalMode free;
  free.shape = {1.0, 1.0};
  condition.modes = {free, mode};
  design::MeshVibration mesh;
  mesh.unloaded = true;
  condition.meshes = {mesh};
  result.conditions = {condition};
  return result;
}

/// A full cycle too long to look for what is greatest and least over it.
inline design::TorsionResult endless_torsion() {
  design::TorsionResult result = full_torsion();
  result.warnings.push_back({"full_cycle", "", "", "", "a full cycle takes too long"});
  for (design::TorsionCondition& condition : result.conditions) {
    condition.meshes.clear();
    condition.sweep.clear();
    for (design::ElementState& at : condition.elements) {
      at.greatest = at.least = at.mean;
    }
  }
  result.requirements.clear();
  return result;
}

}  // namespace lashband::test
