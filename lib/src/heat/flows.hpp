#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "heat/curve.hpp"
#include "heat/propagator.hpp"
#include "lashband/heat/transient.hpp"

namespace lashband::heat::kernel {

/// The heat flows of a network, linearised at a moment:
///
///   flow_p(t) = flow + sum over its slots of slope (T_slot - T_slot now) + bend (t - now)
///
/// Ports are, in this order, the inputs, the inputs that depend on temperature, the conductances
/// (from `first` to `second`) and the streams.
struct LinearFlows {
  Vector flow;    ///< W, by port
  Vector bend;    ///< W/s, by port
  Vector slopes;  ///< W/K, by slot
};

/// What a port's heat comes from and goes to, and the bodies whose temperatures it follows.
struct Port {
  std::optional<std::size_t> giver;
  std::optional<std::size_t> taker;
  std::vector<std::size_t> slots;  ///< bodies
  std::size_t first_slot = 0;
};

/// dF/dT by bodies, W/K.
[[nodiscard]] Matrix jacobian(const std::vector<Port>& ports, std::size_t bodies,
                              const Vector& slopes);

/// A number that is linear in time within a stretch.
struct Line {
  double value = 0.0;  ///< at the beginning of the interval
  double slope = 0.0;  ///< per second
};

/// The lines of all schedules between two of their points.
struct Interval {
  double begin = 0.0;  ///< of the cycle, s
  double end = 0.0;
  std::vector<Line> boundaries;
  std::vector<Line> inputs;
  std::vector<Line> shares;  ///< by conductance, then by stream
};

/// A temperature that is watched because another law holds beyond certain levels: that which a
/// thermostat feels, the mean of a wall, a body whose material has data up to there.
struct Watch {
  std::vector<Place> places;   ///< the mean of these
  std::vector<double> levels;  ///< rising, degC
  std::size_t piece = 0;       ///< now between levels[piece - 1] and levels[piece]
  /// Not empty: leaving the piece ends the solution with these words.
  std::string failure{};
};

class Flows {
 public:
  Flows(const Network& network, const Operation& operation);

  [[nodiscard]] const std::vector<Port>& ports() const { return ports_; }
  [[nodiscard]] std::size_t slots() const { return slots_; }
  [[nodiscard]] std::size_t bodies() const { return bodies_; }

  /// The thermostats and the walls whose conductivity varies.
  [[nodiscard]] std::vector<Watch> watches() const;

  /// The flows at time `t` of the cycle and temperatures `T`. Throws what an input throws, and
  /// ComputationError where it gives no number.
  [[nodiscard]] LinearFlows at(const Interval& interval, const std::vector<Watch>& watches,
                               double t, const Vector& T) const;

  /// Whether the flows are linear in time and temperatures as long as no watch leaves its piece.
  [[nodiscard]] bool linear(const Interval& interval, const std::vector<Watch>& watches) const;

  /// Whether no stream runs: what one body gives another takes.
  [[nodiscard]] bool symmetric(const LinearFlows& flows) const;

  /// Sum of what comes to each body.
  [[nodiscard]] Vector by_body(const Vector& by_port) const;
  /// Heat of each port within a time, J; `area` is the integral of T - T now.
  [[nodiscard]] Vector heats(const LinearFlows& flows, double time, const Vector& area) const;

 private:
  struct Branch {
    bool stream = false;
    Place from;
    Place to;
    double factor = 0.0;  // W/K, or area/length of a wall
    std::optional<Curve> conductivity;
    std::optional<Curve> opening;
    Place feels;
    std::size_t wall_watch = 0;  // in watches(), where there are such
    std::size_t thermostat_watch = 0;
  };

  void add_port(std::optional<std::size_t> giver, std::optional<std::size_t> taker,
                std::vector<std::size_t> slots);
  void add_dependent(const Interval& interval, double t, const Vector& T, LinearFlows& flows) const;
  void add_branch(std::size_t index, const Interval& interval, const std::vector<Watch>& watches,
                  double t, const Vector& T, LinearFlows& flows) const;
  [[nodiscard]] static bool linear(const Branch& branch, const std::vector<Watch>& watches);

  const Operation* operation_;
  std::size_t bodies_;
  std::vector<Port> ports_;
  std::vector<Branch> branches_;
  std::vector<Watch> watches_;
  std::size_t slots_ = 0;
};

}  // namespace lashband::heat::kernel
