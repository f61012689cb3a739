#include "lashband/elastomer/dynamic_stiffness.hpp"

#include <cmath>
#include <complex>
#include <numbers>
#include <utility>

#include "requirement.hpp"

namespace lashband::elastomer {
namespace {

using checks::require_not_negative;
using checks::require_positive;
using std::numbers::pi;
using units::from_si;
using units::TorsionalStiffness;

constexpr const char* stiffness_unit = " N m/rad";

void check(const KelvinVoigt& form) {
  require_positive("the stiffness of an elastomer must be above 0 N m/rad", form.stiffness.value(),
                   stiffness_unit);
  require_not_negative("the damping of an elastomer must be 0 N m s/rad or more",
                       form.damping.value(), " N m s/rad");
}

void check(const LossFactor& form) {
  require_positive("the stiffness of an elastomer must be above 0 N m/rad", form.stiffness.value(),
                   stiffness_unit);
  require_not_negative("the loss factor of an elastomer must be 0 or more", form.loss_factor, "");
}

void check(const GeneralisedMaxwell& form) {
  if (form.branches.empty()) {
    require_positive(
        "the relaxed stiffness of an elastomer without branches must be above 0 N m/rad",
        form.relaxed_stiffness.value(), stiffness_unit);
  } else {
    require_not_negative("the relaxed stiffness of an elastomer must be 0 N m/rad or more",
                         form.relaxed_stiffness.value(), stiffness_unit);
  }
  for (const MaxwellBranch& branch : form.branches) {
    require_positive("the stiffness of an elastomer's branch must be above 0 N m/rad",
                     branch.stiffness.value(), stiffness_unit);
    require_positive("the relaxation time of an elastomer's branch must be above 0 s",
                     branch.relaxation_time.value(), " s");
  }
}

double checked_frequency(units::AngularVelocity angular_frequency) {
  require_positive("the angular frequency of a swing must be above 0 rad/s",
                   angular_frequency.value(), " rad/s");
  return angular_frequency.value();
}

std::complex<double> at_frequency(const KelvinVoigt& form, double omega) {
  return {form.stiffness.value(), omega * form.damping.value()};
}

std::complex<double> at_frequency(const LossFactor& form, double /*omega*/) {
  return {form.stiffness.value(), form.stiffness.value() * form.loss_factor};
}

std::complex<double> at_frequency(const GeneralisedMaxwell& form, double omega) {
  std::complex<double> sum = form.relaxed_stiffness.value();
  for (const MaxwellBranch& branch : form.branches) {
    const double x = omega * branch.relaxation_time.value();
    // x/(1 + x^2) and x^2/(1 + x^2), without a square that overflows.
    const double loss = 1.0 / (x + 1.0 / x);
    sum += branch.stiffness.value() * std::complex<double>(x * loss, loss);
  }
  return sum;
}

KelvinVoigt scaled_form(KelvinVoigt form, double factor) {
  form.stiffness *= factor;
  form.damping *= factor;
  return form;
}

LossFactor scaled_form(LossFactor form, double factor) {
  form.stiffness *= factor;
  return form;
}

GeneralisedMaxwell scaled_form(GeneralisedMaxwell form, double factor) {
  form.relaxed_stiffness *= factor;
  for (MaxwellBranch& branch : form.branches) {
    branch.stiffness *= factor;
  }
  return form;
}

TorsionalStiffness slow(const KelvinVoigt& form) {
  return form.stiffness;
}

TorsionalStiffness slow(const LossFactor& form) {
  return form.stiffness;
}

TorsionalStiffness slow(const GeneralisedMaxwell& form) {
  return form.relaxed_stiffness;
}

}  // namespace

ElastomerLaw::ElastomerLaw(Form form) : form_(std::move(form)) {
  std::visit([](const auto& checked) { check(checked); }, form_);
}

double ComplexStiffness::loss_factor() const {
  return loss.value() / storage.value();
}

double ComplexStiffness::relative_damping() const {
  return 2.0 * pi * loss_factor();
}

TorsionalStiffness ComplexStiffness::magnitude() const {
  return from_si<TorsionalStiffness>(std::hypot(storage.value(), loss.value()));
}

ComplexStiffness dynamic_stiffness(const ElastomerLaw& law,
                                   units::AngularVelocity angular_frequency) {
  const double omega = checked_frequency(angular_frequency);
  const std::complex<double> k =
      std::visit([omega](const auto& form) { return at_frequency(form, omega); }, law.form());
  return {from_si<TorsionalStiffness>(k.real()), from_si<TorsionalStiffness>(k.imag())};
}

TorsionalStiffness static_stiffness(const ElastomerLaw& law) {
  return std::visit([](const auto& form) { return slow(form); }, law.form());
}

units::Energy energy_per_cycle(const ComplexStiffness& stiffness, units::Angle amplitude) {
  const double theta = amplitude.value();
  require_not_negative("the amplitude of a twist must be 0 rad or more", theta, " rad");
  return from_si<units::Energy>(pi * stiffness.loss.value() * theta * theta);
}

ElastomerLaw scaled(const ElastomerLaw& law, double factor) {
  require_positive("the factor of an elastomer's stiffness must be above 0", factor, "");
  return std::visit([factor](const auto& form) { return ElastomerLaw(scaled_form(form, factor)); },
                    law.form());
}

KelvinVoigt equivalent_kelvin_voigt(const LossFactor& law,
                                    units::AngularVelocity angular_frequency) {
  check(law);
  const double omega = checked_frequency(angular_frequency);
  return {law.stiffness,
          from_si<units::TorsionalDamping>(law.stiffness.value() * law.loss_factor / omega)};
}

GeneralisedMaxwell chain_of_prony_terms(TorsionalStiffness relaxed_stiffness,
                                        const std::vector<materials::PronyTerm>& terms) {
  GeneralisedMaxwell chain;
  chain.relaxed_stiffness = relaxed_stiffness;
  chain.branches.reserve(terms.size());
  for (const materials::PronyTerm& term : terms) {
    chain.branches.push_back({term.relative_modulus * relaxed_stiffness, term.relaxation_time});
  }
  check(chain);
  return chain;
}

}  // namespace lashband::elastomer
