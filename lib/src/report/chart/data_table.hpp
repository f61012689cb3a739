#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lashband/report/view.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"
#include "report/angle_text.hpp"

// The numbers behind charts. A table holds each number once: as text for the reader, and with every
// digit in the unit of the JSON results; charts are drawn from the same numbers.
namespace lashband::report {

/// At which ends of a history the numbers of a column are told.
enum class EndsTold { both, least, greatest };

/// A column of names, or of numbers. shown = value * scale + offset.
struct Column {
  std::string field{};  ///< its name in charts and in CSV: "j_wt_nominal"
  std::string head{};   ///< what the reader sees, without unit
  bool numeric = false;
  std::string unit{};        ///< of the values; empty for a ratio
  std::string shown_unit{};  ///< of the numbers shown
  double scale = 1.0;
  double offset = 0.0;
  EndsTold ends = EndsTold::both;

  /// The head with the unit behind it: "nominal [µm]".
  [[nodiscard]] std::string head_with_unit() const;
  /// The same column, told at that end alone.
  [[nodiscard]] Column told_at(EndsTold end) const;
};

/// A text, a number, or nothing.
struct Cell {
  std::string shown{};
  std::optional<double> value{};
};

struct DataTable {
  std::string id{};     ///< "data-mesh-1", unique in a page
  std::string title{};  ///< what it holds, in words
  std::string file{};   ///< name of its CSV file
  std::vector<Column> columns{};
  std::vector<std::vector<Cell>> rows{};
};

/// The unit in which times of a length are easily read: s, min or h, with as many decimals as tell
/// a 2000th of the length, to a millisecond at most.
struct TimeScale {
  const char* unit = "s";
  double seconds = 1.0;
  int decimals = 0;
};
[[nodiscard]] TimeScale time_scale(units::Time length);

/// "2.35 min".
[[nodiscard]] std::string time_text(units::Time time, const TimeScale& scale);

/// Columns and cells in the units of a view. The digits are those of the tables on a terminal.
class Measures {
 public:
  explicit Measures(UnitSystem units) : units_(units) {}

  [[nodiscard]] UnitSystem units() const { return units_; }

  [[nodiscard]] static Column text(std::string field, std::string head);
  [[nodiscard]] static Column ratio(std::string field, std::string head);
  [[nodiscard]] static Column share(std::string field, std::string head);  ///< shown in percent
  [[nodiscard]] Column gap(std::string field, std::string head) const;
  [[nodiscard]] Column distance(std::string field, std::string head) const;
  [[nodiscard]] Column clearance(std::string field, std::string head) const;
  [[nodiscard]] Column force(std::string field, std::string head) const;
  [[nodiscard]] static Column time(std::string field, std::string head, const TimeScale& scale);
  [[nodiscard]] Column level(std::string field, std::string head) const;
  [[nodiscard]] static Column angle(std::string field, std::string head, const AngleScale& scale);
  [[nodiscard]] static Column speed(std::string field, std::string head);
  [[nodiscard]] static Column frequency(std::string field, std::string head);

  [[nodiscard]] static Cell text_cell(std::string_view text);
  [[nodiscard]] static Cell ratio_cell(double ratio);
  [[nodiscard]] static Cell share_cell(double share);
  [[nodiscard]] static Cell probability_cell(const std::optional<double>& probability,
                                             bool sampled);
  [[nodiscard]] static Cell time_cell(units::Time time, const TimeScale& scale);
  [[nodiscard]] Cell gap_cell(const std::optional<units::Length>& gap) const;
  [[nodiscard]] Cell distance_cell(units::Length distance) const;
  [[nodiscard]] Cell clearance_cell(units::Length clearance) const;
  [[nodiscard]] Cell force_cell(const std::optional<units::Force>& force) const;
  [[nodiscard]] Cell level_cell(const std::optional<units::Temperature>& level) const;
  [[nodiscard]] static Cell count_cell(long long count);
  /// Numbers of any size below each other: seven significant digits.
  [[nodiscard]] static Cell order_cell(const std::optional<double>& order);
  [[nodiscard]] static Cell angle_cell(const std::optional<units::Angle>& angle,
                                       const AngleScale& scale);
  [[nodiscard]] static Cell speed_cell(const std::optional<units::AngularVelocity>& speed);
  [[nodiscard]] static Cell frequency_cell(const std::optional<units::Frequency>& frequency);

 private:
  UnitSystem units_;
};

}  // namespace lashband::report
