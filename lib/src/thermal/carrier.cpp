#include "lashband/thermal/carrier.hpp"

#include <algorithm>
#include <limits>

namespace lashband::thermal {
namespace {

using units::Force;
using units::from_si;
using units::Length;

template <class... Cases>
struct Overload : Cases... {
  using Cases::operator()...;
};
template <class... Cases>
Overload(Cases...) -> Overload<Cases...>;

// The two springs side by side in terms that need the locating span only where the user's own
// stiffness (N/m) does: a section's E A (N) is its stiffness times any span.
struct Springs {
  double strain_insert;    // eps_I
  double relative;         // eps_C - eps_I
  double rigidity;         // k L_J, in N
  double insert_rigidity;  // k_I L_J, in N
};

double part_rigidity(const HeldPart& part, double span, const TemperatureState& state,
                     const Reference& reference) {
  if (part.section) {
    return part.solid.youngs_modulus(state, reference).value() * part.section->value();
  }
  return part.stiffness->value() * span;
}

double joint_rigidity(const Joint& joint, double span) {
  const auto of = [span](const std::optional<units::LinearStiffness>& stiffness) {
    return stiffness ? stiffness->value() * span : std::numeric_limits<double>::infinity();
  };
  return std::visit(
      Overload{[](const RigidJoint&) { return std::numeric_limits<double>::infinity(); },
               [&](const ElasticJoint& j) { return j.stiffness.value() * span; },
               [&](const ClearanceJoint& j) { return of(j.stiffness); },
               [&](const FrictionJoint& j) { return of(j.stiffness); }},
      joint);
}

Springs springs_of(const InsertCarrier& carrier, const TemperatureState& state,
                   const Reference& reference) {
  const double span = carrier.locating_span ? carrier.locating_span->value() : 0.0;
  Springs springs{};
  springs.strain_insert = carrier.insert.solid.elongation(state, reference);
  springs.relative = carrier.case_part.solid.elongation(state, reference) - springs.strain_insert;
  springs.insert_rigidity = part_rigidity(carrier.insert, span, state, reference);
  const double case_rigidity = part_rigidity(carrier.case_part, span, state, reference);
  springs.rigidity = 1.0 / (1.0 / springs.insert_rigidity + 1.0 / case_rigidity +
                            1.0 / joint_rigidity(carrier.joint, span));
  return springs;
}

CarrierState state_under(const Springs& springs, double force) {
  CarrierState result;
  result.strain = springs.strain_insert + force / springs.insert_rigidity;
  result.strain_reach = {result.strain, result.strain};
  result.joint_force = from_si<Force>(force);
  return result;
}

CarrierState with_clearance(const ClearanceJoint& joint, const Springs& springs, Length span) {
  const double travel = springs.relative * span.value();  // Delta
  const double k = springs.rigidity / span.value();
  double force = 0.0;
  if (joint.squeeze && travel < -joint.squeeze->value()) {
    force = k * (travel + joint.squeeze->value());
  } else if (joint.stretch && travel > joint.stretch->value()) {
    force = k * (travel - joint.stretch->value());
  }
  CarrierState result = state_under(springs, force);
  if (joint.squeeze) {
    result.squeeze_left = *joint.squeeze + from_si<Length>(travel);
  }
  if (joint.stretch) {
    result.stretch_left = *joint.stretch - from_si<Length>(travel);
  }
  return result;
}

CarrierState with_friction(const FrictionJoint& joint, const Springs& springs,
                           const JointEnvelope& envelope) {
  const double slip = joint.slip_force.value();
  const double k = springs.rigidity;  // force per relative strain: the span cancels
  CarrierState result = state_under(springs, std::clamp(k * springs.relative, -slip, slip));
  const double low =
      std::max(-slip, k * (springs.relative - envelope.high) + std::min(k * envelope.high, slip));
  const double high =
      std::min(slip, k * (springs.relative - envelope.low) + std::max(k * envelope.low, -slip));
  result.joint_force_reach = Extent<Force>{from_si<Force>(low), from_si<Force>(high)};
  result.strain_reach = {springs.strain_insert + low / springs.insert_rigidity,
                         springs.strain_insert + high / springs.insert_rigidity};
  return result;
}

CarrierState insert_state(const InsertCarrier& carrier, const TemperatureState& state,
                          const Reference& reference, const JointEnvelope& envelope) {
  const Springs springs = springs_of(carrier, state, reference);
  return std::visit(
      Overload{[&](const RigidJoint&) {
                 return state_under(springs, springs.rigidity * springs.relative);
               },
               [&](const ElasticJoint&) {
                 return state_under(springs, springs.rigidity * springs.relative);
               },
               [&](const ClearanceJoint& joint) {
                 return with_clearance(joint, springs, *carrier.locating_span);
               },
               [&](const FrictionJoint& joint) { return with_friction(joint, springs, envelope); }},
      carrier.joint);
}

CarrierState free_state(double strain) {
  CarrierState result;
  result.strain = strain;
  result.strain_reach = {strain, strain};
  return result;
}

}  // namespace

std::vector<Solid> solids_of(const Carrier& carrier) {
  return std::visit(
      Overload{[](const PlainCarrier& plain) { return std::vector<Solid>{plain.solid}; },
               [](const PathCarrier& path) {
                 std::vector<Solid> solids;
                 for (const PathSegment& segment : path.segments) {
                   solids.push_back(segment.solid);
                 }
                 return solids;
               },
               [](const InsertCarrier& insert) {
                 return std::vector<Solid>{insert.insert.solid, insert.case_part.solid};
               }},
      carrier.build);
}

JointEnvelope joint_envelope(const Carrier& carrier, const std::vector<TemperatureState>& states,
                             const Reference& reference) {
  JointEnvelope envelope{0.0, 0.0};
  if (const auto* insert = std::get_if<InsertCarrier>(&carrier.build)) {
    for (const TemperatureState& state : states) {
      const double relative = insert->case_part.solid.elongation(state, reference) -
                              insert->insert.solid.elongation(state, reference);
      envelope.low = std::min(envelope.low, relative);
      envelope.high = std::max(envelope.high, relative);
    }
  }
  return envelope;
}

CarrierState carrier_state(const Carrier& carrier, const TemperatureState& state,
                           const Reference& reference, const JointEnvelope& envelope) {
  return std::visit(Overload{[&](const PlainCarrier& plain) {
                               return free_state(plain.solid.elongation(state, reference));
                             },
                             [&](const PathCarrier& path) {
                               double strain = 0.0;
                               for (const PathSegment& segment : path.segments) {
                                 strain +=
                                     segment.share * segment.solid.elongation(state, reference);
                               }
                               return free_state(strain);
                             },
                             [&](const InsertCarrier& insert) {
                               return insert_state(insert, state, reference, envelope);
                             }},
                    carrier.build);
}

}  // namespace lashband::thermal
