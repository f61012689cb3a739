#include "mesh_states.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "band/gap_distribution.hpp"
#include "band/root_sum_square.hpp"
#include "band/worst_case.hpp"
#include "drawn_pair.hpp"
#include "judgement.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/thermal/expanded_pair.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using band::kernel::Corner;
using band::kernel::Draws;
using band::kernel::End;
using band::kernel::Gap;
using band::kernel::GapDistribution;
using band::kernel::GapMeasure;
using band::kernel::LinearSpread;
using band::kernel::MeshModel;
using band::kernel::Stance;
using band::kernel::StateModel;
using band::kernel::StrainModel;
using geometry::GearPair;
using geometry::ToothedBody;
using units::Angle;
using units::from_si;
using units::Length;

// The band of the root sum square, as of every +-3 sigma tolerance.
constexpr double rss_sigmas = 3.0;

// A pair at one place of the tolerances, and its gap j_bt over the mesh cycle.
struct At {
  GearPair pair;
  double least;
  double greatest;
  bool resolved;
};

enum class Tips { shortest, longest };

ToothedBody with_tips(const Gear& gear, const ToothedBody& body, Tips tips) {
  if (!gear.tip_diameter_deviation) {
    return body;
  }
  // The teeth of a ring gear are the longer, the smaller its tip diameter.
  const bool larger = (tips == Tips::longest) != body.internal();
  return body.with_tip_diameter(body.tip_diameter() + (larger ? gear.tip_diameter_deviation->high
                                                              : gear.tip_diameter_deviation->low));
}

// The gears as they stand in a unit with the draws `y`, at the centre distance `a`, which the gap
// model counts as negative for a ring gear's pair.
GearPair pair_at(const Design& design, const Mesh& mesh, const MeshModel& model,
                 const StateModel& state, const std::vector<double>& y, double a, Tips tips) {
  const auto body = [&](std::size_t gear, const band::kernel::LinearForm& thickness,
                        const band::kernel::LinearForm& growth) {
    const Gear& drawn = design.gears[gear];
    return with_tips(drawn, drawn.body, tips)
        .with_thickness_allowance(from_si<Length>(thickness.at(y.data())))
        .grown(growth.at(y.data()));
  };
  return {body(mesh.gear_1, model.E_1, state.growth_1),
          body(mesh.gear_2, model.E_2, state.growth_2), from_si<Length>(std::abs(a))};
}

// The pair with a gap before the cycle that may differ from the pair's own by deviations of the
// teeth and by wear.
At over_cycle(const GearPair& pair, double gap) {
  const geometry::CycleGap cycle = geometry::cycle_gap(pair);
  const double other = gap - geometry::same_tooth_gap(pair).value();
  return {pair, cycle.least.value() + other, cycle.greatest.value() + other, cycle.resolved};
}

// Longer tips lengthen the zone of action, over which the gap is the least of all pairs in it: they
// lower the least and the greatest over the cycle.
At at_corner(const Design& design, const Mesh& mesh, const MeshModel& model,
             const StateModel& state, const Corner& corner, Tips tips, double opened) {
  const GearPair pair = pair_at(design, mesh, model, state, corner.y, corner.gap.a, tips);
  if (opened == 0.0) {
    return over_cycle(pair, corner.gap.j_bt);
  }
  const GearPair wider(pair.gear_1(), pair.gear_2(),
                       from_si<Length>(std::abs(corner.gap.a + opened)));
  return over_cycle(
      wider,
      corner.gap.j_bt + (geometry::same_tooth_gap(wider) - geometry::same_tooth_gap(pair)).value());
}

// Which part of the mesh cycle an end is taken over.
enum class Cycle { least, greatest };

