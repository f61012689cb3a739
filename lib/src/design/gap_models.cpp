#include "gap_models.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "drawn_pair.hpp"
#include "lashband/bearing/float_at_gear.hpp"
#include "lashband/bearing/preload.hpp"
#include "lashband/bearing/seat.hpp"
#include "lashband/bearing/thick_ring.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/thermal/expanded_pair.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using band::kernel::LinearForm;
using band::kernel::MeshModel;
using band::kernel::SeatModel;
using band::kernel::StateModel;
using band::kernel::StrainModel;
using units::from_si;
using units::Length;

void add_scaled(LinearForm& sum, const LinearForm& form, double factor) {
  sum.constant += factor * form.constant;
  for (const band::kernel::LinearTerm& term : form.terms) {
    const auto same = std::find_if(sum.terms.begin(), sum.terms.end(),
                                   [&term](const auto& other) { return other.draw == term.draw; });
    if (same == sum.terms.end()) {
      sum.terms.push_back({term.draw, factor * term.coefficient});
    } else {
      same->coefficient += factor * term.coefficient;
    }
  }
}

LinearForm plus(LinearForm form, double constant) {
  form.constant += constant;
  return form;
}

// The elongation of a solid that is warmer than its zone.
double warmer(const thermal::Solid& solid, const thermal::TemperatureState& temperatures,
              const thermal::Reference& reference, units::TemperatureDifference excess) {
  const units::Temperature level =
      units::celsius(temperatures.of(solid.zone).value() + excess.value());
  return solid.material->elongation()
      .between(reference.temperature, level, reference.extrapolation)
      .value();
}

bearing::FitPart part_of(const thermal::Solid& solid, Length free_diameter,
                         const thermal::TemperatureState& temperatures,
                         const thermal::Reference& reference) {
  return {
      free_diameter, solid.youngs_modulus(temperatures, reference),
      solid.material->poissons_ratio(temperatures.of(solid.zone), reference.extrapolation).value()};
}

StrainModel strain_model(const thermal::StrainLaw& law,
                         const std::vector<LinearForm>& elongations) {
  StrainModel model;
  model.linear.constant = law.offset;
  for (std::size_t k = 0; k < elongations.size(); ++k) {
    add_scaled(model.linear, elongations[k], law.share[k]);
  }
  for (const thermal::StrainLaw::Knee& knee : law.knees) {
    band::kernel::Knee placed{knee.gain, {knee.offset, {}}, knee.low, knee.high};
    for (std::size_t k = 0; k < elongations.size(); ++k) {
      add_scaled(placed.argument, elongations[k], knee.share[k]);
    }
    model.knees.push_back(std::move(placed));
  }
  return model;
}

}  // namespace

GapModels::GapModels(const Design& design, const thermal::Carrier& carrier,
                     const thermal::Reference& reference, const Contributors& contributors,
                     const std::vector<thermal::JointEnvelope>& envelopes)
    : design_(design),
      carrier_(carrier),
      reference_(reference),
      contributors_(contributors),
      envelopes_(envelopes),
      carrier_solids_(thermal::solids_of(carrier)),
      factors_(contributors.all().size(), 1.0) {}

double GapModels::mid(std::size_t draw) const {
  const Contributor& contributor = contributors_.all()[draw];
  return contributor.kind == Contributor::Kind::magnitude ? contributor.mid * factors_[draw]
                                                          : contributor.mid;
}

void GapModels::add(LinearForm& form, const Draw& draw, double factor) const {
  if (draw) {
    const double coefficient = factor * contributors_.all()[*draw].reach * factors_[*draw];
    if (coefficient != 0.0) {
      add_scaled(form, {0.0, {{*draw, 1.0}}}, coefficient);
    }
  }
}

template <class Q>
void GapModels::add_value(LinearForm& form, const Draw& draw, const tolerance::Toleranced<Q>& value,
                          double factor) const {
  form.constant += factor * (draw ? mid(*draw) : value.mid().value());
  add(form, draw, factor);
}

LinearForm GapModels::elongation(const thermal::Solid& solid, const SolidDraws& draws,
                                 const thermal::TemperatureState& temperatures) const {
  LinearForm form;
  const double thermal = solid.thermal_elongation(temperatures, reference_);
  form.constant = solid.elongation(temperatures, reference_);
  add(form, draws.elongation, thermal);
  add(form, draws.permanent, 1.0);
  add(form, draws.moisture, 1.0);
  return form;
}

