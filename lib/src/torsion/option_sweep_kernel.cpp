#include "torsion/option_sweep_kernel.hpp"

#include <cmath>

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "torsion/option_sweep_kernel.cpp"
#include <hwy/foreach_target.h>
#include <hwy/highway.h>

HWY_BEFORE_NAMESPACE();
namespace lashband::torsion::kernel::HWY_NAMESPACE {
namespace {

namespace hn = hwy::HWY_NAMESPACE;
using D = hn::CappedTag<double, sweep_lanes>;
using V = hn::Vec<D>;

// --- complex numbers -----------------------------------------------------------------------------

struct C {
  V re, im;
};

HWY_INLINE V real(double value) {
  return hn::Set(D(), value);
}
HWY_INLINE V load(const Row& row, std::size_t at) {
  return hn::Load(D(), row.lane.data() + at);
}
HWY_INLINE C load(const ComplexRow& row, std::size_t at) {
  return {load(row.re, at), load(row.im, at)};
}
HWY_INLINE void store(V value, std::size_t at, Row& row) {
  hn::Store(value, D(), row.lane.data() + at);
}
HWY_INLINE void store(C value, std::size_t at, ComplexRow& row) {
  store(value.re, at, row.re);
  store(value.im, at, row.im);
}

HWY_INLINE C zero() {
  return {hn::Zero(D()), hn::Zero(D())};
}
HWY_INLINE C sum(C a, C b) {
  return {hn::Add(a.re, b.re), hn::Add(a.im, b.im)};
}
HWY_INLINE C difference(C a, C b) {
  return {hn::Sub(a.re, b.re), hn::Sub(a.im, b.im)};
}
HWY_INLINE C scaled(C a, V factor) {
  return {hn::Mul(a.re, factor), hn::Mul(a.im, factor)};
}
HWY_INLINE C scaled(C a, double factor) {
  return scaled(a, real(factor));
}
HWY_INLINE C product(C a, C b) {
  return {hn::NegMulAdd(a.im, b.im, hn::Mul(a.re, b.re)),
          hn::MulAdd(a.re, b.im, hn::Mul(a.im, b.re))};
}
/// a times the conjugate of b
HWY_INLINE C product_conjugate(C a, C b) {
  return {hn::MulAdd(a.im, b.im, hn::Mul(a.re, b.re)),
          hn::NegMulAdd(a.re, b.im, hn::Mul(a.im, b.re))};
}
/// a b + c
HWY_INLINE C product_and(C a, C b, C c) {
  return {hn::NegMulAdd(a.im, b.im, hn::MulAdd(a.re, b.re, c.re)),
          hn::MulAdd(a.im, b.re, hn::MulAdd(a.re, b.im, c.im))};
}
HWY_INLINE V square(C a) {
  return hn::MulAdd(a.re, a.re, hn::Mul(a.im, a.im));
}
/// |a|, or up to 1.4 times as much: for sums of magnitudes.
HWY_INLINE V magnitude(C a) {
  return hn::Add(hn::Abs(a.re), hn::Abs(a.im));
}
HWY_INLINE C reciprocal(C a) {
  const V inverse = hn::Div(real(1.0), square(a));
  return {hn::Mul(a.re, inverse), hn::Neg(hn::Mul(a.im, inverse))};
}
/// 0 of 0.
HWY_INLINE C reciprocal_or_zero(C a) {
  const auto some = hn::Gt(square(a), hn::Zero(D()));
  const V inverse = hn::IfThenElseZero(some, hn::Div(real(1.0), square(a)));
  return {hn::Mul(a.re, inverse), hn::Neg(hn::Mul(a.im, inverse))};
}
template <class Mask>
HWY_INLINE C chosen(Mask mask, C yes, C no) {
  return {hn::IfThenElse(mask, yes.re, no.re), hn::IfThenElse(mask, yes.im, no.im)};
}

/// Lanes from `at` on in which the mask is not set.
template <class Mask>
HWY_INLINE std::uint32_t lanes_without(Mask mask, std::size_t at) {
  const D d;
  std::array<std::uint8_t, 8> bytes{};
  hn::StoreMaskBits(d, mask, bytes.data());
  const std::uint32_t all = (1U << hn::Lanes(d)) - 1U;
  return (~static_cast<std::uint32_t>(bytes[0]) & all) << at;
}

HWY_INLINE C dynamic_stiffness_of(const Law& law, V omega) {
  C k{real(law.stiffness),
      hn::MulAdd(omega, real(law.damping), real(law.stiffness * law.loss_factor))};
  for (const MaxwellBranch& branch : law.branches) {
    // Where w^2 would be beyond all numbers, the branch is as stiff as it gets.
    const V w = hn::Min(hn::Mul(omega, real(branch.relaxation_time)), real(1e150));
    const V share = hn::Div(hn::Mul(real(branch.stiffness), w), hn::MulAdd(w, w, real(1.0)));
    k = {hn::MulAdd(share, w, k.re), hn::Add(k.im, share)};
  }
  return k;
}

// --- elimination ---------------------------------------------------------------------------------

// The lanes from `at` on, one register wide.
class Elimination {
 public:
  HWY_INLINE Elimination(const System& system, const SweepPlan& plan, const ShakenOrder& shaken,
                         const Row& factor, std::size_t at, std::vector<JointWork>& work,
                         Reduced& reduced)
      : system_(system),
        plan_(plan),
        excitation_(shaken.excitation),
        omega_(load(reduced.omega, at)),
        factor_(load(factor, at)),
        at_(at),
        work_(work),
        reduced_(reduced) {}

