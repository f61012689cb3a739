#include "moments.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <functional>
#include <iterator>
#include <limits>
#include <optional>
#include <unordered_map>
#include <utility>

#include "carrier_run.hpp"
#include "judgement.hpp"
#include "lashband/error.hpp"
#include "mesh_states.hpp"
#include "thinned_times.hpp"

namespace lashband::design {
namespace {

// Moments are told to a millisecond, far below what a lumped temperature can resolve.
constexpr double resolution = 1e-3;
// The grid on which everything is looked for first, and on which friction joints are followed.
constexpr std::size_t intervals = 240;
// A history's own spacing: enough for a curve, and few enough that percentiles at all of them take
// no more than a second or two.
constexpr std::size_t shown_intervals = 120;
// What straight lines between telling moments may miss, of what the history sweeps.
constexpr double telling_share = 0.01;
// As many corners as are all looked at one by one.
constexpr std::size_t few_corners = 64;
// Brent's minimum and the roots need no more bits: 1e-7 of the time.
constexpr int bits = 24;
constexpr std::uintmax_t most_evaluations = 60;
// Values that differ by less, relatively, are alike.
constexpr double flat = 1e-12;

// So many moments of a mesh are kept in mind at most: a search comes back to those that it has just
// looked at, and a long record has no end of them.
constexpr std::size_t most_known = 1U << 16U;

// The value of a function where the mesh cannot be worked out: never the least.
constexpr double unknown = std::numeric_limits<double>::max();

double to_the_millisecond(double time) {
  return std::round(time / resolution) * resolution;
}

// Sorted, each once; of times closer than the resolution the first stays, but the last always does.
std::vector<double> merged(std::vector<double> times) {
  std::sort(times.begin(), times.end());
  std::vector<double> kept;
  for (const double time : times) {
    if (kept.empty() || time - kept.back() >= 0.5 * resolution) {
      kept.push_back(time);
    }
  }
  if (kept.size() > 1) {
    kept.back() = times.back();
  }
  return kept;
}

using Value = std::function<double(const MeshState&)>;

// A function of time that is to be least, and whether it is the margin of a criterion.
struct Sought {
  Value value;
  bool is_margin = false;
};

// A criterion as it was judged at a moment.
struct Judged {
  double time = 0.0;
  double margin = 0.0;
};

// What stands for a basis while moments are looked for.
Basis search_basis(Basis basis) {
  return basis == Basis::percentile ? Basis::rss : basis;
}

// How much of a mesh is worked out: without percentiles, or with those that it is judged on.
enum class Depth { search, judged };

class CourseRun {
 public:
  CourseRun(const Design& design, std::size_t carrier, const RunOptions& options,
            const Course& course)
      : design_(design), course_(course), base_(design, carrier, options) {
    std::vector<double> knots = grid(intervals);
    knots.insert(knots.end(), course.corners().begin(), course.corners().end());
    knots_ = merged(std::move(knots));
    const std::vector<thermal::TemperatureState> states = course.at(knots_);
    levels_.reserve(states.size());
    double sweep = 0.0;
    for (const thermal::TemperatureState& state : states) {
      std::vector<double> levels;
      levels.reserve(state.by_zone().size());
      for (const units::Temperature& level : state.by_zone()) {
        levels.push_back(level.value());
      }
      levels_.push_back(std::move(levels));
    }
    for (std::size_t zone = 0; zone < design.zones.size(); ++zone) {
      const auto [low, high] =
          std::minmax_element(levels_.begin(), levels_.end(),
                              [zone](const auto& a, const auto& b) { return a[zone] < b[zone]; });
      sweep = std::max(sweep, (*high)[zone] - (*low)[zone]);
    }
    for (const std::size_t i : thinned(knots_, levels_, telling_share * sweep)) {
      telling_.push_back(knots_[i]);
    }
    slips_ = thermal::joint_slips(base_.carrier(), states, base_.reference());
    for (std::size_t m = 0; m < design.meshes.size(); ++m) {
      mesh_models_.push_back(base_.models().mesh_model(m));
    }
  }

  [[nodiscard]] const std::vector<double>& telling() const { return telling_; }

  [[nodiscard]] std::vector<double> grid(std::size_t count) const {
    std::vector<double> times;
    times.reserve(count + 1);
    for (std::size_t i = 0; i <= count; ++i) {
      times.push_back(std::lerp(course_.start(), course_.end(),
                                static_cast<double>(i) / static_cast<double>(count)));
    }
    return times;
  }

