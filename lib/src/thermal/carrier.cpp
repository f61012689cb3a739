#include "lashband/thermal/carrier.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

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

// The same at a moment of a history.
CarrierState after_slip(const FrictionJoint& joint, const Springs& springs, const JointSlip& slip) {
  const auto force = [&](double place) {
    const double limit = joint.slip_force.value();
    return std::clamp(springs.rigidity * (springs.relative - place), -limit, limit);
  };
  CarrierState result = state_under(springs, force(slip.first));
  const double low = force(slip.reach.high);
  const double high = force(slip.reach.low);
  result.joint_force_reach = Extent<Force>{from_si<Force>(low), from_si<Force>(high)};
  result.strain_reach = {springs.strain_insert + low / springs.insert_rigidity,
                         springs.strain_insert + high / springs.insert_rigidity};
  return result;
}

// What a wall's friction joint has been through; the slip counts where it is known.
struct Past {
  const JointEnvelope& envelope;
  const JointSlip* slip = nullptr;
};

Past past(const std::vector<JointEnvelope>& envelopes, const std::vector<JointSlip>& slips,
          std::size_t wall) {
  return {envelopes.at(wall), slips.empty() ? nullptr : &slips.at(wall)};
}

CarrierState insert_state(const InsertCarrier& carrier, const TemperatureState& state,
                          const Reference& reference, const Past& past) {
  const Springs springs = springs_of(carrier, state, reference);
  return std::visit(Overload{[&](const RigidJoint&) {
                               return state_under(springs, springs.rigidity * springs.relative);
                             },
                             [&](const ElasticJoint&) {
                               return state_under(springs, springs.rigidity * springs.relative);
                             },
                             [&](const ClearanceJoint& joint) {
                               return with_clearance(joint, springs, *carrier.locating_span);
                             },
                             [&](const FrictionJoint& joint) {
                               return past.slip != nullptr
                                          ? after_slip(joint, springs, *past.slip)
                                          : with_friction(joint, springs, past.envelope);
                             }},
                    carrier.joint);
}

CarrierState free_state(double strain) {
  CarrierState result;
  result.strain = strain;
  result.strain_reach = {strain, strain};
  return result;
}

std::vector<Solid> solids_in(const Build& build) {
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
      build);
}

CarrierState state_of(const Build& build, const TemperatureState& state, const Reference& reference,
                      const Past& past) {
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
                               return insert_state(insert, state, reference, past);
                             }},
                    build);
}

JointEnvelope envelope_of(const Build& build, const std::vector<TemperatureState>& states,
                          const Reference& reference) {
  JointEnvelope envelope{0.0, 0.0};
  if (const auto* insert = std::get_if<InsertCarrier>(&build)) {
    for (const TemperatureState& state : states) {
      const double relative = insert->case_part.solid.elongation(state, reference) -
                              insert->insert.solid.elongation(state, reference);
      envelope.low = std::min(envelope.low, relative);
      envelope.high = std::max(envelope.high, relative);
    }
  }
  return envelope;
}

// The law of a friction joint whose force starts from `bias`: F = k Delta + bias within the slip
// force either way.
StrainLaw slipping(const Springs& springs, double bias, double slip) {
  const double k = springs.rigidity;
  const double pull = k / springs.insert_rigidity;
  StrainLaw law;
  law.offset = bias / springs.insert_rigidity;
  law.share = {1.0 - pull, pull};
  law.knees.push_back({-pull, bias / k, {-1.0, 1.0}, -slip / k, slip / k});
  return law;
}

StrainLaw friction_law(const Springs& springs, double slip, const Past& past, Loading loading) {
  const double k = springs.rigidity;
  if (past.slip != nullptr) {
    // The force falls as the place of the slip rises.
    const double place = loading == Loading::least      ? past.slip->reach.high
                         : loading == Loading::greatest ? past.slip->reach.low
                                                        : past.slip->first;
    return slipping(springs, -k * place, slip);
  }
  const JointEnvelope& envelope = past.envelope;
  switch (loading) {
    case Loading::least:
      return slipping(springs, std::min(k * envelope.high, slip) - k * envelope.high, slip);
    case Loading::greatest:
      return slipping(springs, std::max(k * envelope.low, -slip) - k * envelope.low, slip);
    case Loading::first:
      break;
  }
  return slipping(springs, 0.0, slip);
}

