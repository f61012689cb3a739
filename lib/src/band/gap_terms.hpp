#pragma once

#include "band/gap_model.hpp"
#include "tolerance/sum_distribution.hpp"

// Terms of a gap that are no linear ones, as measures.
namespace lashband::band::kernel {

/// Whether any draw moves the form.
[[nodiscard]] bool is_spread(const LinearForm& form);

/// A measure times a factor.
[[nodiscard]] tolerance::kernel::Measure scaled(tolerance::kernel::Measure measure, double factor);

/// |form|, its draws independent.
[[nodiscard]] tolerance::kernel::Measure size_of(const LinearForm& form, const Draws& draws);

/// |F_r1 e_1 + F_r2 e_2 exp(i phase)| / 2 of a pair that keeps the phase of its run-outs. 1e-8 of
/// its range.
[[nodiscard]] tolerance::kernel::Measure phased_run_out(const MeshModel& mesh, const Draws& draws,
                                                        double e_1, double e_2);

[[nodiscard]] double mean_of(const tolerance::kernel::Measure& measure);

}  // namespace lashband::band::kernel
