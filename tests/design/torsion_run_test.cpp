// The torsional model of whole designs, against closed forms and against itself at other inputs.
#include <algorithm>
#include <cmath>
#include <functional>

#include "catch.hpp"
#include "design/torsion/lines.hpp"
#include "design/torsion/state.hpp"
#include "design/torsion/vibration.hpp"
#include "design/train_model.hpp"
#include "lashband/error.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/torsion/mesh_stiffness.hpp"
#include "made_torsion.hpp"

using namespace lashband;
using namespace lashband::design;
using namespace lashband::design::test;
using units::from_si;

namespace {

// Closed forms of two bodies: a handful of roundings each, and a course's end to 1e-14 of it.
constexpr double rounding = 1e-11;

TorsionResult run(const Design& design, const TorsionQuestion& question = {}) {
  TorsionResult result = torsion_of(design, 0, {}, question);
  INFO((result.failures.empty() ? "" : result.failures[0].text));
  REQUIRE(result.failures.empty());
  return result;
}

TorsionCondition only_condition(const Design& design) {
  return run(design).conditions.at(0);
}

// The first example without its sweep.
Design rail_compressor() {
  Design design = io::read_design_file(std::string(LASHBAND_SOURCE_DIR) +
                                       "/examples/rail_compressor/train.json");
  design.torsion->sweep.reset();
  return design;
}

// The square of four gears is a closed loop; its stiffnesses differ, and each shaft has a load.
Design loaded_square() {
  Design design = square(11.5e-6, 90.1, between(-0.06, -0.04));
  design.conditions = {condition("running", 20, 20)};
  design.conditions[0].speeds = {{0, rad_per_s(120.0)}};
  design.torsion.emplace();
  for (std::size_t i = 0; i < 4; ++i) {
    add_station(design, std::to_string(i + 1), i, 0.01 * static_cast<double>(i + 2), {i});
    add_stiffness(design, i, 1e8 * (1.0 + 0.7 * static_cast<double>(i)), 0.03);
  }
  design.torsion->torques = {torque("load of 2", 1, -11.0, 2.0, 3.0),
                             torque("load of 3", 2, -23.0, 3.0, 5.0),
                             torque("load of 4", 3, -5.0, 1.0, 2.0)};
  design.torsion->meshes[1].transmission_error = {{1, mm(5e-4), deg(40.0)}};
  return design;
}

}  // namespace

TEST_CASE("two equal shafts that turn against each other leave nothing to the case") {
  Design design = Twin::design();
  // The same torque on both, each in its own sense: they swing alike.
  design.torsion->torques = {torque("on A", 0, 0.0, 2.0, 7.0), torque("on B", 1, 0.0, 2.0, 7.0)};
  const TorsionCondition at = only_condition(design);
  CHECK(at.reaction.inertia.value() == 0.0);
  CHECK(at.reaction.cancelling.empty());
  CHECK_THAT(at.reaction.vibration.value(), WithinAbs(0.0, 1e-13));
  CHECK_THAT(at.elements[0].greatest, WithinAbs(0.0, 1e-9));
}

TEST_CASE("shafts of unlike inertia are told what cancels their moment of momentum") {
  Design design = Twin::design();
  design.torsion->stations[0].inertia = kg_m2(0.05);
  const CaseReaction reaction = only_condition(design).reaction;
  CHECK_THAT(reaction.inertia.value(), WithinRel(0.03, 1e-15));
  REQUIRE(reaction.cancelling.size() == 1);
  CHECK(reaction.cancelling[0].shaft == "B");
  CHECK_THAT(reaction.cancelling[0].inertia.value(), WithinRel(0.03, 1e-15));
  design.torsion->stations[1].inertia = kg_m2(0.02 + reaction.cancelling[0].inertia.value());
  CHECK_THAT(only_condition(design).reaction.inertia.value(), WithinAbs(0.0, 1e-17));
}

