#include "lashband/thermal/carrier.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "catch.hpp"
#include "lashband/error.hpp"

using namespace lashband;
using namespace lashband::thermal;
using units::celsius;
using units::from_si;

namespace {

// Strains are of the order 1e-3 and carry a rounding of 1e-16 each.
constexpr double strain_rounding = 1e-14;
// Forces are differences of strains times E A, of the order 1e8 N.
constexpr double force_rounding = 1e-6;

std::shared_ptr<const materials::Material> solid_material(const std::string& id, double alpha,
                                                          double youngs_in_pascal) {
  materials::MaterialRecord record;
  record.id = id;
  record.family = "test";
  record.range = {celsius(-100), celsius(300)};
  record.elongation =
      materials::ElongationRecord{materials::MeanCoefficient{from_si<units::PerKelvin>(alpha)}, {}};
  if (youngs_in_pascal > 0.0) {
    record.youngs_modulus = from_si<units::Pressure>(youngs_in_pascal);
  }
  record.sources["all"] = "invented for this test";
  return std::make_shared<const materials::Material>(std::move(record));
}

constexpr double alpha_steel = 11.5e-6;
constexpr double alpha_aluminium = 21.0e-6;
constexpr double E_steel = 210e9;
constexpr double E_aluminium = 72e9;
constexpr double A_insert = 1200e-6;
constexpr double A_case = 2600e-6;
constexpr double span = 0.25;

const ZoneIndex plate_zone{0};
const ZoneIndex case_zone{1};

InsertCarrier insert_carrier(Joint joint) {
  return {{{solid_material("steel", alpha_steel, E_steel), plate_zone},
           from_si<units::Area>(A_insert),
           {}},
          {{solid_material("aluminium", alpha_aluminium, E_aluminium), case_zone},
           from_si<units::Area>(A_case),
           {}},
          from_si<units::Length>(span),
          std::move(joint)};
}

TemperatureState at(double plate, double housing) {
  return TemperatureState({celsius(plate), celsius(housing)});
}

CarrierState state_of(Joint joint, const TemperatureState& state,
                      const JointEnvelope& envelope = {-1.0, 1.0}) {
  return carrier_state({"c", insert_carrier(std::move(joint))}, state, {}, {envelope});
}

double k_insert() {
  return E_steel * A_insert / span;
}
double k_case() {
  return E_aluminium * A_case / span;
}
double travel(double plate, double housing) {
  return span * (alpha_aluminium * (housing - 20.0) - alpha_steel * (plate - 20.0));
}

}  // namespace

TEST_CASE("a plain carrier takes the elongation of its solid") {
  const Carrier carrier{"c", PlainCarrier{{solid_material("al", alpha_aluminium, 0), case_zone}}};
  const CarrierState state = carrier_state(carrier, at(50, 120), {}, {{0, 0}});
  CHECK_THAT(state.strain, WithinAbs(alpha_aluminium * 100.0, strain_rounding));
  CHECK(state.strain_reach.low == state.strain);
  CHECK(state.strain_reach.high == state.strain);
  CHECK_FALSE(state.joint_force.has_value());
  CHECK(carrier_state(carrier, at(50, 20), {}, {{0, 0}}).strain == 0.0);
}

TEST_CASE("a path carrier weights its solids by their shares") {
  const Carrier carrier{
      "c", PathCarrier{{{{solid_material("al", alpha_aluminium, 0), case_zone}, 0.75},
                        {{solid_material("steel", alpha_steel, 0), plate_zone}, 0.25}}}};
  CHECK_THAT(carrier_state(carrier, at(60, 120), {}, {{0, 0}}).strain,
             WithinAbs(0.75 * alpha_aluminium * 100 + 0.25 * alpha_steel * 40, strain_rounding));
}

TEST_CASE("strains relate to the reference temperature of the drawing") {
  const Carrier carrier{"c", PlainCarrier{{solid_material("al", alpha_aluminium, 0), case_zone}}};
  const Reference warm{celsius(25.0), materials::Extrapolation::refuse};
  const double at_25 = 1.0 + alpha_aluminium * 5.0;
  const double at_120 = 1.0 + alpha_aluminium * 100.0;
  CHECK_THAT(carrier_state(carrier, at(0, 120), warm, {{0, 0}}).strain,
             WithinAbs(at_120 / at_25 - 1.0, strain_rounding));
}

