// Elementary functions of the sampling kernel, once for each instruction set: the SIMD library
// includes this file again for every target, so that its guard is the library's toggle.
//
// Every instruction set gives the same numbers: additions, multiplications, divisions and square
// roots only, each rounded by itself (no fused multiply-add), in the order written. Polynomials are
// near-minimax: Chebyshev interpolants, calculated with 60 digits.
#if defined(LASHBAND_BAND_SAMPLE_MATH_HPP) == defined(HWY_TARGET_TOGGLE)
#ifdef LASHBAND_BAND_SAMPLE_MATH_HPP
#undef LASHBAND_BAND_SAMPLE_MATH_HPP
#else
#define LASHBAND_BAND_SAMPLE_MATH_HPP
#endif

#include <hwy/highway.h>

#include <cstddef>
#include <cstdint>

#include "band/random_counter.hpp"

HWY_BEFORE_NAMESPACE();
namespace lashband::band::kernel::HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;

// At most eight lanes, the logical width of the sampling.
using D = hn::CappedTag<double, 8>;
using DU = hn::RebindToUnsigned<D>;
using V = hn::Vec<D>;
using VU = hn::Vec<DU>;

/// c[0] + c[1] x + ... by Horner's rule.
template <std::size_t n>
HWY_INLINE V polynomial(V x, const double (&c)[n]) {
  const D d;
  V sum = hn::Set(d, c[n - 1]);
  for (std::size_t i = n - 1; i-- > 0;) {
    sum = hn::Add(hn::Mul(sum, x), hn::Set(d, c[i]));
  }
  return sum;
}

/// As random_counter.hpp.
HWY_INLINE VU mixed_bits(VU z) {
  const DU du;
  z = hn::Mul(hn::Xor(z, hn::ShiftRight<30>(z)), hn::Set(du, mix_factor_1));
  z = hn::Mul(hn::Xor(z, hn::ShiftRight<27>(z)), hn::Set(du, mix_factor_2));
  return hn::Xor(z, hn::ShiftRight<31>(z));
}

/// As random_counter.hpp: exact, by putting the bits into the mantissa of a number from 1 to 2.
HWY_INLINE V unit_interval(VU bits) {
  const D d;
  const DU du;
  const VU one_to_two = hn::Or(hn::ShiftRight<12>(bits), hn::Set(du, 0x3ff0000000000000ULL));
  const double half_cell = 1.0 / 9007199254740992.0;  // 2^-53
  return hn::Add(hn::Sub(hn::BitCast(d, one_to_two), hn::Set(d, 1.0)), hn::Set(d, half_cell));
}

// 1.5 * 2^52: added to a number below 2^51 it leaves the nearest whole number in the lowest bits.
constexpr double rounding_shift = 6755399441055744.0;

// ln 2 in two parts, the first with 32 bits, so that a small whole multiple of it is exact.
constexpr double ln2_high = 6.93147180369123816490e-01;
constexpr double ln2_low = 1.90821492927058770002e-10;