TEST_CASE("the response of a pair is that of its closed form") {
  const double zeta = GENERATE(0.02, 0.3);
  const double order = GENERATE(1.0, 6.5, 30.0);
  Design design = Twin::design(zeta);
  design.torsion->torques = {torque("on A", 0, 0.0, order, 7.0),
                             torque("on B", 1, -20.0, 1.0, 0.0)};
  const TorsionCondition at = only_condition(design);
  const double omega = order * Twin::speed;
  const std::complex<double> u = 7.0 * Twin::twist(omega, zeta);
  const double r = Twin::base_radius();
  const double swing = std::abs(r * Twin::dynamic_stiffness(omega, zeta) * u);
  const double mean = 20.0 / r;
  CHECK_THAT(at.elements[0].mean, WithinRel(mean, rounding));
  CHECK_THAT(at.elements[0].greatest, WithinRel(mean + swing, rounding));
  CHECK_THAT(at.elements[0].least, WithinRel(mean - swing, rounding));
  REQUIRE(at.meshes[0].rattle_index);
  CHECK_THAT(*at.meshes[0].rattle_index, WithinRel(swing / mean, rounding));
  // Both shafts' changes of speed act on the case: J (theta_A'' - theta_B'').
  CHECK_THAT(at.reaction.vibration.value(),
             WithinRel(Twin::inertia * omega * omega * std::abs(u), rounding));
  REQUIRE(at.wind_up.size() == 1);
  CHECK_THAT(at.wind_up[0].mean.value(), WithinRel(mean / Twin::stiffness / r, rounding));
  CHECK_THAT(at.wind_up[0].phase_error.value(), WithinRel(std::abs(u), rounding));
  // 1/2 omega Im k* |x|^2.
  CHECK_THAT(
      at.power.vibration_out.value(),
      WithinRel(0.5 * omega * Twin::dynamic_stiffness(omega, zeta).imag() * r * r * std::norm(u),
                rounding));
  // omega_n^2 = 2 r^2 k / J of the pair against each other; the free turning is exactly 0.
  REQUIRE(at.modes.size() == 2);
  CHECK(at.modes[0].frequency.value() == 0.0);
  const double natural = std::sqrt(2.0 * r * r * Twin::stiffness / Twin::inertia);
  CHECK_THAT(at.modes[1].frequency.value(), WithinRel(natural / (2.0 * pi), rounding));
  CHECK_THAT(*at.modes[1].damping_ratio, WithinRel(zeta, 1e-9));
  for (const Crossing& crossing : at.crossings) {
    CHECK_THAT(crossing.speed.value(), WithinRel(natural / order, rounding));
    CHECK_THAT(*crossing.margin, WithinAbs(omega / natural - 1.0, rounding));
  }
}

TEST_CASE("a resonance near the speed of a condition counts beyond the ends of the sweep") {
  Design design = Twin::design();
  const double natural =
      std::sqrt(2.0 * Twin::base_radius() * Twin::base_radius() * Twin::stiffness / Twin::inertia);
  design.torsion->torques = {torque("on A", 0, -1.0, 1.0, 7.0)};
  design.torsion->sweep = SpeedSweep{rad_per_s(10.0), rad_per_s(20.0), 2};
  design.torsion->require.least_resonance_margin = 0.2;
  design.conditions[0].speeds = {{0, rad_per_s(1.1 * natural)}};
  const TorsionResult result = run(design);
  REQUIRE(result.requirements.size() == 1);
  CHECK_THAT(result.requirements[0].found, WithinRel(0.1, 1e-9));
  CHECK_FALSE(result.requirements[0].met);
}

