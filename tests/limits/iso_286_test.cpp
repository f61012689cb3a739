#include "lashband/limits/iso_286.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::limits;
using namespace lashband::test;

namespace {

// The ends of the thirteen ranges of sizes.
constexpr std::array<double, 14> range_ends_in_mm = {0,  3,   6,   10,  18,  30,  50,
                                                     80, 120, 180, 250, 315, 400, 500};

double low_of(const std::string& name, double size_in_mm) {
  return in_um(deviations(name, mm(size_in_mm)).low);
}
double high_of(const std::string& name, double size_in_mm) {
  return in_um(deviations(name, mm(size_in_mm)).high);
}

}  // namespace

TEST_CASE("standard tolerances are those printed") {
  for (const char* topic : {"standard tolerances", "standard tolerances, grade 14"}) {
    for (const auto& row : reference_rows(topic)) {
      INFO(row);
      for (const units::Length& size : ends_of(row)) {
        const int grade = row.at("grade");
        CHECK_THAT(in_um(standard_tolerance(grade, size)),
                   WithinAbs(row.at("IT").get<double>(), table_rounding_in_um));
      }
    }
  }
}

TEST_CASE("standard tolerances follow the formula of ISO 286-1") {
  // Source: ISO 286-1, standard tolerance unit i = 0.45 cbrt(D) + 0.001 D (um, mm), D the geometric
  // mean of a range, IT5 to IT14 = 7 10 16 25 40 64 100 160 250 400 i. The standard rounds, from
  // IT10 on to multiples of 5 or 10 um; sizes up to 3 mm do not follow the formula.
  constexpr std::array<double, 10> units_of = {7, 10, 16, 25, 40, 64, 100, 160, 250, 400};
  constexpr double whole_micrometre = 0.75;
  constexpr double coarse_rounding = 0.045;  // IT12 = 10 IT7, itself rounded
  for (std::size_t k = 2; k < range_ends_in_mm.size(); ++k) {
    const double D = std::sqrt(range_ends_in_mm[k - 1] * range_ends_in_mm[k]);
    const double i = 0.45 * std::cbrt(D) + 0.001 * D;
    for (int grade = 5; grade <= 14; ++grade) {
      const double raw = units_of[static_cast<std::size_t>(grade - 5)] * i;
      INFO("IT" << grade << " up to " << range_ends_in_mm[k]);
      CHECK_THAT(in_um(standard_tolerance(grade, mm(range_ends_in_mm[k]))),
                 WithinAbs(raw, std::max(whole_micrometre, coarse_rounding * raw)));
    }
  }
}

TEST_CASE("standard tolerances grow with size and grade") {
  for (std::size_t k = 1; k < range_ends_in_mm.size(); ++k) {
    for (int grade = 5; grade <= 14; ++grade) {
      const units::Length size = mm(range_ends_in_mm[k]);
      CHECK(standard_tolerance(grade, size) > standard_tolerance(grade - 1, size));
      if (k > 1) {
        CHECK(standard_tolerance(grade, size) >
              standard_tolerance(grade, mm(range_ends_in_mm[k - 1])));
      }
    }
  }
}

TEST_CASE("deviations are those printed") {
  std::size_t checked = 0;
  for (const auto& row : reference_rows("tolerance class")) {
    INFO(row);
    for (const units::Length& size : ends_of(row)) {
      const auto band = deviations(row.at("class").get<std::string>(), size);
      CHECK_THAT(in_um(band.low), WithinAbs(row.at("low").get<double>(), table_rounding_in_um));
      CHECK_THAT(in_um(band.high), WithinAbs(row.at("high").get<double>(), table_rounding_in_um));
      ++checked;
    }
  }
  CHECK(checked >= 90);
}

