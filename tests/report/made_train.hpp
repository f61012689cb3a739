#pragma once

#include <string>
#include <vector>

#include "lashband/design/frequencies.hpp"
#include "lashband/design/train.hpp"
#include "lashband/units/parse.hpp"
#include "made_results.hpp"

// Results for the train as a whole made by hand: with everything, and with as little as there can
// be. The numbers are invented; most differ.
namespace lashband::test {

/// As if read from a file, so that it is written as it was read.
inline units::AngularVelocity made_rpm(double turns_a_minute) {
  return units::parse<units::AngularVelocity>(std::to_string(turns_a_minute) + " rpm");
}

inline units::Angle arcminutes(double x) {
  constexpr double radian_in_arcminutes = 3437.746770784939;
  return units::from_si<units::Angle>(x / radian_in_arcminutes);
}

/// A loop of three meshes over the states of `made_states`, the middle one tightest.
inline design::LoopResult made_loop() {
  design::LoopResult loop;
  loop.shafts = {"crank A", "crank B", "idler"};
  loop.meshes = {"A-B", "B-I", "I-A"};
  loop.closed_by = train::ClosedBy::places;
  loop.offset = 0.0123;
  loop.can_be_assembled = true;
  loop.basis = design::Basis::rss;
  const double margin[] = {31.5, -4.25, 40.0};
  for (std::size_t i = 0; i < 3; ++i) {
    design::LoopState at;
    at.state = i;
    at.margin = micrometres(margin[i]);
    at.margin_low = micrometres(margin[i] - 20.0);
    at.margin_rss_low = micrometres(margin[i] - 12.5);
    at.taken_up = micrometres(margin[i] + 15.0);
    at.taken_up_low = micrometres(margin[i] - 5.0);
    at.taken_up_rss_low = micrometres(margin[i] + 2.5);
    if (i != 1) {
      at.bore_reserve = micrometres(50.5 + margin[i]);
      at.bore = 2;
    }
    loop.states.push_back(at);
  }
  loop.least = 1;
  return loop;
}

/// A loop that a gear closes at assembly, nothing varies.
inline design::LoopResult assembled_loop() {
  design::LoopResult loop = made_loop();
  loop.meshes = {"A-C", "C-D", "D-A"};
  loop.closed_by = train::ClosedBy::assembly;
  loop.offset = 0.0;
  loop.set_on = {"idler"};
  loop.basis = design::Basis::worst_case;
  for (design::LoopState& at : loop.states) {
    at.margin_rss_low.reset();
    at.taken_up_rss_low.reset();
    at.bore_reserve.reset();
  }
  return loop;
}

/// A loop of which nothing is known.
inline design::LoopResult unknown_loop() {
  design::LoopResult loop;
  loop.shafts = {"fan", "drive"};
  loop.meshes = {"F-1", "F-2"};
  return loop;
}

inline design::BacklashResult with_loops(design::BacklashResult result) {
  result.loops = {made_loop(), assembled_loop(), unknown_loop()};
  result.requirements.push_back({"loop A-B, B-I, I-A", "no_loop_binding",
                                 design::RequirementRow::Kind::length, 0.0, -1.75e-6,
                                 "running hot, gears lead the case", design::Basis::rss, false});
  return result;
}

inline design::CarriersResult with_loops(design::CarriersResult result) {
  for (design::CarrierRow& row : result.rows) {
    row.result = with_loops(row.result);
  }
  return result;
}

/// An angle around `nominal` minutes of arc, without root sum square and percentiles.
inline design::ResultBand<units::Angle> plain_motion(double nominal) {
  design::ResultBand<units::Angle> band{};
  band.nominal = arcminutes(nominal);
  band.low = arcminutes(nominal - 4.5);
  band.high = arcminutes(nominal + 5.5);
  return band;
}

inline design::ResultBand<units::Angle> full_motion(double nominal) {
  design::ResultBand<units::Angle> band = plain_motion(nominal);
  band.rss_low = arcminutes(nominal - 3.25);
  band.rss_high = arcminutes(nominal + 3.75);
  band.least = design::Percentiles<units::Angle>{arcminutes(nominal - 3.0), arcminutes(nominal),
                                                 arcminutes(nominal + 2.0)};
  band.greatest = design::Percentiles<units::Angle>{
      arcminutes(nominal - 2.0), arcminutes(nominal + 0.5), arcminutes(nominal + 3.5)};
  return band;
}

inline design::LostMotion made_lost_motion() {
  design::LostMotion motion;
  motion.of = "idler";
  motion.held = "crank A";
  motion.way = {"A-B", "B-I"};
  motion.loops = true;
  motion.percentiles_sampled = true;
  motion.basis = design::Basis::percentile;
  const double nominal[] = {10.25, 0.0, 20.75};
  for (std::size_t i = 0; i < 3; ++i) {
    design::LostMotionState at;
    at.state = i;
    if (i != 1) {
      at.total = full_motion(nominal[i]);
      at.backlash_alone = plain_motion(nominal[i] - 2.0);
    }
    // A soak has no speed, and so no torques.
    if (i < 2) {
      at.wind_up = arcminutes(1.75);
    }
    if (i == 0) {
      at.under_torque = full_motion(nominal[i] + 3.5);
    }
    motion.states.push_back(at);
  }
  motion.least = 0;
  motion.greatest = 2;
  motion.shares = {{"A-B", arcminutes(12.5), arcminutes(1.25), arcminutes(0.75)},
                   {"B-I", arcminutes(6.0), arcminutes(0.25), arcminutes(0.0)}};
  return motion;
}

/// Two groups, a ring gear, loops, lost motion that is asked for.
inline design::TrainResult full_train() {
  design::TrainResult result;
  result.backlash = with_loops(full_result());
  result.input = result.backlash.input;
  result.carrier = result.backlash.carrier;
  result.reference = "crank A";
  result.arm = "arm";
  result.arm_ratio = train::ExactRatio(2, 7);
  result.held = "ring";
  result.conditions = {"cold start", "running hot, gears lead the case"};
  const auto speeds = [](double first, double second) {
    return std::vector<std::optional<units::AngularVelocity>>{made_rpm(first), made_rpm(second)};
  };
  result.shafts = {{"crank A", "crank A", train::ExactRatio(1), speeds(1800.0, 900.0)},
                   {"crank B", "crank A", train::ExactRatio(-41, 38), speeds(-1942.5, -971.25)},
                   {"ring", "crank A", train::ExactRatio(0), speeds(0.0, 0.0)},
                   {"fan", "fan", train::ExactRatio(1), {}}};
  result.shafts[3].speed = {std::nullopt, made_rpm(3000.0)};
  result.meshes = {{"A-B", "gA", "gB", "crank A", "crank B", 41, 38, false, true},
                   {"B-R", "gB", "gR", "crank B", "ring", 38, 120, true, false}};
  result.lost_motion = {made_lost_motion()};
  result.lost_motion_left_out = 17;
  result.requirements = {
      result.backlash.requirements.back(),
      {"lost motion idler - crank A", "greatest_lost_motion", design::RequirementRow::Kind::angle,
       arcminutes(30.0).value(), arcminutes(24.25).value(), "soak 20 degC",
       design::Basis::percentile, true}};
  result.warnings = {{"loop", "", "loop F-1, F-2", "", "whether it closes is not known"}};
  result.failures = result.backlash.failures;
  result.sampling = design::Sampling{7, 65536, "AVX2"};
  return result;
}

/// One mesh, no speed, no tolerance, nothing asked for.
inline design::TrainResult bare_train() {
  design::TrainResult result;
  result.backlash = bare_result();
  result.input = result.backlash.input;
  result.carrier = result.backlash.carrier;
  result.reference = "crank A";
  result.shafts = {{"crank A", "crank A", train::ExactRatio(1), {}},
                   {"crank B", "crank A", train::ExactRatio(-41, 38), {}}};
  result.meshes = {{"A-B", "gA", "gB", "crank A", "crank B", 41, 38, false, false}};
  design::LostMotion motion;
  motion.of = "crank B";
  motion.held = "crank A";
  motion.way = {"A-B"};
  for (std::size_t i = 0; i < 3; ++i) {
    design::LostMotionState at;
    at.state = i;
    at.total = at.backlash_alone = plain_motion(6.0);
    motion.states.push_back(at);
  }
  motion.least = motion.greatest = 0;
  result.lost_motion = {motion};
  return result;
}

inline std::vector<spectrum::Line> made_lines() {
  using spectrum::LineKind;
  return {{LineKind::shaft, "crank A", 1, 0, "", 1.0},
          {LineKind::mesh, "A-B", 1, 0, "", 41.0},
          {LineKind::sideband, "A-B", 1, -2, "crank A", 39.0},
          {LineKind::mesh, "A-B", 2, 0, "", 82.0},
          {LineKind::hunting_tooth, "A-B", 1, 0, "", 0.02631579},
          {LineKind::assembly_phase, "A-B", 1, 0, "", 41.0},
          {LineKind::cage, "crank A bearing 1", 1, 0, "", 0.3967},
          {LineKind::rolling_element, "crank A bearing 1", 1, 0, "", 4.622},
          {LineKind::inner_race, "crank A bearing 1", 2, 0, "", 10.86},
          {LineKind::outer_race, "crank A bearing 1", 1, 0, "", 3.57},
          {LineKind::excitation, "gas torque", 1, 0, "", 81.4}};
}

inline spectrum::AttributedPeak made_peak(double hertz, double order) {
  spectrum::AttributedPeak at;
  at.peak = {12, units::from_si<units::Frequency>(hertz), 3.25, 3.0};
  at.order = order;
  at.by_chance = 0.0625;
  return at;
}

inline design::MeasuredResult made_measured(design::MeasuredInput::Axis axis) {
  design::MeasuredResult measured;
  measured.file = "bench.csv";
  measured.axis = axis;
  const bool over_orders = axis == design::MeasuredInput::Axis::order;
  measured.speed_given = over_orders ? made_rpm(60.0) : made_rpm(1800.0);
  measured.attribution.speed = over_orders ? made_rpm(60.06) : made_rpm(1793.25);
  measured.attribution.standard_error = made_rpm(0.125);
  measured.attribution.refined = true;
  measured.attribution.used = 7;
  spectrum::AttributedPeak known = made_peak(over_orders ? 41.041 : 1225.5, 41.0042);
  for (const std::size_t line : {1U, 5U, 2U, 3U}) {
    known.candidates.push_back({line, units::from_si<units::Frequency>(0.125), 0.0042});
  }
  measured.attribution.peaks = {known, made_peak(over_orders ? 52.55 : 1570.6, 52.55)};
  measured.unexplained = 1;
  return measured;
}

inline design::FrequenciesResult full_frequencies() {
  design::FrequenciesResult result;
  result.input = {"A train made by hand (invented)", made_digest()};
  result.reference = "crank A";
  result.speeds = {{"cold start", made_rpm(1800.0)},
                   {"running hot, gears lead the case", made_rpm(900.0)}};
  result.lines = made_lines();
  design::MeshMeeting meeting;
  meeting.mesh = "A-B";
  meeting.teeth_1 = 41;
  meeting.teeth_2 = 38;
  meeting.meeting = {1, true, 38, 41, 38, 41};
  meeting.mesh_order = 41.0;
  meeting.hunting_tooth_order = 0.02631579;
  meeting.assembly_phase_order = 41.0;
  design::MeshMeeting untied;
  untied.mesh = "fan mesh";
  untied.teeth_1 = 45;
  untied.teeth_2 = 18;
  untied.meeting = {9, false, 2, 5, 2, 5};
  result.meshes = {meeting, untied};
  result.phases = {{"gB", "A-B", "B-I", units::from_si<units::Angle>(1.25), true, 0.1875}};
  result.coincidences.found = {{3, 10, 0.00732}};
  result.coincidences.more = 4;
  result.measured = made_measured(design::MeasuredInput::Axis::frequency);
  result.warnings = {{"untied", "", "fan", "", "no mesh joins them to crank A"}};
  return result;
}

inline design::FrequenciesResult frequencies_over_orders() {
  design::FrequenciesResult result = full_frequencies();
  result.measured = made_measured(design::MeasuredInput::Axis::order);
  return result;
}

/// Orders alone.
inline design::FrequenciesResult bare_frequencies() {
  design::FrequenciesResult result;
  result.input = {"", made_digest()};
  result.reference = "crank A";
  result.lines = {made_lines()[0], made_lines()[1]};
  return result;
}

}  // namespace lashband::test