TEST_CASE("a rigid insert is the compound bar of the textbooks") {
  // eps = (E_I A_I eps_I + E_C A_C eps_C)/(E_I A_I + E_C A_C): two bars of equal length joined at
  // their ends (any strength of materials text).
  const CarrierState state = state_of(RigidJoint{}, at(-10, -40));
  const double stiff_i = E_steel * A_insert;
  const double stiff_c = E_aluminium * A_case;
  const double compound =
      (stiff_i * alpha_steel * -30.0 + stiff_c * alpha_aluminium * -60.0) / (stiff_i + stiff_c);
  CHECK_THAT(state.strain, WithinAbs(compound, strain_rounding));
  CHECK_THAT(state.joint_force->value(),
             WithinAbs(stiff_i * (compound - alpha_steel * -30.0), force_rounding));
}

TEST_CASE("the compound bar reproduces printed examples") {
  // Timoshenko, Strength of Materials, Part I, 3rd ed., p. 30, problem 9, from memory: a steel wire
  // between two copper wires under 4000 lbf, A = 0.1 in2 each, warmed by 10 F; stresses 19,695 psi
  // in the steel and 10,152 psi in the copper. Here in pounds and inches throughout: the insert is
  // the steel, the case both coppers, and the load is taken up by superposition.
  constexpr double printed_psi = 1.0;
  constexpr double load = 4000.0;
  constexpr double area = 0.1;
  constexpr double E_st = 30e6;
  constexpr double E_cu = 16e6;
  InsertCarrier bars = insert_carrier(RigidJoint{});
  bars.insert.solid = {solid_material("st", 7.0e-6, E_st), plate_zone};
  bars.case_part.solid = {solid_material("cu", 9.2e-6, E_cu), case_zone};
  bars.insert.section = from_si<units::Area>(area);
  bars.case_part.section = from_si<units::Area>(2.0 * area);
  const CarrierState state = carrier_state({"c", bars}, at(30, 30), {}, {{0, 0}});
  const double steel =
      E_st * load / (E_st * area + E_cu * 2.0 * area) + state.joint_force->value() / area;
  CHECK_THAT(steel, WithinAbs(19695.0, printed_psi));
  const double copper =
      E_cu * load / (E_st * area + E_cu * 2.0 * area) - state.joint_force->value() / (2.0 * area);
  CHECK_THAT(copper, WithinAbs(10152.0, printed_psi));
}

TEST_CASE("the bolt and sleeve problem") {
  // Gere, Mechanics of Materials, brass sleeve over a steel bolt, from memory: 34 K bring 25 MPa
  // into the sleeve (bolt 25 mm, sleeve 26/36 mm, 21e-6 and 10e-6 1/K, 100 and 200 GPa).
  constexpr double printed_kelvin = 0.05;
  const double quarter_pi = std::atan(1.0);
  const double sleeve = quarter_pi * (0.036 * 0.036 - 0.026 * 0.026);
  InsertCarrier bars = insert_carrier(RigidJoint{});
  bars.insert.solid = {solid_material("bolt", 10e-6, 200e9), plate_zone};
  bars.case_part.solid = {solid_material("sleeve", 21e-6, 100e9), case_zone};
  bars.insert.section = from_si<units::Area>(quarter_pi * 0.025 * 0.025);
  bars.case_part.section = from_si<units::Area>(sleeve);
  const double stress_at_30 =
      carrier_state({"c", bars}, at(50, 50), {}, {{0, 0}}).joint_force->value() / sleeve;
  CHECK_THAT(30.0 * 25e6 / stress_at_30, WithinAbs(34.0, printed_kelvin));
}

