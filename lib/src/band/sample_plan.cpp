#include "band/sample_plan.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <utility>

#include "band/random_counter.hpp"
#include "lashband/error.hpp"

namespace lashband::band::kernel {

namespace {

using Kind = tolerance::Shape::Kind;

// How well curves follow the exact function: a tenth of a picometre. Rounding is of the same order.
constexpr double curve_tolerance = 2e-17;

// The normal draws end here, as the smallest number they are made from is 2^-53:
// sqrt(-2 ln 2^-53) = 8.5717.
constexpr double normal_reach = 8.572;

struct Interval {
  double low = 0.0;
  double high = 0.0;
};

Interval operator+(Interval a, Interval b) {
  return {a.low + b.low, a.high + b.high};
}

Interval operator*(double factor, Interval a) {
  return factor < 0.0 ? Interval{factor * a.high, factor * a.low}
                      : Interval{factor * a.low, factor * a.high};
}

Interval operator*(Interval a, Interval b) {
  const auto [low, high] =
      std::minmax({a.low * b.low, a.low * b.high, a.high * b.low, a.high * b.high});
  return {low, high};
}

Interval positive_part(Interval a) {
  return {std::max(0.0, a.low), std::max(0.0, a.high)};
}

Interval range(const LinearForm& form, const std::vector<Interval>& draws) {
  Interval sum{form.constant, form.constant};
  for (const LinearTerm& term : form.terms) {
    sum = sum + term.coefficient * draws[term.draw];
  }
  return sum;
}

// --- draws ---------------------------------------------------------------------------------------

double sigma_scale(const tolerance::Shape& shape) {
  return 1.0 / (3.0 * shape.capability());
}

InverseDraw inverse_draw(std::size_t draw, const tolerance::Shape& shape, bool from_score) {
  InverseDraw result;
  result.draw = draw;
  result.kind = shape.kind();
  result.from_score = from_score;
  result.mode = shape.mode();
  if (shape.kind() == Kind::truncated_normal) {
    result.limit_in_sigma = 3.0 * shape.capability();
    result.tail = 0.5 * std::erfc(result.limit_in_sigma / std::numbers::sqrt2);
    result.within = std::erf(result.limit_in_sigma / std::numbers::sqrt2);
  }
  for (const tolerance::Shape::Point& point : shape.points()) {
    if (!result.y.empty()) {
      const double area =
          0.5 * (point.y - result.y.back()) * (point.density + result.density.back());
      result.below.push_back(result.below.back() + area);
    } else {
      result.below.push_back(0.0);
    }
    result.y.push_back(point.y);
    result.density.push_back(point.density);
  }
  return result;
}

DrawPlan draw_plan(const Draws& draws, std::uint64_t seed) {
  DrawPlan plan;
  plan.key = key_of(seed);
  plan.draws = draws.shapes.size();
  plan.tied = correlation_factor(draws.correlations, plan.draws);
  std::vector<double> scale(plan.draws, 1.0);
  std::vector<std::size_t> normal;
  for (std::size_t k = 0; k < plan.draws; ++k) {
    const tolerance::Shape& shape = draws.shapes[k];
    const bool tied = std::binary_search(plan.tied.draws.begin(), plan.tied.draws.end(), k);
    if (shape.kind() == Kind::normal) {
      scale[k] = sigma_scale(shape);
    } else {
      plan.inverted.push_back(inverse_draw(k, shape, tied));
    }
    if (tied) {
      plan.tied_scale.push_back(scale[k]);
      scale[k] = 1.0;
    }
    if (tied || shape.kind() == Kind::normal) {
      normal.push_back(k);
    }
  }
  for (std::size_t i = 0; i < normal.size(); i += 2) {
    NormalPair pair;
    pair.first = normal[i];
    pair.first_scale = scale[pair.first];
    pair.second = i + 1 < normal.size() ? normal[i + 1] : plan.draws;
    pair.second_scale = pair.second < plan.draws ? scale[pair.second] : 1.0;
    plan.normals.push_back(pair);
  }
  return plan;
}

// Where the draws can go at all.
std::vector<Interval> draw_ranges(const Draws& draws, const DrawPlan& plan) {
  std::vector<Interval> result;
  for (const tolerance::Shape& shape : draws.shapes) {
    const double reach = normal_reach * sigma_scale(shape);
    result.push_back(shape.kind() == Kind::normal ? Interval{-reach, reach}
                                                  : Interval{shape.least(), shape.greatest()});
  }
  for (std::size_t i = 0; i < plan.tied.draws.size(); ++i) {
    const std::size_t draw = plan.tied.draws[i];
    if (draws.shapes[draw].kind() == Kind::normal) {
      double sum = 0.0;
      for (std::size_t k = 0; k <= i; ++k) {
        sum += std::abs(plan.tied.lower[i * (i + 1) / 2 + k]);
      }
      result[draw] = std::max(1.0, sum) * result[draw];
    }
  }
  return result;
}

// --- columns -------------------------------------------------------------------------------------

using Key = std::pair<double, std::vector<std::pair<std::size_t, double>>>;

Key key_of_terms(const LinearForm& form, double constant) {
  Key key{constant, {}};
  for (const LinearTerm& term : form.terms) {
    key.second.emplace_back(term.draw, term.coefficient);
  }
  return key;
}

/// Turns the sums of a mesh into columns: a sum of several draws that more than one state uses is
/// worked out once.
class Columns {
 public:
  Columns(MeshPlan& mesh, std::size_t first_column) : mesh_(mesh), next_(first_column) {}