At worst_end(const Design& design, const Mesh& mesh, const MeshModel& model,
             const StateModel& state, const StrainModel& carrier, const Draws& draws, Stance stance,
             End end, Cycle cycle, double opened = 0.0) {
  std::optional<At> worst;
  const auto value = [cycle](const At& at) {
    return cycle == Cycle::least ? at.least : at.greatest;
  };
  for (const Corner& corner : band::kernel::corners(model, state, carrier, draws, stance, end)) {
    const At at = at_corner(design, mesh, model, state, corner,
                            end == End::low ? Tips::longest : Tips::shortest, opened);
    if (!worst || (end == End::low ? value(at) < value(*worst) : value(at) > value(*worst))) {
      worst = at;
    }
  }
  return *worst;
}

// The design as drawn: every dimension at the mid of its band, the shafts moved by `moved` the way
// that opens the gap, true teeth.
At as_drawn(const Design& design, const Mesh& mesh, const MeshModel& model, const StateModel& state,
            double strain, double moved) {
  const auto body = [&](std::size_t gear, double growth) {
    return drawn_body(design.gears[gear]).grown(growth);
  };
  const thermal::CentreDistance a{
      mesh.centre_distance, drawn_deviation(mesh), strain,
      from_si<Length>(side_of(design, mesh) * (moved + model.other_a.constant))};
  GearPair pair(body(mesh.gear_1, state.growth_1.constant),
                body(mesh.gear_2, state.growth_2.constant), a.at_state());
  const double gap =
      geometry::same_tooth_gap(pair).value() + model.other_j.constant / model.cos_beta_b;
  return over_cycle(pair, gap);
}

// What a list of seats makes of the float at the gear.
struct FloatBand {
  double mid = 0.0, low = 0.0, high = 0.0;
};

FloatBand float_band(const std::vector<band::kernel::SeatModel>& seats, const Draws& draws) {
  const std::vector<double> mids(draws.shapes.size(), 0.0);
  FloatBand sum;
  for (const band::kernel::SeatModel& seat : seats) {
    const auto clearance = band::kernel::range_of(seat.clearance, draws);
    const auto outer = band::kernel::range_of(seat.outer, draws);
    const auto inner = band::kernel::range_of(seat.inner, draws);
    const auto with = [&seat](double G, double I_o, double I_i) {
      band::kernel::SeatModel at = seat;
      at.clearance = {G, {}};
      at.outer = {I_o, {}};
      at.inner = {I_i, {}};
      return band::kernel::seat_float(at, nullptr);
    };
    sum.mid += band::kernel::seat_float(seat, mids.data());
    sum.low += with(clearance.low, outer.high, inner.high);
    sum.high += with(clearance.high, outer.low, inner.low);
  }
  return sum;
}

ResultBand<Length> length_band(const FloatBand& band) {
  ResultBand<Length> result;
  result.nominal = from_si<Length>(band.mid);
  result.low = from_si<Length>(band.low);
  result.high = from_si<Length>(band.high);
  return result;
}

template <class Q>
ResultBand<Q> plain_band(Q nominal, Q low, Q high) {
  ResultBand<Q> band;
  band.nominal = nominal;
  band.low = low;
  band.high = high;
  return band;
}

BacklashBands worst_case_bands(const At& nominal, const At& low, const At& high) {
  const geometry::Backlash mid = geometry::backlash(nominal.pair, from_si<Length>(nominal.least));
  const geometry::Backlash least = geometry::backlash(low.pair, from_si<Length>(low.least));
  const geometry::Backlash greatest = geometry::backlash(high.pair, from_si<Length>(high.greatest));
  BacklashBands bands;
  bands.j_wt = plain_band(mid.j_wt, least.j_wt, greatest.j_wt);
  bands.j_bt = plain_band(mid.j_bt, least.j_bt, greatest.j_bt);
  bands.j_bn = plain_band(mid.j_bn, least.j_bn, greatest.j_bn);
  if (mid.j_r && least.j_r && greatest.j_r) {
    bands.j_r = plain_band(*mid.j_r, *least.j_r, *greatest.j_r);
  }
  bands.j_r_iso = plain_band(mid.j_r_iso, least.j_r_iso, greatest.j_r_iso);
  bands.phi_1 = plain_band(mid.phi_1, least.phi_1, greatest.phi_1);
  bands.phi_2 = plain_band(mid.phi_2, least.phi_2, greatest.phi_2);
  bands.cycle_resolved = nominal.resolved && low.resolved && high.resolved;
  return bands;
}

