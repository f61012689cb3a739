#include "band/sample_kernel.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <utility>

#include "band/random_counter.hpp"
#include "band/table_quantile.hpp"

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "band/sample_kernel.cpp"
#include <hwy/foreach_target.h>
#include <hwy/highway.h>

#include "band/sample_math.hpp"

HWY_BEFORE_NAMESPACE();
namespace lashband::band::kernel::HWY_NAMESPACE {
namespace {

// --- draws ---------------------------------------------------------------------------------------

/// The random numbers of one draw, sample after sample.
class Counter {
 public:
  HWY_INLINE Counter(const DrawPlan& plan, std::uint64_t first, std::size_t draw) {
    const DU du;
    const std::uint64_t stride = plan.stride() * counter_step;
    HWY_ALIGN std::uint64_t start[lanes];
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      const std::uint64_t index = (first + lane) * plan.stride() + draw;
      start[lane] = plan.key + (index + 1) * counter_step;
    }
    state_ = hn::Load(du, start);
    advance_ = hn::Set(du, hn::Lanes(du) * stride);
  }

  HWY_INLINE V next() {
    const V u = unit_interval(mixed_bits(state_));
    state_ = hn::Add(state_, advance_);
    return u;
  }

 private:
  VU state_;
  VU advance_;
};

HWY_ATTR void draw_normals(const DrawPlan& plan, std::uint64_t first, const NormalPair& pair,
                           Workspace& work) {
  const D d;
  Counter radius_numbers(plan, first, pair.first);
  Counter angle_numbers(plan, first, pair.second);
  double* one = work.columns[pair.first].row.data();
  double* two =
      pair.second < plan.draws ? work.columns[pair.second].row.data() : work.scratch[0].row.data();
  const V one_scale = hn::Set(d, pair.first_scale);
  const V two_scale = hn::Set(d, pair.second_scale);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    const V u = radius_numbers.next();
    const V radius = hn::Sqrt(hn::Mul(hn::Set(d, -2.0), logarithm(u)));
    V sine;
    V cosine;
    sine_and_cosine(angle_numbers.next(), sine, cosine);
    hn::Store(hn::Mul(hn::Mul(radius, cosine), one_scale), d, one + i);
    hn::Store(hn::Mul(hn::Mul(radius, sine), two_scale), d, two + i);
  }
}

/// Scores with the correlations asked for, in place: the last row first, as it needs all others.
HWY_ATTR void tie_scores(const CorrelationFactor& tied, Workspace& work) {
  const D d;
  for (std::size_t row = tied.draws.size(); row-- > 0;) {
    const double* factor = &tied.lower[row * (row + 1) / 2];
    double* out = work.columns[tied.draws[row]].row.data();
    for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
      V sum = hn::Mul(hn::Set(d, factor[row]), hn::Load(d, out + i));
      for (std::size_t k = 0; k < row; ++k) {
        const double* other = work.columns[tied.draws[k]].row.data();
        sum = hn::Add(sum, hn::Mul(hn::Set(d, factor[k]), hn::Load(d, other + i)));
      }
      hn::Store(sum, d, out + i);
    }
  }
}

/// The place of a probability, given as the smaller of P(Y < y) and P(Y > y) and as the distance of
/// P(Y < y) from 1/2.
HWY_INLINE V place_of(const InverseDraw& draw, V smaller, V from_half) {
  const D d;
  const V one = hn::Set(d, 1.0);
  const auto is_low = hn::Lt(from_half, hn::Zero(d));
  switch (draw.kind) {
    case tolerance::Shape::Kind::triangular: {
      // P(Y < y) = (1 + y)^2/(2 (1 + mode)) up to the mode, and the mirror image above.
      const V rise = hn::Set(d, 1.0 + draw.mode);
      const V fall = hn::Set(d, 1.0 - draw.mode);
      const V below = hn::IfThenElse(is_low, smaller, hn::Sub(one, smaller));
      const V above = hn::IfThenElse(is_low, hn::Sub(one, smaller), smaller);
      const V rising = hn::Sub(hn::Sqrt(hn::Mul(hn::Add(rise, rise), below)), one);
      const V falling = hn::Sub(one, hn::Sqrt(hn::Mul(hn::Add(fall, fall), above)));
      return hn::IfThenElse(hn::Lt(below, hn::Set(d, 0.5 * (1.0 + draw.mode))), rising, falling);
    }
    case tolerance::Shape::Kind::truncated_normal: {
      const V p = hn::Add(hn::Set(d, draw.tail), hn::Mul(hn::Set(d, draw.within), smaller));
      const V q = hn::Mul(hn::Set(d, -draw.within), hn::Abs(from_half));
      const V lower = hn::Div(normal_lower_quantile(p, q), hn::Set(d, draw.limit_in_sigma));
      return hn::IfThenElse(is_low, lower, hn::Neg(lower));
    }
    case tolerance::Shape::Kind::tabulated:  // P(Y < y): the table is looked up later
      return hn::IfThenElse(is_low, smaller, hn::Sub(one, smaller));
    case tolerance::Shape::Kind::uniform:
    case tolerance::Shape::Kind::normal:
      break;
  }
  return hn::Add(from_half, from_half);
}

