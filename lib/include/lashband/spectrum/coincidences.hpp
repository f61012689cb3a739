#pragma once

#include <cstddef>
#include <vector>

#include "lashband/spectrum/lines.hpp"

/// Lines of different sources that fall together.
///
/// Simplifications: only harmonics of meshes and excitations are looked at; neither sidebands nor
/// bearings nor shafts. Whether a structure answers there is another question.
namespace lashband::spectrum {

/// Two lines of different sources that fall together.
struct Coincidence {
  std::size_t line_1 = 0;  ///< index into the lines; a line of a mesh, of two meshes the lower one
  std::size_t line_2 = 0;  ///< of another mesh, or of an excitation
  double apart = 0.0;      ///< |order_2 / order_1 - 1|
};

struct CoincidenceOptions {
  double within = 0.02;     ///< relative, 0 to 0.5
  std::size_t most = 1000;  ///< how many are returned, the closest
};

/// The closest coincidences, and how many there are besides.
struct Coincidences {
  std::vector<Coincidence> found{};
  std::size_t more = 0;  ///< within the limit as well, but not among `found`

  [[nodiscard]] auto begin() const { return found.begin(); }
  [[nodiscard]] auto end() const { return found.end(); }
  [[nodiscard]] bool empty() const { return found.empty(); }
  [[nodiscard]] std::size_t size() const { return found.size(); }
  [[nodiscard]] const Coincidence& operator[](std::size_t i) const { return found[i]; }
};

/// Where a line of a mesh or its harmonic falls together with a harmonic of another mesh or with an
/// excitation, relatively no farther apart than `within`; the closest first.
///
/// Left out, since tooth numbers alone make them and no choice of speed parts them:
/// - pairs of one mesh, and of two meshes of exactly the same order (the two of an idler, equal
///   gears in a chain): of such meshes the one whose line comes first stands for all;
/// - of lines of exactly the same order, all but the first of a mesh and the first of an
/// excitation:
///   what falls near them is told once, and of a pair that this leaves with lines of one and the
///   same mesh order nothing is told.
/// Not left out: harmonics of unlike meshes that fall together exactly (the second of one on the
/// third of another), and an excitation exactly on a mesh; these are 0 apart.
///
/// Where more than `most` are found, the closest are returned, fewer than `most` where several are
/// equally far apart at that limit, and `more` has the number of the rest. n log n in the number of
/// lines, whatever is found.
///
/// Throws DomainError for an option outside its range, or a line whose order is not above 0.
[[nodiscard]] Coincidences coincidences(const std::vector<Line>& lines,
                                        const CoincidenceOptions& options);

}  // namespace lashband::spectrum