TEST_CASE("the rattle index counts on either flank, and says where there is no load") {
  Design design = Twin::design();
  const double zeta = 0.05;
  const double r = Twin::base_radius();
  const double omega = 2.0 * Twin::speed;
  const double swing =
      std::abs(r * Twin::dynamic_stiffness(omega, zeta) * 7.0 * Twin::twist(omega, zeta));
  design.torsion->require.greatest_rattle_index = 1.5;
  const auto with_load = [&](double load) {
    design.torsion->torques = {torque("on A", 0, 0.0, 2.0, 7.0), torque("on B", 1, load, 1.0, 0.0)};
    return run(design);
  };
  SECTION("either flank") {
    const TorsionResult driven = with_load(-4.0);
    const TorsionResult braked = with_load(4.0);
    const MeshVibration& one = driven.conditions[0].meshes[0];
    const MeshVibration& other = braked.conditions[0].meshes[0];
    CHECK_THAT(one.mean.value(), WithinRel(4.0 / r, rounding));
    CHECK_THAT(other.mean.value(), WithinRel(-4.0 / r, rounding));
    CHECK_THAT(*one.rattle_index, WithinRel(swing * r / 4.0, rounding));
    CHECK_THAT(*other.rattle_index, WithinRel(*one.rattle_index, rounding));
    // On the flank that carries, above 0 in contact.
    CHECK_THAT(one.least.value(), WithinRel(4.0 / r - swing, rounding));
    CHECK_THAT(other.least.value(), WithinRel(4.0 / r - swing, rounding));
  }
  SECTION("a small load") {
    const TorsionResult result = with_load(-1e-3);
    const MeshVibration& mesh = result.conditions[0].meshes[0];
    CHECK_FALSE(mesh.unloaded);
    CHECK_THAT(*mesh.rattle_index, WithinRel(swing * r / 1e-3, rounding));
    REQUIRE(result.requirements.size() == 1);
    CHECK_FALSE(result.requirements[0].met);
    CHECK_FALSE(result.all_requirements_met());
  }
  SECTION("no load") {
    const TorsionResult result = with_load(0.0);
    const MeshVibration& mesh = result.conditions[0].meshes[0];
    CHECK(mesh.unloaded);
    CHECK_FALSE(mesh.rattle_index);
    CHECK_THAT(mesh.least.value(), WithinRel(-swing, rounding));
    REQUIRE(result.requirements.size() == 1);
    CHECK(std::isinf(result.requirements[0].found));
    CHECK_FALSE(result.requirements[0].met);
    CHECK(std::any_of(result.warnings.begin(), result.warnings.end(),
                      [](const Warning& one) { return one.kind == "teeth_part"; }));
  }
  SECTION("neither load nor excitation") {
    design.torsion->torques.clear();
    const TorsionResult result = run(design);
    CHECK(result.conditions[0].meshes[0].unloaded);
    CHECK(result.conditions[0].meshes[0].least.value() == 0.0);
    CHECK(result.requirements[0].found == 0.0);
    CHECK(result.all_requirements_met());
    CHECK_FALSE(result.revolutions_per_cycle);
  }
}

TEST_CASE("what goes in is dissipated, order by order and of the mean torques") {
  Design design =
      GENERATE(std::function<Design()>(rail_compressor), std::function<Design()>(loaded_square))();
  const TorsionResult result = run(design);
  for (const TorsionCondition& at : result.conditions) {
    INFO(at.id);
    if (!at.speed_judged) {
      continue;  // stands still
    }
    const TorsionPower& power = at.power;
    CHECK(power.driven.value() > 0.0);
    CHECK_THAT((power.loads + power.drag).value(), WithinRel(power.driven.value(), 1e-10));
    CHECK(power.vibration_in.value() > 0.0);
    CHECK_THAT(power.vibration_out.value(), WithinRel(power.vibration_in.value(), 1e-10));
  }
  const thermal::Reference reference{design.reference_temperature, {}};
  const train::Train train = train_model(design);
  const TorsionLayout layout = torsion_layout(design, train, reference);
  const TorsionLines lines = torsion_lines(design, layout);
  std::vector<double> contact_ratio(design.meshes.size(), 1.5);
  const TorsionState state(design, layout, design.conditions.back().temperatures, reference,
                           contact_ratio);
  const TorsionAtSpeed at_speed = state.at(140.0);
  const TorsionVibration vibration(lines, layout, at_speed);
  REQUIRE(vibration.orders() > 2);
  for (std::size_t i = 0; i < vibration.orders(); ++i) {
    INFO("order " << lines.orders[i].order);
    const auto one = torsion::kernel::power(at_speed.system, vibration.omega(i),
                                            vibration.excitation(i), vibration.response(i));
    // What an order puts in at one place it may take out at another: of that, the work is small.
    double turned_over = 0.0;
    for (std::size_t k = 0; k < layout.inertias.size(); ++k) {
      if (!vibration.excitation(i).torques.empty()) {
        turned_over +=
            0.5 * vibration.omega(i) *
            std::abs(vibration.excitation(i).torques[k] * vibration.response(i).angles[k]);
      }
    }
    CHECK_THAT(one.in,
               WithinAbs(one.dissipated, 1e-10 * std::max(one.dissipated, 1e-3 * turned_over)));
  }
}

