#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "heat/flows.hpp"
#include "heat/heat_content.hpp"
#include "heat/propagator.hpp"
#include "lashband/heat/transient.hpp"

namespace lashband::heat {

namespace kernel {

/// One half of a re-linearised step. Extrapolation corrects the heats at the end of the step, half
/// of it in either half, where it grows with the cube of the time, as the error does.
struct Relinearised {
  Vector slopes;      ///< of the flows, by slot
  Vector capacities;  ///< J/K, at its beginning
  Vector heats;       ///< J, by body, at its beginning
  Vector correction;  ///< J, at its end
};

/// A stretch that one linear system describes.
struct Stretch {
  double begin = 0.0;  ///< s, of the solution
  double length = 0.0;
  Vector start;                                  ///< degC
  Vector rate;                                   ///< K/s
  Vector bend;                                   ///< K/s2
  std::shared_ptr<const Propagator> propagator;  ///< none where re-linearised
  std::optional<Relinearised> relinearised;
};

}  // namespace kernel

struct Solution::Parts {
  Outcome outcome = Outcome::not_run;
  std::string message{};
  double end = 0.0;
  std::size_t cycles = 0;
  std::size_t steps = 0;
  std::vector<units::Time> kinks{};
  EnergyAccount energy{};
  kernel::Vector start;
  std::vector<kernel::HeatContent> contents{};
  std::vector<kernel::Port> ports{};
  std::vector<kernel::Stretch> stretches{};
};

}  // namespace lashband::heat
