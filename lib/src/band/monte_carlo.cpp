#include "band/monte_carlo.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <condition_variable>
#include <exception>
#include <map>
#include <mutex>
#include <string>
#include <system_error>
#include <thread>
#include <utility>

#include "band/percentile_search.hpp"
#include "band/sample_kernel.hpp"
#include "band/sample_plan.hpp"
#include "lashband/error.hpp"

// Stages end where the number of samples so far is 4 times that of the stage before: a bracket from
// that many is narrow enough, and the stages are few. Within a stage, threads take blocks of
// samples as they come. Counts are whole numbers and may be added in any order; sums are added
// block after block in the order of the samples. The seed and the number of samples alone decide
// the result.
namespace lashband::band::kernel {

namespace {

constexpr std::uint64_t block_samples = 16 * chunk_samples;
constexpr std::uint64_t first_pilot = 1024;
constexpr std::uint64_t stage_growth = 4;
constexpr int most_attempts = 4;
/// How often progress is told.
constexpr double progress_step = 0.005;

static_assert(first_pilot % chunk_samples == 0);
static_assert((first_pilot * stage_growth) % block_samples == 0);

/// Sums of one stream in one block, lanes added up.
using BlockSums = std::array<double, 4>;

double lanes_added(const std::array<double, lanes>& sums) {
  double sum = 0.0;
  for (const double lane : sums) {
    sum += lane;
  }
  return sum;
}

/// Count, mean and sum of squares about it, of any number of parts.
struct Moments {
  double samples = 0.0;
  double mean = 0.0;
  double squares = 0.0;

  void add(const Moments& more) {
    // T. F. Chan, G. H. Golub, R. J. LeVeque, The American Statistician 37 (1983) 242.
    const double all = samples + more.samples;
    const double difference = more.mean - mean;
    mean += difference * (more.samples / all);
    squares += more.squares + difference * difference * (samples * more.samples / all);
    samples = all;
  }
};

/// All there is to know of one stream.
struct StreamRecord {
  Moments moments;
  double kurtosis = 3.0;  ///< of the first stage: fourth moment over the square of the second
  std::array<PercentileSearch, percentiles> search;
};

/// Runs `work(thread)` on all threads, this one being thread 0, and rethrows what one of them
/// threw.
template <class Work>
void in_parallel(unsigned threads, const Work& work) {
  std::mutex mutex;
  std::exception_ptr failure;
  const auto guarded = [&](unsigned thread) {
    try {
      work(thread);
    } catch (...) {
      const std::lock_guard lock(mutex);
      if (!failure) {
        failure = std::current_exception();
      }
    }
  };
  std::vector<std::thread> others;
  others.reserve(threads - 1);
  try {
    for (unsigned thread = 1; thread < threads; ++thread) {
      others.emplace_back(guarded, thread);
    }
  } catch (const std::system_error&) {
    // The system has no more threads to give: those that run do all the work.
  }
  guarded(0);
  for (std::thread& other : others) {
    other.join();
  }
  if (failure) {
    std::rethrow_exception(failure);
  }
}

/// One attempt at the whole study.
class Study {
 public:
  Study(const SamplePlan& plan, const SampleOptions& options, std::uint64_t samples)
      : plan_(plan),
        options_(options),
        wanted_(samples),
        records_(plan.states * streams),
        states_(plan.states),
        anywhere_(plan.meshes.size()) {}

  /// False where a percentile lay outside its bracket.
  bool run(std::uint64_t pilot, double margin) {
    std::vector<StreamWindow> windows = pilot_windows(std::min(pilot, wanted_), margin);
    std::uint64_t end = 0;
    while (end < wanted_ && !stopped_) {
      const std::uint64_t begin = end;
      end = std::min(wanted_, std::max(begin, pilot) * stage_growth);
      run_stage(begin, end, windows);
      if (!found_all()) {
        return false;
      }
      windows = windows_by([margin](const PercentileSearch& search, double share) {
        return search.next_bracket(share, margin);
      });
    }
    return true;
  }

