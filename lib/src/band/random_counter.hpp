#pragma once

#include <cstdint>

// Random bits as a function of their place in the sequence, so that any number can be had without
// the ones before it: number n of the sequence of a key is
//
//   mix(key + (n + 1) g)      g = 0x9e3779b97f4a7c15
//
// all modulo 2^64. This is SplitMix64 with its state counted instead of kept.
//
// Chosen because it takes two 64-bit multiplications a number, a third of the work of Philox
// 4x32-10 at the widths of registers in use, passes BigCrush, and has no state that lanes or
// threads would have to share. Its period is 2^64 numbers; a study uses samples * (draws + 1) of
// them.
//
// Source: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators,
// OOPSLA 2014; the constants of the mixing function are D. Stafford's variant 13.
namespace lashband::band::kernel {

inline constexpr std::uint64_t counter_step = 0x9e3779b97f4a7c15ULL;
inline constexpr std::uint64_t mix_factor_1 = 0xbf58476d1ce4e5b9ULL;
inline constexpr std::uint64_t mix_factor_2 = 0x94d049bb133111ebULL;

[[nodiscard]] constexpr std::uint64_t mixed(std::uint64_t z) {
  z = (z ^ (z >> 30U)) * mix_factor_1;
  z = (z ^ (z >> 27U)) * mix_factor_2;
  return z ^ (z >> 31U);
}

/// Number `index` of the sequence of `key`.
[[nodiscard]] constexpr std::uint64_t random_bits(std::uint64_t key, std::uint64_t index) {
  return mixed(key + (index + 1) * counter_step);
}

/// The key of a seed. Mixed, as the sequences of two keys that differ by a small multiple of g are
/// the same but for a shift.
[[nodiscard]] constexpr std::uint64_t key_of(std::uint64_t seed) {
  return mixed(seed + counter_step);
}

/// The middle of one of the 2^52 equal cells of (0, 1) that the upper 52 bits name: never 0 or 1,
/// and as likely as its mirror image 1 - u, which is exact.
[[nodiscard]] constexpr double unit_interval(std::uint64_t bits) {
  constexpr double cell = 1.0 / 4503599627370496.0;  // 2^-52
  return (static_cast<double>(bits >> 12U) + 0.5) * cell;
}

}  // namespace lashband::band::kernel