HWY_ATTR void draw_inverted(const DrawPlan& plan, std::uint64_t first, const InverseDraw& draw,
                            Workspace& work) {
  const D d;
  const V half = hn::Set(d, 0.5);
  double* out = work.columns[draw.draw].row.data();
  Counter numbers(plan, first, draw.draw);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    V smaller;
    V from_half;
    if (draw.from_score) {
      const V score = hn::Load(d, out + i);
      smaller = normal_upper_tail(hn::Abs(score));
      from_half = hn::CopySign(hn::Sub(half, smaller), score);
    } else {
      from_half = hn::Sub(numbers.next(), half);
      smaller = hn::Sub(half, hn::Abs(from_half));
    }
    hn::Store(place_of(draw, smaller, from_half), d, out + i);
  }
  if (draw.kind == tolerance::Shape::Kind::tabulated) {
    table_quantiles(draw, out, chunk_samples);
  }
}

HWY_ATTR void draw_chunk_here(const DrawPlan& plan, std::uint64_t first, Workspace& work) {
  for (const NormalPair& pair : plan.normals) {
    draw_normals(plan, first, pair, work);
  }
  tie_scores(plan.tied, work);
  for (std::size_t k = 0; k < plan.tied.draws.size(); ++k) {
    if (plan.tied_scale[k] != 1.0) {
      const D d;
      double* out = work.columns[plan.tied.draws[k]].row.data();
      for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
        hn::Store(hn::Mul(hn::Load(d, out + i), hn::Set(d, plan.tied_scale[k])), d, out + i);
      }
    }
  }
  for (const InverseDraw& draw : plan.inverted) {
    draw_inverted(plan, first, draw, work);
  }
}

// --- sums ----------------------------------------------------------------------------------------

/// Few terms, as most sums have; the loop over them is unrolled.
template <std::size_t terms, bool with_constant>
HWY_ATTR void sum_few_columns(const ColumnSum& sum, const Workspace& work,
                              double* HWY_RESTRICT out) {
  const D d;
  std::array<const double*, terms> row{};
  std::array<double, terms> factor{};
  for (std::size_t k = 0; k < terms; ++k) {
    row[k] = work.columns[sum.terms[k].column].row.data();
    factor[k] = sum.terms[k].coefficient;
  }
  const V constant = hn::Set(d, sum.constant);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    V value = constant;
    if constexpr (!with_constant) {
      value = hn::Mul(hn::Set(d, factor[0]), hn::Load(d, row[0] + i));
    }
    for (std::size_t k = with_constant ? 0 : 1; k < terms; ++k) {
      value = hn::Add(value, hn::Mul(hn::Set(d, factor[k]), hn::Load(d, row[k] + i)));
    }
    hn::Store(value, d, out + i);
  }
}

HWY_ATTR void sum_columns(const ColumnSum& sum, const Workspace& work, double* HWY_RESTRICT out) {
  const bool with_constant = sum.constant != 0.0;
  switch (sum.terms.size()) {
    case 0:
      return sum_few_columns<0, true>(sum, work, out);
    case 1:
      return with_constant ? sum_few_columns<1, true>(sum, work, out)
                           : sum_few_columns<1, false>(sum, work, out);
    case 2:
      return with_constant ? sum_few_columns<2, true>(sum, work, out)
                           : sum_few_columns<2, false>(sum, work, out);
    case 3:
      return with_constant ? sum_few_columns<3, true>(sum, work, out)
                           : sum_few_columns<3, false>(sum, work, out);
    default:
      break;
  }
  const D d;
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    V value = hn::Set(d, sum.constant);
    for (const ColumnSum::Term& term : sum.terms) {
      const double* row = work.columns[term.column].row.data();
      value = hn::Add(value, hn::Mul(hn::Set(d, term.coefficient), hn::Load(d, row + i)));
    }
    hn::Store(value, d, out + i);
  }
}