StrainLaw insert_law(const InsertCarrier& carrier, const TemperatureState& state,
                     const Reference& reference, const Past& past, Loading loading) {
  const Springs springs = springs_of(carrier, state, reference);
  const double pull = springs.rigidity / springs.insert_rigidity;
  StrainLaw tied;
  tied.share = {1.0 - pull, pull};
  return std::visit(
      Overload{[&](const RigidJoint&) { return tied; }, [&](const ElasticJoint&) { return tied; },
               [&](const ClearanceJoint& joint) {
                 constexpr double never = std::numeric_limits<double>::infinity();
                 const double span = carrier.locating_span->value();
                 StrainLaw law;
                 law.share = {1.0, 0.0};
                 law.knees.push_back({pull,
                                      0.0,
                                      {-1.0, 1.0},
                                      joint.squeeze ? -joint.squeeze->value() / span : -never,
                                      joint.stretch ? joint.stretch->value() / span : never});
                 return law;
               },
               [&](const FrictionJoint& joint) {
                 return friction_law(springs, joint.slip_force.value(), past, loading);
               }},
      carrier.joint);
}

StrainLaw law_of(const Build& build, const TemperatureState& state, const Reference& reference,
                 const Past& past, Loading loading) {
  return std::visit(Overload{[&](const PlainCarrier&) {
                               StrainLaw law;
                               law.share = {1.0};
                               return law;
                             },
                             [&](const PathCarrier& path) {
                               StrainLaw law;
                               for (const PathSegment& segment : path.segments) {
                                 law.share.push_back(segment.share);
                               }
                               return law;
                             },
                             [&](const InsertCarrier& insert) {
                               return insert_law(insert, state, reference, past, loading);
                             }},
                    build);
}

// `law` over its own solids, times `factor`, as a law over `total` solids from `first` on.
void add_scaled(StrainLaw& sum, const StrainLaw& law, double factor, std::size_t first) {
  const auto spread = [&](std::vector<double>& onto, const std::vector<double>& share, double by) {
    for (std::size_t k = 0; k < share.size(); ++k) {
      onto[first + k] += by * share[k];
    }
  };
  sum.offset += factor * law.offset;
  spread(sum.share, law.share, factor);
  for (const StrainLaw::Knee& knee : law.knees) {
    StrainLaw::Knee placed = knee;
    placed.gain *= factor;
    placed.share.assign(sum.share.size(), 0.0);
    spread(placed.share, knee.share, 1.0);
    sum.knees.push_back(placed);
  }
}

// How far the place is on the way from the first wall to the second; the middle where no place is
// given.
double way(units::Length first, units::Length second, const std::optional<units::Length>& at) {
  return at ? (at->value() - first.value()) / (second.value() - first.value()) : 0.5;
}

std::optional<Length> lesser(const std::optional<Length>& a, const std::optional<Length>& b) {
  return !a ? b : !b ? a : std::optional(std::min(*a, *b));
}

void take_joints(CarrierState& result, const CarrierState& first, const CarrierState& second) {
  const auto size = [](const CarrierState& wall) {
    return wall.joint_force ? std::abs(wall.joint_force->value()) : -1.0;
  };
  const CarrierState& stronger = size(first) >= size(second) ? first : second;
  result.joint_force = stronger.joint_force;
  result.joint_force_reach = stronger.joint_force_reach;
  result.squeeze_left = lesser(first.squeeze_left, second.squeeze_left);
  result.stretch_left = lesser(first.stretch_left, second.stretch_left);
}

