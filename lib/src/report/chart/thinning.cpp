#include "thinning.hpp"

#include <algorithm>
#include <cmath>
#include <queue>
#include <utility>

namespace lashband::report {
namespace {

// Samples between two that are drawn, and the one that the line between these misses by most.
struct Stretch {
  double miss = 0.0;  ///< in parts of the sweep
  std::size_t from = 0;
  std::size_t farthest = 0;
  std::size_t to = 0;

  friend bool operator<(const Stretch& a, const Stretch& b) { return a.miss < b.miss; }
};

class Thinning {
 public:
  Thinning(const std::vector<double>& times, const std::vector<std::vector<double>>& curves)
      : times_(times), curves_(curves), has_value_(times.size(), true) {
    for (const std::vector<double>& curve : curves_) {
      for (std::size_t i = 0; i < times_.size(); ++i) {
        has_value_[i] = has_value_[i] && !std::isnan(curve[i]);
      }
    }
  }

  [[nodiscard]] std::vector<std::size_t> places(const std::set<std::size_t>& kept) {
    for (const std::size_t place : kept) {
      drawn_.insert(place);
    }
    for (const std::vector<double>& curve : curves_) {
      add_ends(curve);
    }
    add_ends_of_runs();
    std::priority_queue<Stretch> stretches;
    for (auto from = drawn_.begin(); from != drawn_.end(); ++from) {
      const auto to = std::next(from);
      if (to != drawn_.end()) {
        push(stretches, *from, *to);
      }
    }
    while (!stretches.empty() && drawn_.size() < most_drawn) {
      const Stretch worst = stretches.top();
      stretches.pop();
      drawn_.insert(worst.farthest);
      push(stretches, worst.from, worst.farthest);
      push(stretches, worst.farthest, worst.to);
    }
    return {drawn_.begin(), drawn_.end()};
  }

 private:
  // The least and the greatest of a curve, and its sweep.
  void add_ends(const std::vector<double>& curve) {
    const std::size_t count = curve.size();
    std::size_t least = count;
    std::size_t greatest = count;
    for (std::size_t i = 0; i < count; ++i) {
      if (has_value_[i]) {
        least = least == count || curve[i] < curve[least] ? i : least;
        greatest = greatest == count || curve[i] > curve[greatest] ? i : greatest;
      }
    }
    sweeps_.push_back(least == count ? 0.0 : curve[greatest] - curve[least]);
    if (least != count) {
      drawn_.insert(least);
      drawn_.insert(greatest);
    }
  }

  void add_ends_of_runs() {
    for (std::size_t i = 0; i < times_.size(); ++i) {
      const bool begins = i == 0 || has_value_[i] != has_value_[i - 1];
      const bool ends = i + 1 == times_.size() || has_value_[i] != has_value_[i + 1];
      if (begins || (ends && has_value_[i])) {
        drawn_.insert(i);
      }
    }
  }

  // Stretches without a sample to add are left out.
  void push(std::priority_queue<Stretch>& stretches, std::size_t from, std::size_t to) const {
    if (!has_value_[from] || !has_value_[to]) {
      return;
    }
    Stretch stretch{thinning_share, from, from, to};
    for (std::size_t i = from + 1; i < to; ++i) {
      const double share = (times_[i] - times_[from]) / (times_[to] - times_[from]);
      for (std::size_t curve = 0; curve < curves_.size(); ++curve) {
        const std::vector<double>& y = curves_[curve];
        const double miss = std::abs(y[i] - std::lerp(y[from], y[to], share));
        if (sweeps_[curve] > 0.0 && miss > stretch.miss * sweeps_[curve]) {
          stretch.miss = miss / sweeps_[curve];
          stretch.farthest = i;
        }
      }
    }
    if (stretch.farthest != from) {
      stretches.push(stretch);
    }
  }

  const std::vector<double>& times_;
  const std::vector<std::vector<double>>& curves_;
  std::vector<bool> has_value_;
  std::vector<double> sweeps_;
  std::set<std::size_t> drawn_;
};

}  // namespace

std::vector<std::size_t> drawn_samples(const std::vector<double>& times,
                                       const std::vector<std::vector<double>>& curves,
                                       const std::set<std::size_t>& kept) {
  return Thinning(times, curves).places(kept);
}

}  // namespace lashband::report
