// Tolerances and their distributions, as tests/data/valid/shapes.json and maximal.json give them.
// Expected numbers are those of the files.
#include "io/tolerance_reader.hpp"

#include <filesystem>

#include "catch.hpp"
#include "lashband/io/design_file.hpp"

namespace {

namespace io = lashband::io;
namespace design = lashband::design;
namespace thermal = lashband::thermal;
namespace units = lashband::units;
using lashband::tolerance::Shape;
using lashband::tolerance::Toleranced;
using Kind = Shape::Kind;

const std::filesystem::path valid =
    std::filesystem::path(LASHBAND_SOURCE_DIR) / "tests" / "data" / "valid";

/// A mode goes from its place in the file to its place in the band by a few operations.
constexpr double few_roundings = 1e-14;

template <class Q>
void check_band(const Toleranced<Q>& value, double low, double high, Kind kind) {
  CHECK(value.band.low.value() == low);
  CHECK(value.band.high.value() == high);
  CHECK(value.shape.kind() == kind);
}

}  // namespace

TEST_CASE("Every form of a tolerance is read", "[io]") {
  const design::Design train = io::read_design_file(valid / "shapes.json");
  const auto& walls = std::get<thermal::WallsCarrier>(train.carriers[0].build);
  CHECK(walls.first.at.value() == -25e-3);
  CHECK(walls.second.at.value() == 35e-3);
  const thermal::Solid& first = std::get<thermal::PlainCarrier>(walls.first.build).solid;
  const thermal::Solid& second = std::get<thermal::PlainCarrier>(walls.second.build).solid;
  check_band(*first.permanent_strain, -1e-4, 1e-4, Kind::normal);
  CHECK_FALSE(first.moisture_strain);
  check_band(*second.permanent_strain, 1e-4, 3e-4, Kind::tabulated);
  const auto& points = second.permanent_strain->shape.points();
  REQUIRE(points.size() == 3);
  CHECK(points[0].y == -1.0);
  CHECK_THAT(points[1].y, WithinAbs(0.0, few_roundings));
  CHECK(points[2].y == 1.0);
  // Relative densities 1, 2, 0 over [-1, 1]: the area (1 + 2)/2 + (2 + 0)/2 = 2.5 becomes 1.
  CHECK_THAT(points[0].density, WithinRel(0.4, few_roundings));
  CHECK_THAT(points[1].density, WithinRel(0.8, few_roundings));
  CHECK(points[2].density == 0.0);
  check_band(*second.moisture_strain, 0.0, 1e-4, Kind::triangular);
  CHECK(second.moisture_strain->shape.mode() == 1.0);

  const design::Gear& pinion = train.gears[0];
  check_band(*pinion.thickness_allowance, -90e-6, -60e-6, Kind::normal);
  CHECK(pinion.thickness_allowance->shape.capability() == 1.33);
  check_band(*train.gears[1].thickness_allowance, -10e-6, 10e-6, Kind::uniform);
  const Toleranced<units::Ratio>& swelling = *train.gears[1].solid.moisture_strain;
  check_band(swelling, 2e-3, 5e-3, Kind::triangular);
  // 0.3 % is a third of the way from 0.2 % to 0.5 %.
  CHECK_THAT(swelling.shape.mode(), WithinRel(-1.0 / 3.0, few_roundings));

  const design::Mesh& mesh = train.meshes[0];
  check_band(*mesh.centre_distance_deviation, -10e-6, 20e-6, Kind::triangular);
  CHECK(mesh.centre_distance_deviation->shape.mode() == 0.0);
  check_band(mesh.own_terms[0].value, 5e-6, 9e-6, Kind::truncated_normal);
  CHECK(mesh.own_terms[0].value.shape.capability() == 2.0);
  check_band(train.shafts[1].bearings[0].clearance, 5e-6, 20e-6, Kind::normal);
}

TEST_CASE("Every form of a deviation without sign is read", "[io]") {
  const design::Design train = io::read_design_file(valid / "shapes.json");
  const design::Gear& pinion = train.gears[0];
  const design::Gear& wheel = train.gears[1];
  check_band(*pinion.run_out, 0.0, 20e-6, Kind::truncated_normal);
  check_band(*pinion.pitch_deviation, 0.0, 8e-6, Kind::triangular);
  CHECK_THAT(pinion.pitch_deviation->shape.mode(), WithinRel(-0.5, few_roundings));
  check_band(*wheel.run_out, 4e-6, 30e-6, Kind::tabulated);
  check_band(*wheel.pitch_deviation, 2e-6, 8e-6, Kind::normal);
  check_band(*train.meshes[0].wear, 0.0, 15e-6, Kind::uniform);
  const design::Design other = io::read_design_file(valid / "maximal.json");
  check_band(*other.gears[0].run_out, 0.0, 30e-6, Kind::truncated_normal);
  CHECK(other.gears[0].run_out->shape.capability() == 1.0);
  CHECK(other.gears[0].pitch_deviation->shape.capability() == 1.33);
}

TEST_CASE("Every form of a limit with sign is read", "[io]") {
  const design::Design train = io::read_design_file(valid / "shapes.json");
  check_band(*train.gears[0].helix_deviation, -12e-6, 12e-6, Kind::truncated_normal);
  CHECK(train.gears[0].helix_deviation->shape.capability() == 0.9);
  check_band(*train.gears[1].helix_deviation, -5e-6, 10e-6, Kind::tabulated);
  const design::AxisParallelism& axes = *train.meshes[0].parallelism;
  CHECK_FALSE(axes.f_sigma_delta);
  check_band(*axes.f_sigma_beta, -10e-6, 10e-6, Kind::triangular);
  CHECK_THAT(axes.f_sigma_beta->shape.mode(), WithinRel(-0.5, few_roundings));
  const design::Design other = io::read_design_file(valid / "maximal.json");
  check_band(*other.gears[1].helix_deviation, -15e-6, 15e-6, Kind::normal);
}

TEST_CASE("Groups of materials and correlations are read", "[io]") {
  const design::Design train = io::read_design_file(valid / "maximal.json");
  REQUIRE(train.expansion_groups.size() == 2);
  CHECK(train.expansion_groups[0].id == "steels");
  CHECK(train.expansion_groups[0].materials ==
        std::vector<std::string>{"16MnCr5", "Plate of mean"});
  CHECK(train.expansion_groups[0].uncertainty == 0.04);
  CHECK(train.expansion_groups[0].shape.kind() == Kind::truncated_normal);
  CHECK(train.expansion_groups[0].shape.capability() == 1.2);
  CHECK(train.expansion_groups[1].shape.kind() == Kind::uniform);
  REQUIRE(train.correlations.size() == 1);
  CHECK(train.correlations[0].first == "shim");
  CHECK(train.correlations[0].second == "coating");
  CHECK(train.correlations[0].coefficient == -0.5);
}