TEST_CASE("an elastic joint puts three springs in series") {
  constexpr double k_joint = 2e8;
  const CarrierState state =
      state_of(ElasticJoint{from_si<units::LinearStiffness>(k_joint)}, at(80, 60));
  const double k = 1.0 / (1.0 / k_insert() + 1.0 / k_case() + 1.0 / k_joint);
  const double force = k * travel(80, 60);
  CHECK_THAT(state.joint_force->value(), WithinAbs(force, force_rounding));
  CHECK_THAT(state.strain,
             WithinAbs(alpha_steel * 60 + force / (k_insert() * span), strain_rounding));
}

TEST_CASE("a given stiffness replaces the section") {
  InsertCarrier by_stiffness = insert_carrier(RigidJoint{});
  by_stiffness.insert.section.reset();
  by_stiffness.insert.stiffness = from_si<units::LinearStiffness>(k_insert());
  const CarrierState a = carrier_state({"c", by_stiffness}, at(-10, -40), {}, {{0, 0}});
  const CarrierState b = state_of(RigidJoint{}, at(-10, -40));
  CHECK_THAT(a.strain, WithinAbs(b.strain, strain_rounding));
  CHECK_THAT(a.joint_force->value(), WithinAbs(b.joint_force->value(), force_rounding));
}

TEST_CASE("a clearance joint lets the insert float until a stop is reached") {
  const units::Length squeeze = from_si<units::Length>(100e-6);
  const units::Length stretch = from_si<units::Length>(50e-6);
  const ClearanceJoint joint{squeeze, stretch, {}};

  SECTION("floating: as the bare insert, whatever the clearance") {
    const CarrierState state = state_of(joint, at(0, 0));
    REQUIRE(travel(0, 0) > -100e-6);
    CHECK(state.strain == state_of(ClearanceJoint{}, at(0, 0)).strain);
    CHECK_THAT(state.strain, WithinAbs(alpha_steel * -20.0, strain_rounding));
    CHECK(state.joint_force->value() == 0.0);
    CHECK_THAT(state.squeeze_left->value(), WithinAbs(100e-6 + travel(0, 0), strain_rounding));
    CHECK_THAT(state.stretch_left->value(), WithinAbs(50e-6 - travel(0, 0), strain_rounding));
  }
  SECTION("squeezed: only what exceeds the clearance presses") {
    const CarrierState state = state_of(joint, at(0, -40));
    REQUIRE(travel(0, -40) < -100e-6);
    const double k = 1.0 / (1.0 / k_insert() + 1.0 / k_case());
    CHECK_THAT(state.joint_force->value(),
               WithinAbs(k * (travel(0, -40) + 100e-6), force_rounding));
    CHECK(state.squeeze_left->value() < 0.0);
  }
  SECTION("stretched") {
    const CarrierState state = state_of(joint, at(100, 90));
    REQUIRE(travel(100, 90) > 50e-6);
    const double k = 1.0 / (1.0 / k_insert() + 1.0 / k_case());
    CHECK_THAT(state.joint_force->value(),
               WithinAbs(k * (travel(100, 90) - 50e-6), force_rounding));
    CHECK(state.stretch_left->value() < 0.0);
  }
  SECTION("a stop that is not there never presses and has no travel left to tell") {
    const CarrierState state = state_of(ClearanceJoint{{}, stretch, {}}, at(0, -90));
    CHECK(state.joint_force->value() == 0.0);
    CHECK_FALSE(state.squeeze_left.has_value());
    CHECK(state.stretch_left.has_value());
  }
  SECTION("no clearance at all is the rigid joint") {
    const units::Length none;
    const CarrierState state = state_of(ClearanceJoint{none, none, {}}, at(-10, -40));
    const CarrierState rigid = state_of(RigidJoint{}, at(-10, -40));
    CHECK_THAT(state.strain, WithinAbs(rigid.strain, strain_rounding));
    CHECK_THAT(state.joint_force->value(), WithinAbs(rigid.joint_force->value(), force_rounding));
  }
}