  // The state at a time, with what the joints have slipped by until the knot before it.
  [[nodiscard]] State state_at(double time) const {
    State state{moment_name(course_.history().id, time),
                course_.history().id,
                0,
                course_.at(time),
                units::Time::from_value(time),
                {}};
    if (!slips_.empty()) {
      const auto after = std::upper_bound(knots_.begin(), knots_.end(), time);
      const auto knot = std::max<std::ptrdiff_t>(after - knots_.begin() - 1, 0);
      state.slips = slips_[static_cast<std::size_t>(knot)];
    }
    return state;
  }

  // The mesh at a time, or nothing where it cannot be worked out there: a run at that moment says
  // why.
  [[nodiscard]] std::optional<MeshState> mesh_at(std::size_t mesh, double time, Depth depth) {
    try {
      const State named = state_at(time);
      const UsableState state = base_.usable(named, 0);
      MeshModels models{mesh, mesh_models_[mesh], {0}};
      models.model.states.push_back(base_.models().state_model(mesh, models.model, state));
      MeshState result =
          mesh_state(design_, base_.models(), models, 0, state, named, base_.draws());
      if (depth == Depth::judged && design_.meshes[mesh].require.basis == Basis::percentile &&
          base_.draws().correlations.empty() && !base_.draws().shapes.empty()) {
        add_judged_percentiles(result, models, 0, base_.draws(), design_.meshes[mesh].require,
                               floats_);
      }
      return result;
    } catch (const Error&) {
      return std::nullopt;
    }
  }

  // What is sought of a mesh: least and greatest backlash, and the worst of each criterion that is
  // not one of the two.
  [[nodiscard]] std::vector<Sought> sought(std::size_t mesh) const {
    const Basis basis = search_basis(design_.meshes[mesh].require.basis);
    std::vector<Sought> all{
        {[basis](const MeshState& s) { return low_end(s.gap.j_wt, basis).value(); }},
        {[basis](const MeshState& s) { return -high_end(s.gap.j_wt, basis).value(); }}};
    for (Criterion& criterion : criteria_of(design_.meshes[mesh].require)) {
      criterion.basis = search_basis(criterion.basis);
      const Sought margin{[criterion](const MeshState& s) { return criterion.margin(s); }, true};
      const std::string what = criterion.what;
      if (what == "least_backlash") {
        all[0] = margin;
      } else if (what == "greatest_backlash") {
        all[1] = margin;
      } else {
        all.push_back(margin);
      }
    }
    return all;
  }

  // Where `at` is least near the k-th of some times at which it was evaluated.
  template <class AtTime>
  [[nodiscard]] double least_near(const AtTime& at, const std::vector<double>& times,
                                  std::size_t k) const {
    double low = times[k == 0 ? 0 : k - 1];
    double high = times[std::min(k + 1, times.size() - 1)];
    double best = times[k];
    for (;;) {
      const std::vector<std::size_t> inside = corners_within(low, high);
      const std::vector<double> probes = probes_among(inside, low, best, high);
      std::size_t least = 0;
      double least_value = std::numeric_limits<double>::infinity();
      for (std::size_t i = 0; i < probes.size(); ++i) {
        const double here = at(probes[i]);
        if (here < least_value) {
          least_value = here;
          least = i;
        }
      }
      best = probes[least];
      low = probes[least == 0 ? 0 : least - 1];
      high = probes[std::min(least + 1, probes.size() - 1)];
      if (inside.size() <= few_corners) {
        break;
      }
    }
    // Smooth on either side of the best corner.
    double best_value = at(best);
    for (const auto& [from, to] : {std::pair(low, best), std::pair(best, high)}) {
      if (to - from > resolution) {
        std::uintmax_t evaluations = most_evaluations;
        const auto [time, found] =
            boost::math::tools::brent_find_minima(at, from, to, bits, evaluations);
        // Where the curve is flat to rounding the corner stays.
        if (found < best_value - flat * std::abs(best_value)) {
          best_value = found;
          best = time;
        }
      }
    }
    return std::clamp(to_the_millisecond(best), course_.start(), course_.end());
  }

