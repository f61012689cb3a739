// Cylinder pressures in a table: what is read, and what is refused with which words.
#include "io/pressure_trace_table.hpp"

#include <cstddef>
#include <numbers>
#include <string>
#include <string_view>
#include <vector>

#include "catch.hpp"
#include "folder.hpp"
#include "io/measured_table.hpp"
#include "lashband/error.hpp"
#include "lashband/io/input_error.hpp"

namespace {

using lashband::excitation::PressurePoint;
using lashband::excitation::PressureTrace;
using lashband::io::MeasuredTable;

MeasuredTable table(const std::string& text) {
  const lashband::test::Folder folder;
  return lashband::io::read_measured_table(folder.file("p.csv", text), "p.csv");
}

template <class Reading>
std::string problem_of(const Reading& reading) {
  try {
    reading();
  } catch (const lashband::io::InputErrors& errors) {
    return errors.what();
  }
  return "no problem";
}
std::string problem(const std::string& text) {
  return problem_of([&] { (void)lashband::io::pressure_points(table(text)); });
}
std::string trace_problem(const std::string& text, int revolutions) {
  return problem_of([&] { (void)lashband::io::pressure_trace(table(text), revolutions); });
}

const std::string head = "crank_angle [deg],pressure [bar]\n";

/// Rows from `first` deg at steps of 5 deg; the pressure of row i is 1 + i/8 bar up to the middle
/// and falls back from there.
std::string rows(int first, int count) {
  std::string text;
  for (int i = 0; i < count; ++i) {
    const int eighths = i < count / 2 ? i : count - i;
    text += std::to_string(first + 5 * i);
    text += ',';
    text += std::to_string(1.0 + 0.125 * eighths);
    text += '\n';
  }
  return text;
}

constexpr double rounding = 1e-15;

}  // namespace

TEST_CASE("crank angles and pressures in the units of their heads") {
  const std::vector<PressurePoint> points =
      lashband::io::pressure_points(table("# test bed\n" + head + "-90,1\n0,20.5\n45.5,0\n"));
  REQUIRE(points.size() == 3);
  const std::vector<double> degrees = {-90.0, 0.0, 45.5};
  const std::vector<double> bar = {1.0, 20.5, 0.0};
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK_THAT(points[i].crank_angle.value(),
               WithinRel(degrees[i] * std::numbers::pi / 180.0, rounding));
    CHECK_THAT(points[i].pressure.value(), WithinRel(1e5 * bar[i], rounding));
  }
  const std::vector<PressurePoint> other = lashband::io::pressure_points(
      table("\xEF\xBB\xBF\"Crank_Angle (rad)\";Pressure [kPa]\r\n-0,5;100\r\n1,25;2050,5\r\n"));
  REQUIRE(other.size() == 2);
  CHECK(other[0].crank_angle.value() == -0.5);
  CHECK(other[1].crank_angle.value() == 1.25);
  CHECK_THAT(other[1].pressure.value(), WithinRel(2050.5e3, rounding));
}

TEST_CASE("a table that covers a cycle is a trace") {
  const PressureTrace two = lashband::io::pressure_trace(table(head + rows(0, 72)), 1);
  CHECK(two.size() == 72);
  CHECK(two.revolutions_per_cycle() == 1);
  CHECK_THAT(two.pressures_in_pascals()[10], WithinRel(2.25e5, rounding));
  const PressureTrace four =
      lashband::io::pressure_trace(table(head + rows(-360, 144) + "360,1.001\n"), 2);
  CHECK(four.size() == 144);  // the last point closes the cycle
  CHECK_THAT(four.pressures_in_pascals()[0], WithinRel(1.0005e5, rounding));
  CHECK(four.revolutions_per_cycle() == 2);
}

TEST_CASE("heads that are not those of a trace are refused, with their place") {
  CHECK(problem("crank_angel [deg],pressure [bar]\n0,1\n") ==
        "p.csv:1:1: the first column is \"crank_angel\"; did you mean \"crank_angle\"?; needed are "
        "two columns, crank_angle and pressure, each with its unit, such as \"crank_angle "
        "[deg],pressure [bar]\"");
  CHECK_THAT(problem("time [s],pressure [bar]\n0,1\n"),
             StartsWith("p.csv:1:1: the first column is \"time\"; needed are"));
  CHECK_THAT(
      problem("# a\ncrank_angle [deg],pressur [bar]\n0,1\n"),
      StartsWith("p.csv:2:19: the second column is \"pressur\"; did you mean \"pressure\"?"));
  CHECK_THAT(problem("crank_angle [deg]\n0\n"),
             StartsWith("p.csv:1:1: the head names 1 column; needed are"));
  CHECK_THAT(problem("crank_angle [deg],pressure [bar],pressure_2 [bar]\n0,1,2\n"),
             StartsWith("p.csv:1:34: the head names 3 columns; needed are"));
  CHECK_THAT(problem("crank_angle,pressure [bar]\n0,1\n"),
             StartsWith("p.csv:1:1: the column crank_angle has no unit; needed is an angle"));
  CHECK_THAT(problem("crank_angle [deg],pressure\n0,1\n"),
             StartsWith("p.csv:1:19: the column pressure has no unit; needed is a pressure"));
  CHECK_THAT(problem("crank_angle [mm],pressure [bar]\n0,1\n"),
             StartsWith("p.csv:1:1: the column crank_angle is in mm; needed is an angle"));
  CHECK_THAT(problem("crank_angle [deg],pressure [barg]\n0,1\n"),
             StartsWith("p.csv:1:19: the column pressure has the unit \"barg\""));
}

TEST_CASE("rows that are not those of a trace are refused, each with its line") {
  CHECK_THAT(problem(head + "0,1\n2,1\n1,1\n1,1\n"),
             StartsWith("p.csv:4:1: crank_angle 1 deg follows 2 deg; rows must be in rising order "
                        "of crank_angle\np.csv:5:1: "));
  CHECK(problem(head + "0,1\n1,-0.25\n2,1\n3,-1\n") ==
        "p.csv:3:1: column pressure: read -0.25 bar; allowed is an absolute pressure of 0 or more; "
        "to one that was measured against the air, that of the air is added\n"
        "p.csv:5:1: column pressure: read -1 bar; allowed is an absolute pressure of 0 or more; "
        "to one that was measured against the air, that of the air is added");
  CHECK_THAT(problem(head + "0,1\n1,many\n"),
             StartsWith("p.csv:3:3: column pressure: read \"many\""));
}

TEST_CASE("points that are no trace of the cycle are refused at their line") {
  CHECK(trace_problem(head + rows(0, 72), 1) == "no problem");
  CHECK(trace_problem(head + rows(0, 72), 2) ==
        "p.csv:73:1: the step from the last point to the first of the next cycle must be 10 deg or "
        "less, not 365 deg");
  CHECK(trace_problem(head + rows(0, 80), 1) ==
        "p.csv:75:1: a crank angle must lie within one cycle of 0 to either side, not 365 deg");
  CHECK(trace_problem("# one\n" + head + rows(0, 20), 1) ==
        "p.csv:2:1: a pressure trace must have 36 points or more, not 20");
  CHECK(trace_problem(head + rows(0, 40) + "210,3\n" + rows(215, 29), 1) ==
        "p.csv:42:1: the step from the point before must be 10 deg or less, not 15 deg");
  CHECK_THROWS_AS(lashband::io::pressure_trace(table(head + rows(0, 72)), 3),
                  lashband::DomainError);
}