TEST_CASE("a friction joint slips at its force and remembers") {
  const auto joint = [](double slip) { return FrictionJoint{from_si<units::Force>(slip), {}}; };

  SECTION("a huge slip force is the rigid joint, with nothing to remember") {
    const JointEnvelope envelope{-1e-3, 1e-3};
    const CarrierState state = state_of(joint(1e12), at(-10, -40), envelope);
    const CarrierState rigid = state_of(RigidJoint{}, at(-10, -40));
    CHECK_THAT(state.strain, WithinAbs(rigid.strain, strain_rounding));
    CHECK_THAT(state.strain_reach.low, WithinAbs(rigid.strain, strain_rounding));
    CHECK_THAT(state.strain_reach.high, WithinAbs(rigid.strain, strain_rounding));
  }
  SECTION("no slip force is the bare insert") {
    const CarrierState state = state_of(joint(0.0), at(-10, -40));
    CHECK(state.joint_force->value() == 0.0);
    CHECK_THAT(state.strain, WithinAbs(alpha_steel * -30.0, strain_rounding));
  }
  SECTION("the reach holds what any history within the envelope does") {
    // An independent route: the play operator stepped through many random histories that start at
    // assembly and stay within the envelope.
    constexpr double slip = 20e3;
    const JointEnvelope envelope{-4e-4, 7e-4};
    const double plate = 60.0;
    const double housing = 50.0;
    const CarrierState state = state_of(joint(slip), at(plate, housing), envelope);
    const double k = 1.0 / (1.0 / (E_steel * A_insert) + 1.0 / (E_aluminium * A_case));
    const double target = travel(plate, housing) / span;
    double low = 1e300;
    double high = -1e300;
    unsigned seed = 1;
    for (int history = 0; history < 20000; ++history) {
      double relative = 0.0;
      double force = 0.0;
      const auto go = [&](double next) {
        force = std::min(std::max(force + k * (next - relative), -slip), slip);
        relative = next;
      };
      for (int step = 0; step < 3; ++step) {
        seed = seed * 1664525U + 1013904223U;
        const double share = static_cast<double>(seed >> 8U) / static_cast<double>(1U << 24U);
        // Every other history goes to the very ends of the envelope.
        go(history % 2 == 0 ? (share < 0.5 ? envelope.low : envelope.high)
                            : envelope.low + share * (envelope.high - envelope.low));
      }
      go(target);
      low = std::min(low, force);
      high = std::max(high, force);
    }
    CHECK_THAT(state.joint_force_reach->low.value(), WithinAbs(low, force_rounding));
    CHECK_THAT(state.joint_force_reach->high.value(), WithinAbs(high, force_rounding));
    CHECK(state.joint_force->value() >= low - force_rounding);
    CHECK(state.joint_force->value() <= high + force_rounding);
  }
}

