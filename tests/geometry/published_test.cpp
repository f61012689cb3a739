// Published worked examples and tables, from tests/reference/geometry.json: each row with its
// source and the rounding of the digits printed.
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "catch.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/involute.hpp"
#include "random_pairs.hpp"

using namespace lashband;
using namespace lashband::geometry;
using namespace lashband::geometry::test;

namespace {

double in_mm(units::Length length) {
  return 1e3 * length.value();
}
double in_deg(units::Angle angle) {
  return angle.value() / degree;
}

ToothedBody gear_of(const nlohmann::json& gears, std::size_t which, double tip_height_in_modules) {
  ToothData data = teeth(gears.at("z")[which], gears.at("m_n"), gears.at("alpha_n"),
                         gears.at("beta"), gears.at("x")[which]);
  if (tip_height_in_modules != 0.0) {
    const ToothedBody plain(data);
    data.tip_diameter = plain.reference_diameter() + 2.0 * tip_height_in_modules * plain.module();
  }
  return ToothedBody(data);
}

// Everything that a row may ask for, in mm and degrees.
std::map<std::string, double> results_of(const nlohmann::json& row) {
  const nlohmann::json& gears = row.at("gears");
  const double m_n = gears.at("m_n");
  const double x1 = gears.at("x")[0];
  const double x2 = gears.at("x")[1];
  ToothedBody g1 = gear_of(gears, 0, 0.0);
  ToothedBody g2 = gear_of(gears, 1, 0.0);
  const units::Length a = row.at("centre_distance").is_string()
                              ? zero_backlash_centre_distance(g1, g2)
                              : mm(row.at("centre_distance"));
  const double y = (in_mm(a) - in_mm(reference_centre_distance(g1, g2))) / m_n;
  if (gears.value("full_tip_shortening", false)) {
    // h_a1 = (1 + y - x_2) m_n, as the handbook has it
    g1 = gear_of(gears, 0, 1.0 + y - x2);
    g2 = gear_of(gears, 1, 1.0 + y - x1);
  }
  const GearPair pair(g1, g2, a);
  const double cos_alpha_wt = std::cos(pair.working_pressure_angle().value());
  const Backlash gap = backlash(pair, mm(1e-3));
  return {{"inv_alpha_wt", involute(pair.working_pressure_angle())},
          {"alpha_wt", in_deg(pair.working_pressure_angle())},
          {"alpha_t", in_deg(g1.transverse_pressure_angle())},
          {"y", y},
          {"a", in_mm(a)},
          {"sum_x", profile_shift_sum(g1, g2, a)},
          {"d_1", in_mm(g1.reference_diameter())},
          {"d_2", in_mm(g2.reference_diameter())},
          {"d_b1", in_mm(g1.base_diameter())},
          {"d_b2", in_mm(g2.base_diameter())},
          {"d_w1", in_mm(g1.base_diameter()) / cos_alpha_wt},
          {"d_w2", in_mm(g2.base_diameter()) / cos_alpha_wt},
          {"h_a1", 0.5 * in_mm(g1.tip_diameter() - g1.reference_diameter())},
          {"h_a2", 0.5 * in_mm(g2.tip_diameter() - g2.reference_diameter())},
          {"h", 0.5 * in_mm(g1.tip_diameter() - g1.root_diameter())},
          {"d_a1", in_mm(g1.tip_diameter())},
          {"d_a2", in_mm(g2.tip_diameter())},
          {"d_f1", in_mm(g1.root_diameter())},
          {"d_f2", in_mm(g2.root_diameter())},
          {"c_1", in_mm(tip_clearance_1(pair))},
          {"c_2", in_mm(tip_clearance_2(pair))},
          {"path", in_mm(path_of_contact(pair))},
          {"eps_alpha", contact_ratio(pair).eps_alpha},
          {"d_a_over_d_j", (gap.j_r_iso / gap.j_wt).value()}};
}

}  // namespace

