#pragma once

#include <memory>
#include <vector>

#include "band/float_measure.hpp"
#include "lashband/tolerance/shape.hpp"
#include "tolerance/sum_distribution.hpp"

// What the parts of a distribution are put together from, and what they amount to.
namespace lashband::band::kernel {

/// Mean and variance of independent terms and measures.
[[nodiscard]] FloatMoments moments_of(const std::vector<tolerance::kernel::Term>& terms,
                                      const std::vector<tolerance::kernel::Measure>& measures);

/// The shapes of the draws and, last, a normal one: what the terms of a part point to.
[[nodiscard]] std::shared_ptr<const std::vector<tolerance::Shape>> with_a_normal(
    std::vector<tolerance::Shape> shapes);

/// A measure stands for a smooth density only where something broader than its panels is added: a
/// normal term, or many bounded ones. Where there is neither, a normal of a hundredth of the spread
/// is, which moves a percentile by 2e-4 of the spread at most.
inline constexpr double smoothing = 0.01;
[[nodiscard]] bool needs_smoothing(const tolerance::kernel::Part& part);

}  // namespace lashband::band::kernel