std::optional<Length> GapModels::place(const Mesh& mesh) const {
  const auto& at_1 = design_.gears[mesh.gear_1].at;
  const auto& at_2 = design_.gears[mesh.gear_2].at;
  return at_1 && at_2 ? std::optional(0.5 * (*at_1 + *at_2)) : at_1 ? at_1 : at_2;
}

MeshModel GapModels::mesh_model(std::size_t index) const {
  const Mesh& mesh = design_.meshes[index];
  const MeshDraws& draws = contributors_.mesh(index);
  const Gear& gear_1 = design_.gears[mesh.gear_1];
  const Gear& gear_2 = design_.gears[mesh.gear_2];
  const GearDraws& draws_1 = contributors_.gear(mesh.gear_1);
  const GearDraws& draws_2 = contributors_.gear(mesh.gear_2);

  MeshModel model;
  const double side = side_of(design_, mesh);
  model.L = side * mesh.centre_distance.value();
  model.r_b1 = 0.5 * gear_1.body.base_diameter().value();
  model.r_b2 = side * 0.5 * gear_2.body.base_diameter().value();
  model.p_b1 = gear_1.body.base_pitch().value();
  model.p_b2 = gear_2.body.base_pitch().value();
  model.s_b1 = gear_1.body.base_tooth_thickness().value();
  model.s_b2 = gear_2.body.base_tooth_thickness().value();
  model.kappa = std::cos(gear_1.body.transverse_pressure_angle().value()) /
                std::cos(gear_1.body.helix_angle().value());
  model.cos_beta_b = std::cos(gear_1.body.base_helix_angle().value());

  const auto take = [this](LinearForm& form, const Draw& draw, const auto& value,
                           double factor = 1.0) {
    if (value) {
      add_value(form, draw, *value, factor);
    }
  };
  take(model.E_1, draws_1.thickness, gear_1.thickness_allowance);
  take(model.E_2, draws_2.thickness, gear_2.thickness_allowance);
  take(model.run_out_1, draws_1.run_out, gear_1.run_out);
  take(model.run_out_2, draws_2.run_out, gear_2.run_out);
  take(model.pitch_1, draws_1.pitch, gear_1.pitch_deviation);
  take(model.pitch_2, draws_2.pitch, gear_2.pitch_deviation);
  take(model.deviation, draws.deviation, mesh.centre_distance_deviation, side);
  take(model.wear, draws.wear, mesh.wear);
  for (std::size_t i = 0; i < mesh.own_terms.size(); ++i) {
    const OwnTerm& term = mesh.own_terms[i];
    if (term.on == OwnTerm::On::centre_distance) {
      add_value(model.other_a, draws.own_terms[i], term.value, side);
    } else {
      add_value(model.other_j, draws.own_terms[i], term.value, 1.0);
    }
  }

  const Shaft& shaft_1 = design_.shafts[gear_1.shaft];
  const Shaft& shaft_2 = design_.shafts[gear_2.shaft];
  if (shaft_1.at && shaft_2.at) {
    const double x = shaft_2.at->x.value() - shaft_1.at->x.value();
    const double y = shaft_2.at->y.value() - shaft_1.at->y.value();
    const double distance = side * std::hypot(x, y);
    add(model.deviation, contributors_.shaft(gear_1.shaft).position_x, -x / distance);
    add(model.deviation, contributors_.shaft(gear_1.shaft).position_y, -y / distance);
    add(model.deviation, contributors_.shaft(gear_2.shaft).position_x, x / distance);
    add(model.deviation, contributors_.shaft(gear_2.shaft).position_y, y / distance);
  }

  if (mesh.run_out_phase) {
    model.run_out_phase = LinearForm{mesh.run_out_phase->value(), {}};
  } else if (draws.run_out_phase) {
    const Contributor& phase = contributors_.all()[*draws.run_out_phase];
    model.run_out_phase = LinearForm{phase.mid, {{*draws.run_out_phase, phase.reach}}};
  }
  return model;
}

