#include "lashband/spectrum/lines.hpp"

#include <boost/multiprecision/cpp_bin_float.hpp>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <optional>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "machines.hpp"

using namespace lashband;
using namespace lashband::spectrum;
using namespace lashband::test;
using units::from_si;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

/// A handful of products.
constexpr double rounding = 4e-16;

RollingElements elements(int count, double D_w, double D_pw, double alpha_in_degrees) {
  return {count, from_si<units::Length>(1e-3 * D_w), from_si<units::Length>(1e-3 * D_pw),
          from_si<units::Angle>(alpha_in_degrees * std::numbers::pi / 180.0)};
}

Machine one_bearing(const RollingElements& inside, const ExactRatio& order = 1) {
  Machine machine;
  machine.shafts.push_back({"shaft", order, order});
  machine.bearings.push_back({"bearing", 0, inside});
  return machine;
}

double only_order(const std::vector<Line>& lines, LineKind kind, const std::string& source) {
  const std::vector<double> orders = orders_of(lines, kind, source);
  REQUIRE(orders.size() == 1);
  return orders.front();
}

}  // namespace

TEST_CASE("mesh, assembly phase and hunting tooth frequencies of published pairs") {
  struct Row {
    int z_1;
    int z_2;
    double rpm;                 // of gear 1
    std::optional<double> f_z;  // in events a minute
    std::optional<double> assembly_phase;
    std::optional<double> hunting_tooth;
    double relative;  // half a unit of the last digit shown
    const char* source;
  };
  const Row row =
      GENERATE(Row{24, 84, 2000.0, 48000.0, 4000.0, 285.714, 2e-6,
                   "course slides, scribd.com/presentation/378368469, seen: 571.4 rpm and the "
                   "common factor; "
                   "the three frequencies by the formulas of power-mi.com/es/node/2928, seen"},
               // One glossary prints 30 Hz, gcd times speed, for the hunting tooth: the two teeth
               // would meet in every turn of the pinion.
               Row{23, 67, 1800.0, 690.0 * 60.0, std::nullopt, 0.44776 * 60.0, 2e-5,
                   "formulas of power-mi.com/es/node/2928, seen"},
               // The same glossary prints 600 Hz, which is the mesh itself.
               Row{20, 60, 1800.0, 600.0 * 60.0, 30.0 * 60.0, 10.0 * 60.0, rounding,
                   "formulas of power-mi.com/es/node/2928, seen"},
               Row{20, 21, 1500.0, 30000.0, std::nullopt, std::nullopt, rounding,
                   "arithmetic, seen on a general calculator page; z_2 is of no account"});
  INFO(row.z_1 << "/" << row.z_2 << ", " << row.source);
  const std::vector<Line> found = lines(chain({{row.z_1, row.z_2}}), {});
  const auto check = [&row, &found](LineKind kind, const std::optional<double>& expected) {
    if (expected) {
      CHECK_THAT(row.rpm * orders_of(found, kind, "m0").front(),
                 WithinRel(*expected, row.relative));
    }
  };
  check(LineKind::mesh, row.f_z);
  check(LineKind::assembly_phase, row.assembly_phase);
  check(LineKind::hunting_tooth, row.hunting_tooth);
  if (row.z_1 == 24) {
    // Published as 571.4 rpm.
    CHECK_THAT(row.rpm * only_order(found, LineKind::shaft, "s1"), WithinAbs(571.4, 0.05));
    CHECK(tooth_meeting(row.z_1, row.z_2).common_factor == 12);
  }
}