  // Where `at` goes through zero between two moments at which a mesh was judged. Where it does not
  // have the signs that were found there, on the straight line between the margins found.
  template <class AtTime>
  [[nodiscard]] double zero_between(const AtTime& at, const Judged& from, const Judged& to) const {
    if ((at(from.time) < 0.0) != (from.margin < 0.0) || (at(to.time) < 0.0) != (to.margin < 0.0)) {
      return zero_of_line(from, to);
    }
    std::uintmax_t evaluations = most_evaluations;
    const auto [low, high] = boost::math::tools::toms748_solve(
        at, from.time, to.time, [](double a, double b) { return b - a < 0.1 * resolution; },
        evaluations);
    return std::clamp(to_the_millisecond(0.5 * (low + high)), course_.start(), course_.end());
  }

  [[nodiscard]] double zero_of_line(const Judged& from, const Judged& to) const {
    const double zero = std::lerp(from.time, to.time, from.margin / (from.margin - to.margin));
    return std::clamp(to_the_millisecond(zero), course_.start(), course_.end());
  }

  [[nodiscard]] std::vector<State> states(const std::vector<double>& times) const {
    const std::vector<double> each_once = merged(times);
    std::vector<State> states;
    states.reserve(each_once.size());
    for (const double time : each_once) {
      states.push_back(state_at(time));
      states.back().order = states.size() - 1;
    }
    return states;
  }

 private:
  // Indexes into knots_ strictly between two times.
  [[nodiscard]] std::vector<std::size_t> corners_within(double low, double high) const {
    const auto first = std::upper_bound(knots_.begin(), knots_.end(), low);
    const auto last = std::lower_bound(knots_.begin(), knots_.end(), high);
    std::vector<std::size_t> inside;
    for (auto knot = first; knot < last; ++knot) {
      inside.push_back(static_cast<std::size_t>(knot - knots_.begin()));
    }
    return inside;
  }

  // Times to look at within a bracket: its ends, the best so far, and the knots inside or, of many,
  // those that tell their shape.
  [[nodiscard]] std::vector<double> probes_among(const std::vector<std::size_t>& inside, double low,
                                                 double best, double high) const {
    std::vector<double> probes{low, best, high};
    if (inside.size() <= few_corners) {
      for (const std::size_t knot : inside) {
        probes.push_back(knots_[knot]);
      }
    } else {
      std::vector<double> times;
      std::vector<std::vector<double>> levels;
      double sweep = 0.0;
      for (const std::size_t knot : inside) {
        times.push_back(knots_[knot]);
        levels.push_back(levels_[knot]);
        for (std::size_t zone = 0; zone < levels.front().size(); ++zone) {
          sweep = std::max(sweep, std::abs(levels.back()[zone] - levels.front()[zone]));
        }
      }
      const std::vector<std::size_t> kept = thinned(times, levels, telling_share * sweep);
      // A record that is all noise thins to nothing less; then evenly spaced ones have to do.
      const std::size_t step = 1 + kept.size() / (4 * few_corners);
      for (std::size_t i = 0; i < kept.size(); i += step) {
        probes.push_back(times[kept[i]]);
      }
      probes.push_back(times[times.size() / 2]);
    }
    std::sort(probes.begin(), probes.end());
    probes.erase(std::unique(probes.begin(), probes.end()), probes.end());
    return probes;
  }

  const Design& design_;
  const Course& course_;
  CarrierBase base_;
  std::vector<double> knots_;                ///< corners and grid
  std::vector<std::vector<double>> levels_;  ///< temperatures there
  std::vector<double> telling_;
  std::vector<std::vector<thermal::JointSlip>> slips_;  ///< at the knots, by wall
  std::vector<band::kernel::MeshModel> mesh_models_;
  band::kernel::FloatMeasures floats_;
};

// Functions of a mesh over time. The mesh is what takes long: where one of them has looked at it
// the others know their values.
class MeshFunctions {
 public:
  MeshFunctions(CourseRun& run, std::size_t mesh, Depth depth, std::vector<Value> functions)
      : run_(run), mesh_(mesh), depth_(depth), functions_(std::move(functions)) {}

  [[nodiscard]] double at(std::size_t function, double time) {
    auto known = known_.find(time);
    if (known == known_.end()) {
      if (known_.size() == most_known) {
        known_.clear();
      }
      known = known_.emplace(time, values_at(time)).first;
    }
    return known->second[function];
  }

 private:
  [[nodiscard]] std::vector<double> values_at(double time) {
    const std::optional<MeshState> state = run_.mesh_at(mesh_, time, depth_);
    std::vector<double> values;
    values.reserve(functions_.size());
    for (const Value& value : functions_) {
      values.push_back(state ? value(*state) : unknown);
    }
    return values;
  }