  HWY_ATTR void run() {
    for (std::size_t j = 0; j < plan_.joints.size(); ++j) {
      start(j);
    }
    for (std::size_t j = 0; j < plan_.joints.size(); ++j) {
      for (const Ground& tie : plan_.joints[j].grounds) {
        const C tied = scaled(law(tie.element), tie.arm * tie.arm);
        add_spring(tied, magnitude(tied), ground_motion(tie), work_[j]);
      }
      if (plan_.joints[j].parent) {
        pass_on(j);
      }
    }
    join_ends();
    std::array<std::size_t, 2> used{};
    V energy = hn::Zero(D());
    for (std::size_t j = plan_.joints.size(); j-- > 0;) {
      move(j);
      keep_motion(j, used, energy);
    }
    store(energy, at_, reduced_.energy);
    for (std::size_t w = 0; w < plan_.watched.size(); ++w) {
      watch(plan_.watched[w], reduced_.torques[w]);
    }
  }

 private:
  // An element's stiffness.
  HWY_ATTR C law(std::size_t element) const {
    return dynamic_stiffness_of(system_.elements[element].law, omega_);
  }
  HWY_ATTR C amplitude(const std::vector<std::complex<double>>& amplitudes,
                       std::size_t index) const {
    if (amplitudes.empty()) {
      return zero();
    }
    return scaled({real(amplitudes[index].real()), real(amplitudes[index].imag())}, factor_);
  }
  HWY_ATTR C displacement(std::size_t element) const {
    return amplitude(excitation_.displacements, element);
  }
  // The angle at which an element to the case is not strained.
  HWY_ATTR C ground_motion(const Ground& tie) const {
    return scaled(displacement(tie.element), 1.0 / tie.arm);
  }
  HWY_INLINE C get(const ComplexRow& row) const { return load(row, at_); }
  HWY_INLINE void put(C value, ComplexRow& row) const { store(value, at_, row); }

  // Lanes in which a value, one that cancelled out of magnitudes whose sum is `parts`, is small.
  HWY_ATTR void check(C value, V parts) {
    const V least = hn::Mul(real(least_pivot), parts);
    reduced_.small_pivots |= lanes_without(hn::Gt(square(value), hn::Mul(least, least)), at_);
  }

  HWY_ATTR void start(std::size_t j) {
    const std::size_t i = plan_.joints[j].inertia;
    JointWork& own = work_[j];
    const V inertia = hn::Mul(hn::Mul(omega_, omega_), real(system_.inertias[i]));
    put({hn::Neg(inertia), hn::Zero(D())}, own.stiffness);
    store(inertia, at_, own.parts);
    put(amplitude(excitation_.torques, i), own.balanced);
    put(zero(), own.unbalanced);
    put(zero(), own.reference);
    store(hn::Mul(inertia, inertia), at_, own.stiffest);
  }