/// ln x for normal x > 0, to 4e-16 relative for x <= 1.
HWY_INLINE V logarithm(V x) {
  const D d;
  const DU du;
  // x = m 2^k, m from sqrt(1/2) to sqrt(2).
  constexpr std::uint64_t sqrt_half_bits = 0x3fe6a09e667f3bcdULL;
  constexpr std::uint64_t one_bits = 0x3ff0000000000000ULL;
  const VU moved = hn::Add(hn::BitCast(du, x), hn::Set(du, one_bits - sqrt_half_bits));
  // The biased exponent becomes a number by way of the mantissa of 2^52.
  const VU exponent = hn::Or(hn::ShiftRight<52>(moved), hn::Set(du, 0x4330000000000000ULL));
  const V k = hn::Sub(hn::BitCast(d, exponent), hn::Set(d, 4503599627370496.0 + 1023.0));
  const VU mantissa = hn::And(moved, hn::Set(du, 0x000fffffffffffffULL));
  const V m = hn::BitCast(d, hn::Add(mantissa, hn::Set(du, sqrt_half_bits)));
  // ln m = ln((1 + s)/(1 - s)) = 2 s + s^3 p(s^2), |s| <= 0.1716: p to 3.2e-16.
  constexpr double p[] = {0.66666666666666697077, 0.39999999999898890514, 0.28571428626253837606,
                          0.22222211089379496214, 0.18182892432536871201, 0.15331611722055007885,
                          0.14617807153417324964};
  const V f = hn::Sub(m, hn::Set(d, 1.0));
  const V s = hn::Div(f, hn::Add(hn::Set(d, 2.0), f));
  const V y = hn::Mul(s, s);
  const V tail = hn::Add(hn::Mul(hn::Mul(s, y), polynomial(y, p)), hn::Mul(k, hn::Set(d, ln2_low)));
  return hn::Add(hn::Mul(k, hn::Set(d, ln2_high)), hn::Add(hn::Add(s, s), tail));
}

/// e^x for x <= 0, to 4e-16 relative; 0 below -708.
HWY_INLINE V exponential(V x) {
  const D d;
  const DU du;
  const V shifted =
      hn::Add(hn::Mul(x, hn::Set(d, 1.4426950408889634074)), hn::Set(d, rounding_shift));
  const V n = hn::Sub(shifted, hn::Set(d, rounding_shift));
  const V r =
      hn::Sub(hn::Sub(x, hn::Mul(n, hn::Set(d, ln2_high))), hn::Mul(n, hn::Set(d, ln2_low)));
  // e^r = 1 + r + r^2 p(r), |r| <= 0.347: p to 1.7e-20.
  constexpr double p[] = {
      0.49999999999999999998,     0.16666666666666666667,   0.041666666666666676865,
      0.0083333333333333340131,   0.0013888888888879003084, 0.00019841269841263251867,
      0.000024801587336630946966, 2.7557319247344509509e-6, 2.7557263077309411451e-7,
      2.5052070959803661989e-8,   2.0918212319133978201e-9, 1.6086677666787361503e-10};
  const V tail = hn::Add(r, hn::Mul(hn::Mul(r, r), polynomial(r, p)));
  const V mantissa = hn::Add(hn::Set(d, 1.0), tail);
  const VU power = hn::ShiftLeft<52>(hn::Add(hn::BitCast(du, shifted), hn::Set(du, 1023)));
  const V result = hn::Mul(mantissa, hn::BitCast(d, power));
  return hn::IfThenElseZero(hn::Ge(x, hn::Set(d, -708.0)), result);
}

/// sin and cos of 2 pi `turns`, |turns| < 2^40, each to 3e-16.
HWY_INLINE void sine_and_cosine(V turns, V& sine, V& cosine) {
  const D d;
  const DU du;
  const V quarters = hn::Mul(turns, hn::Set(d, 4.0));
  const V shifted = hn::Add(quarters, hn::Set(d, rounding_shift));
  const VU quadrant = hn::BitCast(du, shifted);
  const V r = hn::Sub(quarters, hn::Sub(shifted, hn::Set(d, rounding_shift)));  // exact
  // sin(pi/2 r) = r p(r^2), cos(pi/2 r) = 1 + r^2 q(r^2), |r| <= 1/2: p to 5e-18, q to 5e-19.
  constexpr double p[] = {1.5707963267948966143,     -0.64596409750624431573,
                          0.079692626246043003134,   -0.0046817541323409759917,
                          0.00016044115074219091052, -3.598643352982309702e-6,
                          5.6339337815378539538e-8};
  constexpr double q[] = {-1.2337005501361698269,      0.25366950790104782321,
                          -0.020863480763340772521,    0.00091926027454684461873,
                          -0.000025202039028029176105, 4.7106784055052271063e-7,
                          -6.3293963449674235121e-9};
  const V y = hn::Mul(r, r);
  const V s = hn::Mul(r, polynomial(y, p));
  const V c = hn::Add(hn::Set(d, 1.0), hn::Mul(y, polynomial(y, q)));
  const auto swapped = hn::RebindMask(d, hn::TestBit(quadrant, hn::Set(du, 1)));
  const VU two = hn::Set(du, 2);
  const VU sine_sign = hn::ShiftLeft<62>(hn::And(quadrant, two));
  const VU cosine_sign = hn::ShiftLeft<62>(hn::And(hn::Add(quadrant, hn::Set(du, 1)), two));
  sine = hn::Xor(hn::IfThenElse(swapped, c, s), hn::BitCast(d, sine_sign));
  cosine = hn::Xor(hn::IfThenElse(swapped, s, c), hn::BitCast(d, cosine_sign));
}

