#include "band/percentile_search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "lashband/error.hpp"

namespace lashband::band::kernel {

namespace {

/// Standard error of the number of samples below a percentile.
double rank_error(double share, double samples) {
  return std::sqrt(samples * share * (1.0 - share));
}

struct Ranks {
  double low;
  double high;
};

// Counts of rare events are skew: their upper limits lie further out, by half the square of the
// margin.
Ranks ranks_around(double share, double samples, double margin) {
  const double error = margin * rank_error(share, samples);
  const double skew = 0.5 * margin * margin * (1.0 - 2.0 * share);
  const double rank = share * samples;
  return {rank - error + std::min(0.0, skew), rank + error + std::max(0.0, skew)};
}

}  // namespace

Bracket bracket_between(double low, double high) {
  // Values that are all the same still need a bracket around them.
  const double least =
      8.0 * std::numeric_limits<double>::epsilon() * std::max(std::abs(low), std::abs(high)) +
      1e-30;
  Bracket result{low, high, 0.0};
  if (!(high - low > least)) {
    result.low = low - least;
    result.high = high + least;
  }
  result.bins_per_length = static_cast<double>(bins) / (result.high - result.low);
  return result;
}

StreamWindow stream_window(const std::array<Bracket, percentiles>& brackets) {
  StreamWindow window;
  window.bracket = brackets;
  const double inner_low = brackets[p_low].high;
  const double inner_high = brackets[p_high].low;
  window.centre = 0.5 * (inner_low + inner_high);
  const double radius = 0.5 * (inner_high - inner_low);
  // A little less than the distance, so that rounding loses no value at the end of a bracket. Where
  // the brackets overlap, every value is looked at.
  constexpr double inside = 1.0 - 1e-9;
  window.square_radius = radius > 0.0 ? inside * radius * radius : -1.0;
  return window;
}

StreamWindow pilot_window(std::vector<double>& pilot, double margin) {
  if (!std::all_of(pilot.begin(), pilot.end(), [](double x) { return std::isfinite(x); })) {
    throw ComputationError(
        "a drawn unit has no backlash: its base circles overlap at one of the states");
  }
  const auto n = static_cast<double>(pilot.size());
  const auto [least_place, greatest_place] = std::minmax_element(pilot.begin(), pilot.end());
  const double least = *least_place;
  const double greatest = *greatest_place;
  auto sorted_up_to = pilot.begin();
  const auto value = [&](double rank) {
    const auto place = pilot.begin() + static_cast<std::ptrdiff_t>(std::clamp(rank, 0.0, n - 1.0));
    if (place >= sorted_up_to) {
      std::nth_element(sorted_up_to, place, pilot.end());
      sorted_up_to = place;
    }
    return *place;
  };
  // Asked for in rising order.
  std::array<Ranks, percentiles> ranks{};
  std::array<Bracket, percentiles> brackets;
  for (std::size_t p = 0; p < percentiles; ++p) {
    ranks[p] = ranks_around(percentile_share[p], n, margin);
  }
  std::array<double, 2 * percentiles> asked{};
  std::array<double, 2 * percentiles> found{};
  for (std::size_t p = 0; p < percentiles; ++p) {
    asked[2 * p] = ranks[p].low;
    asked[2 * p + 1] = ranks[p].high;
  }
  std::array<std::size_t, 2 * percentiles> order{};
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return asked[a] < asked[b]; });
  for (const std::size_t i : order) {
    found[i] = value(asked[i]);
  }
  for (std::size_t p = 0; p < percentiles; ++p) {
    double low = found[2 * p];
    double high = found[2 * p + 1];
    // Beyond the pilot's ends, as far again as the bracket reaches inside.
    if (ranks[p].low < 1.0) {
      low = least - (high - least);
    }
    if (ranks[p].high > n - 2.0) {
      high = greatest + (greatest - std::max(low, least));
    }
    brackets[p] = bracket_between(low, high);
  }
  return stream_window(brackets);
}

void PercentileSearch::add_stage(const Bracket& bracket, std::uint64_t samples, std::uint64_t below,
                                 const std::array<std::uint64_t, bins>& histogram) {
  Stage stage{bracket, {}};
  stage.below.reserve(bins + 1);
  stage.below.push_back(static_cast<double>(below));
  std::uint64_t sum = below;
  for (const std::uint64_t count : histogram) {
    sum += count;
    stage.below.push_back(static_cast<double>(sum));
  }
  stages_.push_back(std::move(stage));
  samples_ += samples;
}

