#include "time_plot.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <utility>

#include "lashband/units/plain_number.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

// 7 columns of numbers and the axis, the curves, and names at the right: 80 in all.
constexpr std::size_t number_width = 7;
constexpr std::size_t columns = 60;
constexpr std::size_t name_width = 10;

using Place = std::ptrdiff_t;

// ---- scales -------------------------------------------------------------------------------------

// What a row stands for, and the value in the middle of the lowest row. Every other row has a
// number, a multiple of two steps, so that numbers are short.
struct Scale {
  double step = 1.0;
  double low = 0.0;
  std::size_t rows = 2;
  int decimals = 0;

  // Rows from the middle of the lowest one.
  [[nodiscard]] double place(double value) const { return (value - low) / step; }
};

Scale scale_of(double low, double high, double least_span, std::size_t most_rows) {
  const double lacking = std::max(least_span - (high - low), 0.0);
  low -= 0.5 * lacking;
  high += 0.5 * lacking;
  const auto power_of = [](double x) { return static_cast<int>(std::floor(std::log10(x))); };
  for (int power = power_of(high - low) - 2;; ++power) {
    for (const double lead : {1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0}) {
      Scale scale;
      scale.step = lead * std::pow(10.0, power);
      const double label = 2.0 * scale.step;
      scale.low = label * std::floor((low + 0.5 * scale.step) / label);
      const double rows = std::max(std::ceil(scale.place(high) - 0.5) + 1.0, 2.0);
      scale.decimals = std::max(-power, 0);
      if (rows <= static_cast<double>(most_rows)) {
        scale.rows = static_cast<std::size_t>(rows);
        return scale;
      }
    }
  }
}

struct TimeUnit {
  const char* name;
  double seconds;
  double longest;             // history in seconds for which it is used
  std::vector<double> steps;  // of numbers on the axis
};

const TimeUnit& unit_for(double length) {
  constexpr double infinite = std::numeric_limits<double>::infinity();
  static const std::array<TimeUnit, 4> units = {
      TimeUnit{"s",
               1.0,
               300.0,
               {0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100}},
      TimeUnit{"min", 60.0, 4.0 * 3600.0, {1, 2, 5, 10, 15, 20, 30, 60, 120}},
      TimeUnit{"h", 3600.0, 5.0 * 86400.0, {1, 2, 3, 4, 6, 12, 24, 48}},
      TimeUnit{"d", 86400.0, infinite, {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000}}};
  return *std::find_if(units.begin(), units.end(),
                       [length](const TimeUnit& unit) { return length <= unit.longest; });
}

// Numbers along the time axis and the columns that they belong to.
struct TimeAxis {
  std::string unit;
  std::vector<std::pair<std::size_t, std::string>> labels;
};

std::size_t column_of(double time, double from, double to) {
  const double share = (time - from) / (to - from);
  const double place = std::floor(share * static_cast<double>(columns));
  return static_cast<std::size_t>(std::clamp(place, 0.0, static_cast<double>(columns - 1)));
}

TimeAxis axis_for(double from, double to) {
  const TimeUnit& unit = unit_for(to - from);
  const double first = from / unit.seconds;
  const double last = to / unit.seconds;
  TimeAxis axis{unit.name, {}};
  for (const double step : unit.steps) {
    const int decimals = step < 1.0 ? static_cast<int>(std::ceil(-std::log10(step))) : 0;
    axis.labels.clear();
    std::size_t width = 0;
    // Binary fractions must not lose the last number.
    constexpr double slack = 1e-9;
    const double begin = std::ceil(first / step - slack);
    const double end = std::floor(last / step + slack);
    if (end - begin > static_cast<double>(columns)) {
      continue;
    }
    for (std::size_t i = 0; static_cast<double>(i) <= end - begin; ++i) {
      const double number = (begin + static_cast<double>(i)) * step;
      axis.labels.emplace_back(column_of(number * unit.seconds, from, to),
                               units::fixed_number(number, decimals));
      width = std::max(width, axis.labels.back().second.size());
    }
    constexpr std::size_t between = 4;
    if (axis.labels.size() * (width + between) <= columns + between) {
      break;
    }
  }
  return axis;
}

// ---- drawing ------------------------------------------------------------------------------------

constexpr std::size_t dots_across = 2;
constexpr std::size_t dots_down = 4;

// A grid of characters, row 0 lowest, each made of one dot or of the eight of a braille letter.
class Canvas {
 public:
  Canvas(std::size_t rows, bool ascii)
      : rows_(rows), ascii_(ascii), cells_(rows * columns), curve_(rows * columns) {}

  [[nodiscard]] std::size_t across() const { return columns * (ascii_ ? 1 : dots_across); }
  [[nodiscard]] std::size_t down() const { return rows_ * (ascii_ ? 1 : dots_down); }

  // Which dot a place in rows from the middle of the lowest one is.
  [[nodiscard]] Place dot_row(double place) const {
    const double dots = ascii_ ? 1.0 : static_cast<double>(dots_down);
    const double row = std::floor(place * dots + 0.5 * dots);
    return static_cast<Place>(std::clamp(row, 0.0, static_cast<double>(down() - 1)));
  }