TEST_CASE("a closed train shares its mean forces by stiffness") {
  const Design design = loaded_square();
  const TorsionCondition at = only_condition(design);
  // By hand: what the loads of 2 and 4 leave goes around both sides. F_1 is the force of mesh 1-2
  // and so on, each on the base radius of all; 4-1 counts from 4 to 1.
  const double r = Twin::base_radius();
  const double k_1 = 1e8;
  const double k_2 = 1.7e8;
  const double k_3 = 2.4e8;
  const double k_4 = 3.1e8;
  // F_2 = F_1 - 11/r, F_3 = F_2 - 23/r, F_4 = F_3 - 5/r; sum of F / k around the loop is 0.
  const double sum = 1 / k_1 + 1 / k_2 + 1 / k_3 + 1 / k_4;
  const double first = (11 / k_2 + 34 / k_3 + 39 / k_4) / r / sum;
  CHECK_THAT(at.elements[0].mean, WithinRel(first, rounding));
  CHECK_THAT(at.elements[1].mean, WithinAbs(first - 11 / r, 1e-9));
  CHECK_THAT(at.elements[2].mean, WithinAbs(first - 34 / r, 1e-9));
  CHECK_THAT(at.elements[3].mean, WithinAbs(first - 39 / r, 1e-9));
  CHECK_THAT(at.balance.value(), WithinRel(39.0, rounding));
}

TEST_CASE("wind-up between any two shafts whose lost motion is asked for") {
  Design design = loaded_square();
  design.train.lost_motion = {{.of = 3, .held = 1}, {.of = 2, .held = 0}};
  const TorsionCondition at = only_condition(design);
  // The pair with the reference is among all shafts against it already.
  REQUIRE(at.wind_up.size() == 4);
  const auto mean = [&at](std::size_t row) { return at.wind_up[row].mean.value(); };
  CHECK(at.wind_up[3].shaft == "4");
  CHECK(at.wind_up[3].against == "2");
  CHECK(at.wind_up[0].against == "1");
  // All turn alike: 4 behind 2 is 4 behind 1 less 2 behind 1.
  CHECK_THAT(mean(3), WithinAbs(mean(2) - mean(0), 1e-17));
  CHECK(at.wind_up[3].phase_error.value() > 0.0);
  CHECK(at.wind_up[3].phase_error <= at.wind_up[2].phase_error + at.wind_up[0].phase_error);
}

TEST_CASE("derivatives of frequencies and rattle indices are those of the model itself") {
  const Design design = loaded_square();
  const TorsionCondition at = only_condition(design);
  // Central differences of two steps, extrapolated: the error left is of the fourth order. Damping
  // is held: the ratio is given anew with each stiffness and inertia.
  const auto difference = [&](const std::function<double(double)>& value) {
    const auto central = [&](double h) {
      return (value(std::exp(h)) - value(std::exp(-h))) / (2.0 * h);
    };
    return (4.0 * central(5e-4) - central(1e-3)) / 3.0;
  };
  Design undamped = design;
  for (MeshDynamics& mesh : undamped.torsion->meshes) {
    mesh.damping_ratio = 0.0;
  }
  const TorsionCondition free = only_condition(undamped);
  for (std::size_t e = 0; e < 4; ++e) {
    const auto with = [&](double factor) {
      Design changed = undamped;
      changed.torsion->meshes[e].stiffness = factor * *changed.torsion->meshes[e].stiffness;
      return only_condition(changed);
    };
    for (std::size_t m = 1; m < at.modes.size(); ++m) {
      CHECK_THAT(difference([&](double f) { return std::log(with(f).modes[m].frequency.value()); }),
                 WithinAbs(at.modes[m].frequency_by_stiffness[e], 1e-9));
    }
    for (std::size_t m = 0; m < 4; ++m) {
      const double by = free.meshes[m].index_by_stiffness[e];
      CHECK_THAT(difference([&](double f) { return *with(f).meshes[m].rattle_index; }),
                 WithinAbs(by, 1e-7 * std::max(1.0, std::abs(by))));
    }
  }
  for (std::size_t k = 0; k < 4; ++k) {
    const auto with = [&](double factor) {
      Design changed = undamped;
      changed.torsion->stations[k].inertia = factor * *changed.torsion->stations[k].inertia;
      return only_condition(changed);
    };
    for (std::size_t m = 1; m < at.modes.size(); ++m) {
      CHECK_THAT(difference([&](double f) { return std::log(with(f).modes[m].frequency.value()); }),
                 WithinAbs(at.modes[m].frequency_by_inertia[k], 1e-9));
    }
    for (std::size_t m = 0; m < 4; ++m) {
      const double by = free.meshes[m].index_by_inertia[k];
      CHECK_THAT(difference([&](double f) { return *with(f).meshes[m].rattle_index; }),
                 WithinAbs(by, 1e-7 * std::max(1.0, std::abs(by))));
    }
  }
}