  /// All samples against windows that are known already. False as above.
  bool run_in_one_stage(const std::vector<StreamWindow>& windows) {
    run_stage(0, wanted_, windows);
    return found_all();
  }

  /// For counting the same samples again around the percentiles that were found.
  [[nodiscard]] std::vector<StreamWindow> final_windows() const {
    return windows_by([](const PercentileSearch& search, double share) {
      return search.final_bracket(share, usual_margin);
    });
  }

  /// Whether the width of a bin may tell in a percentile.
  [[nodiscard]] bool too_coarse() const {
    return std::any_of(records_.begin(), records_.end(), [](const StreamRecord& record) {
      // Of the standard deviation, and of the value where all are the same.
      constexpr double fine = 1e-4;
      constexpr double rounding = 1e-13;
      const double sigma = std::sqrt(record.moments.squares / record.moments.samples);
      const double width = fine * sigma + rounding * std::abs(record.moments.mean);
      for (std::size_t p = 0; p < percentiles; ++p) {
        if (record.search[p].too_coarse(percentile_share[p], width)) {
          return true;
        }
      }
      return false;
    });
  }

  [[nodiscard]] std::uint64_t samples() const { return done_; }
  /// By what `progress` returned.
  [[nodiscard]] bool stopped() const { return stopped_; }

  [[nodiscard]] SampleResult result() const {
    SampleResult result;
    result.samples = done_;
    std::size_t state_index = 0;
    for (std::size_t m = 0; m < plan_.meshes.size(); ++m) {
      SampledMesh mesh;
      for (std::size_t s = 0; s < plan_.meshes[m].states.size(); ++s, ++state_index) {
        SampledState state;
        const StreamRecord* record = &records_[state_index * streams];
        state.least_bt = gap(record[least_bt]);
        state.least_wt = gap(record[least_wt]);
        state.greatest_bt = gap(record[greatest_bt]);
        state.greatest_wt = gap(record[greatest_wt]);
        state.bind_bt = gap(record[bind_bt]);
        const StateCounts& counts = states_[state_index];
        state.bind_negative = share(counts.bind_negative);
        state.below_least = share(counts.below_least);
        state.above_greatest = share(counts.above_greatest);
        mesh.states.push_back(state);
      }
      mesh.bind_anywhere = share(anywhere_[m].bind_negative);
      mesh.below_least_anywhere = share(anywhere_[m].below_least);
      mesh.above_greatest_anywhere = share(anywhere_[m].above_greatest);
      result.meshes.push_back(mesh);
    }
    result.bind_anywhere = share(bind_anywhere_);
    return result;
  }

 private:
  template <class BracketOf>
  [[nodiscard]] std::vector<StreamWindow> windows_by(const BracketOf& bracket_of) const {
    std::vector<StreamWindow> windows;
    windows.reserve(records_.size());
    for (const StreamRecord& record : records_) {
      std::array<Bracket, percentiles> brackets;
      for (std::size_t p = 0; p < percentiles; ++p) {
        brackets[p] = bracket_of(record.search[p], percentile_share[p]);
      }
      windows.push_back(stream_window(brackets));
    }
    return windows;
  }