HWY_ATTR void derive_columns_here(const MeshPlan& mesh, Workspace& work) {
  const D d;
  for (const DerivedColumn& derived : mesh.derived) {
    double* out = work.columns[derived.column].row.data();
    sum_columns(derived.argument, work, out);
    if (derived.kind == DerivedColumn::Kind::sum) {
      continue;
    }
    for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
      const V value = hn::Load(d, out + i);
      if (derived.kind == DerivedColumn::Kind::magnitude) {
        hn::Store(hn::Abs(value), d, out + i);
        continue;
      }
      V sine;
      V cosine;
      sine_and_cosine(hn::Mul(value, hn::Set(d, 0.15915494309189533577)), sine, cosine);
      hn::Store(derived.kind == DerivedColumn::Kind::sine ? sine : cosine, d, out + i);
    }
  }
}

// --- gaps at a state -----------------------------------------------------------------------------

template <int degree>
HWY_INLINE V curve_at(V x, const double* c) {
  const D d;
  V sum = hn::Set(d, c[degree]);
  for (int k = degree; k-- > 0;) {
    sum = hn::Add(hn::Mul(sum, x), hn::Set(d, c[k]));
  }
  return sum;
}

/// What the gap of a fixed state takes: columns of T, of the shift and of the run-out.
struct FixedColumns {
  const double* linear;
  const double* shift;
  const double* run_out;
  bool run_out_opens;
};

template <int degree>
HWY_ATTR void fixed_gap(const FixedGap& gap, const FixedColumns& in, double* bt, double* wt) {
  const D d;
  const double* c = gap.curve.c.data();
  const V sign = hn::Set(d, in.run_out_opens ? 0.0 : -0.0);
  const V ratio_0 = hn::Set(d, gap.ratio_0);
  const V ratio_1 = hn::Set(d, gap.ratio_1);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    const V u = hn::Add(hn::Load(d, in.shift + i), hn::Xor(hn::Load(d, in.run_out + i), sign));
    const V j = hn::Add(curve_at<degree>(u, c), hn::Load(d, in.linear + i));
    hn::Store(j, d, bt + i);
    if (wt != nullptr) {
      hn::Store(hn::Mul(j, hn::Add(hn::Mul(ratio_1, u), ratio_0)), d, wt + i);
    }
  }
}

using FixedGapFunction = void (*)(const FixedGap&, const FixedColumns&, double*, double*);

template <int... degree>
HWY_INLINE FixedGapFunction fixed_gap_of(int wanted, std::integer_sequence<int, degree...> /**/) {
  constexpr FixedGapFunction all[] = {&fixed_gap<degree>...};
  return all[wanted];
}

using Degrees = std::make_integer_sequence<int, static_cast<int>(greatest_degree) + 1>;

HWY_ATTR void evaluate_fixed(const FixedState& state, Workspace& work) {
  double* linear = work.scratch[0].row.data();
  double* run_out = work.scratch[1].row.data();
  double* shift_least = work.scratch[2].row.data();
  double* shift_greatest = state.one_shift ? shift_least : work.scratch[3].row.data();
  sum_columns(state.linear, work, linear);
  sum_columns(state.run_out, work, run_out);
  sum_columns(state.shift_least, work, shift_least);
  if (!state.one_shift) {
    sum_columns(state.shift_greatest, work, shift_greatest);
  }
  const auto row = [&work](Stream stream) { return work.gaps[stream].row.data(); };
  fixed_gap_of(state.least.curve.degree, Degrees{})(
      state.least, {linear, shift_least, run_out, false}, row(least_bt), row(least_wt));
  fixed_gap_of(state.greatest.curve.degree, Degrees{})(
      state.greatest, {linear, shift_greatest, run_out, true}, row(greatest_bt), row(greatest_wt));
  fixed_gap_of(state.bind.curve.degree, Degrees{})(
      state.bind, {linear, shift_greatest, run_out, false}, row(bind_bt), nullptr);
}

/// A column, or one number for all samples.
struct Operand {
  const double* row;
  double constant;

  HWY_INLINE V at(std::size_t i) const {
    const D d;
    return row != nullptr ? hn::Load(d, row + i) : hn::Set(d, constant);
  }
};