// j_bn is j_bt times a constant.
void set_normal(BacklashBands& bands, double cos_beta_b) {
  const auto times = [cos_beta_b](const std::optional<Length>& x) {
    return x ? std::optional(cos_beta_b * *x) : std::nullopt;
  };
  const auto all = [cos_beta_b](const std::optional<Percentiles<Length>>& p) {
    return p ? std::optional(Percentiles<Length>{cos_beta_b * p->low, cos_beta_b * p->mid,
                                                 cos_beta_b * p->high})
             : std::nullopt;
  };
  bands.j_bn.rss_low = times(bands.j_bt.rss_low);
  bands.j_bn.rss_high = times(bands.j_bt.rss_high);
  bands.j_bn.least = all(bands.j_bt.least);
  bands.j_bn.greatest = all(bands.j_bt.greatest);
}

void set_root_sum_square(BacklashBands& bands, const MeshModel& mesh, const StateModel& state,
                         const Draws& draws) {
  const auto set = [&](auto& band, GapMeasure measure) {
    using Q = std::decay_t<decltype(band.nominal)>;
    const LinearSpread least =
        band::kernel::linear_spread(mesh, state, state.carrier_least, draws, band::kernel::together,
                                    state.cycle_least, measure);
    const LinearSpread greatest =
        band::kernel::linear_spread(mesh, state, state.carrier_greatest, draws, band::kernel::apart,
                                    state.cycle_greatest, measure);
    band.rss_low = from_si<Q>(least.mean - rss_sigmas * least.sigma);
    band.rss_high = from_si<Q>(greatest.mean + rss_sigmas * greatest.sigma);
  };
  set(bands.j_wt, GapMeasure::j_wt);
  set(bands.j_bt, GapMeasure::j_bt);
  set(bands.phi_1, GapMeasure::phi_1);
  set(bands.phi_2, GapMeasure::phi_2);
  const LinearSpread bind =
      band::kernel::linear_spread(mesh, state, state.carrier_greatest, draws,
                                  band::kernel::taken_up, state.cycle_least, GapMeasure::j_bt);
  bands.j_bind.rss_low = from_si<Length>(bind.mean - rss_sigmas * bind.sigma);
  bands.j_bind.rss_high = from_si<Length>(bind.mean + rss_sigmas * bind.sigma);
}

template <class Q>
Percentiles<Q> percentiles_of(const GapDistribution& gap, GapMeasure measure) {
  return {from_si<Q>(gap.quantile(measure, low_percentile)), from_si<Q>(gap.quantile(measure, 0.5)),
          from_si<Q>(gap.quantile(measure, high_percentile))};
}

// Whether both gears have the same elongation in every unit.
bool grow_alike(const StateModel& state) {
  const auto& one = state.growth_1;
  const auto& two = state.growth_2;
  return one.constant == two.constant &&
         std::equal(one.terms.begin(), one.terms.end(), two.terms.begin(), two.terms.end(),
                    [](const auto& a, const auto& b) {
                      return a.draw == b.draw && a.coefficient == b.coefficient;
                    });
}