  void set(std::size_t x, Place y, char letter, bool is_curve) {
    const auto from_below = static_cast<std::size_t>(y);
    if (ascii_) {
      Cell& cell = cells_[from_below * columns + x];
      cell = is_curve || cell == 0 ? static_cast<Cell>(letter) : cell;
      curve_[from_below * columns + x] = curve_[from_below * columns + x] || is_curve;
      return;
    }
    // Unicode counts dots from the top: 1 to 3 and 7 at the left, 4 to 6 and 8 at the right.
    constexpr std::array<std::array<unsigned, dots_down>, dots_across> bits = {
        {{0x40, 0x04, 0x02, 0x01}, {0x80, 0x20, 0x10, 0x08}}};
    const std::size_t cell = from_below / dots_down * columns + x / dots_across;
    cells_[cell] |= bits[x % dots_across][from_below % dots_down];
    curve_[cell] = curve_[cell] || is_curve;
  }

  // Puts a mark near a point: on the side it points from, else on the other, else over it.
  void mark(std::size_t column, std::size_t row, PlotMark::Kind kind) {
    const bool least = kind == PlotMark::Kind::least;
    std::size_t chosen = row;
    for (const bool above : {!least, least}) {  // the later one counts
      const bool fits = above ? row + 1 < rows_ : row > 0;
      if (fits && !curve_[(above ? row + 1 : row - 1) * columns + column]) {
        chosen = above ? row + 1 : row - 1;
      }
    }
    marks_.emplace_back(chosen * columns + column, least);
  }

  [[nodiscard]] std::string row_text(std::size_t row) const {
    std::string text;
    for (std::size_t column = 0; column < columns; ++column) {
      text += character(row * columns + column);
    }
    return text;
  }

 private:
  using Cell = std::uint32_t;

  [[nodiscard]] std::string character(std::size_t cell) const {
    for (const auto& [place, least] : marks_) {
      if (place == cell) {
        return ascii_ ? (least ? "v" : "^") : (least ? "↓" : "↑");
      }
    }
    const Cell dots = cells_[cell];
    if (dots == 0) {
      return " ";
    }
    if (ascii_) {
      return std::string(1, static_cast<char>(dots));
    }
    // U+2800 and the dots, in UTF-8.
    return {static_cast<char>(0xE2), static_cast<char>(0xA0U + (dots >> 6U)),
            static_cast<char>(0x80U + (dots & 0x3FU))};
  }

  std::size_t rows_;
  bool ascii_;
  std::vector<Cell> cells_;
  std::vector<bool> curve_;
  std::vector<std::pair<std::size_t, bool>> marks_;
};

// The dots of a curve in one column of dots, from below.
struct Stroke {
  Place low = 0;
  Place high = 0;
};

void extend(std::optional<Stroke>& stroke, Place dot) {
  if (stroke) {
    stroke->low = std::min(stroke->low, dot);
    stroke->high = std::max(stroke->high, dot);
  } else {
    stroke = Stroke{dot, dot};
  }
}

void draw(Canvas& canvas, const Scale& scale, const std::vector<double>& times,
          const PlotCurve& curve) {
  const double from = times.front();
  const double length = times.back() - from;
  const auto count = static_cast<double>(canvas.across());
  const auto column = [&](double time) {
    const double place = std::floor((time - from) / length * count);
    return static_cast<std::size_t>(std::clamp(place, 0.0, count - 1.0));
  };
  // Each value, and the line at the middle of each column, so that no peak is lost.
  std::vector<std::optional<Stroke>> strokes(canvas.across());
  for (std::size_t i = 0; i < times.size(); ++i) {
    if (std::isnan(curve.values[i])) {
      continue;
    }
    extend(strokes[column(times[i])], canvas.dot_row(scale.place(curve.values[i])));
    if (i + 1 == times.size() || std::isnan(curve.values[i + 1])) {
      continue;
    }
    for (std::size_t x = column(times[i]); x <= column(times[i + 1]); ++x) {
      const double middle = from + length * (static_cast<double>(x) + 0.5) / count;
      if (middle >= times[i] && middle <= times[i + 1] && times[i + 1] > times[i]) {
        const double value = std::lerp(curve.values[i], curve.values[i + 1],
                                       (middle - times[i]) / (times[i + 1] - times[i]));
        extend(strokes[x], canvas.dot_row(scale.place(value)));
      }
    }
  }
  std::optional<Stroke> before;
  std::size_t x = 0;
  for (const std::optional<Stroke>& own : strokes) {
    std::optional<Stroke> stroke = own;
    if (stroke && before) {  // a steep line has no gaps
      stroke->low = std::min(stroke->low, before->high + 1);
      stroke->high = std::max(stroke->high, before->low - 1);
    }
    for (Place y = stroke ? stroke->low : 1; y <= (stroke ? stroke->high : 0); ++y) {
      canvas.set(x, y, curve.letter, true);
    }
    before = own;
    ++x;
  }
}

