#include "lashband/heat/network.hpp"

#include <functional>
#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_networks.hpp"

using namespace lashband;
using namespace lashband::heat;
using namespace lashband::test;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

struct Lists {
  std::vector<Body> bodies{{"a", joules_per_kelvin(10)}, {"b", joules_per_kelvin(20)}};
  std::vector<Boundary> boundaries{{"air"}};
  std::vector<Conductance> conductances{{"joint", body(0), body(1), watts_per_kelvin(2)},
                                        {"film", body(1), boundary(0), watts_per_kelvin(3)}};
  std::vector<Stream> streams{{"in", boundary(0), body(0), watts_per_kelvin(4)},
                              {"on", body(0), body(1), watts_per_kelvin(4)}};
};

Network network_of(const Lists& lists) {
  return {lists.bodies, lists.boundaries, lists.conductances, lists.streams};
}

using Groups = std::vector<std::vector<std::size_t>>;

}  // namespace

TEST_CASE("a network keeps what it was given") {
  const Network network = network_of({});
  CHECK(network.bodies().size() == 2);
  CHECK(network.boundaries().at(0).id == "air");
  CHECK(network.conductances().at(1).id == "film");
  CHECK(network.streams().at(1).to == body(1));
  CHECK(network.floating_groups().empty());
}

TEST_CASE("networks that cannot be are refused") {
  struct Row {
    const char* what;
    std::function<void(Lists&)> spoil;
  };
  const auto capacity = [](double value) {
    return [value](Lists& lists) { lists.bodies[0].capacity = joules_per_kelvin(value); };
  };
  const auto conductance = [](double value) {
    return [value](Lists& lists) { lists.conductances[0].value = watts_per_kelvin(value); };
  };
  const auto rate = [](double value) {
    return [value](Lists& lists) { lists.streams[0].capacity_rate = watts_per_kelvin(value); };
  };
  const auto thermostat = [](std::vector<Thermostat::Point> points) {
    return [points](Lists& lists) { lists.streams[0].thermostat = Thermostat{body(0), points}; };
  };
  const auto wall = [](double area, double length) {
    return [=](Lists& lists) {
      lists.conductances[0].value =
          ConductingWall{made_brass(), from_si<units::Area>(area), from_si<units::Length>(length)};
    };
  };
  const auto mass = [](double kilograms, std::shared_ptr<const materials::Material> material) {
    return [=](Lists& lists) {
      lists.bodies[1].capacity = MassOfMaterial{from_si<units::Mass>(kilograms), material};
    };
  };
  materials::MaterialRecord bare;
  bare.id = "bare";
  bare.family = "oil";
  bare.range = {celsius(0), celsius(100)};
  const auto without_properties = std::make_shared<const materials::Material>(bare);

  const std::vector<Row> rows{
      {"no body",
       [](Lists& lists) {
         lists = Lists{{}, {}, {}, {}};
       }},
      {"same id of bodies", [](Lists& lists) { lists.bodies[1].id = "a"; }},
      {"same id of boundaries",
       [](Lists& lists) { lists.boundaries.push_back(lists.boundaries[0]); }},
      {"same id of conductances", [](Lists& lists) { lists.conductances[1].id = "joint"; }},
      {"same id of streams", [](Lists& lists) { lists.streams[1].id = "in"; }},
      {"capacity 0", capacity(0)},
      {"capacity below 0", capacity(-1)},
      {"capacity no number", capacity(not_a_number)},
      {"capacity infinite", capacity(infinite)},
      {"mass 0", mass(0, made_steel())},
      {"mass no number", mass(not_a_number, made_steel())},
      {"no material", mass(1, nullptr)},
      {"no specific heat", mass(1, without_properties)},
      {"conductance below 0", conductance(-1)},
      {"conductance no number", conductance(not_a_number)},
      {"conductance infinite", conductance(infinite)},
      {"rate below 0", rate(-1)},
      {"rate no number", rate(not_a_number)},
      {"wall without area", wall(0, 1)},
      {"wall without length", wall(1, 0)},
      {"wall of no number", wall(not_a_number, 1)},
      {"wall without material",
       [](Lists& lists) {
         lists.conductances[0].value =
             ConductingWall{nullptr, from_si<units::Area>(1), from_si<units::Length>(1)};
       }},
      {"wall without conductivity",
       [&](Lists& lists) {
         lists.conductances[0].value =
             ConductingWall{without_properties, from_si<units::Area>(1), from_si<units::Length>(1)};
       }},
      {"no such body", [](Lists& lists) { lists.conductances[0].second = body(2); }},
      {"no such boundary", [](Lists& lists) { lists.streams[0].from = boundary(1); }},
      {"joined to itself", [](Lists& lists) { lists.conductances[0].second = body(0); }},
      {"flows to itself", [](Lists& lists) { lists.streams[1].to = body(0); }},
      {"ends at a boundary", [](Lists& lists) { lists.streams[1].to = boundary(0); }},
      {"one point", thermostat({{celsius(20), 1}})},
      {"points that fall", thermostat({{celsius(20), 1}, {celsius(10), 0}})},
      {"points at one temperature", thermostat({{celsius(20), 1}, {celsius(20), 0}})},
      {"point no number", thermostat({{celsius(not_a_number), 1}, {celsius(20), 0}})},
      {"opening above 1", thermostat({{celsius(10), 0}, {celsius(20), 1.1}})},
      {"opening below 0", thermostat({{celsius(10), -0.1}, {celsius(20), 1}})},
      {"opening no number", thermostat({{celsius(10), not_a_number}, {celsius(20), 1}})},
      {"feels nothing",
       [](Lists& lists) {
         lists.streams[0].thermostat = Thermostat{body(9), {{celsius(0), 0}, {celsius(9), 1}}};
       }},
      {"runs dry", [](Lists& lists) { lists.streams[1].capacity_rate = watts_per_kelvin(4.1); }},
  };
  for (const Row& row : rows) {
    INFO(row.what);
    Lists lists;
    row.spoil(lists);
    CHECK_THROWS_AS(network_of(lists), DomainError);
  }
  Lists dry;
  dry.streams[1].capacity_rate = watts_per_kelvin(4.5);
  CHECK_THROWS_MATCHES(network_of(dry), DomainError,
                       Message("body 'a': no more may flow out by streams than the 4 W/K that flow "
                               "in, not 4.5 W/K"));
  Lists twice;
  twice.bodies[1].id = "a";
  CHECK_THROWS_MATCHES(network_of(twice), DomainError,
                       Message("body 'a' stands twice in its list"));
  // Rounded sums of flows, zero conductances and streams pass.
  Lists rounded;
  rounded.streams[1].capacity_rate = watts_per_kelvin(4 * (1 + 1e-10));
  rounded.conductances[0].value = watts_per_kelvin(0);
  CHECK_NOTHROW(network_of(rounded));
}