  // Adds what pulls at an inertia with stiffness (theta - rest). All is referred to the rest of the
  // stiffest: what it pulls with follows from small differences to that, which are kept as such.
  HWY_ATTR void add_spring(C stiffness, V parts, C rest, JointWork& own) const {
    const C before = get(own.stiffness);
    put(sum(before, stiffness), own.stiffness);
    store(hn::Add(load(own.parts, at_), parts), at_, own.parts);
    if (excitation_.displacements.empty()) {
      return;
    }
    const V strength = square(stiffness);
    const V stiffest = load(own.stiffest, at_);
    const C old = get(own.reference);
    const C reference = chosen(hn::Gt(strength, stiffest), rest, old);
    C torque = product_and(stiffness, difference(rest, reference), get(own.unbalanced));
    torque = product_and(before, difference(old, reference), torque);
    put(torque, own.unbalanced);
    put(reference, own.reference);
    store(hn::Max(strength, stiffest), at_, own.stiffest);
  }

  // Elements side by side: K, and the elongation at which they pull with nothing together.
  struct Bundle {
    C stiffness, rest;
  };
  HWY_ATTR Bundle bundle(const std::vector<Strand>& strands) const {
    Bundle result{zero(), zero()};
    for (const Strand& strand : strands) {
      const C k = scaled(law(strand.element), strand.scale);
      result.stiffness = sum(result.stiffness, scaled(k, strand.scale));
      result.rest = product_and(k, displacement(strand.element), result.rest);
    }
    if (!excitation_.displacements.empty()) {
      result.rest = product(result.rest, reciprocal_or_zero(result.stiffness));
    }
    return result;
  }

  // Sum over the others of k scale (e - scale `rest`): what they pull with where one is at rest.
  HWY_ATTR C pull_at(const std::vector<Strand>& strands, C rest, std::size_t without) const {
    C pull = zero();
    for (const Strand& strand : strands) {
      if (strand.element != without) {
        const C k = scaled(law(strand.element), strand.scale);
        pull = product_and(k, difference(displacement(strand.element), scaled(rest, strand.scale)),
                           pull);
      }
    }
    return pull;
  }

  // The inertia and all behind it, as its parent feels them: two springs in a row, of S and of
  // K arm^2, with nothing that cancels but at the resonance of the two.
  HWY_ATTR void pass_on(std::size_t j) {
    const Joint& joint = plan_.joints[j];
    JointWork& own = work_[j];
    const Bundle above = bundle(joint.strands);
    const C behind = get(own.stiffness);
    const V parts = load(own.parts, at_);
    const C held = scaled(above.stiffness, joint.arm * joint.arm);
    const C pivot = sum(behind, held);
    check(pivot, hn::Add(parts, magnitude(held)));
    const C inverse = reciprocal(pivot);
    const double lever = -joint.arm_of_parent / joint.arm;
    const C passed = scaled(product(held, inverse), lever);
    const C kept = product(behind, inverse);  // 1 less the share passed on

    JointWork& parent = work_[*joint.parent];
    const C felt =
        scaled(product(kept, above.stiffness), joint.arm_of_parent * joint.arm_of_parent);
    const C rest =
        sum(scaled(get(own.reference), 1.0 / lever), scaled(above.rest, 1.0 / joint.arm_of_parent));
    add_spring(felt, hn::MulAdd(parts, square(passed), magnitude(felt)), rest, parent);

    // A stiff element hands torque on by its levers, which cancels exactly where the torques on the
    // train do, and loses a small share of it; a soft one hands on a small share.
    const C balanced = get(own.balanced);
    const C unbalanced = get(own.unbalanced);
    const auto stiff = hn::Ge(square(held), square(behind));
    put(sum(get(parent.balanced), chosen(stiff, scaled(balanced, lever), zero())), parent.balanced);
    const C share = chosen(stiff, scaled(kept, -lever), passed);
    C handed = product_and(balanced, share, get(parent.unbalanced));
    handed = product_and(unbalanced, passed, handed);
    put(handed, parent.unbalanced);

    put(rest, own.rest);
    put(inverse, own.reciprocal);
    put(product(sum(balanced, unbalanced), inverse), own.offset);
    put(passed, own.passed);
  }