CarrierState walls_state(const WallsCarrier& carrier, const TemperatureState& state,
                         const Reference& reference, const std::vector<JointEnvelope>& envelopes,
                         const std::vector<JointSlip>& slips) {
  const CarrierState first =
      state_of(carrier.first.build, state, reference, past(envelopes, slips, 0));
  const CarrierState second =
      state_of(carrier.second.build, state, reference, past(envelopes, slips, 1));
  CarrierState result;
  result.strain = 0.5 * (first.strain + second.strain);
  result.strain_reach = {0.5 * (first.strain_reach.low + second.strain_reach.low),
                         0.5 * (first.strain_reach.high + second.strain_reach.high)};
  result.walls = {{carrier.first.at, first.strain, first.strain_reach},
                  {carrier.second.at, second.strain, second.strain_reach}};
  take_joints(result, first, second);
  return result;
}

double dead(double x, double low, double high) {
  return x < low ? x - low : x > high ? x - high : 0.0;
}

double knee_argument(const StrainLaw::Knee& knee, const std::vector<double>& elongations) {
  double x = knee.offset;
  for (std::size_t k = 0; k < elongations.size(); ++k) {
    x += knee.share[k] * elongations[k];
  }
  return x;
}

bool slips_at_all(const InsertCarrier* insert) {
  return insert != nullptr && std::holds_alternative<FrictionJoint>(insert->joint);
}

// Takes one friction joint through the states twice, from assembly and from where that ends, and
// writes its slip after each.
template <class Place>
void follow(const InsertCarrier& insert, const std::vector<TemperatureState>& states,
            const Reference& reference, const Place& place) {
  const double limit = std::get<FrictionJoint>(insert.joint).slip_force.value();
  std::vector<Springs> springs;
  springs.reserve(states.size());
  for (const TemperatureState& state : states) {
    springs.push_back(springs_of(insert, state, reference));
  }
  double slip = 0.0;
  const auto step = [&](const Springs& at) {
    const double force = std::clamp(at.rigidity * (at.relative - slip), -limit, limit);
    slip = at.relative - force / at.rigidity;
    return slip;
  };
  for (std::size_t i = 0; i < states.size(); ++i) {
    const double first = step(springs[i]);
    place(i) = {first, {first, first}};
  }
  for (std::size_t i = 0; i < states.size(); ++i) {
    const double again = step(springs[i]);
    Extent<double>& reach = place(i).reach;
    reach = {std::min(reach.low, again), std::max(reach.high, again)};
  }
}

// The carrier's build where it has no walls.
Build single_build(const Carrier& carrier) {
  return std::visit(Overload{[](const WallsCarrier& walls) { return walls.first.build; },
                             [](const auto& single) { return Build(single); }},
                    carrier.build);
}

}  // namespace

double StrainLaw::strain(const std::vector<double>& elongations) const {
  double sum = offset;
  for (std::size_t k = 0; k < elongations.size(); ++k) {
    sum += share[k] * elongations[k];
  }
  for (const Knee& knee : knees) {
    sum += knee.gain * dead(knee_argument(knee, elongations), knee.low, knee.high);
  }
  return sum;
}

std::vector<double> StrainLaw::slopes(const std::vector<double>& elongations) const {
  std::vector<double> slopes = share;
  for (const Knee& knee : knees) {
    if (dead(knee_argument(knee, elongations), knee.low, knee.high) != 0.0) {
      for (std::size_t k = 0; k < slopes.size(); ++k) {
        slopes[k] += knee.gain * knee.share[k];
      }
    }
  }
  return slopes;
}

double CarrierState::strain_at(const std::optional<units::Length>& at) const {
  if (walls.size() < 2) {
    return strain;
  }
  const double t = way(walls[0].at, walls[1].at, at);
  return (1.0 - t) * walls[0].strain + t * walls[1].strain;
}

Extent<double> CarrierState::reach_at(const std::optional<units::Length>& at) const {
  if (walls.size() < 2) {
    return strain_reach;
  }
  const double t = way(walls[0].at, walls[1].at, at);
  // Beyond a wall the nearer one's reach counts the other way round.
  const auto end = [&](bool low) {
    const auto part = [low](double share, const Extent<double>& reach) {
      return share * ((share >= 0.0) == low ? reach.low : reach.high);
    };
    return part(1.0 - t, walls[0].reach) + part(t, walls[1].reach);
  };
  return {end(true), end(false)};
}

