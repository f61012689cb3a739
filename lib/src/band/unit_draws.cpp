#include "band/unit_draws.hpp"

#include <hwy/highway.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "band/random_counter.hpp"
#include "band/sample_math.hpp"
#include "band/table_quantile.hpp"

// The transforms of the sampler (docs/theory/sampling.md), draw after draw of one unit instead of
// unit after unit of one draw. The lanes of a register take draws side by side; those left over in
// the last register are not stored.
namespace lashband::band::kernel {
namespace {

namespace simd = HWY_NAMESPACE;
namespace hn = hwy::HWY_NAMESPACE;

// So that the sampler's numbers do not come again, of whatever seed.
constexpr std::uint64_t stream_of_units = 0x6a09e667f3bcc909ULL;  // the fraction of sqrt 2

// Lanes of a register, 8 at most.
std::size_t width_of_register() {
  return hn::Lanes(simd::D());
}

struct alignas(64) Lanes {
  std::array<double, 8> value{};
};

simd::V loaded(const Lanes& lanes) {
  return hn::Load(simd::D(), lanes.value.data());
}

Lanes stored(simd::V vector) {
  Lanes lanes;
  hn::Store(vector, simd::D(), lanes.value.data());
  return lanes;
}

DrawPlan plan_of(const Draws& draws, std::uint64_t seed) {
  DrawPlan plan = sample_plan({}, draws, {}, seed).draws;
  plan.key = mixed(plan.key ^ stream_of_units);
  return plan;
}

// A probability as the smaller of P(Y < y) and P(Y > y) and as the distance of P(Y < y) from 1/2.
struct Place {
  double smaller;
  double from_half;
};

Place place_of_score(double score) {
  const double smaller =
      stored(simd::normal_upper_tail(hn::Set(simd::D(), std::abs(score)))).value[0];
  return {smaller, std::copysign(0.5 - smaller, score)};
}

// Of any shape but the normal ones.
double plain_quantile(const InverseDraw& draw, Place place) {
  const bool is_low = place.from_half < 0.0;
  const double below = is_low ? place.smaller : 1.0 - place.smaller;
  if (draw.kind == tolerance::Shape::Kind::triangular) {
    const double above = is_low ? 1.0 - place.smaller : place.smaller;
    return below < 0.5 * (1.0 + draw.mode) ? std::sqrt(2.0 * (1.0 + draw.mode) * below) - 1.0
                                           : 1.0 - std::sqrt(2.0 * (1.0 - draw.mode) * above);
  }
  if (draw.kind == tolerance::Shape::Kind::tabulated) {
    double value = below;
    table_quantiles(draw, &value, 1);
    return value;
  }
  return place.from_half + place.from_half;
}

}  // namespace

UnitDraws::UnitDraws(const Draws& draws, std::uint64_t seed) : plan_(plan_of(draws, seed)) {
  // Those of one kind side by side, so that they fill registers.
  std::stable_sort(plan_.inverted.begin(), plan_.inverted.end(),
                   [](const InverseDraw& a, const InverseDraw& b) { return a.kind < b.kind; });
}

void UnitDraws::unit(std::uint64_t index, std::vector<double>& y) const {
  // One more, where the angle of an odd normal goes.
  y.resize(plan_.draws + 1);
  const std::uint64_t first = index * plan_.stride();
  draw_normals(first, y);
  tie_scores(y);
  draw_inverted(first, y);
  y.resize(plan_.draws);
}

void UnitDraws::draw_normals(std::uint64_t first, std::vector<double>& y) const {
  const simd::D d;
  const std::size_t width = width_of_register();
  for (std::size_t i = 0; i < plan_.normals.size(); i += width) {
    const std::size_t count = std::min(width, plan_.normals.size() - i);
    Lanes radius_numbers;
    Lanes angle_numbers;
    for (std::size_t lane = 0; lane < width; ++lane) {
      const NormalPair& pair = plan_.normals[i + std::min(lane, count - 1)];
      radius_numbers.value[lane] = unit_interval(random_bits(plan_.key, first + pair.first));
      angle_numbers.value[lane] = unit_interval(random_bits(plan_.key, first + pair.second));
    }
    const simd::V radius =
        hn::Sqrt(hn::Mul(hn::Set(d, -2.0), simd::logarithm(loaded(radius_numbers))));
    simd::V sine;
    simd::V cosine;
    simd::sine_and_cosine(loaded(angle_numbers), sine, cosine);
    const Lanes one = stored(hn::Mul(radius, cosine));
    const Lanes two = stored(hn::Mul(radius, sine));
    for (std::size_t lane = 0; lane < count; ++lane) {
      const NormalPair& pair = plan_.normals[i + lane];
      y[pair.first] = one.value[lane] * pair.first_scale;
      y[pair.second] = two.value[lane] * pair.second_scale;
    }
  }
}

// In place: the last row first, as it needs all others.
void UnitDraws::tie_scores(std::vector<double>& y) const {
  const CorrelationFactor& tied = plan_.tied;
  for (std::size_t row = tied.draws.size(); row-- > 0;) {
    const std::size_t start = row * (row + 1) / 2;
    double sum = tied.lower[start + row] * y[tied.draws[row]];
    for (std::size_t k = 0; k < row; ++k) {
      sum += tied.lower[start + k] * y[tied.draws[k]];
    }
    y[tied.draws[row]] = sum;
  }
  for (std::size_t k = 0; k < tied.draws.size(); ++k) {
    y[tied.draws[k]] *= plan_.tied_scale[k];
  }
}

void UnitDraws::draw_inverted(std::uint64_t first, std::vector<double>& y) const {
  const auto place_of = [&](const InverseDraw& draw) {
    if (draw.from_score) {
      return place_of_score(y[draw.draw]);
    }
    const double from_half = unit_interval(random_bits(plan_.key, first + draw.draw)) - 0.5;
    return Place{0.5 - std::abs(from_half), from_half};
  };
  const std::size_t width = width_of_register();
  const std::vector<InverseDraw>& inverted = plan_.inverted;
  for (std::size_t i = 0; i < inverted.size();) {
    if (inverted[i].kind != tolerance::Shape::Kind::truncated_normal) {
      y[inverted[i].draw] = plain_quantile(inverted[i], place_of(inverted[i]));
      ++i;
      continue;
    }
    Lanes p;
    Lanes q;
    std::size_t count = 0;
    std::array<double, 8> sense{};
    for (; count < width && i + count < inverted.size() &&
           inverted[i + count].kind == inverted[i].kind;
         ++count) {
      const InverseDraw& draw = inverted[i + count];
      const Place place = place_of(draw);
      p.value[count] = draw.tail + draw.within * place.smaller;
      q.value[count] = -draw.within * std::abs(place.from_half);
      sense[count] = place.from_half < 0.0 ? 1.0 : -1.0;
    }
    std::fill(p.value.begin() + static_cast<std::ptrdiff_t>(count), p.value.end(), 0.5);
    const Lanes quantile = stored(simd::normal_lower_quantile(loaded(p), loaded(q)));
    for (std::size_t lane = 0; lane < count; ++lane, ++i) {
      y[inverted[i].draw] = sense[lane] * quantile.value[lane] / inverted[i].limit_in_sigma;
    }
  }
}

}  // namespace lashband::band::kernel
