#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/spectrum/lines.hpp"
#include "lashband/units/quantities.hpp"

/// A measured spectrum against the lines of a train.
///
/// Simplifications: the speed is one number for the whole spectrum; amplitudes are compared among
/// themselves only, in whatever unit they have, and phases not at all. A spectrum of levels in dB
/// is turned back into amplitudes before it comes here.
///
/// A spectrum over orders instead of frequencies is given as it is, one order as one hertz, with a
/// speed of one turn a second: units::angular_velocity of 1 Hz. The speed that `attribution`
/// refines is then a factor to the orders.
namespace lashband::spectrum {

/// A spectrum as measured: frequencies rising from 0 or above, not necessarily evenly; amplitudes,
/// or powers, 0 or more, of the same number.
struct MeasuredSpectrum {
  std::vector<units::Frequency> frequency{};
  std::vector<double> amplitude{};
};

struct PeakOptions {
  /// How far a peak must stand above the saddles around it, as a share of the greatest amplitude, 0
  /// to 1. Empty: from the spectrum's own floor, so that noise alone seldom makes one (see below).
  std::optional<double> prominence{};
  std::size_t most = 200;  ///< peaks kept, the most prominent; 1 or more
};

struct Peak {
  std::size_t index = 0;         ///< of the highest sample, of a flat top the middle one
  units::Frequency frequency{};  ///< interpolated between samples
  double amplitude = 0.0;        ///< interpolated
  double prominence = 0.0;       ///< in the unit of the amplitudes, of the samples
};

/// The peaks of a spectrum in order of frequency, no more than `most`: a result of that many may
/// have lost lesser ones.
///
/// A peak is a sample, or a flat top, above both its neighbours; the ends are none. Its prominence
/// is how far it stands above the higher of the two lowest samples between it and, on either side,
/// the next higher sample or the end. Its place comes from the parabola through the logarithms of
/// three samples (through the samples themselves where one is 0). Of a steady line by itself it is
/// within 0.017 of a sample's distance with a Hann window, 0.15 with a flat-top window and 0.17
/// without one; its height within 4 %, 2 % and 27 %.
///
/// The prominence that is asked for where none is given, P, follows the floor along the frequency.
/// With m the median of the samples around (three of 32 equal parts of the spectrum, of at least 64
/// samples each), and k from the lower quartile Q of all samples over their m,
///   P = m (ln(n / 0.1) / ln 2)^(1/k),   k = ln(ln 2 / ln(4/3)) / ln(1/Q), from 1 to 2,
/// n samples: what noise exceeds once in ten spectra, if it is distributed as Weibull with the
/// exponent k that the spectrum itself shows (amplitudes of noise have 2, powers 1). P is at least
/// 1e-3 of the greatest amplitude. A spectrum of few samples, mostly taken up by its peaks, has no
/// floor to tell: give the prominence there. Derived in docs/theory/frequencies.md.
///
/// Throws DomainError, saying which sample, for a spectrum without samples, of fewer than five,
/// with unlike numbers of both, frequencies that do not rise, amplitudes that are negative or not
/// finite, or all equal; and for an option outside its range. n log n.
[[nodiscard]] std::vector<Peak> peaks(const MeasuredSpectrum& spectrum, const PeakOptions& options);

/// A line that may explain a peak.
struct Candidate {
  std::size_t line = 0;
  units::Frequency error{};  ///< measured less predicted, at the refined speed
  double order_error = 0.0;
};

struct AttributedPeak {
  Peak peak{};
  double order = 0.0;                   ///< at the refined speed
  std::vector<Candidate> candidates{};  ///< the best first; empty: unexplained
  /// The share of the frequencies around the peak, 10 % to either side, that are as near to some
  /// line as a candidate may be: how likely a peak of any other origin would be "explained" there.
  /// Near 1 an attribution says nothing.
  double by_chance = 0.0;
};

struct AttributionOptions {
  /// How far off the speed given may be, relative; 0 to 0.2.
  double speed_uncertainty = 0.02;
  /// How far a peak may lie from a line at the refined speed, relative to the line, 0 to 0.1; at
  /// least half the distance of samples is always allowed.
  double within = 0.003;
  bool refine = true;
};

struct Attribution {
  units::AngularVelocity speed{};                          ///< refined, of the reference
  std::optional<units::AngularVelocity> standard_error{};  ///< of the speed, from three peaks on
  std::vector<AttributedPeak> peaks{};
  std::size_t used = 0;  ///< peaks that the refined speed rests on
  bool refined = false;  ///< false: the speed is the one given, whatever was asked for
};

/// Which line each peak is.
///
/// The speed is refined from the peaks themselves. The search takes the speed within its
/// uncertainty at which a mixture of lines explains most: each peak counts by the logarithm of its
/// height, and each line by its simplicity over that of all lines, so that what a dense comb of
/// sidebands explains by chance counts little, and one giant peak does not decide. Least squares
/// follow over the peaks that have a single order near, less those that fall out of line. Where no
/// speed stands out of what chance makes of so many trials, the speed stays as given and `refined`
/// is false.
///
/// Candidates are all lines within reach, ranked by how near they are, measured by the accuracy of
/// a peak's place, and by simplicity (a mesh before a sideband, a low harmonic before a high one).
///
/// The equations are in docs/theory/frequencies.md. Throws DomainError for a speed not above 0, an
/// option outside its range, a peak that is not of the spectrum, a line whose order is not above 0,
/// and a spectrum that `peaks` would refuse.
[[nodiscard]] Attribution attribution(const std::vector<Peak>& peaks,
                                      const MeasuredSpectrum& spectrum,
                                      const std::vector<Line>& lines, units::AngularVelocity speed,
                                      const AttributionOptions& options);

}  // namespace lashband::spectrum
