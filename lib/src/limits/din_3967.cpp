#include "lashband/limits/din_3967.hpp"

#include <array>
#include <cstddef>
#include <string>

#include "lashband/error.hpp"
#include "size_range.hpp"

namespace lashband::limits {
namespace {

using units::Band;
using units::Length;

constexpr std::size_t rows = 6;
constexpr std::array<double, rows> ends_in_mm = {10, 50, 125, 280, 560, 1000};
using Column = std::array<double, rows>;  // micrometres

struct Series {
  std::string_view name;
  Column upper_allowance;
};

constexpr std::array<Series, 11> all_series = {{
    {"a", {-100, -135, -180, -250, -330, -450}},
    {"ab", {-85, -110, -150, -200, -280, -370}},
    {"b", {-70, -95, -125, -170, -230, -310}},
    {"bc", {-58, -75, -105, -140, -190, -260}},
    {"c", {-48, -65, -85, -115, -155, -210}},
    {"cd", {-40, -54, -70, -95, -130, -175}},
    {"d", {-33, -44, -60, -80, -110, -145}},
    {"e", {-22, -30, -40, -56, -75, -100}},
    {"f", {-10, -14, -19, -26, -35, -48}},
    {"g", {-5, -7, -9, -12, -17, -22}},
    {"h", {0, 0, 0, 0, 0, 0}},
}};

constexpr int least_tolerance = 21;
constexpr int greatest_tolerance = 30;
constexpr std::array<Column, greatest_tolerance - least_tolerance + 1> tolerances = {{
    {3, 5, 6, 8, 10, 12},
    {5, 8, 10, 12, 16, 20},
    {8, 12, 16, 20, 25, 30},
    {12, 20, 25, 30, 40, 50},
    {20, 30, 40, 50, 60, 80},
    {30, 50, 60, 80, 100, 130},
    {50, 80, 100, 130, 160, 200},
    {80, 130, 160, 200, 250, 300},
    {130, 200, 250, 300, 400, 500},
    {200, 300, 400, 500, 600, 800},
}};

const Column& upper_allowances(std::string_view series) {
  for (const Series& candidate : all_series) {
    if (candidate.name == series) {
      return candidate.upper_allowance;
    }
  }
  throw DomainError(
      "the allowance series of DIN 3967 must be one of a ab b bc c cd d e f g h, "
      "not \"" +
      std::string(series) + "\"");
}

}  // namespace

Band<Length> thickness_allowance(std::string_view series, int tolerance, Length d) {
  const Column& allowances = upper_allowances(series);
  if (tolerance < least_tolerance || tolerance > greatest_tolerance) {
    throw DomainError("the tolerance series of DIN 3967 must be from 21 to 30, not " +
                      std::to_string(tolerance));
  }
  const std::size_t row = kernel::row_of(d, 0.0, ends_in_mm, "the reference diameter of DIN 3967");
  const double upper = allowances[row];
  const double width = tolerances[static_cast<std::size_t>(tolerance - least_tolerance)][row];
  return {kernel::micrometres(upper - width), kernel::micrometres(upper)};
}

}  // namespace lashband::limits