  // The first samples, sorted state by state.
  std::vector<StreamWindow> pilot_windows(std::uint64_t pilot, double margin) {
    std::vector<StreamWindow> windows(plan_.states * streams);
    struct Place {
      std::size_t mesh, state, index;
    };
    std::vector<Place> places;
    for (std::size_t m = 0; m < plan_.meshes.size(); ++m) {
      for (std::size_t s = 0; s < plan_.meshes[m].states.size(); ++s) {
        places.push_back({m, s, places.size()});
      }
    }
    std::atomic<std::size_t> next{0};
    // So many states at a time, for which the draws are made once.
    constexpr std::size_t together = 4;
    in_parallel(options_.threads, [&](unsigned /*thread*/) {
      Workspace work(plan_);
      std::vector<std::vector<double>> values(together * streams);
      for (;;) {
        const std::size_t from = next.fetch_add(together);
        if (from >= places.size()) {
          return;
        }
        const std::size_t to = std::min(from + together, places.size());
        for (std::vector<double>& stream : values) {
          stream.clear();
        }
        for (std::uint64_t first = 0; first < pilot; first += chunk_samples) {
          const auto count =
              static_cast<std::ptrdiff_t>(std::min<std::uint64_t>(chunk_samples, pilot - first));
          draw_chunk(plan_.draws, first, work);
          for (std::size_t i = from; i < to; ++i) {
            const MeshPlan& mesh = plan_.meshes[places[i].mesh];
            if (i == from || places[i].mesh != places[i - 1].mesh) {
              derive_columns(mesh, work);
            }
            evaluate_gaps(mesh, mesh.states[places[i].state], work);
            for (std::size_t s = 0; s < streams; ++s) {
              const std::array<double, chunk_samples>& row = work.gaps[s].row;
              std::vector<double>& stream = values[(i - from) * streams + s];
              stream.insert(stream.end(), row.begin(), row.begin() + count);
            }
          }
        }
        for (std::size_t i = from; i < to; ++i) {
          for (std::size_t s = 0; s < streams; ++s) {
            windows[places[i].index * streams + s] =
                pilot_window(values[(i - from) * streams + s], margin);
          }
        }
      }
    });
    return windows;
  }

  [[nodiscard]] Tally empty_tally() const {
    Tally tally;
    tally.sums.resize(records_.size());
    tally.counts.resize(records_.size());
    tally.states.resize(states_.size());
    tally.anywhere.resize(anywhere_.size());
    return tally;
  }

  void run_stage(std::uint64_t begin, std::uint64_t end, const std::vector<StreamWindow>& windows) {
    const bool with_shape = begin == 0;
    const std::uint64_t blocks = (end - begin + block_samples - 1) / block_samples;
    std::atomic<std::uint64_t> next{0};
    std::vector<Tally> tallies(options_.threads);
    std::vector<BlockSums> totals(records_.size(), BlockSums{});
    const std::uint64_t before = done_;

    // Sums of blocks that are done before an earlier one. A thread that is too far ahead waits, so
    // that they do not pile up.
    std::mutex mutex;
    std::condition_variable added;
    std::map<std::uint64_t, std::vector<BlockSums>> waiting;
    std::uint64_t next_to_add = 0;
    bool broken = false;
    const std::uint64_t most_ahead = 8ULL * options_.threads;

    const auto add_block = [&](std::uint64_t block, std::vector<BlockSums> sums) {
      std::unique_lock lock(mutex);
      added.wait(lock, [&] { return broken || block < next_to_add + most_ahead; });
      waiting.emplace(block, std::move(sums));
      while (!waiting.empty() && waiting.begin()->first == next_to_add) {
        const std::vector<BlockSums>& block_sums = waiting.begin()->second;
        for (std::size_t i = 0; i < totals.size(); ++i) {
          for (std::size_t power = 0; power < totals[i].size(); ++power) {
            totals[i][power] += block_sums[i][power];
          }
        }
        waiting.erase(waiting.begin());
        ++next_to_add;
        done_ = before + std::min(end - begin, next_to_add * block_samples);
      }
      added.notify_all();
      return static_cast<double>(done_) / static_cast<double>(wanted_);
    };

    in_parallel(options_.threads, [&](unsigned thread) {
      try {
        Workspace work(plan_);
        Tally& tally = tallies[thread];
        tally = empty_tally();
        while (!stopped_) {
          const std::uint64_t block = next.fetch_add(1);
          if (block >= blocks) {
            return;
          }
          const std::uint64_t first = begin + block * block_samples;
          const std::uint64_t last = std::min(end, first + block_samples);
          std::fill(tally.sums.begin(), tally.sums.end(), StreamSums{});
          for (std::uint64_t chunk = first; chunk < last; chunk += chunk_samples) {
            const auto count =
                static_cast<std::size_t>(std::min<std::uint64_t>(chunk_samples, last - chunk));
            count_chunk(plan_, chunk, count, windows, with_shape, work, tally);
          }
          std::vector<BlockSums> sums;
          sums.reserve(tally.sums.size());
          for (const StreamSums& stream : tally.sums) {
            sums.push_back({lanes_added(stream.first), lanes_added(stream.second),
                            lanes_added(stream.third), lanes_added(stream.fourth)});
          }
          const double share_done = add_block(block, std::move(sums));
          if (thread == 0) {
            tell(share_done);
          }
        }
      } catch (...) {
        // The others must not wait for the block that this thread leaves undone.
        stopped_ = true;
        const std::lock_guard lock(mutex);
        broken = true;
        added.notify_all();
        throw;
      }
    });

    const std::uint64_t samples = done_ - before;
    if (samples > 0) {
      record_stage(samples, windows, totals, tallies, with_shape);
    }
  }