HWY_ATTR Operand operand(const ColumnSum& sum, const Workspace& work, double* scratch) {
  if (!sum.varies()) {
    return {nullptr, sum.constant};
  }
  if (sum.constant == 0.0 && sum.terms.size() == 1 && sum.terms[0].coefficient == 1.0) {
    return {work.columns[sum.terms[0].column].row.data(), 0.0};
  }
  sum_columns(sum, work, scratch);
  return {scratch, 0.0};
}

/// Scratch columns of evaluate_any by what they hold.
enum Scratch : std::size_t {
  free_0,
  free_1,
  free_2,
  growth_1,
  growth_2,
  constant_part,
  twice_base,
  per_base,
  mismatch,
  slack,
  run_out_length,
  carried_least,
  carried_greatest,
  used
};
static_assert(used <= scratch_columns);

HWY_ATTR void add_strains(const StrainSum& strain, Workspace& work, double* out) {
  const D d;
  const V zero = hn::Zero(d);
  sum_columns(strain.linear, work, out);
  for (const KneeSum& knee : strain.knees) {
    const Operand argument = operand(knee.argument, work, work.scratch[free_0].row.data());
    const V low = hn::Set(d, knee.low);
    const V high = hn::Set(d, knee.high);
    for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
      const V x = argument.at(i);
      const V dead = hn::Add(hn::Min(hn::Sub(x, low), zero), hn::Max(hn::Sub(x, high), zero));
      const V sum = hn::Add(hn::Load(d, out + i), hn::Mul(hn::Set(d, knee.gain), dead));
      hn::Store(sum, d, out + i);
    }
  }
}

/// Half the float of all seats.
HWY_ATTR void add_seats(const std::vector<SeatSum>& seats, Workspace& work, double* out) {
  const D d;
  const V zero = hn::Zero(d);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    hn::Store(zero, d, out + i);
  }
  for (const SeatSum& seat : seats) {
    const Operand clearance = operand(seat.clearance, work, work.scratch[free_0].row.data());
    const Operand outer = operand(seat.outer, work, work.scratch[free_1].row.data());
    const Operand inner = operand(seat.inner, work, work.scratch[free_2].row.data());
    const V outer_factor = hn::Set(d, seat.outer_factor);
    const V inner_factor = hn::Set(d, seat.inner_factor);
    const V half_weight = hn::Set(d, 0.5 * seat.weight);
    for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
      const V tight_outer = hn::Max(zero, outer.at(i));
      const V tight_inner = hn::Max(zero, inner.at(i));
      const V loose_outer = hn::Max(zero, hn::Neg(outer.at(i)));
      const V loose_inner = hn::Max(zero, hn::Neg(inner.at(i)));
      const V taken =
          hn::Add(hn::Mul(outer_factor, tight_outer), hn::Mul(inner_factor, tight_inner));
      const V running = hn::Max(zero, hn::Sub(clearance.at(i), taken));
      const V sum = hn::Add(running, hn::Add(loose_outer, loose_inner));
      hn::Store(hn::Add(hn::Load(d, out + i), hn::Mul(half_weight, sum)), d, out + i);
    }
  }
}

