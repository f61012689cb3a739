#include "lashband/design/layout.hpp"

#include <cmath>
#include <string>
#include <vector>

#include "catch.hpp"

using namespace lashband;
using namespace lashband::design;

namespace {

units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}

// Places are chosen with a few roundings of numbers around 0.1 m.
constexpr double rounding_in_mm = 1e-9;

void add_shaft(Design& design, const std::string& id) {
  Shaft shaft;
  shaft.id = id;
  design.shafts.push_back(shaft);
}

void add_shaft(Design& design, const std::string& id, double x, double y) {
  add_shaft(design, id);
  design.shafts.back().at = geometry::Point{mm(x), mm(y)};
}

// A spur gear of module 2 mm without profile shift: d = 2 z mm, d_a = 2 (z + 2) mm (ISO 21771).
std::size_t add_gear(Design& design, std::size_t shaft, int teeth) {
  geometry::ToothData data;
  data.teeth = teeth;
  data.module = mm(2.0);
  data.pressure_angle = units::from_si<units::Angle>(0.349);
  data.face_width = mm(20.0);
  design.gears.push_back({"gear " + std::to_string(design.gears.size()),
                          shaft,
                          geometry::ToothedBody(data),
                          {},
                          {},
                          {},
                          {},
                          {},
                          {},
                          {}});
  return design.gears.size() - 1;
}

void add_mesh(Design& design, std::size_t gear_1, std::size_t gear_2, double centre_distance) {
  Mesh mesh;
  mesh.id = "mesh " + std::to_string(design.meshes.size());
  mesh.gear_1 = gear_1;
  mesh.gear_2 = gear_2;
  mesh.centre_distance = mm(centre_distance);
  design.meshes.push_back(mesh);
}

// Shafts with one gear each, none placed.
Design unplaced(const std::vector<int>& teeth) {
  Design design;
  for (std::size_t i = 0; i < teeth.size(); ++i) {
    add_shaft(design, "shaft " + std::to_string(i));
    add_gear(design, i, teeth[i]);
  }
  return design;
}

double distance_in_mm(const Layout& layout, std::size_t first, std::size_t second) {
  const double x = (layout.shafts[second].place.x - layout.shafts[first].place.x).value();
  const double y = (layout.shafts[second].place.y - layout.shafts[first].place.y).value();
  return 1e3 * std::sqrt(x * x + y * y);
}

// Every mesh of the layout is as long as the design says, and every other pair of shafts of one
// gear each is at least their tip radii apart.
void check_distances(const Design& design, const Layout& layout) {
  std::vector<std::vector<bool>> meshing(layout.shafts.size(),
                                         std::vector<bool>(layout.shafts.size(), false));
  for (std::size_t i = 0; i < design.meshes.size(); ++i) {
    const std::size_t a = design.gears[design.meshes[i].gear_1].shaft;
    const std::size_t b = design.gears[design.meshes[i].gear_2].shaft;
    meshing[a][b] = meshing[b][a] = true;
    INFO(design.meshes[i].id);
    CHECK_THAT(distance_in_mm(layout, a, b),
               WithinAbs(1e3 * design.meshes[i].centre_distance.value(), rounding_in_mm));
    CHECK(layout.meshes[i].to_scale);
  }
  for (std::size_t a = 0; a < layout.gears.size(); ++a) {
    for (std::size_t b = a + 1; b < layout.gears.size(); ++b) {
      const std::size_t shaft_a = layout.gears[a].shaft;
      const std::size_t shaft_b = layout.gears[b].shaft;
      if (shaft_a != shaft_b && !meshing[shaft_a][shaft_b]) {
        INFO(layout.gears[a].id << ", " << layout.gears[b].id);
        CHECK(distance_in_mm(layout, shaft_a, shaft_b) >=
              1e3 * (layout.gears[a].tip_radius + layout.gears[b].tip_radius).value());
      }
    }
  }
}

}  // namespace

TEST_CASE("a layout keeps the places that are given, and takes the circles of the teeth") {
  Design design;
  add_shaft(design, "A", -93.618, 12.5);
  add_shaft(design, "B", 0.1, -0.3);
  add_gear(design, 0, 20);
  add_gear(design, 1, 40);
  const Layout result = layout(design);
  REQUIRE(result.shafts.size() == 2);
  CHECK(result.shafts[0].place.x == mm(-93.618));
  CHECK(result.shafts[0].place.y == mm(12.5));
  CHECK(result.shafts[1].place.x == mm(0.1));
  CHECK(result.shafts[1].place_given);
  CHECK_THAT(1e3 * result.gears[1].reference_radius.value(), WithinAbs(40.0, rounding_in_mm));
  CHECK_THAT(1e3 * result.gears[1].tip_radius.value(), WithinAbs(42.0, rounding_in_mm));
}

TEST_CASE("shafts without a place are laid at their centre distances, a row as a row") {
  Design design = unplaced({20, 47, 31, 18});
  add_mesh(design, 0, 1, 67.3);
  add_mesh(design, 1, 2, 78.1);
  add_mesh(design, 2, 3, 49.2);
  const Layout result = layout(design);
  check_distances(design, result);
  CHECK_FALSE(result.shafts[0].place_given);
  CHECK_THAT(distance_in_mm(result, 0, 3), WithinAbs(67.3 + 78.1 + 49.2, rounding_in_mm));
}