TEST_CASE("a history takes a friction joint from assembly on") {
  constexpr double slip = 20e3;
  const Carrier carrier{"c", insert_carrier(FrictionJoint{from_si<units::Force>(slip), {}})};
  const double k = 1.0 / (1.0 / (E_steel * A_insert) + 1.0 / (E_aluminium * A_case));
  // Ends of the ways a day takes: out and back, further out, and not all the way back.
  const std::vector<std::pair<double, double>> ends{{-40, -40}, {30, -30}, {85, 40}, {60, 70},
                                                    {118, 92},  {20, 20},  {25, 31}, {-10, 5}};
  std::vector<TemperatureState> states;
  for (const auto& [plate, housing] : ends) {
    states.push_back(at(plate, housing));
  }
  const std::vector<std::vector<JointSlip>> slips = joint_slips(carrier, states, {});
  REQUIRE(slips.size() == states.size());

  // The same by many small increments of the force, an elastic one as long as it does not slip.
  double force = 0.0;
  double relative = 0.0;
  const auto creep = [&](double plate, double housing) {
    constexpr int steps = 1000;
    const double from = relative;
    const double to = travel(plate, housing) / span;
    for (int i = 1; i <= steps; ++i) {
      const double next = from + (to - from) * i / steps;
      force = std::clamp(force + k * (next - relative), -slip, slip);
      relative = next;
    }
    return force;
  };
  std::vector<double> first;
  std::vector<double> again;
  std::vector<double> third;
  for (std::vector<double>* pass : {&first, &again, &third}) {
    for (const auto& [plate, housing] : ends) {
      pass->push_back(creep(plate, housing));
    }
  }
  for (std::size_t i = 0; i < states.size(); ++i) {
    CAPTURE(i);
    // The slip after a state stands for the joint there, and so does the slip before it.
    const std::vector<JointSlip> before =
        i == 0 ? std::vector<JointSlip>{JointSlip{}} : slips[i - 1];
    const CarrierState here = carrier_state(carrier, states[i], {}, {{-1.0, 1.0}}, slips[i]);
    const CarrierState reached = carrier_state(carrier, states[i], {}, {{-1.0, 1.0}}, before);
    CHECK_THAT(here.joint_force->value(), WithinAbs(first[i], force_rounding));
    CHECK_THAT(reached.joint_force->value(), WithinAbs(first[i], force_rounding));
    CHECK_THAT(here.joint_force_reach->low.value(),
               WithinAbs(std::min(first[i], again[i]), force_rounding));
    CHECK_THAT(here.joint_force_reach->high.value(),
               WithinAbs(std::max(first[i], again[i]), force_rounding));
    CHECK_THAT(third[i], WithinAbs(again[i], force_rounding));
    // The law of the strain is that of the state.
    const std::vector<double> elongations{solids_of(carrier)[0].elongation(states[i], {}),
                                          solids_of(carrier)[1].elongation(states[i], {})};
    const auto law = [&](Loading loading) {
      return strain_law(carrier, states[i], {}, {{-1.0, 1.0}}, loading, {}, slips[i])
          .strain(elongations);
    };
    CHECK_THAT(law(Loading::first), WithinAbs(here.strain, strain_rounding));
    CHECK_THAT(law(Loading::least), WithinAbs(here.strain_reach.low, strain_rounding));
    CHECK_THAT(law(Loading::greatest), WithinAbs(here.strain_reach.high, strain_rounding));
  }
  // What the forces have been says more than the envelope does.
  const auto envelope = joint_envelopes(carrier, states, {});
  for (std::size_t i = 0; i < states.size(); ++i) {
    const CarrierState known = carrier_state(carrier, states[i], {}, envelope, slips[i]);
    const CarrierState any = carrier_state(carrier, states[i], {}, envelope);
    CHECK(known.joint_force_reach->low.value() >=
          any.joint_force_reach->low.value() - force_rounding);
    CHECK(known.joint_force_reach->high.value() <=
          any.joint_force_reach->high.value() + force_rounding);
  }
  CHECK(joint_slips({"plain", PlainCarrier{{solid_material("a", 20e-6, 70e9), case_zone}}}, states,
                    {})
            .empty());
}

TEST_CASE("each wall's friction joint has its own slip") {
  const InsertCarrier slipping = insert_carrier(FrictionJoint{from_si<units::Force>(20e3), {}});
  const Carrier walls{"c",
                      WallsCarrier{{from_si<units::Length>(0.0), slipping},
                                   {from_si<units::Length>(0.1),
                                    PlainCarrier{{solid_material("a", 20e-6, 70e9), case_zone}}}}};
  const std::vector<TemperatureState> states{at(-40, -40), at(90, 30)};
  const auto alone = joint_slips({"c", slipping}, states, {});
  const auto both = joint_slips(walls, states, {});
  REQUIRE(both.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    REQUIRE(both[i].size() == 2);
    CHECK(both[i][0].first == alone[i][0].first);
    CHECK(both[i][1].first == 0.0);
    const CarrierState state =
        carrier_state(walls, states[i], {}, {{-1.0, 1.0}, {0.0, 0.0}}, both[i]);
    const CarrierState first =
        carrier_state({"c", slipping}, states[i], {}, {{-1.0, 1.0}}, alone[i]);
    CHECK_THAT(state.walls[0].strain, WithinAbs(first.strain, strain_rounding));
    CHECK_THAT(state.walls[1].strain,
               WithinAbs(solids_of(walls)[2].elongation(states[i], {}), strain_rounding));
  }
}