  // What is left at an end of the varied element.
  struct End {
    C stiffness, balanced, unbalanced, torque, reference;
    V parts;
    double arm = 0.0;
  };
  HWY_ATTR End end(std::size_t side) const {
    if (!plan_.roots[side]) {
      // The case: held fast, which an arm of 0 stands for.
      return {{real(1.0), hn::Zero(D())}, zero(), zero(), zero(), zero(), hn::Zero(D()), 0.0};
    }
    const JointWork& own = work_[*plan_.roots[side]];
    const C balanced = get(own.balanced);
    const C unbalanced = get(own.unbalanced);
    return {get(own.stiffness),        balanced,           unbalanced,
            sum(balanced, unbalanced), get(own.reference), load(own.parts, at_),
            plan_.arms[side]};
  }

  HWY_ATTR void join_ends() {
    const End one = end(0);
    const End two = end(1);
    const C none = product(one.stiffness, two.stiffness);
    const C compliant =
        sum(scaled(two.stiffness, one.arm * one.arm), scaled(one.stiffness, two.arm * two.arm));
    // Of elements beside the varied one, with both ends at their references.
    const C start = sum(scaled(one.reference, one.arm), scaled(two.reference, two.arm));
    const C displaced = difference(displacement(plan_.varied), start);
    const C preload = pull_at(plan_.beside_varied, start, plan_.varied);
    const C beside = bundle(plan_.beside_varied).stiffness;
    const C fixed = product_and(beside, compliant, none);
    put(fixed, reduced_.fixed);
    put(compliant, reduced_.by_stiffness);
    set_least(one, two, beside);

    // What turns both ends against each other: torques in balance are none.
    const C twist =
        sum(difference(scaled(one.balanced, two.arm), scaled(two.balanced, one.arm)),
            difference(scaled(one.unbalanced, two.arm), scaled(two.unbalanced, one.arm)));
    const auto put_end = [&](std::size_t side, const End& own, const End& other, double sign) {
      const C strained = scaled(other.stiffness, own.arm);
      const C turned = scaled(twist, sign * other.arm);
      C constant = product(own.torque, other.stiffness);
      constant = product_and(beside, turned, constant);
      constant = product_and(preload, strained, constant);
      const C slope = product_and(displaced, strained, turned);
      put(constant, reduced_.moved_constant[side]);
      put(slope, reduced_.moved_slope[side]);
      put(product_and(own.reference, fixed, constant), reduced_.constant[side]);
      put(product_and(own.reference, compliant, slope), reduced_.slope[side]);
      const V inertia =
          plan_.roots[side]
              ? real(0.25 * system_.inertias[plan_.joints[*plan_.roots[side]].inertia])
              : hn::Zero(D());
      store(hn::Mul(inertia, hn::Mul(omega_, omega_)), at_, reduced_.weight[side]);
    };
    put_end(0, one, two, 1.0);
    put_end(1, two, one, -1.0);
    // S S' times the elongation without any element between the two.
    drift_ = sum(product(scaled(one.torque, one.arm), two.stiffness),
                 product(scaled(two.torque, two.arm), one.stiffness));
    none_ = none;
    start_ = start;
  }

  HWY_ATTR void set_least(const End& one, const End& two, C beside) {
    V parts_by_stiffness =
        hn::MulAdd(real(one.arm * one.arm), two.parts, hn::Mul(real(two.arm * two.arm), one.parts));
    if (!plan_.roots[1]) {
      parts_by_stiffness = real(one.arm * one.arm);
    }
    V parts = hn::MulAdd(one.parts, magnitude(two.stiffness),
                         hn::Mul(two.parts, magnitude(one.stiffness)));
    parts = hn::MulAdd(magnitude(beside), parts_by_stiffness, parts);
    // (a + b)^2 <= 2 (a^2 + b^2). Below 1e-280 the square is no number to divide by.
    const double share = 2.0 * least_pivot * least_pivot;
    store(hn::Max(hn::Mul(real(share), hn::Mul(parts, parts)), real(1e-280)), at_, reduced_.least);
    store(hn::Mul(real(share), hn::Mul(parts_by_stiffness, parts_by_stiffness)), at_,
          reduced_.least_by_stiffness);
  }

