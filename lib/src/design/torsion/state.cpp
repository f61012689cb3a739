#include "state.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <variant>

#include "lashband/error.hpp"
#include "lashband/losses/bearing_torque.hpp"
#include "lashband/torsion/mesh_stiffness.hpp"
#include "lashband/torsion/shaft_segment.hpp"
#include "lashband/units/plain_number.hpp"
#include "laws.hpp"
#include "lines.hpp"

namespace lashband::design {
namespace {

using units::from_si;

// The standard's factor for small loads counts below this, N/mm.
constexpr double full_load_per_width = 100.0;
constexpr double newton_per_mm = 1e3;  // N/m

// The stiffness of lightly loaded teeth depends on the force, and the force in loops on the
// stiffness: both are found in turn.
constexpr int most_rounds = 50;
constexpr double settled = 1e-12;

double dedendum_coefficient(const geometry::ToothedBody& body) {
  const double beyond =
      (body.root_diameter() - body.reference_diameter()).value() / (2.0 * body.module().value());
  return body.generating_profile_shift() - (body.internal() ? -beyond : beyond);
}

torsion::MeshGear mesh_gear(const Gear& gear, const std::optional<Web>& web,
                            const thermal::TemperatureState& state,
                            const thermal::Reference& reference) {
  torsion::MeshGear result;
  result.teeth = gear.body.internal() ? -gear.body.teeth() : gear.body.teeth();
  result.profile_shift_coefficient = gear.body.profile_shift();
  result.rack_dedendum_coefficient = dedendum_coefficient(gear.body);
  result.youngs_modulus = gear.solid.youngs_modulus(state, reference);
  if (web) {
    result.web = torsion::Web{web->thickness, web->rim};
  }
  return result;
}

// The standard calls the smaller gear the pinion, of two alike that with the greater shift.
bool first_is_pinion(const Gear& one, const Gear& two) {
  if (two.body.internal() || one.body.teeth() != two.body.teeth()) {
    return two.body.internal() || one.body.teeth() < two.body.teeth();
  }
  return one.body.profile_shift() >= two.body.profile_shift();
}

torsion::MeshTeeth mesh_teeth(const Design& design, std::size_t mesh, const MeshDynamics& dynamics,
                              const thermal::TemperatureState& state,
                              const thermal::Reference& reference, double contact_ratio) {
  const Gear& one = design.gears[design.meshes[mesh].gear_1];
  const Gear& two = design.gears[design.meshes[mesh].gear_2];
  torsion::MeshTeeth teeth;
  teeth.gear_1 = mesh_gear(one, dynamics.web_1, state, reference);
  teeth.gear_2 = mesh_gear(two, dynamics.web_2, state, reference);
  if (!first_is_pinion(one, two)) {
    std::swap(teeth.gear_1, teeth.gear_2);
  }
  teeth.normal_module = one.body.module();
  teeth.normal_pressure_angle = one.body.pressure_angle();
  teeth.helix_angle = one.body.helix_angle();
  teeth.face_width = std::min(one.body.face_width(), two.body.face_width());
  teeth.transverse_contact_ratio = contact_ratio;
  return teeth;
}

// F_t at the reference circle from the force on the base tangent.
units::Force tangential(double base_tangent_force, const Gear& gear) {
  return from_si<units::Force>(std::abs(base_tangent_force) *
                               std::cos(gear.body.transverse_pressure_angle().value()));
}

}  // namespace

TorsionState::TorsionState(const Design& design, const TorsionLayout& layout,
                           const thermal::TemperatureState& temperatures,
                           const thermal::Reference& reference, std::vector<double> contact_ratio)
    : design_(design),
      layout_(layout),
      temperatures_(temperatures),
      reference_(reference),
      contact_ratio_(std::move(contact_ratio)),
      dynamics_(design.meshes.size()),
      elastomer_temperatures_(layout.elements.size()) {
  for (std::size_t m = 0; m < dynamics_.size(); ++m) {
    dynamics_[m].mesh = m;
  }
  for (const MeshDynamics& given : design.torsion->meshes) {
    dynamics_[given.mesh] = given;
  }
  gas_torque_.reserve(design.torsion->torques.size());
  for (const ShaftTorque& torque : design.torsion->torques) {
    gas_torque_.push_back(mean_gas_torque(*design.torsion, torque));
  }
  laws_.reserve(layout.elements.size());
  for (std::size_t e = 0; e < layout.elements.size(); ++e) {
    if (layout.elements[e].kind == TorsionElement::Kind::elastomer) {
      elastomer_temperatures_[e] = zone_temperature_of(elastomer_of(e), temperatures, reference);
    }
    laws_.push_back(law_of(e));
  }
}

void TorsionState::set_elastomer_temperature(std::size_t element, units::Temperature temperature) {
  elastomer_temperatures_[element] = temperature;
  laws_[element] = law_of(element);
}

const Elastomer& TorsionState::elastomer_of(std::size_t element) const {
  return design::elastomer_of(design_, layout_.sources[element]);
}

const MeshDynamics& TorsionState::dynamics_of(std::size_t mesh) const {
  return dynamics_[mesh];
}

TorsionState::Laws TorsionState::segment_law(const ShaftSegment& segment) const {
  double stiffness = 0.0;
  if (const auto* given = std::get_if<units::TorsionalStiffness>(&segment.build)) {
    stiffness = given->value();
  } else {
    const auto& body = std::get<Cylinder>(segment.build);
    const Shaft& shaft = design_.shafts[design_.torsion->stations[segment.station_1].shaft];
    const thermal::Solid& solid = body.solid ? *body.solid : *shaft.solid;
    const materials::Material& material = *solid.material;
    const units::Temperature temperature = temperatures_.of(solid.zone);
    const units::Pressure G =
        material.record().shear_modulus
            ? material.shear_modulus(temperature, reference_.extrapolation)
            : torsion::isotropic_shear_modulus(
                  material.youngs_modulus(temperature, reference_.extrapolation),
                  material.poissons_ratio(temperature, reference_.extrapolation).value());
    stiffness =
        torsion::torsional_stiffness({body.outside_diameter, body.bore, body.length}, G).value();
  }
  Laws laws;
  laws.lasting.stiffness = stiffness;
  laws.swinging.stiffness = stiffness;
  laws.swinging.loss_factor = segment.loss_factor;
  return laws;
}

TorsionState::Laws TorsionState::mesh_law(std::size_t element, std::optional<double> force) const {
  const std::size_t mesh = layout_.sources[element].index;
  const MeshDynamics& dynamics = dynamics_of(mesh);
  Laws laws;
  if (dynamics.stiffness) {
    laws.lasting.stiffness = dynamics.stiffness->value();
  } else {
    const torsion::MeshTeeth teeth =
        mesh_teeth(design_, mesh, dynamics, temperatures_, reference_, contact_ratio_[mesh]);
    std::optional<torsion::MeshLoad> load;
    if (force) {
      load = {tangential(*force, design_.gears[design_.meshes[mesh].gear_1]),
              std::pow(dynamics.least_load_per_width_in_newton_per_mm / full_load_per_width, 0.25)};
    }
    laws.lasting.stiffness = torsion::mesh_stiffness(teeth, load).stiffness.mid().value();
  }
  laws.swinging.stiffness = laws.lasting.stiffness;
  const auto& ends = layout_.elements[element];
  const units::Inertia J_1 = layout_.inertias[ends.inertia_1].inertia;
  const units::Inertia J_2 = layout_.inertias[*ends.inertia_2].inertia;
  if (dynamics.damping_ratio > 0.0 && J_1.value() > 0.0 && J_2.value() > 0.0) {
    const units::Mass m =
        torsion::reduced_mass(J_1, from_si<units::Length>(std::abs(layout_.arm_1[element])), J_2,
                              from_si<units::Length>(std::abs(layout_.arm_2[element])));
    laws.swinging.damping =
        2.0 * dynamics.damping_ratio * std::sqrt(laws.swinging.stiffness * m.value());
  }
  return laws;
}

TorsionState::Laws TorsionState::law_of(std::size_t element) const {
  const ElementSource& source = layout_.sources[element];
  const TorsionSettings& settings = *design_.torsion;
  Laws laws;
  switch (source.kind) {
    case TorsionElement::Kind::segment:
      return segment_law(settings.segments[source.index]);
    case TorsionElement::Kind::mesh:
      return mesh_law(element, std::nullopt);
    case TorsionElement::Kind::elastomer: {
      const ElastomerLaws both =
          laws_of(elastomer_of(element), *elastomer_temperatures_[element], reference_);
      return {both.swinging, both.lasting};
    }
    case TorsionElement::Kind::damper:
      laws.swinging.damping = settings.dampers[source.index].viscous->value();
      break;
    case TorsionElement::Kind::drag:
      laws.swinging.damping =
          std::get<units::TorsionalDamping>(settings.drags[source.index].kind).value();
      break;
  }
  return laws;
}

double TorsionState::drag_torque(const Drag& drag, double shaft_speed) const {
  if (const auto* constant = std::get_if<units::Torque>(&drag.kind)) {
    return constant->value();
  }
  if (const auto* viscous = std::get_if<units::TorsionalDamping>(&drag.kind)) {
    return viscous->value() * shaft_speed;
  }
  const auto& bearing = std::get<Drag::BearingTorque>(drag.kind);
  const DragOil& oil = *design_.torsion->oil;
  const units::Temperature temperature =
      temperatures_.of(static_cast<thermal::ZoneIndex>(oil.zone));
  return losses::no_load_torque(bearing.f_0, oil.viscosity.kinematic_viscosity(temperature),
                                from_si<units::AngularVelocity>(shaft_speed), bearing.mean_diameter)
      .value();
}

std::vector<double> TorsionState::mean_torques(double speed, TorsionAtSpeed& into) const {
  const TorsionSettings& settings = *design_.torsion;
  std::vector<double> torques(layout_.inertias.size(), 0.0);
  const auto speed_of = [&](std::size_t inertia) {
    return speed * train::nearest_double(layout_.speed[inertia]);
  };
  for (std::size_t i = 0; i < settings.torques.size(); ++i) {
    const ShaftTorque& torque = settings.torques[i];
    const auto& at = layout_.station[torque.station];
    if (!at) {
      continue;
    }
    const double mean =
        torque.mean.value() * scaling_at(settings, torque.mean_scaling, speed) + gas_torque_[i];
    torques[*at] += mean;
    (mean > 0.0 ? into.driven : into.loads) += std::abs(mean) * speed_of(*at);
  }
  for (const Drag& drag : settings.drags) {
    if (const auto& at = layout_.station[drag.station]) {
      const double torque = drag_torque(drag, speed_of(*at));
      torques[*at] -= torque;
      into.drag += torque * speed_of(*at);
    }
  }
  return torques;
}

TorsionAtSpeed TorsionState::at(double speed) const {
  TorsionAtSpeed result;
  result.speed = speed;
  const std::vector<double> torques = mean_torques(speed, result);
  torsion::kernel::System& swinging = result.system;
  swinging.inertias.reserve(layout_.inertias.size());
  for (const TorsionInertia& inertia : layout_.inertias) {
    swinging.inertias.push_back(inertia.inertia.value());
  }
  swinging.elements.reserve(layout_.elements.size());
  for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
    const TorsionElement& element = layout_.elements[e];
    swinging.elements.push_back({element.inertia_1, layout_.arm_1[e], element.inertia_2,
                                 layout_.arm_2[e], laws_[e].swinging});
  }
  torsion::kernel::System& lasting = result.lasting;
  lasting = swinging;
  for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
    lasting.elements[e].law = laws_[e].lasting;
  }
  for (int round = 0; round < most_rounds; ++round) {
    result.flow = torsion::kernel::mean_flow(lasting, torques, layout_.driver);
    double change = 0.0;
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      if (layout_.elements[e].kind == TorsionElement::Kind::mesh) {
        const Laws laws = mesh_law(e, result.flow.torques[e]);
        change = std::max(
            change, std::abs(laws.lasting.stiffness / lasting.elements[e].law.stiffness - 1.0));
        lasting.elements[e].law = laws.lasting;
        swinging.elements[e].law = laws.swinging;
      }
    }
    if (change < settled) {
      break;
    }
  }
  const double balance =
      result.flow.balance * speed * train::nearest_double(layout_.speed[layout_.driver]);
  (balance > 0.0 ? result.driven : result.loads) += std::abs(balance);
  return result;
}