TEST_CASE("the envelope of a joint holds the reference state and ignores the order of states") {
  const Carrier carrier{"c", insert_carrier(RigidJoint{})};
  const JointEnvelope up = joint_envelopes(carrier, {at(20, 60), at(20, 90)}, {}).at(0);
  CHECK(up.low == 0.0);
  CHECK_THAT(up.high, WithinAbs(alpha_aluminium * 70.0, strain_rounding));
  const JointEnvelope down = joint_envelopes(carrier, {at(20, 90), at(20, 60)}, {}).at(0);
  CHECK(down.low == up.low);
  CHECK(down.high == up.high);
}

TEST_CASE("a lacking modulus and a temperature outside the range are named") {
  InsertCarrier no_modulus = insert_carrier(RigidJoint{});
  no_modulus.insert.solid.material = solid_material("soft", alpha_steel, 0.0);
  CHECK_THROWS_MATCHES(carrier_state({"c", no_modulus}, at(0, 0), {}, {{0, 0}}), MaterialError,
                       Predicate<MaterialError>([](const MaterialError& error) {
                         return std::string(error.what()).find("soft") != std::string::npos;
                       }));
  const Carrier plain{"c", PlainCarrier{{solid_material("al", alpha_aluminium, 0), case_zone}}};
  CHECK_THROWS_AS(carrier_state(plain, at(0, 301), {}, {{0, 0}}), MaterialError);
  const Reference allow{celsius(20.0), materials::Extrapolation::allow};
  CHECK_THAT(carrier_state(plain, at(0, 301), allow, {{0, 0}}).strain,
             WithinAbs(alpha_aluminium * 281.0, strain_rounding));
}

namespace {

std::vector<double> elongations_of(const Carrier& carrier, const TemperatureState& state) {
  std::vector<double> elongations;
  for (const Solid& solid : solids_of(carrier)) {
    elongations.push_back(solid.elongation(state, {}));
  }
  return elongations;
}

// A steel plate that the case may squeeze on one side, plain aluminium on the other.
Carrier two_walls(Joint joint) {
  return {"c", WallsCarrier{{from_si<units::Length>(-0.02), insert_carrier(std::move(joint))},
                            {from_si<units::Length>(0.06),
                             PlainCarrier{{solid_material("al", alpha_aluminium, 0), case_zone}}}}};
}

}  // namespace

TEST_CASE("between two walls the strain goes linearly with the place, and beyond them") {
  const Carrier carrier = two_walls(ElasticJoint{from_si<units::LinearStiffness>(1e8)});
  const TemperatureState cold = at(-10, -40);
  const CarrierState state = carrier_state(carrier, cold, {}, {{0, 0}, {0, 0}});
  const double plate = state_of(ElasticJoint{from_si<units::LinearStiffness>(1e8)}, cold).strain;
  const double wall = alpha_aluminium * -60.0;
  const auto strain_at = [&state](double place) {
    return state.strain_at(from_si<units::Length>(place));
  };
  CHECK_THAT(strain_at(-0.02), WithinAbs(plate, strain_rounding));
  CHECK_THAT(strain_at(0.06), WithinAbs(wall, strain_rounding));
  CHECK_THAT(strain_at(0.0), WithinAbs(0.75 * plate + 0.25 * wall, strain_rounding));
  CHECK_THAT(strain_at(0.10), WithinAbs(wall + 0.5 * (wall - plate), strain_rounding));
  CHECK_THAT(state.strain, WithinAbs(0.5 * (plate + wall), strain_rounding));
  CHECK(state.joint_force.has_value());
  // A bearing sits in the nearer wall: the plate is the first solid, the second wall the third.
  CHECK(bore_solid_index(carrier, from_si<units::Length>(0.0)) == 0);
  CHECK(bore_solid_index(carrier, from_si<units::Length>(0.05)) == 2);
}

TEST_CASE("the reach of a friction joint counts the other way round beyond the far wall") {
  const Carrier carrier = two_walls(FrictionJoint{from_si<units::Force>(20e3), {}});
  const CarrierState state = carrier_state(carrier, at(60, 50), {}, {{-4e-4, 7e-4}, {0, 0}});
  for (const double place : {-0.04, 0.0, 0.05, 0.12}) {
    const auto at_place = from_si<units::Length>(place);
    const Extent<double> reach = state.reach_at(at_place);
    CHECK(reach.low <= state.strain_at(at_place));
    CHECK(reach.high >= state.strain_at(at_place));
  }
}