  // theta less its reference, by that of the root; or all of it where no option has a say.
  HWY_ATTR void move(std::size_t j) {
    const Joint& joint = plan_.joints[j];
    JointWork& own = work_[j];
    if (joint.parent) {
      const C passed = get(own.passed);
      put(product_and(passed, strain_from_parent(j), get(own.offset)), own.constant);
      put(product(passed, get(work_[*joint.parent].by_root)), own.by_root);
    } else if (joint.side == Side::neither) {
      const C stiffness = get(own.stiffness);
      check(stiffness, load(own.parts, at_));
      put(product(sum(get(own.balanced), get(own.unbalanced)), reciprocal(stiffness)),
          own.constant);
      put(zero(), own.by_root);
    } else {
      put(zero(), own.constant);
      put({real(1.0), hn::Zero(D())}, own.by_root);
    }
  }

  // The angle of the parent against the one at which the joint is at rest: the part of it that does
  // not come from the root.
  HWY_ATTR C strain_from_parent(std::size_t j) const {
    const JointWork& parent = work_[*plan_.joints[j].parent];
    return sum(get(parent.constant), difference(get(parent.reference), get(work_[j].rest)));
  }

  HWY_ATTR void keep_motion(std::size_t j, std::array<std::size_t, 2>& used, V& energy) const {
    const Joint& joint = plan_.joints[j];
    const JointWork& own = work_[j];
    const double inertia = system_.inertias[joint.inertia];
    const V speed = hn::Mul(real(0.5 * std::sqrt(inertia)), omega_);
    const C angle = sum(get(own.reference), get(own.constant));
    if (joint.side == Side::neither) {
      energy = hn::Add(energy, square(scaled(angle, speed)));
    } else if (joint.parent && inertia > 0.0) {
      const auto side = static_cast<std::size_t>(joint.side);
      const C by_root = get(own.by_root);
      const C root = get(work_[*plan_.roots[side]].reference);
      Motion& motion = reduced_.motions[side][used[side]++];
      put(scaled(difference(angle, product(by_root, root)), speed), motion.constant);
      put(scaled(by_root, speed), motion.by_root);
    }
  }

  HWY_ATTR void watch(const Watch& watched, Torque& torque) const {
    switch (watched.kind) {
      case Watch::Kind::varied:
        return watch_varied(torque);
      case Watch::Kind::beside_varied:
        return watch_beside_varied(watched, torque);
      case Watch::Kind::joint:
        return watch_joint(watched, torque);
      case Watch::Kind::ground:
        return watch_ground(watched, torque);
    }
  }

  // k (x - e), with e taken out of x before it could cancel.
  HWY_ATTR void watch_varied(Torque& torque) const {
    const C e = displacement(plan_.varied);
    const C strain = difference(drift_, product(difference(e, start_), none_));
    put(zero(), torque.constant);
    put(product_and(pull_at(plan_.beside_varied, e, plan_.varied), get(reduced_.by_stiffness),
                    strain),
        torque.slope);
  }

  HWY_ATTR void watch_beside_varied(const Watch& watched, Torque& torque) const {
    const C k = scaled(law(watched.element), watched.scale);
    const C rest = scaled(displacement(watched.element), 1.0 / watched.scale);
    const C compliant = get(reduced_.by_stiffness);
    const C strain = difference(drift_, product(difference(rest, start_), none_));
    const C pull = pull_at(plan_.beside_varied, rest, watched.element);
    put(product(k, product_and(pull, compliant, strain)), torque.constant);
    put(product(k, product(difference(displacement(plan_.varied), rest), compliant)), torque.slope);
  }