  CourseRun& run_;
  std::size_t mesh_;
  Depth depth_;
  std::vector<Value> functions_;
  std::unordered_map<double, std::vector<double>> known_;  ///< by time
};

std::vector<Value> values_of(const std::vector<Sought>& sought) {
  std::vector<Value> values;
  values.reserve(sought.size());
  for (const Sought& one : sought) {
    values.push_back(one.value);
  }
  return values;
}

// Each sought function of a mesh at some times.
class Samples {
 public:
  Samples(CourseRun& run, std::size_t mesh, std::vector<double> times)
      : run_(run),
        sought_(run.sought(mesh)),
        functions_(run, mesh, Depth::search, values_of(sought_)),
        times_(std::move(times)) {
    values_.resize(sought_.size());
    for (const double time : times_) {
      for (std::size_t f = 0; f < sought_.size(); ++f) {
        values_[f].push_back(functions_.at(f, time));
      }
    }
  }

  // The moment of the least value of each function.
  [[nodiscard]] std::vector<double> least_moments() {
    std::vector<double> moments;
    for (std::size_t f = 0; f < sought_.size(); ++f) {
      double low = std::numeric_limits<double>::max();
      double high = std::numeric_limits<double>::lowest();
      for (const double value : values_[f]) {
        low = std::min(low, value);
        high = value < unknown ? std::max(high, value) : high;
      }
      // A lower dip may hide between samples beside a valley that is nearly as low.
      const double near = low + 0.1 * std::max(high - low, 0.0);
      std::optional<double> best;
      double best_value = 0.0;
      for (std::size_t k = 0; k < times_.size(); ++k) {
        if (values_[f][k] > near || values_[f][k] == unknown || !is_valley(f, k)) {
          continue;
        }
        const double time = least_near(f, k);
        const double value = functions_.at(f, time);
        if (!best || value < best_value) {
          best = time;
          best_value = value;
        }
      }
      if (best) {
        moments.push_back(*best);
      }
    }
    return moments;
  }

  // Turns between the samples at which a margin may dip through zero and back.
  [[nodiscard]] std::vector<double> turns() {
    std::vector<double> moments;
    for (std::size_t f = 0; f < sought_.size(); ++f) {
      const std::vector<double>& v = values_[f];
      for (std::size_t k = 0; sought_[f].is_margin && k < v.size(); ++k) {
        double step = 0.0;
        step = k > 0 ? std::abs(v[k] - v[k - 1]) : step;
        step = k + 1 < v.size() ? std::max(step, std::abs(v[k] - v[k + 1])) : step;
        if (std::abs(v[k]) > step) {
          continue;
        }
        if (v[k] >= 0.0 && is_valley(f, k)) {
          moments.push_back(least_near(f, k));
        } else if (v[k] < 0.0 && is_hill(f, k)) {
          moments.push_back(greatest_near(f, k));
        }
      }
    }
    return moments;
  }

 private:
  [[nodiscard]] double least_near(std::size_t f, std::size_t k) {
    return run_.least_near([&](double time) { return functions_.at(f, time); }, times_, k);
  }

  [[nodiscard]] double greatest_near(std::size_t f, std::size_t k) {
    const auto upside_down = [&](double time) {
      const double value = functions_.at(f, time);
      return value == unknown ? unknown : -value;
    };
    return run_.least_near(upside_down, times_, k);
  }

  [[nodiscard]] bool is_valley(std::size_t f, std::size_t k) const {
    const std::vector<double>& v = values_[f];
    return (k == 0 || v[k] <= v[k - 1]) && (k + 1 == v.size() || v[k] <= v[k + 1]);
  }

  [[nodiscard]] bool is_hill(std::size_t f, std::size_t k) const {
    const std::vector<double>& v = values_[f];
    return (k == 0 || v[k] >= v[k - 1]) && (k + 1 == v.size() || v[k] >= v[k + 1]);
  }