TEST_CASE("deviations that the reference rows leave out") {
  // Source: ISO 286-2, from memory, verify.
  struct Row {
    const char* name;
    double size_in_mm, low, high;
  };
  for (const Row& row :
       {Row{"g6", 50, -25, -9},   Row{"f7", 50, -50, -25}, Row{"e8", 50, -89, -50},
        Row{"d9", 50, -142, -80}, Row{"h6", 80, -19, 0},   Row{"j5", 80, -7, 6},
        Row{"j6", 80, -7, 12},    Row{"j7", 50, -10, 15},  Row{"k5", 80, 2, 15},
        Row{"G7", 80, 10, 40},    Row{"F8", 30, 20, 53},   Row{"E9", 10, 25, 61},
        Row{"D10", 18, 50, 120},  Row{"J6", 80, -6, 13},   Row{"J7", 80, -12, 18},
        Row{"J8", 80, -18, 28},   Row{"K6", 80, -15, 4},   Row{"K7", 50, -18, 7},
        Row{"K7", 80, -21, 9},    Row{"K7", 120, -25, 10}, Row{"K8", 50, -27, 12},
        Row{"M6", 80, -24, -5},   Row{"M7", 50, -25, 0},   Row{"M7", 80, -30, 0},
        Row{"M8", 50, -34, 5},    Row{"M6", 315, -41, -9}, Row{"N6", 80, -33, -14},
        Row{"N7", 50, -33, -8},   Row{"N7", 80, -39, -9},  Row{"N7", 120, -45, -10},
        Row{"P7", 50, -42, -17},  Row{"P7", 80, -51, -21}, Row{"P6", 80, -45, -26},
        Row{"K7", 3, -10, 0},     Row{"N7", 3, -14, -4},   Row{"P7", 3, -16, -6},
        Row{"n6", 500, 40, 80},   Row{"k6", 3, 0, 6},      Row{"p6", 10, 15, 24}}) {
    INFO(row.name << " " << row.size_in_mm);
    CHECK_THAT(low_of(row.name, row.size_in_mm), WithinAbs(row.low, table_rounding_in_um));
    CHECK_THAT(high_of(row.name, row.size_in_mm), WithinAbs(row.high, table_rounding_in_um));
  }
}

TEST_CASE("hole-basis and shaft-basis fits of the same letters are the same") {
  // ISO 286-1, rule of Delta: a hole of grade n with a shaft of grade n - 1 has the same
  // interference either way round: H(n)/k(n-1) = K(n)/h(n-1). Over 3 mm; a known exception is M6
  // over 250 mm.
  for (std::size_t k = 2; k < range_ends_in_mm.size(); ++k) {
    const double size = range_ends_in_mm[k];
    for (const auto& letters :
         {std::array{"k", "K"}, std::array{"m", "M"}, std::array{"n", "N"}, std::array{"p", "P"}}) {
      for (int grade = 6; grade <= 7; ++grade) {
        if (letters[1] == std::string("M") && grade == 6 && size == 315.0) {
          continue;
        }
        const std::string n = std::to_string(grade);
        const std::string n_minus_1 = std::to_string(grade - 1);
        INFO(letters[1] << n << " " << size);
        const double hole_basis = high_of(letters[0] + n_minus_1, size) - low_of("H" + n, size);
        const double shaft_basis = high_of("h" + n_minus_1, size) - low_of(letters[1] + n, size);
        CHECK_THAT(hole_basis, WithinAbs(shaft_basis, table_rounding_in_um));
      }
    }
  }
}

TEST_CASE("fundamental deviations follow the formulas of ISO 286-1") {
  // Source: ISO 286-1, formulas of the fundamental deviations (um, mm, D as for IT), from memory:
  // d 16 D^0.44, e 11 D^0.41, f 5.5 D^0.41, g 2.5 D^0.34, n 5 D^0.34, m IT7 - IT6,
  // k 0.6 cbrt(D). The standard rounds; sizes up to 3 mm do not follow the formulas.
  constexpr double share_rounded = 0.04;
  constexpr double micrometre_rounded = 1.01;
  for (std::size_t k = 2; k < range_ends_in_mm.size(); ++k) {
    const double size = range_ends_in_mm[k];
    const double D = std::sqrt(range_ends_in_mm[k - 1] * size);
    const auto near = [=](double formula) {
      return WithinAbs(formula, std::max(micrometre_rounded, share_rounded * formula));
    };
    INFO("up to " << size);
    CHECK_THAT(-high_of("d9", size), near(16.0 * std::pow(D, 0.44)));
    CHECK_THAT(-high_of("e8", size), near(11.0 * std::pow(D, 0.41)));
    CHECK_THAT(-high_of("f7", size), near(5.5 * std::pow(D, 0.41)));
    CHECK_THAT(-high_of("g6", size), near(2.5 * std::pow(D, 0.34)));
    CHECK_THAT(low_of("n6", size), near(5.0 * std::pow(D, 0.34)));
    CHECK_THAT(low_of("k6", size), near(0.6 * std::cbrt(D)));
    CHECK_THAT(low_of("m6", size),
               near(in_um(standard_tolerance(7, mm(size)) - standard_tolerance(6, mm(size)))));
  }
}