HWY_ATTR void add_bodies(const MeshPlan& mesh, const AnyState& state, Workspace& work) {
  const D d;
  const V one = hn::Set(d, 1.0);
  const V half = hn::Set(d, 0.5);
  const auto row = [&work](Scratch place) { return work.scratch[place].row.data(); };
  const Operand grown_1 = operand(state.growth_1, work, row(growth_1));
  const Operand grown_2 = operand(state.growth_2, work, row(growth_2));
  // In columns that are filled for good only after their last use here.
  const Operand side_1 = operand(mesh.side_1, work, row(constant_part));
  const Operand side_2 = operand(mesh.side_2, work, row(twice_base));
  const Operand other = operand(mesh.other, work, row(per_base));
  const Operand misaligned = operand(state.misalignment, work, row(mismatch));
  const Operand out_1 = operand(mesh.run_out_1, work, row(free_0));
  const Operand out_2 = operand(mesh.run_out_2, work, row(free_1));
  const Operand cosine = operand(mesh.phase_cosine, work, row(carried_least));
  const Operand sine = operand(mesh.phase_sine, work, row(carried_greatest));
  const V per_cosine = hn::Set(d, 1.0 / mesh.cos_beta_b);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    const V e_1 = hn::Add(one, grown_1.at(i));
    const V e_2 = hn::Add(one, grown_2.at(i));
    const V base =
        hn::Add(hn::Mul(hn::Set(d, mesh.r_b1), e_1), hn::Mul(hn::Set(d, mesh.r_b2), e_2));
    const V pitch_2 = hn::Mul(hn::Set(d, mesh.p_b2), e_2);
    const V thickness =
        hn::Add(hn::Mul(hn::Set(d, mesh.s_b1), e_1), hn::Mul(hn::Set(d, mesh.s_b2), e_2));
    const V sides = hn::Add(hn::Mul(side_1.at(i), e_1), hn::Mul(side_2.at(i), e_2));
    const V rest = hn::Sub(other.at(i), hn::Mul(misaligned.at(i), per_cosine));
    const V constant = hn::Add(hn::Add(hn::Sub(pitch_2, thickness), sides), rest);
    const V unequal = hn::Abs(hn::Sub(pitch_2, hn::Mul(hn::Set(d, mesh.p_b1), e_1)));
    const V length_1 = hn::Mul(out_1.at(i), e_1);
    const V length_2 = hn::Mul(out_2.at(i), e_2);
    V run_out;
    if (mesh.has_phase) {
      const V along = hn::Add(length_1, hn::Mul(length_2, cosine.at(i)));
      const V across = hn::Mul(length_2, sine.at(i));
      run_out = hn::Sqrt(hn::Add(hn::Mul(along, along), hn::Mul(across, across)));
    } else {
      run_out = hn::Add(length_1, length_2);
    }
    hn::Store(constant, d, row(constant_part) + i);
    hn::Store(hn::Add(base, base), d, row(twice_base) + i);
    hn::Store(hn::Div(one, base), d, row(per_base) + i);
    hn::Store(unequal, d, row(mismatch) + i);
    hn::Store(hn::Mul(half, run_out), d, row(run_out_length) + i);
  }
}

/// The centre distance without float and run-out, in place of the strain.
HWY_ATTR void add_carrier(const MeshPlan& mesh, Workspace& work, double* strain) {
  const D d;
  const Operand deviation = operand(mesh.deviation, work, work.scratch[free_0].row.data());
  const Operand other = operand(mesh.other_a, work, work.scratch[free_1].row.data());
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    const V drawn = hn::Add(hn::Set(d, mesh.L), deviation.at(i));
    const V grown = hn::Add(hn::Set(d, 1.0), hn::Load(d, strain + i));
    hn::Store(hn::Add(hn::Mul(drawn, grown), other.at(i)), d, strain + i);
  }
}

/// How one gap of a state stands.
struct Standing {
  const double* carried;
  double shafts;
  double run_out;
  double cycle;
};

/// Degree -1: the exact function.
template <int degree>
HWY_ATTR void any_gap(const AnyState& state, const Standing& standing, Workspace& work, double* bt,
                      double* wt) {
  const D d;
  const double* c = state.curve.c.data();
  const auto row = [&work](Scratch place) { return work.scratch[place].row.data(); };
  const V shafts = hn::Set(d, standing.shafts);
  const V run_out = hn::Set(d, standing.run_out);
  const V cycle = hn::Set(d, standing.cycle);
  for (std::size_t i = 0; i < chunk_samples; i += hn::Lanes(d)) {
    const V play = hn::Add(hn::Mul(shafts, hn::Load(d, row(slack) + i)),
                           hn::Mul(run_out, hn::Load(d, row(run_out_length) + i)));
    const V a = hn::Add(hn::Load(d, standing.carried + i), play);
    const V t = hn::Mul(a, hn::Load(d, row(per_base) + i));
    V h;
    if constexpr (degree >= 0) {
      h = curve_at<degree>(hn::Sub(t, hn::Set(d, state.t_centre)), c);
    } else {
      const V one = hn::Set(d, 1.0);
      const V w = hn::Sqrt(hn::Mul(hn::Sub(t, one), hn::Add(t, one)));
      h = hn::Sub(w, arc_tangent(w));
    }
    const V constant = hn::Add(hn::Load(d, row(constant_part) + i),
                               hn::Mul(cycle, hn::Load(d, row(mismatch) + i)));
    const V j = hn::Add(hn::Mul(hn::Load(d, row(twice_base) + i), h), constant);
    hn::Store(j, d, bt + i);
    if (wt != nullptr) {
      hn::Store(hn::Mul(j, t), d, wt + i);
    }
  }
}

using AnyGapFunction = void (*)(const AnyState&, const Standing&, Workspace&, double*, double*);