/// atan x for x >= 0, to 4e-16 relative.
HWY_INLINE V arc_tangent(V x) {
  const D d;
  // pi/4 + atan((x - 1)/(x + 1)) above tan(pi/8), pi/2 - atan(1/x) above cot(pi/8).
  const V one = hn::Set(d, 1.0);
  const auto middle = hn::Ge(x, hn::Set(d, 0.41421356237309504880));
  const auto large = hn::Ge(x, hn::Set(d, 2.4142135623730950488));
  const V above = hn::IfThenElse(large, hn::Neg(one), hn::Sub(x, one));
  const V below = hn::IfThenElse(large, x, hn::Add(x, one));
  const V w = hn::IfThenElse(middle, hn::Div(above, below), x);
  const V base = hn::IfThenElse(large, hn::Set(d, 1.5707963267948966192),
                                hn::IfThenElseZero(middle, hn::Set(d, 0.78539816339744830962)));
  // atan w = w + w^3 p(w^2): p to 4.4e-20.
  constexpr double p[] = {
      -0.33333333333333333329,  0.19999999999999991448,   -0.142857142857114906,
      0.11111111110751481039,   -0.090909090668160809014, 0.076923067291948968002,
      -0.066666418691311826727, 0.058819230561140225622,  -0.052580202726567583391,
      0.047192591882420923804,  -0.041038875468626871964, 0.030622995553735514673,
      -0.013905374533113233897};
  const V y = hn::Mul(w, w);
  return hn::Add(base, hn::Add(w, hn::Mul(hn::Mul(w, y), polynomial(y, p))));
}

/// P(Z > z) of a standard normal Z for z >= 0, to (4 + z^2) 1e-16 relative.
HWY_INLINE V normal_upper_tail(V z) {
  const D d;
  // (1 + z) e^(z^2/2) P as a Chebyshev series in s = (z - 4)/(z + 4): to 1e-17.
  constexpr double c[] = {
      0.46558659969637836589,     -0.064237517123343308926,   -0.011171509596721219521,
      0.012636305994376230128,    -0.0048284906401317440183,  0.0010793834106156013306,
      -0.00011940995202852480056, -6.8485883776766764073e-6,  4.0606297180654908884e-6,
      -1.9527544708338364176e-7,  -1.1345944386467565163e-7,  1.2273971384265420548e-8,
      3.6624412033415589665e-9,   -5.0889485062106208905e-10, -1.4602402012093163513e-10,
      1.8321966529064226085e-11,  6.857544400027531025e-12,   -5.0772720580493841279e-13,
      -3.4580643652026807037e-13, 4.4129228605565745544e-16,  1.7054866570628663389e-14,
      1.5123653159273304737e-15,  -7.3701008971398718692e-16, -1.6124871270160933181e-16,
      2.1307509538857134351e-17,  1.1734264213958882e-17};
  const V four = hn::Set(d, 4.0);
  const V s = hn::Div(hn::Sub(z, four), hn::Add(z, four));
  const V twice = hn::Add(s, s);
  V later = hn::Zero(d);
  V sum = hn::Zero(d);
  for (std::size_t i = sizeof(c) / sizeof(c[0]); i-- > 1;) {
    const V next = hn::Add(hn::Sub(hn::Mul(twice, sum), later), hn::Set(d, c[i]));
    later = sum;
    sum = next;
  }
  const V series = hn::Add(hn::Sub(hn::Mul(s, sum), later), hn::Set(d, c[0]));
  const V gauss = exponential(hn::Mul(hn::Mul(z, z), hn::Set(d, -0.5)));
  return hn::Div(hn::Mul(gauss, series), hn::Add(hn::Set(d, 1.0), z));
}