void set_percentiles(MeshState& result, const MeshModel& mesh, const StateModel& state,
                     const Draws& draws, const band::kernel::Limits& limits,
                     band::kernel::FloatMeasures& floats) {
  const GapDistribution least(mesh, state, draws, Gap::least, floats);
  const GapDistribution greatest(mesh, state, draws, Gap::greatest, floats);
  const GapDistribution bind(mesh, state, draws, Gap::bind, floats);
  const auto set = [&](auto& band, GapMeasure measure) {
    using Q = std::decay_t<decltype(band.nominal)>;
    band.least = percentiles_of<Q>(least, measure);
    band.greatest = percentiles_of<Q>(greatest, measure);
  };
  set(result.gap.j_wt, GapMeasure::j_wt);
  set(result.gap.j_bt, GapMeasure::j_bt);
  set(result.gap.phi_1, GapMeasure::phi_1);
  if (grow_alike(state)) {
    // Then gear 2 turns by a constant share of what gear 1 does.
    const auto share = [&mesh](const std::optional<Percentiles<Angle>>& one) {
      const double ratio = mesh.r_b1 / mesh.r_b2;
      return Percentiles<Angle>{ratio * one->low, ratio * one->mid, ratio * one->high};
    };
    result.gap.phi_2.least = share(result.gap.phi_1.least);
    result.gap.phi_2.greatest = share(result.gap.phi_1.greatest);
  } else {
    set(result.gap.phi_2, GapMeasure::phi_2);
  }
  result.gap.j_bind.least = percentiles_of<Length>(bind, GapMeasure::j_bt);

  result.failure.binds = bind.below(GapMeasure::j_bt, 0.0);
  const auto likelier = [](std::optional<double>& place, double probability) {
    place = std::max(place.value_or(0.0), probability);
  };
  if (std::isfinite(limits.least_wt)) {
    likelier(result.failure.below_least, least.below(GapMeasure::j_wt, limits.least_wt));
  }
  if (std::isfinite(limits.least_bt)) {
    likelier(result.failure.below_least, least.below(GapMeasure::j_bt, limits.least_bt));
  }
  if (std::isfinite(limits.greatest_wt)) {
    likelier(result.failure.above_greatest, greatest.above(GapMeasure::j_wt, limits.greatest_wt));
  }
  if (std::isfinite(limits.greatest_bt)) {
    likelier(result.failure.above_greatest, greatest.above(GapMeasure::j_bt, limits.greatest_bt));
  }
}

// What the load of a condition opens the centre distance by.
double separation_at(const Design& design, const Mesh& mesh, std::size_t mesh_index,
                     const State& state, double force_otherwise = 0.0) {
  if (!mesh.separation) {
    return 0.0;
  }
  double opened = mesh.separation->fixed ? mesh.separation->fixed->value() : 0.0;
  // Of all states only conditions give forces.
  if (mesh.separation->per_force && !state.time && state.condition != "soak") {
    const auto& forces = design.conditions[state.order].mesh_force;
    const bool given = mesh_index < forces.size() && forces[mesh_index];
    opened += mesh.separation->per_force->value() *
              (given ? forces[mesh_index]->value() : force_otherwise);
  }
  return opened;
}

}  // namespace

band::kernel::Limits limits_of(const MeshRequirements& require, double cos_beta_b) {
  band::kernel::Limits limits;
  const AskedLeast asked = asked_least(require);
  if (asked.backlash) {
    limits.least_wt = asked.backlash->value();
  }
  if (asked.normal_backlash) {
    limits.least_bt = asked.normal_backlash->value() / cos_beta_b;
  }
  if (require.greatest_backlash) {
    limits.greatest_wt = require.greatest_backlash->value();
  }
  if (require.greatest_normal_backlash) {
    limits.greatest_bt = require.greatest_normal_backlash->value() / cos_beta_b;
  }
  return limits;
}