StateModel GapModels::state_model(std::size_t index, const MeshModel& model,
                                  const UsableState& state) const {
  const Mesh& mesh = design_.meshes[index];
  const Gear& gear_1 = design_.gears[mesh.gear_1];
  const Gear& gear_2 = design_.gears[mesh.gear_2];
  const GearDraws& draws_1 = contributors_.gear(mesh.gear_1);
  const GearDraws& draws_2 = contributors_.gear(mesh.gear_2);
  const std::optional<Length> at = place(mesh);

  StateModel result;
  result.growth_1 = elongation(gear_1.solid, draws_1.solid, state.temperatures);
  result.growth_2 = elongation(gear_2.solid, draws_2.solid, state.temperatures);

  std::vector<LinearForm> elongations;
  std::vector<double> elongations_at_mid;
  for (std::size_t k = 0; k < carrier_solids_.size(); ++k) {
    elongations.push_back(
        elongation(carrier_solids_[k], contributors_.carrier()[k], state.temperatures));
    elongations_at_mid.push_back(elongations.back().constant);
  }
  const auto law = [&](thermal::Loading loading, const std::optional<Length>& place) {
    return thermal::strain_law(carrier_, state.temperatures, reference_, envelopes_, loading, place,
                               state.slips);
  };
  result.carrier_least = strain_model(law(thermal::Loading::least, at), elongations);
  result.carrier_greatest = strain_model(law(thermal::Loading::greatest, at), elongations);

  const double b = std::min(gear_1.body.face_width().value(), gear_2.body.face_width().value());
  const double sin_alpha = std::sin(gear_1.body.pressure_angle().value());
  const double cos_alpha = std::cos(gear_1.body.pressure_angle().value());
  if (at && !state.carrier.walls.empty()) {
    // The strain is linear in the place: its change over one metre is the gradient.
    const thermal::StrainLaw here = law(thermal::Loading::first, at);
    const thermal::StrainLaw further = law(thermal::Loading::first, *at + from_si<Length>(1.0));
    const double across = model.L * b * sin_alpha;
    result.misalignment.constant =
        across * (further.strain(elongations_at_mid) - here.strain(elongations_at_mid));
    const std::vector<double> slopes_here = here.slopes(elongations_at_mid);
    const std::vector<double> slopes_further = further.slopes(elongations_at_mid);
    for (std::size_t k = 0; k < elongations.size(); ++k) {
      add_scaled(result.misalignment, plus(elongations[k], -elongations_at_mid[k]),
                 across * (slopes_further[k] - slopes_here[k]));
    }
  }
  add(result.misalignment, draws_1.helix, cos_alpha);
  add(result.misalignment, draws_2.helix, cos_alpha);
  if (mesh.parallelism) {
    const double share = b / mesh.parallelism->over.value();
    add(result.misalignment, contributors_.mesh(index).f_sigma_delta, share * sin_alpha);
    add(result.misalignment, contributors_.mesh(index).f_sigma_beta, share * cos_alpha);
  }

  for (const std::size_t gear : {mesh.gear_1, mesh.gear_2}) {
    for (SeatModel& seat : seats(design_.gears[gear].shaft, gear, state)) {
      result.seats.push_back(std::move(seat));
    }
  }
  set_cycle(index, state, result);
  return result;
}

LinearForm GapModels::axial_play(std::size_t index) const {
  const Mesh& mesh = design_.meshes[index];
  LinearForm play;
  for (const std::size_t gear : {mesh.gear_1, mesh.gear_2}) {
    const std::size_t shaft = design_.gears[gear].shaft;
    const double slope = std::tan(design_.gears[gear].body.base_helix_angle().value());
    if (design_.shafts[shaft].axial_float && slope > 0.0) {
      add_value(play, contributors_.shaft(shaft).axial_float, *design_.shafts[shaft].axial_float,
                slope);
    }
  }
  return play;
}

std::vector<SeatModel> GapModels::seats(std::size_t shaft_index, std::size_t gear,
                                        const UsableState& state) const {
  const Shaft& shaft = design_.shafts[shaft_index];
  const ShaftDraws& draws = contributors_.shaft(shaft_index);
  if (shaft.preload) {
    return {preloaded(shaft, draws, state)};
  }
  std::vector<SeatModel> seats;
  std::vector<Length> places;
  for (std::size_t i = 0; i < shaft.bearings.size(); ++i) {
    seats.push_back(seat(shaft, draws, i, state));
    places.push_back(shaft.bearings[i].at.value_or(Length()));
  }
  if (seats.size() > 1) {
    const std::vector<double> weights =
        bearing::float_weights(places, design_.gears[gear].at.value_or(Length()));
    for (std::size_t i = 0; i < seats.size(); ++i) {
      seats[i].weight = weights[i];
    }
  }
  return seats;
}

