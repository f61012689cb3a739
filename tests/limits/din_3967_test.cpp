#include "lashband/limits/din_3967.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/limits/iso_286.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::limits;
using namespace lashband::test;

TEST_CASE("thickness allowances are those of the tables") {
  const auto tolerances = reference_rows("thickness tolerance");
  const auto allowances = reference_rows("upper thickness allowance");
  REQUIRE(tolerances.size() == allowances.size());
  std::size_t checked = 0;
  for (std::size_t row = 0; row < allowances.size(); ++row) {
    for (const units::Length& d : ends_of(allowances[row])) {
      for (const auto& [series, allowance] : allowances[row].at("um").items()) {
        for (const auto& [tolerance, width] : tolerances[row].at("um").items()) {
          INFO(series << tolerance << " " << allowances[row].at("up_to"));
          const auto band = thickness_allowance(series, std::stoi(tolerance), d);
          CHECK_THAT(in_um(band.high), WithinAbs(allowance.get<double>(), table_rounding_in_um));
          CHECK_THAT(in_um(band.low), WithinAbs(allowance.get<double>() - width.get<double>(),
                                                table_rounding_in_um));
          ++checked;
        }
      }
    }
  }
  CHECK(checked == 2 * 6 * 11 * 10);
}

TEST_CASE("the backlash of a fit worked out by hand") {
  for (const auto& row : reference_rows("backlash of a fit")) {
    const double tan_alpha = std::tan(row.at("alpha_n").get<double>() * std::numbers::pi / 180.0);
    const double A_a = in_um(deviations(row.at("class").get<std::string>(), mm(row.at("a"))).high);
    double least = -2.0 * A_a * tan_alpha;
    double greatest = 2.0 * A_a * tan_alpha;
    for (const auto& d : row.at("d")) {
      const auto band =
          thickness_allowance(row.at("fit")[0].get<std::string>(), row.at("fit")[1], mm(d));
      least -= in_um(band.high);
      greatest -= in_um(band.low);
    }
    constexpr double printed_digits = 5e-4;
    CHECK_THAT(least, WithinAbs(row.at("j_t")[0].get<double>(), printed_digits));
    CHECK_THAT(greatest, WithinAbs(row.at("j_t")[1].get<double>(), printed_digits));
  }
}

TEST_CASE("fits outside DIN 3967 are refused") {
  CHECK_THROWS_MATCHES(thickness_allowance("dc", 25, mm(72)), DomainError,
                       Message("the allowance series of DIN 3967 must be one of a ab b bc c cd d e "
                               "f g h, not \"dc\""));
  CHECK_THROWS_AS(thickness_allowance("", 25, mm(72)), DomainError);
  CHECK_THROWS_AS(thickness_allowance("CD", 25, mm(72)), DomainError);
  CHECK_THROWS_MATCHES(thickness_allowance("cd", 31, mm(72)), DomainError,
                       Message("the tolerance series of DIN 3967 must be from 21 to 30, not 31"));
  CHECK_THROWS_AS(thickness_allowance("cd", 20, mm(72)), DomainError);
  CHECK_THROWS_MATCHES(thickness_allowance("cd", 25, mm(1001)), DomainError,
                       Message("the reference diameter of DIN 3967 must be above 0 mm and at most "
                               "1000 mm, not 1001 mm"));
  CHECK_THROWS_AS(thickness_allowance("cd", 25, mm(0)), DomainError);
}