MeshState mesh_state(const Design& design, const GapModels& models, const MeshModels& mesh_models,
                     std::size_t which, const UsableState& state, const State& named,
                     const Draws& draws) {
  const Mesh& mesh = design.meshes[mesh_models.mesh];
  const MeshModel& model = mesh_models.model;
  const StateModel& at_state = model.states[which];
  const std::optional<Length> place = models.place(mesh);
  const auto end = [&](Stance stance, End side, const StrainModel& carrier, Cycle cycle,
                       double opened = 0.0) {
    return worst_end(design, mesh, model, at_state, carrier, draws, stance, side, cycle, opened);
  };

  const At nominal = as_drawn(design, mesh, model, at_state, state.carrier.strain_at(place), 0.0);
  const At low = end(band::kernel::together, End::low, at_state.carrier_least, Cycle::least);
  const At high = end(band::kernel::apart, End::high, at_state.carrier_greatest, Cycle::greatest);
  const At bind_low = end(band::kernel::taken_up, End::low, at_state.carrier_least, Cycle::least);
  const At bind_high =
      end(band::kernel::taken_up, End::high, at_state.carrier_greatest, Cycle::least);

  MeshState result;
  result.state = state.index;
  result.a = nominal.pair.centre_distance();
  result.alpha_wt = nominal.pair.working_pressure_angle();
  const geometry::ContactRatio contact = geometry::contact_ratio(nominal.pair);
  result.eps_alpha = contact.eps_alpha;
  result.eps_beta = contact.eps_beta;
  result.c_1 = geometry::tip_clearance_1(nominal.pair);
  result.c_2 = geometry::tip_clearance_2(nominal.pair);
  result.base_pitch_mismatch = nominal.pair.base_pitch_mismatch();
  result.gap = worst_case_bands(nominal, low, high);

  const std::size_t seats_1 =
      models.seats(design.gears[mesh.gear_1].shaft, mesh.gear_1, state).size();
  const std::vector<band::kernel::SeatModel>& seats = at_state.seats;
  const auto split = seats.begin() + static_cast<std::ptrdiff_t>(seats_1);
  const FloatBand float_1 = float_band({seats.begin(), split}, draws);
  const FloatBand float_2 = float_band({split, seats.end()}, draws);
  if (seats_1 > 0) {
    result.float_1 = length_band(float_1);
  }
  if (seats_1 < seats.size()) {
    result.float_2 = length_band(float_2);
  }
  const double slack = 0.5 * (float_1.mid + float_2.mid);
  const At bind =
      slack == 0.0 ? nominal
                   : as_drawn(design, mesh, model, at_state, state.carrier.strain_at(place), slack);
  result.gap.j_bind = plain_band(from_si<Length>(bind.least), from_si<Length>(bind_low.least),
                                 from_si<Length>(bind_high.least));

  const double opened = separation_at(design, mesh, mesh_models.mesh, named);
  if (!seats.empty() || mesh.separation) {
    const double t = nominal.pair.working_pressure_tangent();
    const double sin_alpha_wt = t / std::sqrt(1.0 + t * t);
    const At middle = as_drawn(design, mesh, model, at_state, state.carrier.strain_at(place),
                               slack * sin_alpha_wt + opened);
    const At least =
        end({sin_alpha_wt, -1.0}, End::low, at_state.carrier_least, Cycle::least, opened);
    const At greatest =
        end({sin_alpha_wt, 1.0}, End::high, at_state.carrier_greatest, Cycle::greatest, opened);
    result.j_wt_loaded = worst_case_bands(middle, least, greatest).j_wt;
  }
  if (!state.carrier.walls.empty() && place) {
    const double tilt =
        std::abs(model.L) *
        (state.carrier.strain_at(*place + from_si<Length>(1.0)) - state.carrier.strain_at(place));
    result.tilt = from_si<Angle>(tilt);
    result.tilt_over_face = tilt * std::min(design.gears[mesh.gear_1].body.face_width(),
                                            design.gears[mesh.gear_2].body.face_width());
  }

  // The corner of the lowest gap has the closest axes and the longest tips: the least tip clearance
  // and the deepest engagement. The roots are deepest in the thinnest tooth, so the thickest
  // counts. The corner of the highest gap with the shortest tips has the least overlap.
  result.tip_clearance_low =
      std::min(geometry::tip_clearance_1(low.pair), geometry::tip_clearance_2(low.pair));
  result.eps_alpha_low = geometry::contact_ratio(high.pair).eps_alpha;
  const Length margin_1 = geometry::interference_margin_1(low.pair);
  result.interference_margin_low =
      std::min(margin_1, geometry::interference_margin_2(low.pair).value_or(margin_1));
  // Tips come closest with the deepest engagement too.
  result.tip_fouling_low = geometry::tip_fouling_margin(low.pair);

  if (!draws.shapes.empty()) {
    set_root_sum_square(result.gap, model, at_state, draws);
    set_normal(result.gap, model.cos_beta_b);
  }
  return result;
}