template <int... degree>
HWY_INLINE AnyGapFunction any_gap_of(int wanted, std::integer_sequence<int, degree...> /**/) {
  constexpr AnyGapFunction all[] = {&any_gap<-1>, &any_gap<degree>...};
  return all[wanted + 1];
}

HWY_ATTR void evaluate_any(const MeshPlan& mesh, const AnyState& state, Workspace& work) {
  const auto scratch = [&work](Scratch place) { return work.scratch[place].row.data(); };
  const auto row = [&work](Stream stream) { return work.gaps[stream].row.data(); };
  add_bodies(mesh, state, work);
  add_seats(state.seats, work, scratch(slack));
  add_strains(state.carrier_least, work, scratch(carried_least));
  add_carrier(mesh, work, scratch(carried_least));
  const double* greatest = scratch(carried_least);
  if (!state.one_carrier) {
    add_strains(state.carrier_greatest, work, scratch(carried_greatest));
    add_carrier(mesh, work, scratch(carried_greatest));
    greatest = scratch(carried_greatest);
  }
  const AnyGapFunction gap = any_gap_of(state.curve.degree, Degrees{});
  gap(state, {scratch(carried_least), together.shafts, together.run_out, state.cycle_least}, work,
      row(least_bt), row(least_wt));
  gap(state, {greatest, apart.shafts, apart.run_out, state.cycle_greatest}, work, row(greatest_bt),
      row(greatest_wt));
  gap(state, {greatest, taken_up.shafts, taken_up.run_out, state.cycle_least}, work, row(bind_bt),
      nullptr);
}

HWY_ATTR void evaluate_gaps_here(const MeshPlan& mesh, const StatePlan& state, Workspace& work) {
  if (state.fixed) {
    evaluate_fixed(*state.fixed, work);
  } else {
    evaluate_any(mesh, state.any, work);
  }
}

// --- counting ------------------------------------------------------------------------------------

constexpr std::size_t words = chunk_samples / 64;

/// One bit for each sample of a chunk, sample i in bit i mod 64 of word i/64. The SIMD library may
/// write up to 8 bytes at a time.
struct Bits {
  std::array<std::uint8_t, chunk_samples / 8 + 8> bytes{};

  HWY_INLINE std::uint64_t word(std::size_t w) const {
    std::uint64_t result = 0;
    if constexpr (std::endian::native == std::endian::little) {
      std::memcpy(&result, bytes.data() + 8 * w, 8);
    } else {
      for (std::size_t k = 8; k-- > 0;) {
        result = result << 8U | bytes[8 * w + k];
      }
    }
    return result;
  }
};

/// The bits of word `w` that stand for samples before `count`.
HWY_INLINE std::uint64_t counted(std::size_t w, std::size_t count) {
  if (count >= 64 * (w + 1)) {
    return ~std::uint64_t{0};
  }
  return count <= 64 * w ? 0 : (std::uint64_t{1} << (count - 64 * w)) - 1;
}

/// Puts the mask of lanes offset, offset + 1 ... of group i/8 where it belongs.
template <class M>
HWY_INLINE void store_bits(M mask, std::size_t i, std::size_t offset, Bits& bits) {
  const D d;
  if (hn::Lanes(d) == lanes) {
    hn::StoreMaskBits(d, mask, bits.bytes.data() + i / lanes);
  } else {
    std::uint8_t part[8] = {};
    hn::StoreMaskBits(d, mask, part);
    std::uint8_t& byte = bits.bytes[i / lanes];
    const unsigned moved = static_cast<unsigned>(part[0]) << offset;
    byte = static_cast<std::uint8_t>(offset == 0 ? moved : byte | moved);
  }
}

HWY_INLINE void into_bin(const Bracket& bracket, double x,
                         std::array<std::uint64_t, bins>& histogram) {
  const auto bin = static_cast<std::size_t>((x - bracket.low) * bracket.bins_per_length);
  // Rounding may take a value just below the end of the bracket to the end.
  ++histogram[std::min(bin, bins - 1)];
}

HWY_INLINE void count_hit(const StreamWindow& window, double x, StreamCounts& counts) {
  const Bracket& low = window.bracket[p_low];
  const Bracket& mid = window.bracket[p_mid];
  const Bracket& high = window.bracket[p_high];
  if (x < low.high) {
    if (x < low.low) {
      ++counts.below_low;
    } else {
      into_bin(low, x, counts.histogram[p_low]);
    }
  }
  if (x >= high.low) {
    if (x < high.high) {
      into_bin(high, x, counts.histogram[p_high]);
    } else {
      ++counts.above_high;
    }
  }
  if (x >= mid.low && x < mid.high) {
    into_bin(mid, x, counts.histogram[p_mid]);
  }
}