TEST_CASE("groups that reach no boundary are found") {
  Lists lists;
  lists.bodies.assign(7, {});
  for (std::size_t i = 0; i < 7; ++i) {
    lists.bodies[i] = {numbered("body ", i), joules_per_kelvin(1)};
  }
  lists.streams.clear();
  lists.conductances = {{"anchor", body(0), boundary(0), watts_per_kelvin(1)},
                        {"pair", body(5), body(2), watts_per_kelvin(1)},
                        {"none", body(0), body(2), watts_per_kelvin(0)}};
  // An oil circuit of three bodies, and one body alone.
  lists.streams = {{"1 to 3", body(1), body(3), watts_per_kelvin(2)},
                   {"3 to 6", body(3), body(6), watts_per_kelvin(2)},
                   {"6 to 1", body(6), body(1), watts_per_kelvin(2)}};
  CHECK(network_of(lists).floating_groups() == Groups{{1, 3, 6}, {2, 5}, {4}});

  // A through-flow takes heat along.
  lists.streams.push_back({"supply", boundary(0), body(6), watts_per_kelvin(1)});
  CHECK(network_of(lists).floating_groups() == Groups{{2, 5}, {4}});

  // A valve that never opens joins nothing, one that may does.
  lists.conductances[2].value = watts_per_kelvin(1);
  lists.conductances[2].thermostat = Thermostat{body(0), {{celsius(0), 0}, {celsius(1), 0}}};
  CHECK(network_of(lists).floating_groups() == Groups{{2, 5}, {4}});
  lists.conductances[2].thermostat->points[1].opening = 0.1;
  CHECK(network_of(lists).floating_groups() == Groups{{4}});

  // A wall always joins.
  lists.conductances.push_back(
      {"wall", body(4), boundary(0),
       ConductingWall{made_brass(), from_si<units::Area>(1), from_si<units::Length>(1)}});
  CHECK(network_of(lists).floating_groups().empty());
}
