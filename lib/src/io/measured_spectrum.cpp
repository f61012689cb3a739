#include "lashband/io/measured_spectrum.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/measured_table.hpp"
#include "io/shown_text.hpp"
#include "io/table_number.hpp"
#include "io/table_text.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/nearest_name.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/rotation.hpp"

namespace lashband::io {
namespace {

using design::MeasuredInput;

/// The fewest rows in which a peak can be told.
constexpr std::size_t fewest_rows = 5;

constexpr HeadExample head_example{
    .lines = R"("frequency [Hz],amplitude [mm/s]" or "order,amplitude [mm/s]")",
    .head = "frequency [Hz]"};

constexpr std::string_view right_columns =
    "needed are two columns, frequency with its unit, or order, and an amplitude, such as "
    "\"frequency [Hz],amplitude [mm/s]\"";

/// Letters of A-Z in small.
std::string in_small_letters(std::string text) {
  for (char& c : text) {
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return text;
}

std::optional<MeasuredInput::Axis> axis_of(const MeasuredTable& table) {
  const std::string name = in_small_letters(table.heads.front().name);
  return name == "frequency" ? std::optional(MeasuredInput::Axis::frequency)
         : name == "order"   ? std::optional(MeasuredInput::Axis::order)
                             : std::nullopt;
}

MeasuredInput::Axis checked_axis(const MeasuredTable& table, TableProblems& problems) {
  const auto axis = axis_of(table);
  if (!axis) {
    const std::string& name = table.heads.front().name;
    const auto nearest = nearest_name(name, {"frequency", "order"});
    problems.refuse(table.head_line, table.head_columns.front(),
                    "the first column is " + in_quotes(name) +
                        (nearest ? "; did you mean " + in_quotes(*nearest) + "?" : "") + "; " +
                        std::string(right_columns));
  }
  if (table.heads.size() != 2) {
    const std::size_t place = table.heads.size() < 2 ? 0 : 2;
    problems.refuse(table.head_line, table.head_columns[place],
                    "the head names " + std::to_string(table.heads.size()) +
                        (table.heads.size() == 1 ? " column; " : " columns; ") +
                        std::string(right_columns));
  }
  if (table.rows() < fewest_rows) {
    problems.refuse(table.head_line, 1,
                    "there are " + std::to_string(table.rows()) +
                        " rows below the head; a peak takes 5 or more");
  }
  return *axis;
}

/// Frequencies in Hz, whether they are written as such or as speeds of rotation.
std::vector<double> frequencies(MeasuredTable& table) {
  ColumnHead& head = table.heads.front();
  if (in_small_letters(head.unit) == "cpm") {
    head.unit = "1/min";
  }
  try {
    return column_in_si<units::Frequency>(table, 0);
  } catch (const InputErrors& as_frequency) {
    std::vector<double> speeds;
    try {
      speeds = column_in_si<units::AngularVelocity>(table, 0);
    } catch (const InputErrors&) {
      throw as_frequency;  // which says what is wrong with it
    }
    for (double& value : speeds) {
      value = units::frequency(units::from_si<units::AngularVelocity>(value)).value();
    }
    return speeds;
  }
}

bool is_level(const ColumnHead& head) {
  return head.unit.substr(0, 2) == "dB";
}

/// Levels as amplitudes.
void convert_levels(MeasuredTable& table, TableProblems& problems) {
  std::vector<double>& values = table.columns[1];
  for (std::size_t row = 0; row < values.size(); ++row) {
    const double level = values[row];
    values[row] = std::pow(10.0, level / 20.0);
    if (!std::isfinite(values[row])) {
      problems.report(table.line_of(row), 1, [&] {
        return column_named(table.heads[1]) + ": a level of " + number_text(level) +
               " dB is beyond the range of numbers; allowed are up to 6000 dB";
      });
    }
  }
}

void check_not_below_zero(const MeasuredTable& table, std::size_t column, const char* what,
                          TableProblems& problems) {
  const std::vector<double>& values = table.columns[column];
  for (std::size_t row = 0; row < values.size(); ++row) {
    if (!(values[row] >= 0.0)) {
      problems.report(table.line_of(row), 1, [&] {
        return column_named(table.heads[column]) + ": read " + number_text(values[row]) +
               "; allowed is " + what + " of 0 or more" +
               (column == 1 ? ", or levels with the unit dB in the head" : "");
      });
    }
  }
}

}  // namespace

MeasuredInput measured_spectrum(const std::filesystem::path& file) {
  MeasuredTable table = read_measured_table(file, file.string(), {}, head_example);
  TableProblems problems(table.file);
  MeasuredInput input;
  input.file = table.file;
  input.axis = checked_axis(table, problems);
  check_rising(table, 0);
  check_not_below_zero(table, 0, "a number", problems);
  if (is_level(table.heads[1])) {
    convert_levels(table, problems);
  } else {
    check_not_below_zero(table, 1, "an amplitude", problems);
  }
  problems.throw_if_any();
  const std::vector<double>& amplitudes = table.columns[1];
  const bool all_equal =
      std::all_of(amplitudes.begin(), amplitudes.end(),
                  [&amplitudes](double value) { return value == amplitudes.front(); });
  if (all_equal) {
    problems.refuse(table.first_line, 1,
                    column_named(table.heads[1]) +
                        ": every row has the same amplitude; there is no peak to find");
  }
  const std::vector<double> axis = input.axis == MeasuredInput::Axis::order
                                       ? column_in_si<units::Ratio>(table, 0)
                                       : frequencies(table);
  input.spectrum.frequency.reserve(axis.size());
  for (const double value : axis) {
    input.spectrum.frequency.push_back(units::from_si<units::Frequency>(value));
  }
  input.spectrum.amplitude = std::move(table.columns[1]);
  return input;
}

}  // namespace lashband::io