TEST_CASE("worked examples of handbooks come out to the digits printed") {
  std::ifstream file(LASHBAND_SOURCE_DIR "/tests/reference/geometry.json");
  const nlohmann::json reference = nlohmann::json::parse(file);
  std::size_t checked = 0;
  for (const auto& block : reference.at("blocks")) {
    for (const auto& row : block.at("rows")) {
      REQUIRE_FALSE(row.at("source").get<std::string>().empty());
      REQUIRE_FALSE(row.at("status").get<std::string>().empty());
      const auto results = results_of(row);
      for (const auto& [name, expected] : row.at("expected").items()) {
        INFO(row.at("id") << " " << name);
        CHECK_THAT(results.at(name),
                   WithinAbs(expected[0].get<double>(), expected[1].get<double>()));
        ++checked;
      }
    }
  }
  CHECK(checked >= 55);
}

TEST_CASE("the involute function of standard pressure angles") {
  // Source: involute tables of gear handbooks; 20 deg to nine digits, the others to seven.
  constexpr double last_digit = 5e-10;
  constexpr double last_digit_of_seven = 5e-8;
  CHECK_THAT(involute(deg(20.0)), WithinAbs(0.014904384, last_digit));
  CHECK_THAT(involute(deg(14.5)), WithinAbs(0.0055448, last_digit_of_seven));
  CHECK_THAT(involute(deg(25.0)), WithinAbs(0.0299753, last_digit_of_seven));
}

TEST_CASE("the least number of teeth without undercut") {
  // Source: classical, 2/sin^2 alpha = 31.9, 17.1, 11.2 for a rack that generates to one module;
  // the whole numbers 32, 17 and 11 that handbooks print are those nearest, so the rule is tested
  // between the whole numbers on either side.
  struct Row {
    double alpha_n;
    int undercut, free;
  };
  for (const Row& row : {Row{14.5, 31, 32}, Row{20.0, 17, 18}, Row{25.0, 11, 12}}) {
    ToothData data = teeth(row.free, 1.0, row.alpha_n, 0.0, 0.0);
    data.rack.fillet_radius = 0.25 / (1.0 - std::sin(row.alpha_n * degree));
    INFO(row.alpha_n);
    const ToothedBody free_gear(data);
    CHECK(free_gear.undercut_limit() < 0.0);
    CHECK(free_gear.root_form_curvature().value() > 0.0);
    data.teeth = row.undercut;
    const ToothedBody undercut_gear(data);
    CHECK(undercut_gear.undercut_limit() > 0.0);
    CHECK(undercut_gear.root_form_curvature().value() < 0.0);
  }
}

TEST_CASE("the least shift without undercut, 1 - z sin^2 alpha / 2") {
  // Identity of our own from the classical formula: 0.2981 for z = 12, 0.4151 for z = 10.
  constexpr double printed = 5e-5;
  CHECK_THAT(ToothedBody(teeth(12, 3, 20, 0, 0.6)).undercut_limit(), WithinAbs(0.2981, printed));
  CHECK_THAT(ToothedBody(teeth(10, 3, 20, 0, 0.5)).undercut_limit(), WithinAbs(0.4151, printed));
}

TEST_CASE("the least pinion that meshes without interference") {
  // Source: Shigley, Mechanical Engineering Design, interference, alpha = 20 deg, full depth, from
  // memory: 12.3 teeth for ratio 1, 15.4 for ratio 4, and 16.45 teeth as the largest gear for a
  // pinion of 13. Whole teeth on either side of these numbers must tell them apart.
  const auto interferes = [](int z1, int z2) {
    const ToothedBody g1(teeth(z1, 1.0, 20.0, 0.0, 0.0));
    const ToothedBody g2(teeth(z2, 1.0, 20.0, 0.0, 0.0));
    const GearPair pair(g1, g2, reference_centre_distance(g1, g2));
    return interference_margin_1(pair).value() < 0.0 || interference_margin_2(pair)->value() < 0.0;
  };
  CHECK(interferes(12, 12));
  CHECK_FALSE(interferes(13, 13));
  CHECK(interferes(15, 60));
  CHECK_FALSE(interferes(16, 64));
  CHECK_FALSE(interferes(13, 16));
  CHECK(interferes(13, 17));
}