TEST_CASE("teeth that meet, a published pair and every pair counted out") {
  // 9/15: common factor 3, each tooth of the pinion meets 5 teeth (a classic of course notes, from
  // memory).
  CHECK(tooth_meeting(9, 15).common_factor == 3);
  CHECK(tooth_meeting(9, 15).partners_of_1 == 5);
  for (int z_1 = 1; z_1 <= 24; ++z_1) {
    for (int z_2 = 1; z_2 <= 24; ++z_2) {
      INFO(z_1 << "/" << z_2);
      // Tooth 0 meets tooth 0; mesh after mesh both move on by one.
      std::set<int> partners_of_1;
      std::set<int> partners_of_2;
      int meshes = 0;
      do {
        if (meshes % z_1 == 0) {
          partners_of_1.insert(meshes % z_2);
        }
        if (meshes % z_2 == 0) {
          partners_of_2.insert(meshes % z_1);
        }
        ++meshes;
      } while (meshes % z_1 != 0 || meshes % z_2 != 0);
      const ToothMeeting found = tooth_meeting(z_1, z_2);
      CHECK(found.partners_of_1 == static_cast<int>(partners_of_1.size()));
      CHECK(found.partners_of_2 == static_cast<int>(partners_of_2.size()));
      CHECK(found.revolutions_1 == meshes / z_1);
      CHECK(found.revolutions_2 == meshes / z_2);
      CHECK(found.hunting == (found.partners_of_1 == z_2));
      // The hunting tooth line is once in all these meshes.
      const std::vector<Line> of_pair = lines(chain({{z_1, z_2}}), {});
      CHECK_THAT(only_order(of_pair, LineKind::hunting_tooth, "m0"),
                 WithinRel(z_1 / static_cast<double>(meshes), rounding));
    }
  }
  CHECK_THROWS_MATCHES(tooth_meeting(0, 15), DomainError,
                       Message("teeth that meet: a tooth number must be 1 or more, not 0"));
  CHECK_THROWS_AS(tooth_meeting(9, -15), DomainError);
}

TEST_CASE("sidebands stand a turn of either shaft from each harmonic") {
  const std::vector<Line> found =
      lines(chain({{20, 60}}), {.harmonics = 2, .sidebands = 2, .shaft_harmonics = 3});
  CHECK(orders_of(found, LineKind::shaft, "s0") == std::vector<double>{1.0, 2.0, 3.0});
  CHECK(orders_of(found, LineKind::mesh, "m0") == std::vector<double>{20.0, 40.0});
  for (const Line& line : found) {
    if (line.kind == LineKind::sideband) {
      const double n = line.around == "s0" ? 1.0 : 1.0 / 3.0;
      INFO("harmonic " << line.harmonic << ", sideband " << line.sideband);
      CHECK_THAT(line.order, WithinRel(20.0 * line.harmonic + n * line.sideband, rounding));
    }
  }
  // 2 harmonics, 2 shafts, 2 on either side.
  CHECK(orders_of(found, LineKind::sideband, "m0").size() == 16);
  // Two teeth turn half as fast as they mesh: of four sidebands below, two are at 0 or below.
  const std::vector<Line> few = lines(chain({{2, 2}}), {.harmonics = 1, .sidebands = 3});
  CHECK(orders_of(few, LineKind::sideband, "m0") ==
        std::vector<double>{1.0, 3.0, 4.0, 5.0, 1.0, 3.0, 4.0, 5.0});
}