void draw(Canvas& canvas, const Scale& scale, const PlotLevel& level) {
  const Place row = canvas.dot_row(scale.place(level.value));
  const std::size_t per_column = canvas.across() / columns;
  for (std::size_t x = 0; x < canvas.across(); ++x) {
    if (x / per_column % 2 == 0) {
      canvas.set(x, row, '-', false);
    }
  }
}

// ---- names --------------------------------------------------------------------------------------

// By row: what stands beside it. Where two want the same row, the later goes to the nearest free
// one.
class SideNames {
 public:
  explicit SideNames(std::size_t rows) : names_(rows) {}

  void add(const std::string& name, double place) {
    std::optional<std::size_t> nearest;
    const double wanted = std::floor(place + 0.5);
    const auto distance = [wanted](std::size_t row) {
      return std::abs(static_cast<double>(row) - wanted);
    };
    for (std::size_t row = 0; row < names_.size(); ++row) {
      if (names_[row].empty() && (!nearest || distance(row) < distance(*nearest))) {
        nearest = row;
      }
    }
    if (nearest) {
      names_[*nearest] = left(name, name_width);
    }
  }

  [[nodiscard]] const std::string& at(std::size_t row) const { return names_[row]; }

 private:
  std::vector<std::string> names_;
};

std::optional<double> last_value(const PlotCurve& curve) {
  const auto value = std::find_if(curve.values.rbegin(), curve.values.rend(),
                                  [](double one) { return !std::isnan(one); });
  return value == curve.values.rend() ? std::nullopt : std::optional(*value);
}

std::string trimmed(std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

std::string time_axis_lines(double from, double to, bool ascii) {
  const TimeAxis axis = axis_for(from, to);
  std::string line = std::string(number_width + 1, ' ') + (ascii ? "+" : "└");
  std::string numbers(number_width + 2, ' ');
  for (std::size_t column = 0; column < columns; ++column) {
    const bool has_number = std::any_of(axis.labels.begin(), axis.labels.end(),
                                        [column](const auto& at) { return at.first == column; });
    line += has_number ? (ascii ? "+" : "┬") : (ascii ? "-" : "─");
  }
  for (const auto& [column, number] : axis.labels) {
    const std::size_t middle = number_width + 2 + column;
    const std::size_t begin = middle - std::min(middle, number.size() / 2);
    if (begin + number.size() <= terminal_width - name_width && begin >= numbers.size()) {
      numbers.resize(begin, ' ');
      numbers += number;
    } else if (begin < numbers.size() && numbers.find_last_not_of(' ') == std::string::npos) {
      numbers.resize(begin);
      numbers += number;
    }
  }
  numbers.resize(std::max(numbers.size() + 1, terminal_width - name_width), ' ');
  return trimmed(line) + trimmed(numbers + axis.unit);
}

}  // namespace

std::string plot_text(const TimePlot& plot, bool ascii) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const PlotCurve& curve : plot.curves) {
    for (const double value : curve.values) {
      low = std::isnan(value) ? low : std::min(low, value);
      high = std::isnan(value) ? high : std::max(high, value);
    }
  }
  if (plot.times.size() < 2 || !(plot.times.back() > plot.times.front()) || !(low <= high)) {
    return "";
  }
  for (const PlotLevel& level : plot.levels) {
    low = std::min(low, level.value);
    high = std::max(high, level.value);
  }
  const Scale scale = scale_of(low, high, plot.least_span, plot.rows);
  Canvas canvas(scale.rows, ascii);
  SideNames names(scale.rows);
  for (const PlotLevel& level : plot.levels) {
    draw(canvas, scale, level);
    names.add(level.name, scale.place(level.value));
  }
  for (const PlotCurve& curve : plot.curves) {
    draw(canvas, scale, plot.times, curve);
    if (const auto value = last_value(curve)) {
      names.add(curve.name, scale.place(*value));
    }
  }
  for (const PlotMark& mark : plot.marks) {
    const double value = plot.curves[mark.curve].values[mark.moment];
    if (!std::isnan(value)) {
      const double row = std::floor(scale.place(value) + 0.5);
      const auto last = static_cast<double>(scale.rows - 1);
      canvas.mark(column_of(plot.times[mark.moment], plot.times.front(), plot.times.back()),
                  static_cast<std::size_t>(std::clamp(row, 0.0, last)), mark.kind);
    }
  }
  std::string out;
  for (std::size_t row = scale.rows; row-- > 0;) {
    const bool has_number = row % 2 == 0;
    const double number = scale.low + static_cast<double>(row) * scale.step;
    out += right(has_number ? units::fixed_number(number, scale.decimals) : "", number_width);
    out += ascii ? (has_number ? " +" : " |") : (has_number ? " ┤" : " │");
    out += trimmed(canvas.row_text(row) + " " + names.at(row));
  }
  return out + time_axis_lines(plot.times.front(), plot.times.back(), ascii);
}

}  // namespace lashband::report