TEST_CASE("a sweep is what each of its speeds gives alone") {
  Design design = loaded_square();
  design.torsion->sweep = SpeedSweep{rad_per_s(100.0), rad_per_s(220.0), 4};
  const TorsionResult swept = run(design);
  REQUIRE(swept.conditions[0].sweep.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    const SweepPoint& point = swept.conditions[0].sweep[i];
    const double speed = 100.0 + 40.0 * static_cast<double>(i);
    CHECK_THAT(point.speed.value(), WithinRel(speed, 1e-15));
    const TorsionCondition alone =
        run(design, {.speed = rad_per_s(speed), .sweep = false}).conditions[0];
    for (std::size_t e = 0; e < 4; ++e) {
      const ElementState& element = alone.elements[e];
      CHECK_THAT(point.dynamic[e], WithinRel(0.5 * (element.greatest - element.least), 1e-12));
      CHECK_THAT(*point.rattle_index[e], WithinRel(*alone.meshes[e].rattle_index, 1e-12));
      CHECK_THAT(point.least_force[e].value(), WithinRel(alone.meshes[e].least.value(), 1e-12));
    }
  }
}

TEST_CASE("an undamped resonance on a point of the sweep is a failure there, and nowhere else") {
  // Two stations on A with a stiff shaft between them and B on the second: no mesh is strained by
  // the torque on the first if B has next to no inertia. J = 1/2 and k = 100: omega = 20 exactly.
  Design design = Twin::design(0.0);
  design.torsion->stations.clear();
  design.torsion->meshes.clear();
  add_station(design, "A", 0, 0.5, {});
  add_station(design, "A at the gear", 0, 0.5, {0});
  add_station(design, "B", 1, 0.0, {1});
  add_stiffness(design, 0, Twin::stiffness, 0.0);
  design.torsion->segments = {{0, 1, per_rad(100.0), 0.0}};
  design.torsion->torques = {torque("on A", 0, 0.0, 2.0, 1.0)};
  design.torsion->sweep = SpeedSweep{rad_per_s(5.0), rad_per_s(15.0), 3};
  const TorsionResult result = torsion_of(design, 0, {});
  REQUIRE(result.failures.size() == 1);
  CHECK_THAT(result.failures[0].subject, ContainsText("95.5 rpm"));
  CHECK_THAT(result.failures[0].text, ContainsText("resonance without damping"));
  REQUIRE(result.conditions.size() == 1);
  CHECK(result.conditions[0].sweep.size() == 2);
  // B has no inertia: it follows the teeth, and has no mode of its own.
  REQUIRE(result.conditions[0].modes.size() == 2);
  CHECK_THAT(result.conditions[0].modes[1].frequency.value(), WithinRel(20.0 / (2.0 * pi), 1e-12));
  CHECK_THAT(result.conditions[0].elements[1].greatest, WithinAbs(0.0, 1e-12));
}

TEST_CASE("a train of two hundred bodies: as many modes, of which one turns freely") {
  // A chain of equal bodies on one shaft: omega_r = 2 sqrt(k/J) sin(r pi / 2n), exact.
  constexpr std::size_t bodies = 199;
  Design design = Twin::design(0.0);
  design.torsion->stations.clear();
  design.torsion->meshes.clear();
  for (std::size_t i = 0; i < bodies; ++i) {
    add_station(design, "A" + std::to_string(i), 0, 0.5,
                i == 0 ? std::vector<std::size_t>{0} : std::vector<std::size_t>{});
    if (i > 0) {
      design.torsion->segments.push_back({i - 1, i, per_rad(1e4), 0.0});
    }
  }
  add_station(design, "B", 1, 0.0, {1});
  add_stiffness(design, 0, Twin::stiffness, 0.0);
  const TorsionCondition at = only_condition(design);
  REQUIRE(at.modes.size() == bodies);
  CHECK(at.modes[0].frequency.value() == 0.0);
  for (std::size_t r = 1; r < bodies; ++r) {
    const double omega =
        2.0 * std::sqrt(1e4 / 0.5) *
        std::sin(static_cast<double>(r) * pi / (2.0 * static_cast<double>(bodies)));
    CHECK_THAT(at.modes[r].frequency.value(), WithinRel(omega / (2.0 * pi), 1e-11));
  }
}

