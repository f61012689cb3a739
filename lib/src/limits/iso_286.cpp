#include "lashband/limits/iso_286.hpp"

#include <array>
#include <cstddef>
#include <string>

#include "lashband/error.hpp"
#include "size_range.hpp"

namespace lashband::limits {
namespace {

using units::Band;
using units::Length;

constexpr std::size_t rows = 13;
using Column = std::array<double, rows>;  // micrometres, one for each range of sizes

constexpr Column ends_in_mm = {3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500};

constexpr int least_grade = 4;
constexpr int greatest_grade = 14;
constexpr std::array<Column, greatest_grade - least_grade + 1> standard_tolerances = {{
    {3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20},
    {4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27},
    {6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40},
    {10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63},
    {14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97},
    {25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155},
    {40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250},
    {60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400},
    {100, 120, 150, 180, 210, 250, 300, 350, 400, 460, 520, 570, 630},
    {140, 180, 220, 270, 330, 390, 460, 540, 630, 720, 810, 890, 970},
    {250, 300, 360, 430, 520, 620, 740, 870, 1000, 1150, 1300, 1400, 1550},
}};

// Which limit the fundamental deviation fixes.
enum class Rule { upper, lower, middle, upper_with_delta };

struct Letter {
  std::string_view name;
  Rule rule;
  int least;     // grades
  int greatest;  //
  Column deviation;
};

constexpr Column none = {};
constexpr Column d = {-20, -30, -40, -50, -65, -80, -100, -120, -145, -170, -190, -210, -230};
constexpr Column e = {-14, -20, -25, -32, -40, -50, -60, -72, -85, -100, -110, -125, -135};
constexpr Column f = {-6, -10, -13, -16, -20, -25, -30, -36, -43, -50, -56, -62, -68};
constexpr Column g = {-2, -4, -5, -6, -7, -9, -10, -12, -14, -15, -17, -18, -20};
constexpr Column j5_j6 = {-2, -2, -2, -3, -4, -5, -7, -9, -11, -13, -16, -18, -20};
constexpr Column j7 = {-4, -4, -5, -6, -8, -10, -12, -15, -18, -21, -26, -28, -32};
constexpr Column k = {0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5};
constexpr Column m = {2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23};
constexpr Column n = {4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40};
constexpr Column p = {6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68};
constexpr Column J6 = {2, 5, 5, 6, 8, 10, 13, 16, 18, 22, 25, 29, 33};
constexpr Column J7 = {4, 6, 8, 10, 12, 14, 18, 22, 26, 30, 36, 39, 43};
constexpr Column J8 = {6, 10, 12, 15, 20, 24, 28, 34, 41, 47, 55, 60, 66};

constexpr Column mirrored(Column column) {
  for (double& value : column) {
    value = 0.0 - value;  // not -0 where it is 0
  }
  return column;
}

constexpr int every = greatest_grade;
constexpr std::array<Letter, 25> letters = {{
    {"D", Rule::lower, least_grade, every, mirrored(d)},
    {"E", Rule::lower, least_grade, every, mirrored(e)},
    {"F", Rule::lower, least_grade, every, mirrored(f)},
    {"G", Rule::lower, least_grade, every, mirrored(g)},
    {"H", Rule::lower, least_grade, every, none},
    {"J", Rule::upper, 6, 6, J6},
    {"J", Rule::upper, 7, 7, J7},
    {"J", Rule::upper, 8, 8, J8},
    {"JS", Rule::middle, least_grade, every, none},
    {"K", Rule::upper_with_delta, 5, 8, mirrored(k)},
    {"M", Rule::upper_with_delta, 5, 8, mirrored(m)},
    {"N", Rule::upper_with_delta, 5, 8, mirrored(n)},
    {"P", Rule::upper_with_delta, 5, 7, mirrored(p)},
    {"d", Rule::upper, least_grade, every, d},
    {"e", Rule::upper, least_grade, every, e},
    {"f", Rule::upper, least_grade, every, f},
    {"g", Rule::upper, least_grade, every, g},
    {"h", Rule::upper, least_grade, every, none},
    {"j", Rule::lower, 5, 6, j5_j6},
    {"j", Rule::lower, 7, 7, j7},
    {"js", Rule::middle, least_grade, every, none},
    {"k", Rule::lower, 4, 7, k},
    {"m", Rule::lower, least_grade, every, m},
    {"n", Rule::lower, least_grade, every, n},
    {"p", Rule::lower, least_grade, every, p},
}};

std::size_t row_of_size(Length nominal_size) {
  return kernel::row_of(nominal_size, 0.0, ends_in_mm, "the nominal size of ISO 286");
}

double tabulated_tolerance(int grade, std::size_t row) {
  return standard_tolerances[static_cast<std::size_t>(grade - least_grade)][row];
}

void check_grade(int grade, Length nominal_size) {
  if (grade < least_grade || grade > greatest_grade) {
    throw DomainError("the standard tolerance grade must be from IT4 to IT14, not IT" +
                      std::to_string(grade));
  }
  if (grade == greatest_grade && kernel::up_to(nominal_size, 1.0)) {
    throw DomainError("grade IT14 starts above a nominal size of 1 mm, not at " +
                      kernel::number(1e3 * nominal_size.value()) + " mm");
  }
}

struct ToleranceClass {
  const Letter* letter;
  int grade;
};

ToleranceClass parsed(std::string_view text) {
  const std::string quoted = "tolerance class \"" + std::string(text) + "\"";
  const std::size_t digits = text.find_first_of("0123456789");
  const std::string_view name = text.substr(0, digits);
  const std::string_view grade_text = digits == std::string_view::npos ? "" : text.substr(digits);
  if (name.empty() || grade_text.empty() || grade_text.size() > 2 ||
      grade_text.find_first_not_of("0123456789") != std::string_view::npos) {
    throw DomainError(quoted + ": must be letters and a grade, such as H7 or js8");
  }
  const int grade = std::stoi(std::string(grade_text));
  int least = 0;
  int greatest = 0;
  for (const Letter& letter : letters) {
    if (letter.name != name) {
      continue;
    }
    if (grade >= letter.least && grade <= letter.greatest) {
      return {&letter, grade};
    }
    least = least == 0 ? letter.least : least;
    greatest = letter.greatest;
  }
  if (greatest == 0) {
    throw DomainError(quoted +
                      ": the letters must be one of D E F G H J JS K M N P for holes, "
                      "d e f g h j js k m n p for shafts");
  }
  throw DomainError(quoted + ": the grade with " + std::string(name) + " must be from " +
                    std::to_string(least) + " to " + std::to_string(greatest));
}

// What a hole of the letters K to P has above the mirror image of the shaft, so that, say, H6/p5
// and P6/h5 are the same fit.
double delta(int grade, std::size_t row) {
  return row == 0 ? 0.0 : tabulated_tolerance(grade, row) - tabulated_tolerance(grade - 1, row);
}

bool is_M6_over_250_to_315(const ToleranceClass& wanted, std::size_t row) {
  constexpr std::size_t over_250_to_315 = 10;
  return wanted.letter->name == "M" && wanted.grade == 6 && row == over_250_to_315;
}

bool is_one_of(std::string_view name, std::string_view spaced_names) {
  const std::string with_spaces = " " + std::string(name) + " ";
  return spaced_names.find(with_spaces) != std::string_view::npos;
}

bool within(Length size, double over_in_mm, double up_to_in_mm) {
  return !kernel::up_to(size, over_in_mm) && kernel::up_to(size, up_to_in_mm);
}

}  // namespace

Length standard_tolerance(int grade, Length nominal_size) {
  const std::size_t row = row_of_size(nominal_size);
  check_grade(grade, nominal_size);
  return kernel::micrometres(tabulated_tolerance(grade, row));
}

Certainty standard_tolerance_certainty(int grade, Length nominal_size) {
  static_cast<void>(row_of_size(nominal_size));  // throws for a size outside the tables
  check_grade(grade, nominal_size);
  const bool seen = grade >= 5 && grade <= 11 && within(nominal_size, 30.0, 180.0);
  return seen ? Certainty::seen : Certainty::memory;
}

Band<Length> deviations(std::string_view tolerance_class, Length nominal_size) {
  const ToleranceClass wanted = parsed(tolerance_class);
  const std::size_t row = row_of_size(nominal_size);
  check_grade(wanted.grade, nominal_size);
  const double tolerance = tabulated_tolerance(wanted.grade, row);
  const double deviation = wanted.letter->deviation[row];
  double low = 0.0;
  switch (wanted.letter->rule) {
    case Rule::lower:
      low = deviation;
      break;
    case Rule::upper:
      low = deviation - tolerance;
      break;
    case Rule::middle:
      low = -0.5 * tolerance;
      break;
    case Rule::upper_with_delta:
      constexpr double M6_upper = -9.0;
      low = (is_M6_over_250_to_315(wanted, row) ? M6_upper : deviation + delta(wanted.grade, row)) -
            tolerance;
      break;
  }
  return {kernel::micrometres(low), kernel::micrometres(low + tolerance)};
}

Certainty deviations_certainty(std::string_view tolerance_class, Length nominal_size) {
  const ToleranceClass wanted = parsed(tolerance_class);
  if (standard_tolerance_certainty(wanted.grade, nominal_size) == Certainty::memory) {
    return Certainty::memory;
  }
  const std::string_view name = wanted.letter->name;
  const bool seen = is_one_of(name, " H h JS js n p ") ||
                    (is_one_of(name, " k m ") && within(nominal_size, 30.0, 80.0));
  return seen ? Certainty::seen : Certainty::memory;
}

}  // namespace lashband::limits