double PercentileSearch::count_below(double x) const {
  double sum = 0.0;
  for (const Stage& stage : stages_) {
    const double place = (x - stage.bracket.low) * stage.bracket.bins_per_length;
    // Rounding: a later bracket lies within this one.
    const double inside = std::clamp(place, 0.0, static_cast<double>(bins));
    const auto bin = std::min(static_cast<std::size_t>(inside), bins - 1);
    sum += stage.below[bin] +
           (inside - static_cast<double>(bin)) * (stage.below[bin + 1] - stage.below[bin]);
  }
  return sum;
}

double PercentileSearch::place_of(double count) const {
  const Bracket& bracket = stages_.back().bracket;
  const double width = (bracket.high - bracket.low) / static_cast<double>(bins);
  const auto edge = [&](std::size_t k) {
    return k == bins ? bracket.high : bracket.low + static_cast<double>(k) * width;
  };
  std::size_t left = 0;
  std::size_t right = bins;
  double below_left = count_below(bracket.low);
  double below_right = count_below(bracket.high);
  if (count <= below_left) {
    return bracket.low;
  }
  if (count >= below_right) {
    return bracket.high;
  }
  while (right - left > 1) {
    const std::size_t middle = (left + right) / 2;
    const double below = count_below(edge(middle));
    if (below <= count) {
      left = middle;
      below_left = below;
    } else {
      right = middle;
      below_right = below;
    }
  }
  return edge(left) +
         (edge(right) - edge(left)) * ((count - below_left) / (below_right - below_left));
}

std::optional<double> PercentileSearch::at(double share) const {
  const double count = share * static_cast<double>(samples_);
  const Bracket& bracket = stages_.back().bracket;
  if (count < count_below(bracket.low) || count > count_below(bracket.high)) {
    return std::nullopt;
  }
  return place_of(count);
}

double PercentileSearch::standard_error(double share) const {
  const auto n = static_cast<double>(samples_);
  constexpr double reach = 3.0;
  const double rank = share * n;
  const double error = rank_error(share, n);
  const double low_rank = std::max(rank - reach * error, count_below(stages_.back().bracket.low));
  const double high_rank = std::min(rank + reach * error, count_below(stages_.back().bracket.high));
  return (place_of(high_rank) - place_of(low_rank)) * (error / (high_rank - low_rank));
}

bool PercentileSearch::too_coarse(double share, double fine) const {
  const auto n = static_cast<double>(samples_);
  const double x = place_of(share * n);
  double in_bins = 0.0;
  for (const Stage& stage : stages_) {
    const double place = (x - stage.bracket.low) * stage.bracket.bins_per_length;
    const auto bin =
        static_cast<std::size_t>(std::clamp(place, 0.0, static_cast<double>(bins - 1)));
    in_bins += stage.below[bin + 1] - stage.below[bin];
  }
  // A few samples in a bin are nothing to interpolate between.
  return in_bins > std::max(4.0, rank_error(share, n)) && widest_bin() > fine;
}

double PercentileSearch::widest_bin() const {
  double width = 0.0;
  for (const Stage& stage : stages_) {
    width = std::max(width, 1.0 / stage.bracket.bins_per_length);
  }
  return width;
}

Bracket PercentileSearch::final_bracket(double share, double margin) const {
  const Bracket bracket = next_bracket(share, margin);
  return bracket_between(bracket.low - widest_bin(), bracket.high + widest_bin());
}

Bracket PercentileSearch::next_bracket(double share, double margin) const {
  const Ranks ranks = ranks_around(share, static_cast<double>(samples_), margin);
  const double low = place_of(ranks.low);
  const double high = place_of(ranks.high);
  if (!too_coarse(share, 0.0)) {
    return bracket_between(low, high);
  }
  // Many values at one place: it may be anywhere in its bin.
  const Bracket& last = stages_.back().bracket;
  return bracket_between(std::max(last.low, low - widest_bin()),
                         std::min(last.high, high + widest_bin()));
}

}  // namespace lashband::band::kernel