  // A torque that is constant + by_root times what the root moves from its reference by.
  HWY_ATTR void put_by_root(const Watch& watched, C constant, C by_root, Torque& torque) const {
    C over = product(constant, get(reduced_.fixed));
    C slope = product(constant, get(reduced_.by_stiffness));
    if (watched.side != Side::neither) {
      const auto side = static_cast<std::size_t>(watched.side);
      over = product_and(by_root, get(reduced_.moved_constant[side]), over);
      slope = product_and(by_root, get(reduced_.moved_slope[side]), slope);
    }
    put(over, torque.constant);
    put(slope, torque.slope);
  }

  HWY_ATTR void watch_joint(const Watch& watched, Torque& torque) const {
    const Joint& joint = plan_.joints[watched.joint];
    const JointWork& own = work_[watched.joint];
    const C k = scaled(law(watched.element), watched.scale);
    const C rest = scaled(displacement(watched.element), 1.0 / watched.scale);
    const C kept = scaled(product(get(own.stiffness), get(own.reciprocal)), joint.arm_of_parent);
    // x less that at rest of all strands, then of this one.
    C strain =
        product_and(kept, strain_from_parent(watched.joint), scaled(get(own.offset), joint.arm));
    strain = product_and(pull_at(joint.strands, rest, watched.element),
                         reciprocal_or_zero(bundle(joint.strands).stiffness), strain);
    put_by_root(watched, product(k, strain),
                product(k, product(kept, get(work_[*joint.parent].by_root))), torque);
  }

  HWY_ATTR void watch_ground(const Watch& watched, Torque& torque) const {
    const JointWork& own = work_[watched.joint];
    const C k = scaled(law(watched.element), watched.scale);
    const C rest = ground_motion({watched.element, watched.scale});
    const C constant = sum(get(own.constant), difference(get(own.reference), rest));
    put_by_root(watched, product(k, constant), product(k, get(own.by_root)), torque);
  }

