#include "lashband/limits/iso_1328.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include "lashband/error.hpp"
#include "size_range.hpp"

namespace lashband::limits {
namespace {

using units::Length;

constexpr double degree = std::numbers::pi / 180.0;
// So that "45 deg" and "d = 5 mm" themselves are allowed.
constexpr double slack = 1e-12;

void require_within(double value, double least, double greatest, const char* what,
                    const char* unit) {
  if (!(value >= least * (1.0 - slack) && value <= greatest * (1.0 + slack))) {
    throw DomainError(std::string(what) + " must be from " + kernel::number(least) + " to " +
                      kernel::number(greatest) + unit + " (ISO 1328-1), not " +
                      kernel::number(value) + unit);
  }
}

double rounded(double micrometres) {
  if (micrometres > 10.0) {
    return std::round(micrometres);
  }
  return micrometres >= 5.0 ? 0.5 * std::round(2.0 * micrometres)
                            : 0.1 * std::round(10.0 * micrometres);
}

}  // namespace

FlankTolerances flank_tolerances(int tolerance_class, const TolerancedGear& gear) {
  const double m_n = 1e3 * gear.module.value();
  const double b = 1e3 * gear.face_width.value();
  const double beta = gear.helix_angle.value();
  require_within(tolerance_class, 1, 11, "the flank tolerance class", "");
  require_within(gear.teeth, 5, 1000, "the number of teeth", "");
  require_within(m_n, 0.5, 70.0, "the module", " mm");
  require_within(b, 4.0, 1200.0, "the face width", " mm");
  require_within(std::abs(beta) / degree, 0.0, 45.0, "the size of the helix angle", " deg");
  const double d = gear.teeth * m_n / std::cos(beta);
  require_within(d, 5.0, 15000.0, "the reference diameter", " mm");

  const double f_pt = 0.001 * d + 0.4 * m_n + 5.0;
  const double F_p = 0.002 * d + 0.55 * std::sqrt(d) + 0.7 * m_n + 12.0;
  const double f_Halpha = 0.4 * m_n + 0.001 * d + 4.0;
  const double f_falpha = 0.55 * m_n + 5.0;
  const double f_Hbeta = 0.05 * std::sqrt(d) + 0.35 * std::sqrt(b) + 4.0;
  const double f_fbeta = 0.07 * std::sqrt(d) + 0.45 * std::sqrt(b) + 4.0;

  const double step = std::pow(2.0, 0.5 * (tolerance_class - 5));
  const auto tolerance = [step](double of_class_5) {
    return kernel::micrometres(rounded(step * of_class_5));
  };
  FlankTolerances result;
  result.f_ptT = tolerance(f_pt);
  result.F_pT = tolerance(F_p);
  result.f_HalphaT = tolerance(f_Halpha);
  result.f_falphaT = tolerance(f_falpha);
  result.F_alphaT = tolerance(std::hypot(f_Halpha, f_falpha));
  result.f_HbetaT = tolerance(f_Hbeta);
  result.f_fbetaT = tolerance(f_fbeta);
  result.F_betaT = tolerance(std::hypot(f_Hbeta, f_fbeta));
  result.F_rT = tolerance(0.9 * F_p);
  return result;
}

}  // namespace lashband::limits