/// The z <= 0 with P(Z < z) = p, for p from 2^-1022 to 1/2, to 1e-15 relative. `q` is p - 1/2,
/// given apart so that it may have digits that p has not room for. Source: M. J. Wichura, Algorithm
/// AS 241, Applied Statistics 37 (1988), PPND16.
HWY_INLINE V normal_lower_quantile(V p, V q) {
  const D d;
  constexpr double a[] = {3.38713287279636660800e+0, 1.33141667891784377450e+2,
                          1.97159095030655144270e+3, 1.37316937655094611250e+4,
                          4.59219539315498714570e+4, 6.72657709270087008530e+4,
                          3.34305755835881281050e+4, 2.50908092873012267270e+3};
  constexpr double b[] = {1.0,
                          4.23133307016009112520e+1,
                          6.87187007492057908300e+2,
                          5.39419602142475110770e+3,
                          2.12137943015865958670e+4,
                          3.93078958000927106100e+4,
                          2.87290857357219426740e+4,
                          5.22649527885285456100e+3};
  constexpr double c[] = {1.42343711074968357734e+0, 4.63033784615654529590e+0,
                          5.76949722146069140550e+0, 3.64784832476320460504e+0,
                          1.27045825245236838258e+0, 2.41780725177450611770e-1,
                          2.27238449892691845833e-2, 7.74545014278341407640e-4};
  constexpr double e[] = {1.0,
                          2.05319162663775882187e+0,
                          1.67638483018380384940e+0,
                          6.89767334985100004550e-1,
                          1.48103976427480074590e-1,
                          1.51986665636164571966e-2,
                          5.47593808499534494600e-4,
                          1.05075007164441684324e-9};
  constexpr double f[] = {6.65790464350110377720e+0, 5.46378491116411436990e+0,
                          1.78482653991729133580e+0, 2.96560571828504891230e-1,
                          2.65321895265761230930e-2, 1.24266094738807843860e-3,
                          2.71155556874348757815e-5, 2.01033439929228813265e-7};
  constexpr double g[] = {1.0,
                          5.99832206555887937690e-1,
                          1.36929880922735805310e-1,
                          1.48753612908506148525e-2,
                          7.86869131745613259100e-4,
                          1.84631831751005468180e-5,
                          1.42151175831644588870e-7,
                          2.04426310338993978564e-15};
  const V near = hn::Sub(hn::Set(d, 0.180625), hn::Mul(q, q));
  const V central = hn::Div(hn::Mul(q, polynomial(near, a)), polynomial(near, b));
  const V r = hn::Sqrt(hn::Neg(logarithm(p)));
  const V r_tail = hn::Sub(r, hn::Set(d, 1.6));
  const V r_far = hn::Sub(r, hn::Set(d, 5.0));
  const auto far = hn::Gt(r, hn::Set(d, 5.0));
  const V above = hn::IfThenElse(far, polynomial(r_far, f), polynomial(r_tail, c));
  const V below = hn::IfThenElse(far, polynomial(r_far, g), polynomial(r_tail, e));
  const V tail = hn::Neg(hn::Div(above, below));
  return hn::IfThenElse(hn::Ge(q, hn::Set(d, -0.425)), central, tail);
}

}  // namespace lashband::band::kernel::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#endif