  CourseRun& run_;
  std::vector<Sought> sought_;
  MeshFunctions functions_;
  std::vector<double> times_;
  std::vector<std::vector<double>> values_;  ///< by function, then by time
};

std::vector<Value> margins_of(const std::vector<Criterion>& criteria) {
  std::vector<Value> margins;
  margins.reserve(criteria.size());
  for (const Criterion& criterion : criteria) {
    margins.emplace_back([criterion](const MeshState& state) { return criterion.margin(state); });
  }
  return margins;
}

// When a margin is negative, from a mesh at moments; `zero_between(from, to)` finds where it goes
// through zero.
template <class ZeroBetween>
std::vector<TimeSpan> spans_below_zero(const Criterion& criterion, const std::vector<State>& states,
                                       const std::vector<MeshState>& at_states,
                                       const ZeroBetween& zero_between) {
  std::vector<TimeSpan> spans;
  const auto open = [&spans](double time) {
    spans.push_back({units::Time::from_value(time), units::Time::from_value(time)});
  };
  const auto time_of = [&states](const MeshState& at) { return states[at.state].time->value(); };
  Judged before;
  for (std::size_t k = 0; k < at_states.size(); ++k) {
    const Judged here{time_of(at_states[k]), criterion.margin(at_states[k])};
    const bool is = here.margin < 0.0;
    if (k == 0 && is) {
      open(here.time);
    } else if (k > 0 && (before.margin < 0.0) != is) {
      const double zero = zero_between(before, here);
      if (is) {
        open(zero);
      }
      spans.back().to = units::Time::from_value(zero);
    }
    if (is) {
      spans.back().to = units::Time::from_value(here.time);
    }
    before = here;
  }
  return spans;
}

void append(std::vector<double>& times, const std::vector<double>& more) {
  times.insert(times.end(), more.begin(), more.end());
}

}  // namespace

std::vector<State> telling_moments(const Design& design, std::size_t carrier,
                                   const RunOptions& options, const Course& course) {
  CourseRun run(design, carrier, options, course);
  std::vector<double> times = run.telling();
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    append(times, Samples(run, m, run.telling()).least_moments());
  }
  return run.states(times);
}

std::vector<State> all_moments(const Design& design, std::size_t carrier, const RunOptions& options,
                               const Course& course) {
  CourseRun run(design, carrier, options, course);
  const double length = course.end() - course.start();
  const std::optional<units::Time>& interval = course.history().interval;
  std::vector<double> every;
  if (interval) {
    const auto count = static_cast<std::size_t>(std::floor(length / interval->value() + 1e-9));
    every.reserve(count + 2);
    for (std::size_t i = 0; i <= count; ++i) {
      every.push_back(
          std::min(course.start() + static_cast<double>(i) * interval->value(), course.end()));
    }
    every.push_back(course.end());
  } else {
    every = run.grid(shown_intervals);
  }
  append(every, run.telling());
  every = merged(std::move(every));
  std::vector<double> times = every;
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    Samples samples(run, m, every);
    append(times, samples.least_moments());
    append(times, samples.turns());
  }
  return run.states(times);
}

std::vector<std::vector<std::vector<TimeSpan>>> violated_spans(const Design& design,
                                                               std::size_t carrier,
                                                               const RunOptions& options,
                                                               const Course& course,
                                                               const BacklashResult& at_moments) {
  std::optional<CourseRun> run;  // for all meshes, and only where some margin changes its sign
  std::vector<std::vector<std::vector<TimeSpan>>> all(at_moments.meshes.size());
  for (std::size_t m = 0; m < at_moments.meshes.size(); ++m) {
    const std::vector<MeshState>& at_states = at_moments.meshes[m].states;
    if (at_states.empty()) {
      continue;  // nothing could be worked out
    }
    const std::vector<Criterion> criteria = criteria_of(design.meshes[m].require);
    std::optional<MeshFunctions> margins;
    const auto zero_between = [&](std::size_t criterion, const Judged& from, const Judged& to) {
      if (!run) {
        run.emplace(design, carrier, options, course);
      }
      // What was sampled at the moments is not known between them.
      if (at_moments.meshes[m].percentiles_sampled &&
          criteria[criterion].basis == Basis::percentile) {
        return run->zero_of_line(from, to);
      }
      if (!margins) {
        margins.emplace(*run, m, Depth::judged, margins_of(criteria));
      }
      return run->zero_between([&](double time) { return margins->at(criterion, time); }, from, to);
    };
    for (std::size_t c = 0; c < criteria.size(); ++c) {
      all[m].push_back(spans_below_zero(
          criteria[c], at_moments.states, at_states,
          [&](const Judged& from, const Judged& to) { return zero_between(c, from, to); }));
    }
  }
  return all;
}

}  // namespace lashband::design
