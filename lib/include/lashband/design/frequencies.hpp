#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/spectrum/coincidences.hpp"
#include "lashband/spectrum/lines.hpp"
#include "lashband/spectrum/measured_peaks.hpp"
#include "lashband/units/quantities.hpp"

/// The frequencies of a train, what falls together, and a measured spectrum against them.
namespace lashband::design {

/// A speed of the reference shaft, as a magnitude.
struct NamedSpeed {
  std::string condition{};  ///< that it comes from; empty: asked for
  units::AngularVelocity speed{};
};

struct FrequencyQuestion {
  std::optional<std::size_t> reference{};  ///< shaft that orders are referred to; else the design's
  std::vector<units::AngularVelocity> speeds{};  ///< above 0; empty: those of the conditions
  /// `speeds` are the two ends of a range.
  bool range = false;
  spectrum::LineOptions lines{};
  spectrum::CoincidenceOptions coincidences{};
};

/// How the teeth of one mesh meet, with its basic frequency as an order.
struct MeshMeeting {
  std::string mesh{};
  int teeth_1 = 0, teeth_2 = 0;
  spectrum::ToothMeeting meeting{};
  std::optional<double> mesh_order{};  ///< empty where nothing ties it to the reference
  std::optional<double> hunting_tooth_order{};
  std::optional<double> assembly_phase_order{};
};

/// Phase between two meshes of one gear, with the reference shaft driving.
struct MeshPhase {
  std::string gear{};
  std::string mesh_1{};  ///< the one that drives the gear, if one of them does
  std::string mesh_2{};
  units::Angle turned{};  ///< at the gear from mesh 1 to mesh 2, in its sense of rotation
  bool idler = false;
  double phase = 0.0;  ///< of mesh 2 behind mesh 1, fraction of a mesh period, 0 to 1
};

/// A spectrum that was measured.
struct MeasuredInput {
  enum class Axis { frequency, order };
  std::string file{};
  Axis axis = Axis::frequency;
  spectrum::MeasuredSpectrum spectrum{};  ///< of an order axis: at one revolution a second
};

struct MeasuredQuestion {
  MeasuredInput input{};
  units::AngularVelocity speed{};  ///< of the reference shaft, as read on the test bench
  spectrum::PeakOptions peaks{};
  spectrum::AttributionOptions attribution{};
};

struct MeasuredResult {
  std::string file{};
  MeasuredInput::Axis axis = MeasuredInput::Axis::frequency;
  units::AngularVelocity speed_given{};
  spectrum::Attribution attribution{};
  std::size_t unexplained = 0;
  spectrum::MeasuredSpectrum spectrum{};  ///< for charts
};

struct FrequenciesResult {
  Provenance input{};
  std::string reference{};
  std::vector<NamedSpeed> speeds{};  ///< of a range its two ends; empty: orders alone
  bool range = false;
  std::vector<spectrum::Line> lines{};
  std::vector<MeshMeeting> meshes{};
  std::vector<MeshPhase> phases{};
  spectrum::CoincidenceOptions coincidence_options{};
  spectrum::Coincidences coincidences{};
  std::optional<MeasuredResult> measured{};
  std::vector<Warning> warnings{};
};

/// Frequency of a line at a speed of the reference.
[[nodiscard]] units::Frequency frequency_of(const spectrum::Line& line,
                                            units::AngularVelocity speed);

/// Needs no carrier and no temperature. Throws DomainError for a question outside its range.
[[nodiscard]] FrequenciesResult frequencies(const Design& design,
                                            const FrequencyQuestion& question = {},
                                            const std::optional<MeasuredQuestion>& measured = {});

}  // namespace lashband::design