TEST_CASE("a planetary stage meshes against its arm") {
  // Sun 20, planet 20, ring 60 held; the arm is the reference. The tooth frequency is that of the
  // ring's teeth passed by the arm, 60 a turn (a fact of the trade): no Willis needed.
  Machine machine;
  machine.shafts.push_back({"sun", ExactRatio(4), ExactRatio(3)});
  machine.shafts.push_back({"planet", ExactRatio(-2), ExactRatio(-3)});
  machine.shafts.push_back({"ring", ExactRatio(0), ExactRatio(-1)});
  machine.meshes.push_back({"inner", 0, 1, 20, 20});
  machine.meshes.push_back({"outer", 1, 2, 20, 60});
  machine.bearings.push_back({"pin", 1, elements(11, 5.0, 20.0, 0.0)});
  machine.excitations.push_back({"drive", 0, {2.0}});
  const std::vector<Line> found = lines(machine, {.harmonics = 1});
  CHECK(orders_of(found, LineKind::mesh, "inner") == std::vector<double>{60.0});
  CHECK(orders_of(found, LineKind::mesh, "outer") == std::vector<double>{60.0});
  // A tooth of the sun that stands out comes to a planet three times a turn of the arm.
  CHECK(orders_of(found, LineKind::sideband, "inner") ==
        std::vector<double>{57.0, 63.0, 57.0, 63.0});
  CHECK(orders_of(found, LineKind::sideband, "outer") ==
        std::vector<double>{57.0, 63.0, 59.0, 61.0});
  CHECK(orders_of(found, LineKind::shaft, "sun") == std::vector<double>{4.0});
  CHECK(orders_of(found, LineKind::shaft, "ring").empty());
  CHECK_THAT(only_order(found, LineKind::outer_race, "pin") +
                 only_order(found, LineKind::inner_race, "pin"),
             WithinRel(11.0 * 3.0, rounding));
  CHECK(orders_of(found, LineKind::excitation, "drive") == std::vector<double>{8.0});
}

TEST_CASE("bearing lines follow from the velocities where the elements touch") {
  struct Row {
    RollingElements inside;
    double n;  // turns of the inner ring
  };
  const Row row =
      GENERATE(Row{elements(9, 7.94, 39.04, 0.0), 1.0}, Row{elements(16, 8.4, 71.5, 15.17), 1.0},
               Row{elements(12, 11.0, 46.0, 40.0), 1.0}, Row{elements(3, 9.0, 9.5, 0.0), 1.0},
               Row{elements(40, 4.0, 90.0, 85.0), 1.0});
  const double D_w = row.inside.element.value();
  const double radius = 0.5 * row.inside.pitch_diameter.value();
  const double lever = 0.5 * D_w * std::cos(row.inside.contact_angle.value());
  // Seen from the cage the inner ring passes an element at one side as fast as the outer ring,
  // which stands still in space, passes it at the other. The cage's speed for which this holds is
  // found by halving.
  double slow = 0.0;
  double fast = 1.0;
  for (int i = 0; i < 60; ++i) {
    const double cage = 0.5 * (slow + fast);
    const double at_inner = (1.0 - cage) * (radius - lever);
    const double at_outer = cage * (radius + lever);
    (at_outer < at_inner ? slow : fast) = cage;
  }
  const double cage = slow;
  const double rolling = cage * (radius + lever) / (0.5 * D_w);  // turns of an element in the cage
  const int Z = row.inside.count;
  const std::vector<Line> found = lines(one_bearing(row.inside), {.bearing_harmonics = 1});
  constexpr double halved = 1e-13;  // rounding of the halving, over a share of not less than 0.02
  CHECK_THAT(only_order(found, LineKind::cage, "bearing"), WithinRel(cage, halved));
  CHECK_THAT(only_order(found, LineKind::outer_race, "bearing"), WithinRel(Z * cage, halved));
  CHECK_THAT(only_order(found, LineKind::inner_race, "bearing"),
             WithinRel(Z * (1.0 - cage), halved));
  CHECK_THAT(only_order(found, LineKind::rolling_element, "bearing"),
             WithinRel(2.0 * rolling, halved));
  // Every element passes a mark on the inner ring or on the outer one as the rings pass each other.
  CHECK_THAT(only_order(found, LineKind::outer_race, "bearing") +
                 only_order(found, LineKind::inner_race, "bearing"),
             WithinRel(static_cast<double>(Z), rounding));
  const std::vector<Line> harmonics =
      lines(one_bearing(row.inside, ExactRatio(-7, 2)), {.bearing_harmonics = 3});
  const std::vector<double> outer = orders_of(harmonics, LineKind::outer_race, "bearing");
  REQUIRE(outer.size() == 3);
  CHECK_THAT(outer[2], WithinRel(3.0 * 3.5 * Z * cage, halved));
}