TEST_CASE("the stiffness of a mesh follows its contact ratio and load, and so the carrier") {
  const Design design = rail_compressor();
  std::vector<double> hot;
  for (std::size_t carrier = 0; carrier < design.carriers.size(); ++carrier) {
    const BacklashResult gaps = backlash(design, carrier, {});
    const TorsionResult result = torsion_of(design, gaps, {});
    REQUIRE(result.failures.empty());
    for (std::size_t c = 0; c < result.conditions.size(); ++c) {
      INFO(result.carrier << ", " << result.conditions[c].id);
      const ElementState& mesh = result.conditions[c].elements[result.meshes[1]];
      const auto& states = gaps.meshes[1].states;
      const auto state = std::find_if(states.begin(), states.end(),
                                      [c](const MeshState& one) { return one.state == c; });
      REQUIRE(state != states.end());
      // Gears alike: z = 41, m_n = 2.5 mm, beta = 15 deg, x = 0.10, ISO 53 profile A.
      const Gear& gear = design.gears[1];
      torsion::MeshTeeth teeth;
      teeth.gear_1.teeth = 41;
      teeth.gear_1.profile_shift_coefficient = gear.body.profile_shift();
      teeth.gear_1.rack_dedendum_coefficient = 1.25;
      teeth.gear_1.youngs_modulus =
          gear.solid.youngs_modulus(design.conditions[c].temperatures, {});
      teeth.gear_2 = teeth.gear_1;
      teeth.normal_module = mm(2.5);
      teeth.normal_pressure_angle = deg(20.0);
      teeth.helix_angle = deg(15.0);
      teeth.face_width = gear.body.face_width();
      teeth.transverse_contact_ratio = state->eps_alpha;
      // F_t at the reference circle, and no less than that of 10 N/mm.
      const double alpha_t = std::atan(std::tan(pi / 9.0) / std::cos(pi / 12.0));
      const torsion::MeshLoad load{from_si<units::Force>(std::abs(mesh.mean) * std::cos(alpha_t)),
                                   std::pow(0.1, 0.25)};
      CHECK_THAT(mesh.stiffness,
                 WithinRel(torsion::mesh_stiffness(teeth, load).stiffness.mid().value(), 1e-9));
    }
    hot.push_back(result.conditions.back().elements[result.meshes[1]].stiffness);
  }
  // Aluminium moves the axes apart: fewer teeth share the load.
  CHECK(hot[0] < hot[1] * 0.999);
}

TEST_CASE("a ring that heats itself settles where it loses what it makes") {
  const Design design = rail_compressor();
  for (const TorsionCondition& at : run(design).conditions) {
    INFO(at.id);
    REQUIRE(at.elastomers.size() == 1);
    const ElastomerState& ring = at.elastomers[0];
    if (!at.speed_judged) {
      CHECK(ring.status == ElastomerState::Status::given);
      continue;  // stands still
    }
    CHECK(ring.status == ElastomerState::Status::settled);
    const Elastomer& rubber = *design.torsion->gears[2].elastomer;
    const auto& condition = *std::find_if(design.conditions.begin(), design.conditions.end(),
                                          [&at](const Condition& one) { return one.id == at.id; });
    const double above =
        units::difference(condition.temperatures.of(thermal::ZoneIndex{*rubber.zone}),
                          ring.temperature)
            .value();
    CHECK_THAT(ring.heat.value(), WithinRel(rubber.conductance->value() * std::abs(above), 1e-5));
    CHECK(above != 0.0);
  }
}

TEST_CASE("a design without a torsional model has no torsional result") {
  Design design = Twin::design();
  design.torsion.reset();
  CHECK_THROWS_AS(torsion_of(design, 0, {}), DomainError);
}