  /// To be called for every sum that `sum` will be asked for.
  void expect(const LinearForm& form) { ++uses_[key_of_terms(form, 0.0)]; }

  [[nodiscard]] ColumnSum sum(const LinearForm& form) {
    if (form.terms.size() < 2 || uses_[key_of_terms(form, 0.0)] < 2) {
      return plain(form);
    }
    ColumnSum varying = plain(form);
    varying.constant = 0.0;
    return {form.constant,
            {{column(DerivedColumn::Kind::sum, varying, key_of_terms(form, 0.0)), 1.0}}};
  }

  /// factor * |form|, for a form that varies.
  [[nodiscard]] ColumnSum magnitude(const LinearForm& form, double factor) {
    return {
        0.0,
        {{column(DerivedColumn::Kind::magnitude, plain(form), key_of_terms(form, form.constant)),
          factor}}};
  }

  /// Cosine or sine of a form that varies.
  [[nodiscard]] ColumnSum wave(DerivedColumn::Kind kind, const LinearForm& form) {
    return {0.0, {{column(kind, plain(form), key_of_terms(form, form.constant)), 1.0}}};
  }

  [[nodiscard]] static ColumnSum plain(const LinearForm& form) {
    ColumnSum result{form.constant, {}};
    for (const LinearTerm& term : form.terms) {
      result.terms.push_back({term.draw, term.coefficient});
    }
    return result;
  }

  /// One behind the last column.
  [[nodiscard]] std::size_t end() const { return next_; }

 private:
  std::size_t column(DerivedColumn::Kind kind, const ColumnSum& argument, const Key& key) {
    const auto [found, is_new] = columns_.try_emplace({kind, key}, next_);
    if (is_new) {
      mesh_.derived.push_back({kind, argument, next_++});
    }
    return found->second;
  }