void add_percentiles(MeshState& result, const MeshModels& mesh_models, std::size_t which,
                     const Draws& draws, const band::kernel::Limits& limits,
                     band::kernel::FloatMeasures& floats) {
  set_percentiles(result, mesh_models.model, mesh_models.model.states[which], draws, limits,
                  floats);
  set_normal(result.gap, mesh_models.model.cos_beta_b);
}

void add_judged_percentiles(MeshState& result, const MeshModels& mesh_models, std::size_t which,
                            const Draws& draws, const MeshRequirements& require,
                            band::kernel::FloatMeasures& floats) {
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  const MeshModel& mesh = mesh_models.model;
  const StateModel& state = mesh.states[which];
  const GapDistribution least(mesh, state, draws, Gap::least, floats);
  const GapDistribution greatest(mesh, state, draws, Gap::greatest, floats);
  const GapDistribution bind(mesh, state, draws, Gap::bind, floats);
  const auto low = [](const GapDistribution& gap, GapMeasure measure) {
    return Percentiles<Length>{from_si<Length>(gap.quantile(measure, low_percentile)),
                               from_si<Length>(none), from_si<Length>(none)};
  };
  const auto high = [](const GapDistribution& gap, GapMeasure measure) {
    return Percentiles<Length>{from_si<Length>(none), from_si<Length>(none),
                               from_si<Length>(gap.quantile(measure, high_percentile))};
  };
  result.gap.j_wt.least = low(least, GapMeasure::j_wt);
  result.gap.j_wt.greatest = high(greatest, GapMeasure::j_wt);
  result.gap.j_bind.least = low(bind, GapMeasure::j_bt);
  if (require.least_normal_backlash || require.greatest_normal_backlash) {
    result.gap.j_bt.least = low(least, GapMeasure::j_bt);
    result.gap.j_bt.greatest = high(greatest, GapMeasure::j_bt);
    set_normal(result.gap, mesh.cos_beta_b);
  }
}

void add_sampled(MeshState& result, const MeshModels& mesh_models,
                 const band::kernel::SampledState& sampled, const band::kernel::Limits& limits) {
  const auto percentiles = [](const band::kernel::SampledGap& gap) {
    return Percentiles<Length>{from_si<Length>(gap.p_low.value), from_si<Length>(gap.p_mid.value),
                               from_si<Length>(gap.p_high.value)};
  };
  result.gap.j_wt.least = percentiles(sampled.least_wt);
  result.gap.j_wt.greatest = percentiles(sampled.greatest_wt);
  result.gap.j_bt.least = percentiles(sampled.least_bt);
  result.gap.j_bt.greatest = percentiles(sampled.greatest_bt);
  result.gap.j_bind.least = percentiles(sampled.bind_bt);
  result.failure.binds = sampled.bind_negative.value;
  if (std::isfinite(limits.least_wt) || std::isfinite(limits.least_bt)) {
    result.failure.below_least = sampled.below_least.value;
  }
  if (std::isfinite(limits.greatest_wt) || std::isfinite(limits.greatest_bt)) {
    result.failure.above_greatest = sampled.above_greatest.value;
  }
  set_normal(result.gap, mesh_models.model.cos_beta_b);
}