TEST_CASE("orders are exact fractions rounded once") {
  std::mt19937 random(7);
  std::uniform_int_distribution<int> teeth(12, 150);
  std::vector<std::pair<int, int>> pairs;
  for (int i = 0; i < 60; ++i) {
    pairs.emplace_back(teeth(random), teeth(random));
  }
  Machine machine = chain(pairs);
  machine.excitations.push_back({"vanes", 60, {7.3, 1e-3, 12.0}});
  const std::vector<Line> found = lines(machine, {.harmonics = 2, .sidebands = 1});
  using Wide = boost::multiprecision::cpp_bin_float_100;
  Wide order = 1;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const std::string mesh = "m" + std::to_string(i);
    const auto [z_1, z_2] = pairs[i];
    const Wide next = order * z_1 / z_2;
    CHECK(only_order(found, LineKind::shaft, "s" + std::to_string(i)) ==
          static_cast<double>(order));
    const std::vector<double> of_mesh = orders_of(found, LineKind::mesh, mesh);
    CHECK(of_mesh.at(0) == static_cast<double>(Wide(order * z_1)));
    CHECK(of_mesh.at(1) == static_cast<double>(Wide(2 * order * z_1)));
    const std::vector<double> sidebands = orders_of(found, LineKind::sideband, mesh);
    CHECK(sidebands.at(0) == static_cast<double>(Wide(order * z_1 - order)));
    CHECK(sidebands.at(7) == static_cast<double>(Wide(2 * order * z_1 + next)));
    order = next;
  }
  const std::vector<double> vanes = orders_of(found, LineKind::excitation, "vanes");
  CHECK(vanes.at(0) == static_cast<double>(Wide(order * Wide(7.3))));
  CHECK(vanes.at(1) == static_cast<double>(Wide(order * Wide(1e-3))));
}

TEST_CASE("what nothing ties to the reference has no lines") {
  Machine machine = chain({{20, 60}});
  machine.shafts[0].order.reset();
  machine.shafts[0].order_against_bores.reset();
  std::vector<Line> found = lines(machine, {});
  CHECK(orders_of(found, LineKind::shaft, "s0").empty());
  CHECK(orders_of(found, LineKind::mesh, "m0") == std::vector<double>{20.0, 40.0, 60.0});
  CHECK(orders_of(found, LineKind::sideband, "m0").at(0) == 19.0);
  machine.shafts[1] = machine.shafts[0];
  machine.bearings.push_back({"bearing", 1, elements(9, 7.94, 39.04, 0.0)});
  machine.excitations.push_back({"vanes", 0, {7.0}});
  CHECK(lines(machine, {}).empty());
}

TEST_CASE("lines of three thousand meshes are quick") {
  std::mt19937 random(3);
  std::uniform_int_distribution<int> teeth(17, 80);
  std::vector<std::pair<int, int>> pairs;
  for (int i = 0; i < 3000; ++i) {
    pairs.emplace_back(teeth(random), teeth(random));
  }
  const Machine machine = chain(pairs);
  const auto begin = std::chrono::steady_clock::now();
  const std::vector<Line> found = lines(machine, {});
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
  CHECK(found.size() == 3001 + 3000 * (3 * 5 + 2));
  // 0.1 s on one core; a greatest common divisor for each line would take minutes.
  CHECK(elapsed.count() < 20.0);
}