TEST_CASE("the law of the strain gives the strain of every build at its own elongations") {
  // Wide enough for every state below.
  const std::vector<JointEnvelope> envelopes{{-1.2e-3, 1.6e-3}, {-1e-3, 1e-3}};
  const auto compliance = from_si<units::LinearStiffness>(3e8);
  const auto gap = from_si<units::Length>(20e-6);
  const std::vector<Carrier> carriers{
      {"plain", PlainCarrier{{solid_material("al", alpha_aluminium, 0), case_zone}}},
      {"path", PathCarrier{{{{solid_material("al", alpha_aluminium, 0), case_zone}, 0.3},
                            {{solid_material("steel", alpha_steel, 0), plate_zone}, 0.7}}}},
      {"rigid", insert_carrier(RigidJoint{})},
      {"elastic", insert_carrier(ElasticJoint{compliance})},
      {"clearance", insert_carrier(ClearanceJoint{gap, gap, compliance})},
      {"one way", insert_carrier(ClearanceJoint{gap, {}, {}})},
      {"friction", insert_carrier(FrictionJoint{from_si<units::Force>(15e3), {}})},
      two_walls(FrictionJoint{from_si<units::Force>(15e3), compliance})};
  for (const Carrier& carrier : carriers) {
    INFO(carrier.id);
    for (const TemperatureState& state : {at(-10, -40), at(60, 50), at(20, 90), at(25, 20)}) {
      const CarrierState whole = carrier_state(carrier, state, {}, envelopes);
      for (const double place : {-0.05, 0.01, 0.09}) {
        const auto at_place = from_si<units::Length>(place);
        const auto strain = [&](Loading loading) {
          return strain_law(carrier, state, {}, envelopes, loading, at_place)
              .strain(elongations_of(carrier, state));
        };
        CHECK_THAT(strain(Loading::first), WithinAbs(whole.strain_at(at_place), strain_rounding));
        CHECK_THAT(strain(Loading::least),
                   WithinAbs(whole.reach_at(at_place).low, strain_rounding));
        CHECK_THAT(strain(Loading::greatest),
                   WithinAbs(whole.reach_at(at_place).high, strain_rounding));
      }
    }
  }
}

TEST_CASE("the slopes of the law are its differences") {
  const Carrier carrier = two_walls(ClearanceJoint{from_si<units::Length>(20e-6), {}, {}});
  const std::vector<JointEnvelope> envelopes{{0, 0}, {0, 0}};
  constexpr double step = 1e-7;
  constexpr double of_differences = 1e-8;
  for (const TemperatureState& state : {at(-10, -40), at(60, 70)}) {
    const StrainLaw law = strain_law(carrier, state, {}, envelopes, Loading::first, {});
    std::vector<double> elongations = elongations_of(carrier, state);
    const std::vector<double> slopes = law.slopes(elongations);
    for (std::size_t k = 0; k < elongations.size(); ++k) {
      const double here = law.strain(elongations);
      elongations[k] += step;
      CHECK_THAT((law.strain(elongations) - here) / step, WithinAbs(slopes[k], of_differences));
      elongations[k] -= step;
    }
  }
}

TEST_CASE("permanent and moisture strain add to the elongation with their mid values") {
  Solid solid{solid_material("pa", 80e-6, 0), plate_zone};
  const auto between = [](double low, double high) {
    return tolerance::Toleranced<units::Ratio>{
        {from_si<units::Ratio>(low), from_si<units::Ratio>(high)}, tolerance::Shape::normal()};
  };
  solid.permanent_strain = between(-2e-4, 0.0);
  solid.moisture_strain = between(2e-3, 5e-3);
  const double thermal = solid.thermal_elongation(at(60, 0), {});
  CHECK_THAT(thermal, WithinAbs(80e-6 * 40.0, strain_rounding));
  CHECK_THAT(solid.elongation(at(60, 0), {}), WithinAbs(thermal - 1e-4 + 3.5e-3, strain_rounding));
}
