#include "lashband/limits/iso_10064.hpp"

#include <cmath>
#include <string>

#include "lashband/error.hpp"
#include "size_range.hpp"

namespace lashband::limits {
namespace {

using units::from_si;
using units::Length;

void require_within(Length value, double least_in_mm, double greatest_in_mm, const char* what) {
  const double in_mm = 1e3 * value.value();
  if (!(in_mm >= least_in_mm * (1.0 - kernel::limit_slack) &&
        kernel::up_to(value, greatest_in_mm))) {
    throw DomainError(std::string(what) + " must be from " + kernel::number(least_in_mm) + " to " +
                      kernel::number(greatest_in_mm) +
                      " mm (ISO/TR 10064-2, table of least "
                      "backlash), not " +
                      kernel::number(in_mm) + " mm");
  }
}

}  // namespace

Length recommended_least_normal_backlash(Length a, Length m_n) {
  require_within(a, 50.0, 1600.0, "the centre distance");
  require_within(m_n, 1.5, 18.0, "the module");
  const double hundredths =
      100.0 * (2.0 / 3.0) * (0.06 + 0.0005 * (1e3 * a.value()) + 0.03 * (1e3 * m_n.value()));
  // A value that is a whole number of hundredths but for rounding stays there.
  constexpr double hair = 1e-9;
  return from_si<Length>(1e-5 * std::ceil(hundredths - hair));
}

}  // namespace lashband::limits
