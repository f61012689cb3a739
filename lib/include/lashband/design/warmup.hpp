#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// The train over time, history by history.
///
/// Simplifications: each zone has one temperature at a moment; a mesh is where its temperatures put
/// it at once.
namespace lashband::design {

/// A stretch of a history, times as the history counts them.
struct TimeSpan {
  units::Time from{};
  units::Time to{};
};

/// One requirement over one history.
struct RequirementOverTime {
  RequirementRow row;  ///< judged over this history alone; its state is a moment
  units::Time at{};    ///< that moment
  /// When it is violated, in order of time; both ends to a millisecond, the ends of the history
  /// included.
  std::vector<TimeSpan> violated;
  /// From when on it holds until the end of the history; empty where it does not hold at the end.
  std::optional<units::Time> holds_from{};
};

/// A body or a boundary of the network over a history.
struct PlaceOverTime {
  std::string id{};
  bool is_boundary = false;
  std::vector<units::Temperature> temperature{};  ///< at each moment
};

/// Where the heat of a network's history came from and where it went.
struct HeatRow {
  enum class Kind { stored, input, boundary, stream };
  Kind kind = Kind::stored;
  std::string id{};      ///< of the body, heat input, boundary or stream
  units::Energy heat{};  ///< gained by the body; else brought in
};

/// The account of one history: what was stored is what came in, to round-off.
struct HeatAccount {
  std::vector<HeatRow> rows{};
  units::Energy residual{};  ///< stored less what came in
  units::Energy turnover{};  ///< what the residual is measured against
};

/// One history with the carrier in use.
struct HistoryResult {
  enum class Source { record, network };
  std::string id{};
  Source source = Source::record;
  std::string file{};  ///< of a record
  units::Time start{};
  units::Time end{};
  std::size_t cycles = 1;    ///< that a repeated history went through
  bool is_periodic = false;  ///< it was repeated until a cycle is like the last
  /// The train at every moment; `states` of the result are the moments, with their time.
  BacklashResult backlash{};
  std::vector<RequirementOverTime> requirements{};  ///< in the order of backlash.requirements
  std::vector<PlaceOverTime> places{};              ///< of a network, by moment of backlash.states
  std::optional<HeatAccount> heat{};                ///< of a network
};

struct WarmupResult {
  Provenance input;
  std::string carrier;
  std::vector<std::string> zones;
  std::vector<HistoryResult> histories;
  std::vector<Warning> warnings;
  std::vector<Failure> failures;  ///< those of the histories' results included

  [[nodiscard]] bool all_requirements_met() const;
};

/// Temperatures, backlash and requirements over every history of the design with the carrier at
/// `carrier`. The requirements are judged over the histories alone.
[[nodiscard]] WarmupResult warmup(const Design& design, std::size_t carrier,
                                  const RunOptions& options);

}  // namespace lashband::design