SeatModel GapModels::seat(const Shaft& shaft, const ShaftDraws& draws, std::size_t index,
                          const UsableState& state) const {
  const Bearing& bearing = shaft.bearings[index];
  const BearingDraws& its = draws.bearings[index];
  SeatModel model;
  add_value(model.clearance, its.clearance, bearing.clearance, 1.0);
  if (!bearing.rings || !bearing.bore || !bearing.outside_diameter) {
    return model;
  }
  const thermal::TemperatureState& temperatures = state.temperatures;
  const bearing::BearingDiameters sizes = bearing::ball_bearing_diameters(
      *bearing.bore, *bearing.outside_diameter, bearing.outer_raceway, bearing.inner_raceway);
  const LinearForm outer_ring = elongation(*bearing.rings, its.rings, temperatures);
  const auto hotter = [&](double share) {
    return plus(outer_ring,
                warmer(*bearing.rings, temperatures, reference_, share * bearing.inner_excess) -
                    bearing.rings->thermal_elongation(temperatures, reference_));
  };
  const LinearForm inner_ring = hotter(1.0);
  const LinearForm balls = hotter(0.5);
  add_scaled(model.clearance, outer_ring, sizes.outer_raceway.value());
  add_scaled(model.clearance, inner_ring, -sizes.inner_raceway.value());
  add_scaled(model.clearance, balls, -2.0 * sizes.ball.value());

  if (bearing.outer_fit) {
    const std::size_t bore = thermal::bore_solid_index(carrier_, bearing.at);
    const thermal::Solid& around = bearing.seat ? *bearing.seat : carrier_solids_[bore];
    const SolidDraws& around_draws = bearing.seat ? its.seat : contributors_.carrier()[bore];
    add_value(model.outer, its.outer_ring, bearing.outer_fit->shaft, 1.0);
    add_value(model.outer, its.outer_bore, bearing.outer_fit->bore, -1.0);
    add_scaled(model.outer, outer_ring, sizes.outside.value());
    add_scaled(model.outer, elongation(around, around_draws, temperatures), -sizes.outside.value());
    constexpr double thick = std::numeric_limits<double>::infinity();
    model.outer_factor = bearing::outer_ring_contraction_factor(
        {sizes.outside, part_of(*bearing.rings, sizes.outer_raceway, temperatures, reference_),
         part_of(around, bearing.seat_outside.value_or(from_si<Length>(thick)), temperatures,
                 reference_)});
  }
  if (bearing.inner_fit && shaft.solid) {
    add_value(model.inner, its.inner_shaft, bearing.inner_fit->shaft, 1.0);
    add_value(model.inner, its.inner_ring, bearing.inner_fit->bore, -1.0);
    // The shaft is as warm as its zone; the excess is the ring's.
    add_scaled(model.inner, elongation(*shaft.solid, draws.solid, temperatures),
               sizes.bore.value());
    add_scaled(model.inner, inner_ring, -sizes.bore.value());
    model.inner_factor = bearing::inner_ring_expansion_factor(
        {sizes.bore, part_of(*shaft.solid, bearing.shaft_bore, temperatures, reference_),
         part_of(*bearing.rings, sizes.inner_raceway, temperatures, reference_)});
  }
  return model;
}

SeatModel GapModels::preloaded(const Shaft& shaft, const ShaftDraws& draws,
                               const UsableState& state) const {
  const Preload& preload = *shaft.preload;
  const double slope = std::tan(preload.contact_angle.value());
  SeatModel model;
  model.clearance.constant = -slope * preload.travel.value();
  // A case that outgrows the shaft loosens bearings set over the outer rings and tightens others.
  const double sense = preload.arrangement == bearing::Arrangement::face_to_face ? 1.0 : -1.0;
  const double lever = sense * slope * preload.span.value();
  add_scaled(model.clearance,
             elongation(preload.case_solid, draws.preload_case, state.temperatures), lever);
  if (shaft.solid) {
    add_scaled(model.clearance, elongation(*shaft.solid, draws.solid, state.temperatures), -lever);
  }
  return model;
}

void GapModels::set_cycle(std::size_t index, const UsableState& state, StateModel& model) const {
  const Mesh& mesh = design_.meshes[index];
  const Gear& gear_1 = design_.gears[mesh.gear_1];
  const Gear& gear_2 = design_.gears[mesh.gear_2];
  const thermal::CentreDistance a{mesh.centre_distance, drawn_deviation(mesh),
                                  state.carrier.strain_at(place(mesh)), Length()};
  const geometry::GearPair pair = thermal::expanded_pair(
      drawn_body(gear_1), model.growth_1.constant, drawn_body(gear_2), model.growth_2.constant, a);
  const double mismatch = std::abs(pair.base_pitch_mismatch().value());
  const geometry::CycleGap cycle = geometry::cycle_gap(pair);
  const double same_tooth = geometry::same_tooth_gap(pair).value();
  if (mismatch > 0.0) {
    model.cycle_least = (cycle.least.value() - same_tooth) / mismatch;
    model.cycle_greatest = (cycle.greatest.value() - same_tooth) / mismatch;
  }
}

}  // namespace lashband::design