TEST_CASE("the wheels around a sun keep clear of one another") {
  Design design = unplaced({120, 18, 18, 30, 18, 25, 18, 18, 40});
  for (std::size_t i = 1; i < design.shafts.size(); ++i) {
    add_mesh(
        design, 0, i,
        1e3 *
            (design.gears[0].body.reference_diameter() + design.gears[i].body.reference_diameter())
                .value() /
            2.0);
  }
  check_distances(design, layout(design));
}

TEST_CASE("a wheel on a full row of given places goes to the side") {
  Design design;
  for (int i = 0; i < 3; ++i) {
    add_shaft(design, "row " + std::to_string(i), 80.0 * i, 0.0);
    add_gear(design, design.shafts.size() - 1, 40);
  }
  add_mesh(design, 0, 1, 80.0);
  add_mesh(design, 1, 2, 80.0);
  add_shaft(design, "aside");
  add_gear(design, 3, 20);
  add_mesh(design, 1, 3, 60.0);
  const Layout result = layout(design);
  check_distances(design, result);
  CHECK_FALSE(result.shafts[3].place_given);
  CHECK_THAT(1e3 * result.shafts[3].place.x.value(), WithinAbs(80.0, rounding_in_mm));
}

// Where two circles meet, by the law of cosines, here a triangle 3-4-5: the shaft lies at
// (36, +-48) mm or so from the first; a shaft above the line of centres sends it below.
TEST_CASE("a shaft between two placed ones lies where its circles meet, away from the rest") {
  Design design;
  add_shaft(design, "A", 0.0, 0.0);
  add_shaft(design, "B", 100.0, 0.0);
  add_shaft(design, "above", 36.0, 60.0);
  add_shaft(design, "between");
  for (std::size_t i = 0; i < 4; ++i) {
    add_gear(design, i, 20);
  }
  add_mesh(design, 0, 3, 60.0);
  add_mesh(design, 3, 1, 80.0);
  // The one above is part of the group, or else it would not be there yet.
  add_mesh(design, 0, 2,
           1e3 * geometry::distance(*design.shafts[0].at, *design.shafts[2].at).value());
  const Layout result = layout(design);
  CHECK_THAT(1e3 * result.shafts[3].place.x.value(), WithinAbs(36.0, rounding_in_mm));
  CHECK_THAT(1e3 * result.shafts[3].place.y.value(), WithinAbs(-48.0, rounding_in_mm));
}

TEST_CASE("a closed loop without given places is laid as a polygon with its centre distances") {
  const std::vector<std::vector<int>> loops = {
      {20, 25, 30}, {20, 30, 25, 25}, {40, 17, 18, 19, 20, 21}, {30, 30, 30, 30, 30, 30, 30, 30}};
  for (const std::vector<int>& teeth : loops) {
    CAPTURE(teeth.size());
    Design design = unplaced(teeth);
    for (std::size_t i = 0; i < teeth.size(); ++i) {
      const std::size_t next = (i + 1) % teeth.size();
      add_mesh(design, i, next, teeth[i] + teeth[next]);
    }
    const Layout result = layout(design);
    check_distances(design, result);
    REQUIRE(result.groups.size() == 1);
    CHECK(result.groups[0].locked == (teeth.size() % 2 == 1));
    for (std::size_t i = 0; i < teeth.size(); ++i) {
      CHECK(result.shafts[i].sense == (teeth.size() % 2 == 1 ? 0 : i % 2 == 0 ? 1 : -1));
    }
  }
}

TEST_CASE("a loop that cannot close is told of, with as many meshes to scale as a tree has") {
  Design design = unplaced({60, 20, 20});
  add_mesh(design, 0, 1, 30.0);
  add_mesh(design, 1, 2, 30.0);
  add_mesh(design, 2, 0, 300.0);
  const Layout result = layout(design);
  std::size_t to_scale = 0;
  for (const Layout::Mesh& mesh : result.meshes) {
    to_scale += mesh.to_scale ? 1 : 0;
  }
  CHECK(to_scale == 2);
}

TEST_CASE("gears of one shaft turn together and each mesh reverses the sense") {
  Design design;
  for (const char* id : {"motor", "intermediate", "output"}) {
    add_shaft(design, id);
  }
  const std::size_t pinion = add_gear(design, 0, 20);
  const std::size_t wheel = add_gear(design, 1, 80);
  const std::size_t second_pinion = add_gear(design, 1, 22);
  const std::size_t second_wheel = add_gear(design, 2, 110);
  add_mesh(design, pinion, wheel, 100.0);
  add_mesh(design, second_wheel, second_pinion, 132.0);
  const Layout result = layout(design);
  CHECK(result.shafts[0].sense == 1);
  CHECK(result.shafts[1].sense == -1);
  CHECK(result.shafts[2].sense == 1);
  CHECK_FALSE(result.groups[0].locked);
}

TEST_CASE("trains without connection stand side by side with a gap") {
  Design design = unplaced({20, 30, 25, 35, 15});
  add_mesh(design, 0, 1, 50.0);
  add_mesh(design, 2, 3, 60.0);
  const Layout result = layout(design);
  REQUIRE(result.groups.size() == 3);
  CHECK(result.shafts[3].group == 1);
  CHECK(result.groups[2].first_shaft == 4);
  check_distances(design, result);
  const auto right = [&](std::size_t i) {
    return (result.shafts[i].place.x + result.gears[i].tip_radius).value();
  };
  const auto left = [&](std::size_t i) {
    return (result.shafts[i].place.x - result.gears[i].tip_radius).value();
  };
  CHECK(std::max(right(0), right(1)) < std::min(left(2), left(3)));
  CHECK(std::max(right(2), right(3)) < left(4));
}