/// Powers of what stands in lanes that are counted.
template <bool with_shape>
HWY_ATTR void count_stream(const double* x, std::size_t count, const StreamWindow& window,
                           StreamSums& sums, StreamCounts& counts) {
  const D d;
  const std::size_t N = hn::Lanes(d);
  const std::size_t whole = count / lanes * lanes;
  const V centre = hn::Set(d, window.centre);
  const V square_radius = hn::Set(d, window.square_radius);
  const V mid_low = hn::Set(d, window.bracket[p_mid].low);
  const V mid_high = hn::Set(d, window.bracket[p_mid].high);
  Bits in_tail;
  Bits not_below;
  Bits not_above;
  for (std::size_t offset = 0; offset < lanes; offset += N) {
    V first = hn::Load(d, sums.first.data() + offset);
    V second = hn::Load(d, sums.second.data() + offset);
    V third = hn::Load(d, sums.third.data() + offset);
    V fourth = hn::Load(d, sums.fourth.data() + offset);
    for (std::size_t i = offset; i < chunk_samples; i += lanes) {
      const V value = hn::Load(d, x + i);
      const V v = hn::Sub(value, centre);
      const V square = hn::Mul(v, v);
      if (i < whole) {
        first = hn::Add(first, v);
        second = hn::Add(second, square);
        if constexpr (with_shape) {
          third = hn::Add(third, hn::Mul(square, v));
          fourth = hn::Add(fourth, hn::Mul(square, square));
        }
      }
      // Put together word by word later, which leaves the vector units alone.
      store_bits(hn::Gt(square, square_radius), i, offset, in_tail);
      store_bits(hn::Ge(value, mid_low), i, offset, not_below);
      store_bits(hn::Lt(value, mid_high), i, offset, not_above);
    }
    hn::Store(first, d, sums.first.data() + offset);
    hn::Store(second, d, sums.second.data() + offset);
    hn::Store(third, d, sums.third.data() + offset);
    hn::Store(fourth, d, sums.fourth.data() + offset);
  }
  for (std::size_t i = whole; i < count; ++i) {
    const double v = x[i] - window.centre;
    const double square = v * v;
    sums.first[i % lanes] += v;
    sums.second[i % lanes] += square;
    if constexpr (with_shape) {
      sums.third[i % lanes] += square * v;
      sums.fourth[i % lanes] += square * square;
    }
  }
  for (std::size_t w = 0; w < words; ++w) {
    const std::uint64_t valid = counted(w, count);
    const std::uint64_t from_mid = not_below.word(w) & valid;
    const std::uint64_t found = (in_tail.word(w) & valid) | (from_mid & not_above.word(w));
    counts.not_below_mid += hwy::PopCount(from_mid);
    for (std::uint64_t hit = found; hit != 0; hit &= hit - 1) {
      const auto i = 64 * w + static_cast<std::size_t>(std::countr_zero(hit));
      count_hit(window, x[i], counts);
    }
  }
}

/// Samples that failed, one bit each.
struct Failed {
  std::array<std::uint64_t, words> bits{};
};

/// Adds the samples below `limit`, or those above it.
template <bool above>
HWY_ATTR void add_failed(const double* x, double limit, Failed& failed) {
  const D d;
  const V bound = hn::Set(d, limit);
  Bits found;
  for (std::size_t offset = 0; offset < lanes; offset += hn::Lanes(d)) {
    for (std::size_t i = offset; i < chunk_samples; i += lanes) {
      const V value = hn::Load(d, x + i);
      if constexpr (above) {
        store_bits(hn::Gt(value, bound), i, offset, found);
      } else {
        store_bits(hn::Lt(value, bound), i, offset, found);
      }
    }
  }
  for (std::size_t w = 0; w < words; ++w) {
    failed.bits[w] |= found.word(w);
  }
}

HWY_ATTR std::uint64_t count_failed(const Failed& failed, std::size_t count) {
  std::uint64_t sum = 0;
  for (std::size_t w = 0; w < words; ++w) {
    sum += hwy::PopCount(failed.bits[w] & counted(w, count));
  }
  return sum;
}

HWY_ATTR void unite(const Failed& more, Failed& failed) {
  for (std::size_t w = 0; w < words; ++w) {
    failed.bits[w] |= more.bits[w];
  }
}