TEST_CASE("lines refuse what cannot be, by name") {
  const auto message_of = [](const Machine& machine, const LineOptions& options) {
    try {
      (void)lines(machine, options);
    } catch (const DomainError& error) {
      return std::string(error.what());
    }
    return std::string("no error");
  };
  const Machine pair = chain({{20, 60}});
  CHECK(message_of(pair, {.harmonics = 0}) ==
        "harmonics of meshes: their number must be from 1 to 1000, not 0");
  CHECK(message_of(pair, {.sidebands = -1}) ==
        "sidebands: their number must be from 0 to 1000, not -1");
  CHECK(message_of(pair, {.shaft_harmonics = 1001}) ==
        "harmonics of shafts: their number must be from 1 to 1000, not 1001");
  CHECK(message_of(pair, {.bearing_harmonics = 0}) ==
        "harmonics of bearings: their number must be from 1 to 1000, not 0");
  Machine machine = pair;
  machine.meshes[0].shaft_2 = 2;
  CHECK(message_of(machine, {}) ==
        "mesh 'm0': the index of its shaft must be one of those given, not 2");
  machine = pair;
  machine.meshes[0].teeth_2 = -60;
  CHECK(message_of(machine, {}) == "mesh 'm0': its tooth numbers must be 1 or more, not -60");
  machine = pair;
  machine.meshes[0].teeth_2 = 61;
  CHECK(
      message_of(machine, {}) ==
      "mesh 'm0': the speeds of shafts 's0' and 's1' against their bores must be as its teeth, 20 "
      "and 61, make them");
  machine = pair;
  machine.shafts[1].order_against_bores = ExactRatio(0);
  CHECK_THAT(message_of(machine, {}), ContainsText("must be as its teeth"));

  CHECK(message_of(one_bearing(elements(2, 8.0, 40.0, 0.0)), {}) ==
        "bearing 'bearing': its rolling elements must be 3 or more, not 2");
  CHECK(message_of(one_bearing(elements(9, -8.0, 40.0, 0.0)), {}) ==
        "bearing 'bearing': the diameter of its elements must be above 0 mm, not -8 mm");
  CHECK(message_of(one_bearing(elements(9, 8.0, 8.0, 0.0)), {}) ==
        "bearing 'bearing': its pitch diameter must be above that of an element, not 8 mm");
  CHECK(message_of(one_bearing(elements(9, 8.0, 40.0, 90.0)), {}) ==
        "bearing 'bearing': its contact angle must be from 0 to below 90 deg, not 90 deg");
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THAT(message_of(one_bearing(elements(9, bad, 40.0, 0.0)), {}),
               ContainsText("diameter of its elements"));
    CHECK_THAT(message_of(one_bearing(elements(9, 8.0, bad, 0.0)), {}),
               ContainsText("pitch diameter"));
    CHECK_THAT(message_of(one_bearing(elements(9, 8.0, 40.0, bad)), {}),
               ContainsText("contact angle"));
  }
  for (const double bad : {0.0, -2.0, not_a_number, infinite}) {
    machine = pair;
    machine.excitations.push_back({"vanes", 0, {bad}});
    CHECK_THAT(message_of(machine, {}),
               StartsWith("excitation 'vanes': its orders must be above 0"));
  }
  const std::vector<std::pair<int, int>> fast(600, {2, 1});
  CHECK_THAT(message_of(chain(fast), {}), ContainsText("from 1e-150 to 1e150"));
}

namespace {

constexpr double full_turn = 2.0 * std::numbers::pi;

/// A fraction of a period against another, without the jump from 1 to 0.
double period_apart(double a, double b) {
  const double off = std::fmod(std::abs(a - b), 1.0);
  return std::min(off, 1.0 - off);
}

/// The phase by turning a gear with its teeth as pairs of flanks and waiting for a loaded flank to
/// come to each mesh. Gear teeth are `share` of a pitch thick; tooth j leads with a flank at
/// +share/2 pitch of its middle. A gear that drives pushes with its leading flanks, one that is
/// driven is pushed on its trailing flanks.
double turned_phase(int z, double dphi, bool idler, double share) {
  const double pitch = full_turn / z;
  const double half = 0.5 * share * pitch;
  const auto first_arrival = [z, pitch](double mesh, double flank, double from) {
    double first = infinite;
    for (int j = 0; j < z; ++j) {
      // The turn at which flank `flank` of tooth j stands at the mesh, the next one after `from`.
      double turn = mesh - (j * pitch + flank);
      while (turn < from) {
        turn += full_turn;
      }
      while (turn - full_turn >= from) {
        turn -= full_turn;
      }
      first = std::min(first, turn);
    }
    return first;
  };
  const double at_first = first_arrival(0.0, idler ? -half : half, 0.0);
  const double at_second = first_arrival(dphi, half, at_first);
  return (at_second - at_first) / pitch;
}

/// Of some turns and a few additions, over a pitch.
constexpr double phase_rounding = 1e-11;

}  // namespace