  void tell(double share_done) {
    if (options_.progress && share_done >= told_ + progress_step) {
      told_ = share_done;
      if (!options_.progress(share_done)) {
        stopped_ = true;
      }
    }
  }

  void record_stage(std::uint64_t samples, const std::vector<StreamWindow>& windows,
                    const std::vector<BlockSums>& totals, const std::vector<Tally>& tallies,
                    bool with_shape) {
    const auto n = static_cast<double>(samples);
    for (std::size_t i = 0; i < records_.size(); ++i) {
      StreamRecord& record = records_[i];
      const auto& [first, second, third, fourth] = totals[i];
      if (!std::isfinite(second)) {
        throw ComputationError(
            "a drawn unit has no backlash: its base circles overlap at one of the states");
      }
      const double mean = first / n;
      const double squares = std::max(0.0, second - first * mean);
      record.moments.add({n, windows[i].centre + mean, squares});
      if (with_shape && squares > 0.0) {
        const double about_mean = fourth - 4.0 * mean * third + 6.0 * mean * mean * second -
                                  3.0 * mean * mean * first * mean;
        record.kurtosis = about_mean * n / (squares * squares);
      }

      StreamCounts counts = tallies[0].counts.empty() ? StreamCounts{} : tallies[0].counts[i];
      for (std::size_t t = 1; t < tallies.size(); ++t) {
        if (!tallies[t].counts.empty()) {
          add(tallies[t].counts[i], counts);
        }
      }
      std::uint64_t in_high = 0;
      for (const std::uint64_t bin : counts.histogram[p_high]) {
        in_high += bin;
      }
      const std::array<std::uint64_t, percentiles> below{
          counts.below_low, samples - counts.not_below_mid, samples - counts.above_high - in_high};
      for (std::size_t p = 0; p < percentiles; ++p) {
        record.search[p].add_stage(windows[i].bracket[p], samples, below[p], counts.histogram[p]);
      }
    }
    for (const Tally& tally : tallies) {
      for (std::size_t i = 0; i < tally.states.size(); ++i) {
        add(tally.states[i], states_[i]);
      }
      for (std::size_t m = 0; m < tally.anywhere.size(); ++m) {
        add(tally.anywhere[m], anywhere_[m]);
      }
      bind_anywhere_ += tally.bind_anywhere;
    }
  }

  static void add(const StreamCounts& more, StreamCounts& sum) {
    sum.below_low += more.below_low;
    sum.not_below_mid += more.not_below_mid;
    sum.above_high += more.above_high;
    for (std::size_t p = 0; p < percentiles; ++p) {
      for (std::size_t bin = 0; bin < bins; ++bin) {
        sum.histogram[p][bin] += more.histogram[p][bin];
      }
    }
  }

