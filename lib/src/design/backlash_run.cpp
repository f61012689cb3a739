#include <algorithm>

#include "findings.hpp"
#include "judgement.hpp"
#include "lashband/design/run.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/thermal/expanded_pair.hpp"
#include "lashband/tolerance/worst_case.hpp"

namespace lashband::design {
namespace {

using geometry::CycleGap;
using geometry::GearPair;
using tolerance::Sense;
using tolerance::Toleranced;
using units::Length;

// A mesh at one corner of its tolerances: where the gap is nominal, lowest or highest.
struct Corner {
  GearPair pair;
  CycleGap gap;
};

struct CornerInputs {
  Length E_sn1, E_sn2, deviation;
  double strain;
};

Corner corner_of(const Gear& gear_1, double elongation_1, const Gear& gear_2, double elongation_2,
                 Length nominal, const CornerInputs& inputs) {
  const thermal::CentreDistance a{nominal, inputs.deviation, inputs.strain, Length()};
  const GearPair pair =
      thermal::expanded_pair(gear_1.body.with_thickness_allowance(inputs.E_sn1), elongation_1,
                             gear_2.body.with_thickness_allowance(inputs.E_sn2), elongation_2, a);
  return {pair, geometry::cycle_gap(pair)};
}

BacklashBands bands_of(const Corner& nominal, const Corner& low, const Corner& high) {
  const geometry::Backlash mid = geometry::backlash(nominal.pair, nominal.gap.least);
  const geometry::Backlash least = geometry::backlash(low.pair, low.gap.least);
  const geometry::Backlash greatest = geometry::backlash(high.pair, high.gap.greatest);
  BacklashBands bands;
  bands.j_wt = {mid.j_wt, least.j_wt, greatest.j_wt};
  bands.j_bt = {mid.j_bt, least.j_bt, greatest.j_bt};
  bands.j_bn = {mid.j_bn, least.j_bn, greatest.j_bn};
  if (mid.j_r && least.j_r && greatest.j_r) {
    bands.j_r = ResultBand<Length>{*mid.j_r, *least.j_r, *greatest.j_r};
  }
  bands.j_r_iso = {mid.j_r_iso, least.j_r_iso, greatest.j_r_iso};
  bands.phi_1 = {mid.phi_1, least.phi_1, greatest.phi_1};
  bands.phi_2 = {mid.phi_2, least.phi_2, greatest.phi_2};
  bands.j_bind = {nominal.gap.least, low.gap.least, high.gap.least};
  bands.cycle_resolved = nominal.gap.resolved && low.gap.resolved && high.gap.resolved;
  return bands;
}

MeshState mesh_state(const Design& design, const Mesh& mesh, std::size_t index,
                     const thermal::TemperatureState& temperatures,
                     const thermal::CarrierState& carrier, const thermal::Reference& reference) {
  const Gear& gear_1 = design.gears[mesh.gear_1];
  const Gear& gear_2 = design.gears[mesh.gear_2];
  const double elongation_1 = gear_1.solid.elongation(temperatures, reference);
  const double elongation_2 = gear_2.solid.elongation(temperatures, reference);

  // Thinner teeth and a greater distance open the gap (MeshState is at fixed temperatures, so the
  // interval over these is exact).
  const Toleranced<Length> E_sn1{gear_1.thickness_allowance, Sense::falls};
  const Toleranced<Length> E_sn2{gear_2.thickness_allowance, Sense::falls};
  const Toleranced<Length> deviation{mesh.centre_distance_deviation, Sense::rises};
  const auto corner = [&](const CornerInputs& inputs) {
    return corner_of(gear_1, elongation_1, gear_2, elongation_2, mesh.centre_distance, inputs);
  };
  const Corner nominal =
      corner({E_sn1.at_mid(), E_sn2.at_mid(), deviation.at_mid(), carrier.strain});
  const Corner low = corner({E_sn1.at_least_result(), E_sn2.at_least_result(),
                             deviation.at_least_result(), carrier.strain_reach.low});
  const Corner high = corner({E_sn1.at_greatest_result(), E_sn2.at_greatest_result(),
                              deviation.at_greatest_result(), carrier.strain_reach.high});

  MeshState result;
  result.state = index;
  result.a = nominal.pair.centre_distance();
  result.alpha_wt = nominal.pair.working_pressure_angle();
  const geometry::ContactRatio contact = geometry::contact_ratio(nominal.pair);
  result.eps_alpha = contact.eps_alpha;
  result.eps_beta = contact.eps_beta;
  result.c_1 = geometry::tip_clearance_1(nominal.pair);
  result.c_2 = geometry::tip_clearance_2(nominal.pair);
  result.base_pitch_mismatch = nominal.pair.base_pitch_mismatch();
  result.gap = bands_of(nominal, low, high);
  // The corner of the lowest gap has the closest axes and the deepest roots filled: the least tip
  // clearance and the deepest engagement; the corner of the highest gap has the least overlap.
  result.tip_clearance_low =
      std::min(geometry::tip_clearance_1(low.pair), geometry::tip_clearance_2(low.pair));
  result.eps_alpha_low = geometry::contact_ratio(high.pair).eps_alpha;
  result.interference_margin_low = std::min(geometry::interference_margin_1(low.pair),
                                            geometry::interference_margin_2(low.pair));
  return result;
}

// The carrier at every state; a state where a material gives no answer becomes a failure.
void add_carrier_states(const thermal::Carrier& carrier,
                        const std::vector<thermal::TemperatureState>& temperatures,
                        const thermal::Reference& reference, BacklashResult& result) {
  std::vector<std::size_t> usable;
  std::vector<thermal::TemperatureState> usable_temperatures;
  for (std::size_t i = 0; i < temperatures.size(); ++i) {
    try {
      for (const thermal::Solid& solid : thermal::solids_of(carrier)) {
        (void)solid.elongation(temperatures[i], reference);
      }
      usable.push_back(i);
      usable_temperatures.push_back(temperatures[i]);
    } catch (const Error& error) {
      result.failures.push_back({"carrier " + carrier.id, result.states[i].id, error.what()});
    }
  }
  const thermal::JointEnvelope envelope =
      thermal::joint_envelope(carrier, usable_temperatures, reference);
  for (const std::size_t i : usable) {
    try {
      result.carrier_states.push_back(
          {i, thermal::carrier_state(carrier, temperatures[i], reference, envelope)});
    } catch (const Error& error) {
      result.failures.push_back({"carrier " + carrier.id, result.states[i].id, error.what()});
    }
  }
}

}  // namespace

BacklashResult backlash(const Design& design, std::size_t carrier_index,
                        const RunOptions& options) {
  const thermal::Carrier& carrier = design.carriers.at(carrier_index);
  const thermal::Reference reference{design.reference_temperature, options.extrapolation};

  BacklashResult result;
  result.input = {design.title, design.digest};
  result.carrier = carrier.id;
  result.zones = design.zones;
  result.states = states_of(design);

  std::vector<thermal::TemperatureState> temperatures;
  for (const State& state : result.states) {
    temperatures.push_back(state.temperatures);
  }
  add_carrier_states(carrier, temperatures, reference, result);

  for (const Mesh& mesh : design.meshes) {
    MeshResult mesh_result;
    mesh_result.id = mesh.id;
    mesh_result.gear_1 = design.gears[mesh.gear_1].id;
    mesh_result.gear_2 = design.gears[mesh.gear_2].id;
    for (const CarrierStateResult& at : result.carrier_states) {
      try {
        mesh_result.states.push_back(
            mesh_state(design, mesh, at.state, temperatures[at.state], at.carrier, reference));
      } catch (const Error& error) {
        result.failures.push_back({"mesh " + mesh.id, result.states[at.state].id, error.what()});
      }
    }
    mesh_result.basis = mesh.require.basis;
    find_extremes(mesh_result);
    judge(mesh_result, mesh.require, result.states, result.requirements);
    result.meshes.push_back(std::move(mesh_result));
  }
  result.warnings = findings(design, carrier, result);
  return result;
}

bool BacklashResult::all_requirements_met() const {
  return std::all_of(requirements.begin(), requirements.end(),
                     [](const RequirementRow& row) { return row.met; });
}

}  // namespace lashband::design