TEST_CASE("bands of tolerance classes are as wide as their grade") {
  for (const char* letters :
       {"D", "E", "F", "G", "H", "JS", "d", "e", "f", "g", "h", "js", "m", "n", "p"}) {
    for (int grade = 4; grade <= 14; ++grade) {
      for (std::size_t k = 1; k < range_ends_in_mm.size(); ++k) {
        const units::Length size = mm(range_ends_in_mm[k]);
        const auto band = deviations(letters + std::to_string(grade), size);
        CHECK_THAT(in_um(band.high - band.low),
                   WithinAbs(in_um(standard_tolerance(grade, size)), table_rounding_in_um));
      }
    }
  }
}

TEST_CASE("what was not looked up says so") {
  CHECK(deviations_certainty("k6", mm(80)) == Certainty::seen);
  CHECK(deviations_certainty("k6", mm(80.001)) == Certainty::memory);
  CHECK(deviations_certainty("k6", mm(30)) == Certainty::memory);
  CHECK(deviations_certainty("H7", mm(180)) == Certainty::seen);
  CHECK(deviations_certainty("H7", mm(181)) == Certainty::memory);
  CHECK(deviations_certainty("H12", mm(100)) == Certainty::memory);
  CHECK(deviations_certainty("JS7", mm(100)) == Certainty::seen);
  CHECK(deviations_certainty("N7", mm(100)) == Certainty::memory);
  CHECK(deviations_certainty("n6", mm(100)) == Certainty::seen);
  CHECK(standard_tolerance_certainty(5, mm(50)) == Certainty::seen);
  CHECK(standard_tolerance_certainty(4, mm(50)) == Certainty::memory);
  CHECK(certainty_note(Certainty::seen).empty());
  CHECK(certainty_note(Certainty::memory) == "from memory, verify");
}

TEST_CASE("what no table of ISO 286 holds is refused") {
  const auto refusal = [](const std::string& name, double size_in_mm) -> std::string {
    try {
      static_cast<void>(deviations(name, mm(size_in_mm)));
    } catch (const DomainError& error) {
      return error.what();
    }
    return "";
  };
  CHECK_THAT(refusal("x7", 50), ContainsText("\"x7\"") && ContainsText("d e f g h j js k m n p"));
  for (const char* text : {"Js7", "H 7", "H+7", "h-6"}) {
    CHECK_THAT(refusal(text, 50), ContainsText("letters must be one of"));
  }
  CHECK_THAT(refusal("J9", 50), ContainsText("from 6 to 8"));
  CHECK_THAT(refusal("k8", 50), ContainsText("from 4 to 7"));
  CHECK_THAT(refusal("H3", 50), ContainsText("from 4 to 14"));
  CHECK_THAT(refusal("H99", 50), ContainsText("from 4 to 14"));
  for (const char* text : {"", "H", "7", "H7 ", "H123456789012", "H7/k6"}) {
    CHECK_THAT(refusal(text, 50), ContainsText("letters and a grade"));
  }
  CHECK_THAT(refusal("H7", 500.1), ContainsText("at most 500 mm, not 500.1 mm"));
  CHECK_THAT(refusal("H7", 0), ContainsText("above 0 mm"));
  CHECK_THAT(refusal("H7", -5), ContainsText("above 0 mm"));
  CHECK_THAT(refusal("H7", std::numeric_limits<double>::quiet_NaN()), ContainsText("not nan mm"));
  CHECK_THAT(refusal("H14", 1.0), ContainsText("IT14 starts above"));
  CHECK(refusal("H14", 1.1).empty());
  CHECK_THROWS_AS(deviations_certainty("H7", mm(501)), DomainError);
  CHECK_THROWS_AS(deviations_certainty("q7", mm(50)), DomainError);
  CHECK_THROWS_AS(standard_tolerance(3, mm(50)), DomainError);
  CHECK_THROWS_AS(standard_tolerance(15, mm(50)), DomainError);
  CHECK_THROWS_AS(standard_tolerance_certainty(15, mm(50)), DomainError);
  CHECK_THROWS_AS(standard_tolerance_certainty(7, mm(501)), DomainError);
}