  static void add(const StateCounts& more, StateCounts& sum) {
    sum.bind_negative += more.bind_negative;
    sum.below_least += more.below_least;
    sum.above_greatest += more.above_greatest;
  }

  [[nodiscard]] bool found_all() const {
    return std::all_of(records_.begin(), records_.end(), [](const StreamRecord& record) {
      for (std::size_t p = 0; p < percentiles; ++p) {
        if (!record.search[p].at(percentile_share[p])) {
          return false;
        }
      }
      return true;
    });
  }

  [[nodiscard]] static SampledGap gap(const StreamRecord& record) {
    const double n = record.moments.samples;
    SampledGap result;
    result.sigma.value = n > 1.0 ? std::sqrt(record.moments.squares / (n - 1.0)) : 0.0;
    result.mean = {record.moments.mean, result.sigma.value / std::sqrt(n)};
    result.sigma.standard_error =
        result.sigma.value * std::sqrt(std::max(0.0, record.kurtosis - 1.0) / (4.0 * n));
    const std::array<Sampled*, percentiles> places{&result.p_low, &result.p_mid, &result.p_high};
    for (std::size_t p = 0; p < percentiles; ++p) {
      *places[p] = {record.search[p].at(percentile_share[p]).value(),
                    record.search[p].standard_error(percentile_share[p])};
    }
    return result;
  }

  [[nodiscard]] Sampled share(std::uint64_t hits) const {
    const auto n = static_cast<double>(done_);
    const double value = static_cast<double>(hits) / n;
    // Where all samples agree, the rule of succession tells how sure that is.
    const double spread =
        hits == 0 || hits == done_ ? (static_cast<double>(hits) + 1.0) / (n + 2.0) : value;
    return {value, std::sqrt(spread * (1.0 - spread) / n)};
  }

  const SamplePlan& plan_;
  const SampleOptions& options_;
  std::uint64_t wanted_;
  std::vector<StreamRecord> records_;
  std::vector<StateCounts> states_;
  std::vector<StateCounts> anywhere_;
  std::uint64_t bind_anywhere_ = 0;
  std::uint64_t done_ = 0;
  double told_ = 0.0;
  std::atomic<bool> stopped_{false};
};

}  // namespace

SampleResult sampled(const std::vector<MeshModel>& meshes, const Draws& draws,
                     const std::vector<Limits>& limits, const SampleOptions& options) {
  if (options.samples == 0) {
    throw DomainError("the number of samples is 0: there must be at least 1");
  }
  if (options.threads == 0) {
    throw DomainError("the number of threads is 0: there must be at least 1");
  }
  const SamplePlan plan = sample_plan(meshes, draws, limits, options.seed);
  SampleOptions current = options;
  // A second attempt begins anew, but what is told never falls.
  double told = 0.0;
  if (options.progress) {
    current.progress = [&options, &told](double share_done) {
      told = std::max(told, share_done);
      return options.progress(told);
    };
  }
  std::uint64_t samples = options.samples;
  std::uint64_t pilot = first_pilot;
  double margin = usual_margin;
  for (int attempt = 0; attempt < most_attempts; ++attempt) {
    Study study(plan, current, samples);
    const bool found = study.run(pilot, margin);
    if (study.stopped()) {
      samples = study.samples();
      current.progress = nullptr;
    }
    if (found && !study.too_coarse()) {
      return study.result();
    }
    if (found) {
      // The same samples again, all of them in the fine bins around what was found.
      Study again(plan, current, samples);
      if (again.run_in_one_stage(study.final_windows())) {
        return again.result();
      }
      samples = again.samples();
    }
    // The same samples again, with wider brackets from a larger pilot.
    pilot *= 4;
    margin *= 2.0;
  }
  throw ComputationError("the percentiles of a gap could not be bracketed in " +
                         std::to_string(most_attempts) + " attempts");
}

}  // namespace lashband::band::kernel