  MeshPlan& mesh_;
  std::size_t next_;
  std::map<Key, int> uses_;
  std::map<std::pair<DerivedColumn::Kind, Key>, std::size_t> columns_;
};

template <class Action>
void each_form(const StateModel& state, const Action& action) {
  action(state.growth_1);
  action(state.growth_2);
  for (const StrainModel* strain : {&state.carrier_least, &state.carrier_greatest}) {
    action(strain->linear);
    for (const Knee& knee : strain->knees) {
      action(knee.argument);
    }
  }
  for (const SeatModel& seat : state.seats) {
    action(seat.clearance);
    action(seat.outer);
    action(seat.inner);
  }
}

bool same(const LinearForm& a, const LinearForm& b) {
  return key_of_terms(a, a.constant) == key_of_terms(b, b.constant);
}

bool same(const StrainModel& a, const StrainModel& b) {
  return same(a.linear, b.linear) && std::equal(a.knees.begin(), a.knees.end(), b.knees.begin(),
                                                b.knees.end(), [](const Knee& x, const Knee& y) {
                                                  return x.gain == y.gain && x.low == y.low &&
                                                         x.high == y.high &&
                                                         same(x.argument, y.argument);
                                                });
}

/// Growths, strains and seats have no draws.
bool is_fixed(const StateModel& state) {
  bool fixed = true;
  each_form(state, [&fixed](const LinearForm& form) { fixed = fixed && form.terms.empty(); });
  return fixed;
}

/// Of a fixed state.
bool grow_alike(const StateModel& state) {
  return state.growth_1.constant == state.growth_2.constant;
}

void add(LinearForm& sum, const LinearForm& form, double factor) {
  sum.constant += factor * form.constant;
  for (const LinearTerm& term : form.terms) {
    sum.terms.push_back({term.draw, factor * term.coefficient});
  }
}

void add(ColumnSum& sum, const ColumnSum& other, double factor) {
  sum.constant += factor * other.constant;
  for (const ColumnSum::Term& term : other.terms) {
    sum.terms.push_back({term.column, factor * term.coefficient});
  }
}

ColumnSum without_constant(ColumnSum sum) {
  sum.constant = 0.0;
  return sum;
}

Interval dead_zone(Interval x, double low, double high) {
  const auto dead = [&](double value) {
    return value < low ? value - low : value > high ? value - high : 0.0;
  };
  return {dead(x.low), dead(x.high)};
}

Interval strain_range(const StrainModel& model, const std::vector<Interval>& draws) {
  Interval sum = range(model.linear, draws);
  for (const Knee& knee : model.knees) {
    sum = sum + knee.gain * dead_zone(range(knee.argument, draws), knee.low, knee.high);
  }
  return sum;
}

Interval float_range(const std::vector<SeatModel>& seats, const std::vector<Interval>& draws) {
  Interval sum;
  for (const SeatModel& seat : seats) {
    const Interval outer = range(seat.outer, draws);
    const Interval inner = range(seat.inner, draws);
    const Interval clearance = range(seat.clearance, draws) +
                               -seat.outer_factor * positive_part(outer) +
                               -seat.inner_factor * positive_part(inner);
    sum = sum + seat.weight * (positive_part(clearance) + positive_part(-1.0 * outer) +
                               positive_part(-1.0 * inner));
  }
  return sum;
}

/// The parts of a mesh that its states share.
struct MeshForms {
  LinearForm side_1, side_2, other;
  ColumnSum side_1_sum, side_2_sum, other_sum;
  ColumnSum deviation, other_a, run_out_1, run_out_2;
  ColumnSum both_sides;  ///< side_1 + side_2, for states at which the gears grow alike
  ColumnSum both_run_outs;
};

StatePlan fixed_state(const MeshModel& mesh, const StateModel& state, const MeshForms& forms,
                      const std::vector<Interval>& draws, Columns& columns) {
  StatePlan plan;
  FixedState fixed;
  const double e_1 = 1.0 + state.growth_1.constant;
  const double e_2 = 1.0 + state.growth_2.constant;
  const double B = mesh.r_b1 * e_1 + mesh.r_b2 * e_2;
  // Without draws any y serves.
  const double strain_least = strain(state.carrier_least, nullptr);
  const double strain_greatest = strain(state.carrier_greatest, nullptr);
  double slack = 0.0;
  for (const SeatModel& seat : state.seats) {
    slack += 0.5 * seat_float(seat, nullptr);
  }

  if (grow_alike(state)) {
    add(fixed.linear, without_constant(forms.both_sides), e_1);
    add(fixed.run_out, without_constant(forms.both_run_outs), 0.5 * e_1);
  } else {
    add(fixed.linear, without_constant(forms.side_1_sum), e_1);
    add(fixed.linear, without_constant(forms.side_2_sum), e_2);
    add(fixed.run_out, without_constant(forms.run_out_1), 0.5 * e_1);
    add(fixed.run_out, without_constant(forms.run_out_2), 0.5 * e_2);
  }
  add(fixed.linear, without_constant(forms.other_sum), 1.0);
  double misalignment = std::abs(state.misalignment.constant);
  if (!state.misalignment.terms.empty()) {
    add(fixed.linear, columns.magnitude(state.misalignment, -1.0 / mesh.cos_beta_b), 1.0);
    misalignment = 0.0;
  }
  fixed.one_shift = strain_least == strain_greatest;
  const auto shift = [&](double strain_value) {
    ColumnSum sum;
    add(sum, without_constant(forms.deviation), 1.0 + strain_value);
    add(sum, without_constant(forms.other_a), 1.0);
    return sum;
  };
  fixed.shift_least = shift(strain_least);
  fixed.shift_greatest = shift(strain_greatest);

  const auto product = [](double x, double y) {
    return static_cast<long double>(x) * static_cast<long double>(y);
  };
  const long double constant =
      product(mesh.p_b2, e_2) - product(mesh.s_b1, e_1) - product(mesh.s_b2, e_2) +
      product(forms.side_1.constant, e_1) + product(forms.side_2.constant, e_2) +
      product(forms.other.constant, 1.0) - product(misalignment, 1.0 / mesh.cos_beta_b);
  const double mismatch = std::abs(mesh.p_b2 * e_2 - mesh.p_b1 * e_1);
  const Interval run_out =
      0.5 * (e_1 * range(mesh.run_out_1, draws) + e_2 * range(mesh.run_out_2, draws));
  const double run_out_constant =
      0.5 * (e_1 * mesh.run_out_1.constant + e_2 * mesh.run_out_2.constant);
  const auto gap = [&](double strain_value, Stance stance, double cycle) {
    const double a = (mesh.L + mesh.deviation.constant) * (1.0 + strain_value) +
                     mesh.other_a.constant + stance.shafts * slack +
                     stance.run_out * run_out_constant;
    const Interval reach = (1.0 + strain_value) * range(mesh.deviation, draws) +
                           range(mesh.other_a, draws) + stance.run_out * run_out;
    const double centre = (1.0 + strain_value) * mesh.deviation.constant + mesh.other_a.constant +
                          stance.run_out * run_out_constant;
    InvoluteWindow window;
    window.t_0 = a / B;
    window.slope = 1.0 / B;
    window.low = reach.low - centre;
    window.high = reach.high - centre;
    window.scale = 2.0 * B;
    window.constant = constant + product(cycle, mismatch);
    return FixedGap{involute_curve(window, curve_tolerance), a / B, 1.0 / B};
  };
  fixed.least = gap(strain_least, together, state.cycle_least);
  fixed.greatest = gap(strain_greatest, apart, state.cycle_greatest);
  fixed.bind = gap(strain_greatest, taken_up, state.cycle_least);
  if (fixed.least.curve.degree >= 0 && fixed.greatest.curve.degree >= 0 &&
      fixed.bind.curve.degree >= 0) {
    plan.fixed = fixed;
  }
  return plan;
}

StrainSum strain_sum(const StrainModel& model, Columns& columns) {
  StrainSum result;
  result.linear = columns.sum(model.linear);
  for (const Knee& knee : model.knees) {
    result.knees.push_back({knee.gain, columns.sum(knee.argument), knee.low, knee.high});
  }
  return result;
}

AnyState any_state(const MeshModel& mesh, const StateModel& state,
                   const std::vector<Interval>& draws, Columns& columns) {
  AnyState any;
  any.growth_1 = columns.sum(state.growth_1);
  any.growth_2 = columns.sum(state.growth_2);
  any.carrier_least = strain_sum(state.carrier_least, columns);
  any.carrier_greatest = strain_sum(state.carrier_greatest, columns);
  any.one_carrier = same(state.carrier_least, state.carrier_greatest);
  for (const SeatModel& seat : state.seats) {
    any.seats.push_back({columns.sum(seat.clearance), columns.sum(seat.outer),
                         columns.sum(seat.inner), seat.outer_factor, seat.inner_factor,
                         seat.weight});
  }
  any.misalignment = state.misalignment.terms.empty()
                         ? ColumnSum{std::abs(state.misalignment.constant), {}}
                         : columns.magnitude(state.misalignment, 1.0);
  any.cycle_least = state.cycle_least;
  any.cycle_greatest = state.cycle_greatest;

  const Interval one{1.0, 1.0};
  const Interval e_1 = one + range(state.growth_1, draws);
  const Interval e_2 = one + range(state.growth_2, draws);
  const Interval B = mesh.r_b1 * e_1 + mesh.r_b2 * e_2;
  const Interval slack = 0.5 * float_range(state.seats, draws);
  const Interval run_outs =
      0.5 * (e_1 * range(mesh.run_out_1, draws) + e_2 * range(mesh.run_out_2, draws));
  // With a phase the length is anything up to the sum of the two.
  const double run_out = std::max(std::abs(run_outs.low), std::abs(run_outs.high));
  const Interval drawn = Interval{mesh.L, mesh.L} + range(mesh.deviation, draws);
  const auto carried = [&](const StrainModel& carrier) {
    return drawn * (one + strain_range(carrier, draws)) + range(mesh.other_a, draws);
  };
  const Interval least = carried(state.carrier_least);
  const Interval greatest = carried(state.carrier_greatest);
  const double a_low = std::min(least.low, greatest.low) - slack.high - run_out;
  const double a_high = std::max(least.high, greatest.high) + slack.high + run_out;
  InvoluteWindow window;
  // A centre with few digits keeps t - t_0 exact.
  const auto [t_low, t_high] =
      std::minmax({a_low / B.low, a_low / B.high, a_high / B.low, a_high / B.high});
  any.t_centre = static_cast<double>(static_cast<float>(0.5 * (t_low + t_high)));
  window.t_0 = any.t_centre;
  window.low = t_low - any.t_centre;
  window.high = t_high - any.t_centre;
  const double greatest_B = std::max(std::abs(B.low), std::abs(B.high));
  any.curve = involute_curve(window, curve_tolerance / (2.0 * greatest_B));
  return any;
}

MeshPlan mesh_plan(const MeshModel& mesh, const Limits& limits, const std::vector<Interval>& draws,
                   std::size_t& next_column) {
  MeshPlan plan;
  plan.L = mesh.L;
  plan.r_b1 = mesh.r_b1;
  plan.r_b2 = mesh.r_b2;
  plan.p_b1 = mesh.p_b1;
  plan.p_b2 = mesh.p_b2;
  plan.s_b1 = mesh.s_b1;
  plan.s_b2 = mesh.s_b2;
  plan.cos_beta_b = mesh.cos_beta_b;
  plan.limits = limits;

  MeshForms forms;
  const double per_cosine = 1.0 / mesh.cos_beta_b;
  add(forms.side_1, mesh.E_1, -mesh.kappa);
  add(forms.side_1, mesh.pitch_1, -per_cosine);
  add(forms.side_2, mesh.E_2, -mesh.kappa);
  add(forms.side_2, mesh.pitch_2, -per_cosine);
  add(forms.other, mesh.wear, per_cosine);
  add(forms.other, mesh.other_j, per_cosine);
  LinearForm both_sides = forms.side_1;
  add(both_sides, forms.side_2, 1.0);
  LinearForm both_run_outs = mesh.run_out_1;
  add(both_run_outs, mesh.run_out_2, 1.0);

  const bool one_state = mesh.states.size() == 1;
  Columns columns(plan, next_column);
  const std::vector<const LinearForm*> shared{&forms.side_1,   &forms.side_2, &forms.other,
                                              &mesh.deviation, &mesh.other_a, &mesh.run_out_1,
                                              &mesh.run_out_2, &both_sides,   &both_run_outs};
  for (const StateModel& state : mesh.states) {
    each_form(state, [&columns](const LinearForm& form) { columns.expect(form); });
  }
  for (const LinearForm* form : shared) {
    for (int use = one_state ? 1 : 0; use < 2; ++use) {
      columns.expect(*form);
    }
  }
  // Only what some state asks for becomes a column.
  const auto asked = [&mesh](bool alike) {
    return !mesh.run_out_phase &&
           std::any_of(mesh.states.begin(), mesh.states.end(), [alike](const StateModel& state) {
             return is_fixed(state) && grow_alike(state) == alike;
           });
  };
  if (asked(true)) {
    forms.both_sides = columns.sum(both_sides);
    forms.both_run_outs = columns.sum(both_run_outs);
  }
  if (asked(false)) {
    forms.side_1_sum = columns.sum(forms.side_1);
    forms.side_2_sum = columns.sum(forms.side_2);
    forms.run_out_1 = columns.sum(mesh.run_out_1);
    forms.run_out_2 = columns.sum(mesh.run_out_2);
  }
  forms.other_sum = plan.other = columns.sum(forms.other);
  forms.deviation = plan.deviation = columns.sum(mesh.deviation);
  forms.other_a = plan.other_a = columns.sum(mesh.other_a);
  if (mesh.run_out_phase) {
    plan.has_phase = true;
    const LinearForm& phase = *mesh.run_out_phase;
    if (phase.terms.empty()) {
      plan.phase_cosine.constant = std::cos(phase.constant);
      plan.phase_sine.constant = std::sin(phase.constant);
    } else {
      plan.phase_cosine = columns.wave(DerivedColumn::Kind::cosine, phase);
      plan.phase_sine = columns.wave(DerivedColumn::Kind::sine, phase);
    }
  }
  for (const StateModel& state : mesh.states) {
    StatePlan state_plan;
    if (is_fixed(state) && !mesh.run_out_phase) {
      state_plan = fixed_state(mesh, state, forms, draws, columns);
    }
    if (!state_plan.fixed) {
      plan.side_1 = columns.sum(forms.side_1);
      plan.side_2 = columns.sum(forms.side_2);
      plan.run_out_1 = columns.sum(mesh.run_out_1);
      plan.run_out_2 = columns.sum(mesh.run_out_2);
      state_plan.any = any_state(mesh, state, draws, columns);
    }
    plan.states.push_back(state_plan);
  }
  next_column = columns.end();
  return plan;
}

void check_draws(const LinearForm& form, std::size_t draws) {
  for (const LinearTerm& term : form.terms) {
    if (term.draw >= draws) {
      throw DomainError("a mesh uses draw " + std::to_string(term.draw) + ", but there are " +
                        std::to_string(draws));
    }
  }
}

void check_draws(const MeshModel& mesh, std::size_t draws) {
  for (const LinearForm* form :
       {&mesh.E_1, &mesh.E_2, &mesh.deviation, &mesh.run_out_1, &mesh.run_out_2, &mesh.pitch_1,
        &mesh.pitch_2, &mesh.wear, &mesh.other_a, &mesh.other_j}) {
    check_draws(*form, draws);
  }
  if (mesh.run_out_phase) {
    check_draws(*mesh.run_out_phase, draws);
  }
  for (const StateModel& state : mesh.states) {
    each_form(state, [draws](const LinearForm& form) { check_draws(form, draws); });
    check_draws(state.misalignment, draws);
  }
}

}  // namespace

SamplePlan sample_plan(const std::vector<MeshModel>& meshes, const Draws& draws,
                       const std::vector<Limits>& limits, std::uint64_t seed) {
  if (limits.size() != meshes.size()) {
    throw DomainError("there are " + std::to_string(meshes.size()) + " meshes and limits for " +
                      std::to_string(limits.size()) + ": every mesh needs its own");
  }
  for (const MeshModel& mesh : meshes) {
    check_draws(mesh, draws.shapes.size());
  }
  SamplePlan plan;
  plan.draws = draw_plan(draws, seed);
  const std::vector<Interval> ranges = draw_ranges(draws, plan.draws);
  // Meshes come one after the other and may use the same columns for what they derive.
  plan.columns = plan.draws.draws;
  for (std::size_t m = 0; m < meshes.size(); ++m) {
    std::size_t next_column = plan.draws.draws;
    plan.meshes.push_back(mesh_plan(meshes[m], limits[m], ranges, next_column));
    plan.columns = std::max(plan.columns, next_column);
    plan.states += meshes[m].states.size();
  }
  return plan;
}

}  // namespace lashband::band::kernel