TEST_CASE("mesh phases as published") {
  struct Row {
    int z;
    double dphi;  // degrees
    double idler;
    double drives_both;
  };
  // Formulas of Parker and Lin, J. Mech. Des. 126 (2004) 365, from memory; values derived and
  // confirmed by brute force.
  const Row row =
      GENERATE(Row{20, 180.0, 0.5, 0.0}, Row{21, 180.0, 0.0, 0.5}, Row{24, 120.0, 0.5, 0.0},
               Row{25, 90.0, 0.75, 0.25}, Row{33, 147.3, 0.0025, 0.5025});
  INFO("z " << row.z << ", " << row.dphi << " degrees");
  const auto dphi = from_si<units::Angle>(row.dphi * std::numbers::pi / 180.0);
  // The printed digits are all there are.
  CHECK_THAT(mesh_phase({.teeth = row.z, .from_first_to_second = dphi, .idler = true}),
             WithinAbs(row.idler, 1e-13));
  CHECK_THAT(mesh_phase({.teeth = row.z, .from_first_to_second = dphi}),
             WithinAbs(row.drives_both, 1e-13));
}

TEST_CASE("mesh phases agree with gears that are turned") {
  std::mt19937 random(11);
  std::uniform_int_distribution<int> teeth(5, 90);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 500; ++i) {
    const int z = teeth(random);
    const double dphi = full_turn * unit(random);
    const double share = 0.2 + 0.6 * unit(random);
    const bool idler = i % 2 == 0;
    INFO("z " << z << ", dphi " << dphi << ", share " << share << (idler ? ", idler" : ""));
    const double found = mesh_phase({z, from_si<units::Angle>(dphi), idler, share});
    CHECK(found >= 0.0);
    CHECK(found < 1.0);
    CHECK(period_apart(found, turned_phase(z, dphi, idler, share)) < phase_rounding);
  }
}

TEST_CASE("a mesh phase takes any angle and refuses what is none") {
  const auto angle = [](double radians) { return from_si<units::Angle>(radians); };
  // Backwards, and more than a turn.
  CHECK_THAT(mesh_phase({25, angle(-0.25 * full_turn)}), WithinAbs(0.75, 1e-13));
  CHECK_THAT(mesh_phase({25, angle(1.25 * full_turn)}), WithinAbs(0.25, 1e-13));
  // Whole pitches, of which rounding leaves a little less.
  for (int z = 3; z < 200; ++z) {
    for (int j = 0; j < z; ++j) {
      const double phase = mesh_phase({z, angle(j * full_turn / z)});
      INFO(z << " " << j << " " << phase);
      CHECK(phase < 1e-12);
    }
  }
  CHECK_THROWS_MATCHES(mesh_phase({0, angle(1.0)}), DomainError,
                       Message("phase of two meshes: the tooth number must be 1 or more, not 0"));
  CHECK_THROWS_AS(mesh_phase({20, angle(not_a_number)}), DomainError);
  CHECK_THROWS_AS(mesh_phase({20, angle(1.0), true, 1.0}), DomainError);
  CHECK_THROWS_AS(mesh_phase({20, angle(1.0), true, not_a_number}), DomainError);
  CHECK_NOTHROW(mesh_phase({20, angle(1.0), false, not_a_number}));
}
