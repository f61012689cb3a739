#include "lashband/limits/iso_10064.hpp"

#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::limits;
using namespace lashband::test;

TEST_CASE("recommended least backlashes are the cells of the table") {
  const auto rows = reference_rows("recommended least backlash");
  REQUIRE(rows.size() == 22);
  for (const auto& row : rows) {
    INFO(row);
    CHECK_THAT(in_um(recommended_least_normal_backlash(mm(row.at("a")), mm(row.at("m_n")))),
               WithinAbs(1e3 * row.at("j_bn_in_mm").get<double>(), table_rounding_in_um));
  }
}

TEST_CASE("a recommendation of whole hundredths is not rounded up by one more") {
  // By hand: 2/3 (0.06 + 0.0005 * 60 + 0.03 * 2) = 0.1 mm.
  CHECK_THAT(in_um(recommended_least_normal_backlash(mm(60), mm(2))),
             WithinAbs(100.0, table_rounding_in_um));
  CHECK_THAT(in_um(recommended_least_normal_backlash(mm(60.1), mm(2))),
             WithinAbs(110.0, table_rounding_in_um));
}

TEST_CASE("recommendations outside the table are refused") {
  CHECK_NOTHROW(recommended_least_normal_backlash(mm(50), mm(18)));
  CHECK_NOTHROW(recommended_least_normal_backlash(mm(1600), mm(1.5)));
  CHECK_THROWS_MATCHES(recommended_least_normal_backlash(mm(49), mm(2)), DomainError,
                       Message("the centre distance must be from 50 to 1600 mm (ISO/TR 10064-2, "
                               "table of least backlash), not 49 mm"));
  CHECK_THROWS_AS(recommended_least_normal_backlash(mm(1601), mm(2)), DomainError);
  CHECK_THROWS_AS(recommended_least_normal_backlash(mm(100), mm(1.4)), DomainError);
  CHECK_THROWS_AS(recommended_least_normal_backlash(mm(100), mm(18.1)), DomainError);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(recommended_least_normal_backlash(mm(nan), mm(2)), DomainError);
  CHECK_THROWS_AS(recommended_least_normal_backlash(mm(100), mm(nan)), DomainError);
}
