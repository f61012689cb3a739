#pragma once

#include <cstddef>
#include <string>
#include <vector>

// Curves over time as text, for a terminal 80 columns wide.
namespace lashband::report {

/// A quantity over time, linear between the plot's times.
struct PlotCurve {
  std::string name;            ///< stands beside its end
  char letter = '*';           ///< that draws it in ASCII
  std::vector<double> values;  ///< at the plot's times; not a number where it has none
};

/// A limit, drawn as a dashed line.
struct PlotLevel {
  std::string name;
  double value = 0.0;
};

/// A moment of a curve to point at.
struct PlotMark {
  enum class Kind { least, greatest };  ///< "↓" above the point, "↑" below it; in ASCII "v" and "^"
  Kind kind = Kind::least;
  std::size_t curve = 0;
  std::size_t moment = 0;
};

struct TimePlot {
  std::vector<double> times;  ///< in seconds, rising
  std::vector<PlotCurve> curves;
  std::vector<PlotLevel> levels;
  std::vector<PlotMark> marks;
  std::size_t rows = 10;    ///< at most
  double least_span = 1.0;  ///< that the rows cover, so that a constant is a straight line
};

/// The plot with its axes: values at the left, time below in a unit that suits its length. Curves
/// are drawn with braille dots, to half a column and a quarter of a row; in ASCII to a character.
/// Later curves lie over earlier ones. Nothing where there are fewer than two times or no value.
[[nodiscard]] std::string plot_text(const TimePlot& plot, bool ascii);

}  // namespace lashband::report