std::vector<std::size_t> TorsionState::meshes_by_standard() const {
  std::vector<std::size_t> result;
  for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
    if (layout_.elements[e].kind == TorsionElement::Kind::mesh &&
        !dynamics_of(layout_.sources[e].index).stiffness) {
      result.push_back(e);
    }
  }
  return result;
}

std::vector<Warning> TorsionState::findings(const TorsionAtSpeed& at) const {
  std::vector<Warning> warnings;
  for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
    const TorsionElement& element = layout_.elements[e];
    if (element.kind != TorsionElement::Kind::mesh) {
      continue;
    }
    const std::size_t mesh = layout_.sources[e].index;
    if (dynamics_of(mesh).damping_ratio > 0.0 && !(at.system.elements[e].law.damping > 0.0)) {
      const bool first = !(layout_.inertias[element.inertia_1].inertia.value() > 0.0);
      warnings.push_back({"mesh_damping", "", "mesh " + design_.meshes[mesh].id, "",
                          "its damping ratio has no effect: " +
                              layout_.inertias[first ? element.inertia_1 : *element.inertia_2].id +
                              " has no inertia"});
    }
  }
  for (const std::size_t e : meshes_by_standard()) {
    const std::size_t mesh = layout_.sources[e].index;
    const torsion::MeshTeeth teeth = mesh_teeth(design_, mesh, dynamics_of(mesh), temperatures_,
                                                reference_, contact_ratio_[mesh]);
    for (const std::string& text : torsion::mesh_stiffness(teeth).outside_range) {
      warnings.push_back({"mesh_stiffness", "", "mesh " + design_.meshes[mesh].id, "", text});
    }
  }
  return warnings;
}

std::vector<LightMesh> TorsionState::light_meshes(const TorsionAtSpeed& at) const {
  std::vector<LightMesh> result;
  for (const std::size_t e : meshes_by_standard()) {
    const std::size_t mesh = layout_.sources[e].index;
    const torsion::MeshTeeth teeth = mesh_teeth(design_, mesh, dynamics_of(mesh), temperatures_,
                                                reference_, contact_ratio_[mesh]);
    const units::Force F_t =
        tangential(at.flow.torques[e], design_.gears[design_.meshes[mesh].gear_1]);
    const double per_width = F_t.value() / teeth.face_width.value();
    if (per_width < full_load_per_width * newton_per_mm) {
      result.push_back({mesh, per_width, at.lasting.elements[e].law.stiffness,
                        torsion::mesh_stiffness(teeth).stiffness.mid().value()});
    }
  }
  return result;
}

}  // namespace lashband::design