WorstCaseEnds worst_case_ends(const Design& design, const MeshModels& mesh_models,
                              std::size_t which, const Draws& draws) {
  const Mesh& mesh = design.meshes[mesh_models.mesh];
  const MeshModel& model = mesh_models.model;
  const StateModel& state = model.states[which];
  const At low = worst_end(design, mesh, model, state, state.carrier_least, draws,
                           band::kernel::together, End::low, Cycle::least);
  const At high = worst_end(design, mesh, model, state, state.carrier_greatest, draws,
                            band::kernel::apart, End::high, Cycle::greatest);
  return {geometry::backlash(low.pair, from_si<Length>(low.least)).j_wt.value(),
          geometry::backlash(high.pair, from_si<Length>(high.greatest)).j_wt.value()};
}

std::vector<LooseRing> loose_rings(const Design& design, const GapModels& models, const Mesh& mesh,
                                   const UsableState& state, const Draws& draws) {
  std::vector<LooseRing> loose;
  for (const std::size_t gear : {mesh.gear_1, mesh.gear_2}) {
    const std::size_t shaft = design.gears[gear].shaft;
    if (design.shafts[shaft].preload) {
      continue;
    }
    const std::vector<band::kernel::SeatModel> seats = models.seats(shaft, gear, state);
    for (std::size_t i = 0; i < seats.size(); ++i) {
      const Bearing& bearing = design.shafts[shaft].bearings[i];
      const double outer = -band::kernel::range_of(seats[i].outer, draws).low;
      const double inner = -band::kernel::range_of(seats[i].inner, draws).low;
      if (bearing.outer_fit && outer > 0.0) {
        loose.push_back({bearing.id, true, from_si<Length>(outer), ""});
      }
      if (bearing.inner_fit && inner > 0.0) {
        loose.push_back({bearing.id, false, from_si<Length>(inner), ""});
      }
    }
  }
  return loose;
}

void set_loaded(MeshState& result, const Design& design, const GapModels& models,
                const MeshModels& mesh_models, std::size_t which, const UsableState& state,
                const State& named, const Draws& draws, const LoadedStance& loaded) {
  const Mesh& mesh = design.meshes[mesh_models.mesh];
  const MeshModel& model = mesh_models.model;
  StateModel at_state = model.states[which];
  const std::size_t seats_1 =
      models.seats(design.gears[mesh.gear_1].shaft, mesh.gear_1, state).size();
  for (std::size_t i = 0; i < at_state.seats.size(); ++i) {
    at_state.seats[i].weight *= i < seats_1 ? loaded.share_1 : loaded.share_2;
  }
  const std::vector<double> mids(draws.shapes.size(), 0.0);
  double shafts = 0.0;
  for (const band::kernel::SeatModel& seat : at_state.seats) {
    shafts += 0.5 * band::kernel::seat_float(seat, mids.data());
  }
  const double separation =
      separation_at(design, mesh, mesh_models.mesh, named, std::abs(loaded.force));
  const double ring = 0.5 * (loaded.ring_least + loaded.ring_greatest);
  const std::optional<Length> place = models.place(mesh);
  const auto bent = [&loaded](At at) {
    at.least += loaded.deflection;
    at.greatest += loaded.deflection;
    return at;
  };
  const At middle = bent(as_drawn(design, mesh, model, at_state, state.carrier.strain_at(place),
                                  shafts + separation + ring));
  const At least =
      bent(worst_end(design, mesh, model, at_state, at_state.carrier_least, draws, {1.0, -1.0},
                     End::low, Cycle::least, separation + loaded.ring_least));
  const At greatest =
      bent(worst_end(design, mesh, model, at_state, at_state.carrier_greatest, draws, {1.0, 1.0},
                     End::high, Cycle::greatest, separation + loaded.ring_greatest));
  result.j_wt_loaded = worst_case_bands(middle, least, greatest).j_wt;
  result.load = MeshLoad{from_si<units::Force>(loaded.force), from_si<Length>(shafts),
                         from_si<Length>(separation), from_si<Length>(ring),
                         from_si<Length>(loaded.deflection)};
}

}  // namespace lashband::design