std::vector<Solid> solids_of(const Carrier& carrier) {
  if (const auto* walls = std::get_if<WallsCarrier>(&carrier.build)) {
    std::vector<Solid> solids = solids_in(walls->first.build);
    for (Solid& solid : solids_in(walls->second.build)) {
      solids.push_back(std::move(solid));
    }
    return solids;
  }
  return solids_in(single_build(carrier));
}

std::size_t bore_solid_index(const Carrier& carrier, const std::optional<units::Length>& at) {
  // In every build the solid around the bores stands first.
  const auto* walls = std::get_if<WallsCarrier>(&carrier.build);
  if (walls == nullptr || way(walls->first.at, walls->second.at, at) <= 0.5) {
    return 0;
  }
  return solids_in(walls->first.build).size();
}

std::vector<JointEnvelope> joint_envelopes(const Carrier& carrier,
                                           const std::vector<TemperatureState>& states,
                                           const Reference& reference) {
  if (const auto* walls = std::get_if<WallsCarrier>(&carrier.build)) {
    return {envelope_of(walls->first.build, states, reference),
            envelope_of(walls->second.build, states, reference)};
  }
  return {envelope_of(single_build(carrier), states, reference)};
}

std::vector<std::vector<JointSlip>> joint_slips(const Carrier& carrier,
                                                const std::vector<TemperatureState>& states,
                                                const Reference& reference) {
  std::vector<const InsertCarrier*> walls;
  const auto add = [&walls](const Build& build) {
    walls.push_back(std::get_if<InsertCarrier>(&build));
  };
  const Build single = single_build(carrier);
  if (const auto* both = std::get_if<WallsCarrier>(&carrier.build)) {
    add(both->first.build);
    add(both->second.build);
  } else {
    add(single);
  }
  if (std::none_of(walls.begin(), walls.end(), slips_at_all)) {
    return {};
  }
  std::vector<std::vector<JointSlip>> slips(states.size(), std::vector<JointSlip>(walls.size()));
  for (std::size_t wall = 0; wall < walls.size(); ++wall) {
    if (slips_at_all(walls[wall])) {
      follow(*walls[wall], states, reference,
             [&](std::size_t state) -> JointSlip& { return slips[state][wall]; });
    }
  }
  return slips;
}

CarrierState carrier_state(const Carrier& carrier, const TemperatureState& state,
                           const Reference& reference, const std::vector<JointEnvelope>& envelopes,
                           const std::vector<JointSlip>& slips) {
  if (const auto* walls = std::get_if<WallsCarrier>(&carrier.build)) {
    return walls_state(*walls, state, reference, envelopes, slips);
  }
  return state_of(single_build(carrier), state, reference, past(envelopes, slips, 0));
}

StrainLaw strain_law(const Carrier& carrier, const TemperatureState& state,
                     const Reference& reference, const std::vector<JointEnvelope>& envelopes,
                     Loading loading, const std::optional<units::Length>& at,
                     const std::vector<JointSlip>& slips) {
  const auto* walls = std::get_if<WallsCarrier>(&carrier.build);
  if (walls == nullptr) {
    return law_of(single_build(carrier), state, reference, past(envelopes, slips, 0), loading);
  }
  const double t = way(walls->first.at, walls->second.at, at);
  // A wall that counts negatively (the gear hangs over beyond the other) is at its other end.
  const auto seen = [loading](double share) {
    return share >= 0.0 || loading == Loading::first ? loading
           : loading == Loading::least               ? Loading::greatest
                                                     : Loading::least;
  };
  const std::size_t in_first = solids_in(walls->first.build).size();
  StrainLaw sum;
  sum.share.assign(in_first + solids_in(walls->second.build).size(), 0.0);
  add_scaled(sum,
             law_of(walls->first.build, state, reference, past(envelopes, slips, 0), seen(1.0 - t)),
             1.0 - t, 0);
  add_scaled(sum, law_of(walls->second.build, state, reference, past(envelopes, slips, 1), seen(t)),
             t, in_first);
  return sum;
}

}  // namespace lashband::thermal