  const System& system_;
  const SweepPlan& plan_;
  const Excitation& excitation_;
  V omega_;
  V factor_;
  std::size_t at_;
  std::vector<JointWork>& work_;
  Reduced& reduced_;
  // Of the two ends: torques, the product of what stands behind them, and x at their references.
  C drift_ = zero();
  C none_ = zero();
  C start_ = zero();
};

HWY_ATTR void reduce_here(const System& system, const SweepPlan& plan, const ShakenOrder& shaken,
                          const Row& factor, std::vector<JointWork>& work, Reduced& reduced) {
  reduced.small_pivots = 0;
  for (std::size_t at = 0; at < sweep_lanes; at += hn::Lanes(D())) {
    Elimination(system, plan, shaken, factor, at, work, reduced).run();
  }
}

// --- options -------------------------------------------------------------------------------------

// One option at one order, in a register's lanes.
struct Solution {
  C k, conjugate;  // of the inverse of the determinant
  std::array<C, 2> theta;
};

HWY_INLINE Solution solution(const Reduced& reduced, const Law& law, std::size_t at,
                             std::uint32_t& small) {
  Solution result;
  result.k = dynamic_stiffness_of(law, load(reduced.omega, at));
  const C determinant =
      product_and(result.k, load(reduced.by_stiffness, at), load(reduced.fixed, at));
  const V squared = square(determinant);
  const V least =
      hn::MulAdd(square(result.k), load(reduced.least_by_stiffness, at), load(reduced.least, at));
  // The square may be beyond all numbers.
  const auto fine = hn::And(hn::Gt(squared, least), hn::Lt(squared, real(1e280)));
  if (HWY_UNLIKELY(!hn::AllTrue(D(), fine))) {
    small |= lanes_without(fine, at);
  }
  const V inverse = hn::Div(real(1.0), squared);
  result.conjugate = scaled(determinant, inverse);
  for (std::size_t side = 0; side < 2; ++side) {
    result.theta[side] = product_conjugate(
        product_and(result.k, load(reduced.slope[side], at), load(reduced.constant[side], at)),
        result.conjugate);
  }
  return result;
}

template <std::size_t width>
HWY_ATTR void solve_order(const SweepPlan& plan, const Reduced& reduced, const Law* laws,
                          std::size_t order, OptionRows* rows) {
  for (std::size_t at = 0; at < sweep_lanes; at += hn::Lanes(D())) {
    std::array<Solution, width> solutions;
    std::array<C, width> energy;  // two sums side by side
    for (std::size_t i = 0; i < width; ++i) {
      solutions[i] = solution(reduced, laws[i], at, rows[i].small[order]);
      energy[i] = {load(reduced.energy, at), hn::Zero(D())};
      for (std::size_t side = 0; side < 2; ++side) {
        energy[i].re = hn::MulAdd(load(reduced.weight[side], at), square(solutions[i].theta[side]),
                                  energy[i].re);
      }
    }
    for (std::size_t side = 0; side < 2; ++side) {
      for (const Motion& motion : reduced.motions[side]) {
        const C by_root = load(motion.by_root, at);
        const C constant = load(motion.constant, at);
        for (std::size_t i = 0; i < width; ++i) {
          const C moved = product_and(by_root, solutions[i].theta[side], constant);
          energy[i] = {hn::MulAdd(moved.re, moved.re, energy[i].re),
                       hn::MulAdd(moved.im, moved.im, energy[i].im)};
        }
      }
    }
    for (std::size_t i = 0; i < width; ++i) {
      store(hn::Add(energy[i].re, energy[i].im), at, rows[i].energies[order]);
    }
    const std::size_t watched = plan.watched.size();
    for (std::size_t w = 0; w < watched; ++w) {
      const C slope = load(reduced.torques[w].slope, at);
      const C constant = load(reduced.torques[w].constant, at);
      for (std::size_t i = 0; i < width; ++i) {
        const C torque =
            product_conjugate(product_and(solutions[i].k, slope, constant), solutions[i].conjugate);
        store(torque.re, at, rows[i].torques[2 * (order * watched + w)]);
        store(torque.im, at, rows[i].torques[2 * (order * watched + w) + 1]);
      }
    }
  }
}

HWY_ATTR void solve_here(const SweepPlan& plan, const std::vector<Reduced>& orders, const Law* laws,
                         std::vector<OptionRows>& rows) {
  for (std::size_t order = 0; order < orders.size(); ++order) {
    for (OptionRows& option : rows) {
      option.small[order] = orders[order].small_pivots;
    }
    if (rows.size() == options_at_once) {
      solve_order<options_at_once>(plan, orders[order], laws, order, rows.data());
    } else {
      for (std::size_t i = 0; i < rows.size(); ++i) {
        solve_order<1>(plan, orders[order], laws + i, order, &rows[i]);
      }
    }
  }
  for (OptionRows& option : rows) {
    option.small_anywhere = 0;
    for (const std::uint32_t small : option.small) {
      option.small_anywhere |= small;
    }
  }
}

HWY_ATTR const char* target_name_here() {
  return hwy::TargetName(HWY_TARGET);
}

}  // namespace
}  // namespace lashband::torsion::kernel::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace lashband::torsion::kernel {

HWY_EXPORT(reduce_here);
HWY_EXPORT(solve_here);
HWY_EXPORT(target_name_here);

void reduce(const System& system, const SweepPlan& plan, const ShakenOrder& shaken,
            const Lanes& speeds, std::vector<JointWork>& work, Reduced& reduced) {
  Row factor;
  for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
    reduced.omega.lane[lane] = shaken.order * speeds[lane];
    const double ratio = speeds[lane] / shaken.reference_speed;
    factor.lane[lane] = shaken.speed_exponent == 0   ? 1.0
                        : shaken.speed_exponent == 1 ? ratio
                                                     : ratio * ratio;
  }
  HWY_DYNAMIC_DISPATCH(reduce_here)(system, plan, shaken, factor, work, reduced);
}

void solve(const SweepPlan& plan, const std::vector<Reduced>& orders,
           const std::vector<Law>& options, std::size_t option, std::vector<OptionRows>& rows) {
  HWY_DYNAMIC_DISPATCH(solve_here)(plan, orders, &options[option], rows);
}

const char* sweep_instruction_set() {
  return HWY_DYNAMIC_DISPATCH(target_name_here)();
}

}  // namespace lashband::torsion::kernel
#endif