struct FailedKinds {
  Failed bind, below, above;
};

HWY_ATTR FailedKinds failed_samples(const Limits& limits, const Workspace& work) {
  const auto row = [&work](Stream stream) { return work.gaps[stream].row.data(); };
  FailedKinds failed;
  add_failed<false>(row(bind_bt), 0.0, failed.bind);
  if (std::isfinite(limits.least_bt)) {
    add_failed<false>(row(least_bt), limits.least_bt, failed.below);
  }
  if (std::isfinite(limits.least_wt)) {
    add_failed<false>(row(least_wt), limits.least_wt, failed.below);
  }
  if (std::isfinite(limits.greatest_bt)) {
    add_failed<true>(row(greatest_bt), limits.greatest_bt, failed.above);
  }
  if (std::isfinite(limits.greatest_wt)) {
    add_failed<true>(row(greatest_wt), limits.greatest_wt, failed.above);
  }
  return failed;
}

HWY_ATTR void count_chunk_here(const SamplePlan& plan, std::uint64_t first, std::size_t count,
                               const std::vector<StreamWindow>& windows, bool with_shape,
                               Workspace& work, Tally& tally) {
  draw_chunk_here(plan.draws, first, work);
  Failed bind_anywhere;
  std::size_t state_index = 0;
  for (std::size_t m = 0; m < plan.meshes.size(); ++m) {
    const MeshPlan& mesh = plan.meshes[m];
    derive_columns_here(mesh, work);
    FailedKinds anywhere;
    for (const StatePlan& state : mesh.states) {
      evaluate_gaps_here(mesh, state, work);
      for (std::size_t s = 0; s < streams; ++s) {
        const std::size_t stream = state_index * streams + s;
        const double* x = work.gaps[s].row.data();
        if (with_shape) {
          count_stream<true>(x, count, windows[stream], tally.sums[stream], tally.counts[stream]);
        } else {
          count_stream<false>(x, count, windows[stream], tally.sums[stream], tally.counts[stream]);
        }
      }
      const FailedKinds failed = failed_samples(mesh.limits, work);
      StateCounts& counts = tally.states[state_index];
      counts.bind_negative += count_failed(failed.bind, count);
      counts.below_least += count_failed(failed.below, count);
      counts.above_greatest += count_failed(failed.above, count);
      unite(failed.bind, anywhere.bind);
      unite(failed.below, anywhere.below);
      unite(failed.above, anywhere.above);
      ++state_index;
    }
    tally.anywhere[m].bind_negative += count_failed(anywhere.bind, count);
    tally.anywhere[m].below_least += count_failed(anywhere.below, count);
    tally.anywhere[m].above_greatest += count_failed(anywhere.above, count);
    unite(anywhere.bind, bind_anywhere);
  }
  tally.bind_anywhere += count_failed(bind_anywhere, count);
}

HWY_ATTR const char* target_name_here() {
  return hwy::TargetName(HWY_TARGET);
}

}  // namespace
}  // namespace lashband::band::kernel::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace lashband::band::kernel {

HWY_EXPORT(draw_chunk_here);
HWY_EXPORT(derive_columns_here);
HWY_EXPORT(evaluate_gaps_here);
HWY_EXPORT(count_chunk_here);
HWY_EXPORT(target_name_here);

Workspace::Workspace(const SamplePlan& plan) : columns(plan.columns), scratch(scratch_columns) {}

void draw_chunk(const DrawPlan& plan, std::uint64_t first, Workspace& work) {
  HWY_DYNAMIC_DISPATCH(draw_chunk_here)(plan, first, work);
}

void derive_columns(const MeshPlan& mesh, Workspace& work) {
  HWY_DYNAMIC_DISPATCH(derive_columns_here)(mesh, work);
}

void evaluate_gaps(const MeshPlan& mesh, const StatePlan& state, Workspace& work) {
  HWY_DYNAMIC_DISPATCH(evaluate_gaps_here)(mesh, state, work);
}

void count_chunk(const SamplePlan& plan, std::uint64_t first, std::size_t count,
                 const std::vector<StreamWindow>& windows, bool with_shape, Workspace& work,
                 Tally& tally) {
  HWY_DYNAMIC_DISPATCH(count_chunk_here)(plan, first, count, windows, with_shape, work, tally);
}

const char* instruction_set() {
  return HWY_DYNAMIC_DISPATCH(target_name_here)();
}

}  // namespace lashband::band::kernel
#endif
