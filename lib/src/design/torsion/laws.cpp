#include "laws.hpp"

#include <algorithm>
#include <vector>

#include "lashband/elastomer/bonded_ring.hpp"
#include "lashband/elastomer/dynamic_stiffness.hpp"
#include "lashband/elastomer/hardness_modulus.hpp"
#include "lashband/elastomer/temperature_effect.hpp"
#include "lashband/error.hpp"

namespace lashband::design {
namespace {

using torsion::kernel::Law;
using units::Temperature;

// Elastomers are not used above this, where nothing else says how far they may go.
const Temperature beyond_every_elastomer = units::celsius(300.0);

const materials::MaterialRecord* record_of(const Elastomer& elastomer) {
  return elastomer.solid ? &elastomer.solid->material->record() : nullptr;
}

double stiffness_factor(const Elastomer& elastomer, Temperature temperature,
                        const thermal::Reference& reference) {
  if (!elastomer.temperature_factor.empty()) {
    std::vector<elastomer::StiffnessFactor::Point> points;
    points.reserve(elastomer.temperature_factor.size());
    for (const auto& [level, factor] : elastomer.temperature_factor) {
      points.push_back({level, factor});
    }
    return elastomer::StiffnessFactor(std::move(points)).at(temperature);
  }
  const auto* record = record_of(elastomer);
  if (record != nullptr && record->temperature_factor) {
    return elastomer.solid->material->temperature_factor(temperature, reference.extrapolation)
        .value();
  }
  return 1.0;
}

// Of slow loading, at the reference temperature.
double base_stiffness(const Elastomer& elastomer, const thermal::Reference& reference) {
  if (elastomer.stiffness) {
    return elastomer.stiffness->value();
  }
  if (!elastomer.ring) {
    throw DomainError("an elastomer needs a stiffness or a ring");
  }
  const Elastomer::Ring& ring = *elastomer.ring;
  return elastomer::torsional_stiffness({ring.inner_diameter, ring.outer_diameter, ring.width},
                                        shear_modulus_of(elastomer, reference))
      .value();
}

void add_loss(const Elastomer& elastomer, Temperature temperature,
              const thermal::Reference& reference, Law& law) {
  const auto* record = record_of(elastomer);
  if (elastomer.loss_factor) {
    law.loss_factor = *elastomer.loss_factor;
  } else if (elastomer.damping) {
    law.damping = elastomer.damping->value();
  } else if (record != nullptr && !record->prony.empty()) {
    const double shift = record->wlf ? elastomer::shift_factor(*record->wlf, temperature) : 1.0;
    for (const materials::PronyTerm& term : record->prony) {
      law.branches.push_back(
          {term.relative_modulus * law.stiffness, shift * term.relaxation_time.value()});
    }
  } else if (record != nullptr && record->loss_factor) {
    law.loss_factor =
        elastomer.solid->material->loss_factor(temperature, reference.extrapolation).value();
  }
}

}  // namespace

units::Pressure shear_modulus_of(const Elastomer& elastomer, const thermal::Reference& reference) {
  if (elastomer.shear_modulus) {
    return *elastomer.shear_modulus;
  }
  if (elastomer.hardness) {
    return elastomer::shear_modulus(*elastomer.hardness).value;
  }
  const auto* record = record_of(elastomer);
  if (record == nullptr) {
    throw MaterialError("an elastomer ring needs a shear modulus, a hardness or a material");
  }
  if (record->shear_modulus) {
    return elastomer.solid->material->shear_modulus(reference.temperature, reference.extrapolation);
  }
  return elastomer::shear_modulus(elastomer.solid->material->hardness()).value;
}

units::Pressure modulus_at(const Elastomer& elastomer, Temperature temperature,
                           const thermal::Reference& reference) {
  return stiffness_factor(elastomer, temperature, reference) *
         shear_modulus_of(elastomer, reference);
}

ElastomerLaws laws_of(const Elastomer& elastomer, Temperature temperature,
                      const thermal::Reference& reference) {
  ElastomerLaws laws;
  laws.lasting.stiffness =
      base_stiffness(elastomer, reference) * stiffness_factor(elastomer, temperature, reference);
  laws.swinging.stiffness = laws.lasting.stiffness * elastomer.dynamic_factor;
  add_loss(elastomer, temperature, reference, laws.swinging);
  return laws;
}

std::optional<double> shear_strain_limit_of(const Elastomer& elastomer) {
  if (elastomer.shear_strain_limit) {
    return elastomer.shear_strain_limit;
  }
  const auto* record = record_of(elastomer);
  if (record != nullptr && record->shear_strain_limit) {
    return record->shear_strain_limit->value();
  }
  return std::nullopt;
}

Temperature zone_temperature_of(const Elastomer& elastomer, const thermal::TemperatureState& state,
                                const thermal::Reference& reference) {
  return elastomer.zone ? state.of(static_cast<thermal::ZoneIndex>(*elastomer.zone))
                        : reference.temperature;
}

Temperature highest_temperature_of(const Elastomer& elastomer) {
  Temperature highest = beyond_every_elastomer;
  if (!elastomer.temperature_factor.empty()) {
    highest = std::min(highest, elastomer.temperature_factor.back().first);
  }
  if (const auto* record = record_of(elastomer)) {
    highest =
        std::min(highest, record->service_range ? record->service_range->high : record->range.high);
  }
  return highest;
}

}  // namespace lashband::design
