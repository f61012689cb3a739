#include "io/schedule_reader.hpp"

#include <cmath>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "lashband/units/format.hpp"

namespace lashband::io {
namespace {

/// A jump is made of two points at one time; a third would say nothing.
constexpr std::size_t most_points_at_one_time = 2;

template <class Q>
constexpr bool is_number = std::is_same_v<Q, units::Ratio>;

template <class Q>
std::optional<Q> read_value(const Field& field, const ValueRule& rule) {
  if constexpr (is_number<Q>) {
    const auto number = read_number(field, rule);
    return number ? std::optional(Q::from_value(*number)) : std::nullopt;
  } else {
    return read_quantity<Q>(field, rule);
  }
}

/// What is wrong with a time behind those before it, or nothing.
class TimeOrder {
 public:
  [[nodiscard]] std::string fault(double time) {
    const bool is_first = count_ == 0;
    if (!is_first && time < last_) {
      return "allowed is a time that is not before the one above it, " + in_seconds(last_);
    }
    count_ = !is_first && time == last_ ? count_ + 1 : 1;
    last_ = time;
    return count_ > most_points_at_one_time
               ? "allowed are two points at one time, between which the value jumps"
               : std::string();
  }

 private:
  [[nodiscard]] static std::string in_seconds(double time) {
    return units::format(units::Time::from_value(time), "s");
  }

  std::size_t count_ = 0;
  double last_ = 0.0;
};

template <class Q>
std::optional<heat::SchedulePoint<Q>> read_point(const Field& entry, const ValueRule& rule,
                                                 TimeOrder& order) {
  const auto pair = read_list(
      entry, "a point, a list of a time and " + std::string(rule.allowed) + " at that time", 2, 2);
  if (!pair) {
    return std::nullopt;
  }
  const Field& time_field = pair->front();
  const auto time = read_quantity<units::Time>(time_field, {"a time", rules::any});
  const auto value = read_value<Q>(pair->back(), rule);
  if (!time) {
    return std::nullopt;
  }
  const std::string fault = order.fault(time->value());
  if (!fault.empty()) {
    time_field.report("read " + time_field.as_read() + "; " + fault);
    return std::nullopt;
  }
  return value ? std::optional(heat::SchedulePoint<Q>{*time, *value}) : std::nullopt;
}

template <class Q>
std::optional<heat::Schedule<Q>> read_points(const Field& field, const ValueRule& rule) {
  const auto entries =
      read_list(field, "a list of 2 to 10000 points, each a time and " + std::string(rule.allowed),
                fewest_schedule_points, most_schedule_points);
  if (!entries) {
    return std::nullopt;
  }
  std::vector<heat::SchedulePoint<Q>> points;
  points.reserve(entries->size());
  TimeOrder order;
  for (const Field& entry : *entries) {
    if (const auto point = read_point<Q>(entry, rule, order)) {
      points.push_back(*point);
    }
  }
  return points.size() == entries->size() ? std::optional(heat::Schedule<Q>(points)) : std::nullopt;
}

/// Checks times and values of two columns, each at its line.
bool check_columns(MeasuredFiles& files, const MeasuredTable& table,
                   const std::vector<double>& times, const std::vector<double>& values,
                   const std::string& name, const ValueRule& rule) {
  bool good = true;
  TimeOrder order;
  const auto report = [&](std::size_t row, std::string message) {
    files.add_problem({table.file, table.line_of(row), 1, "", std::move(message)});
    good = false;
  };
  std::size_t found = 0;
  for (std::size_t row = 0; row < times.size() && found < most_table_problems; ++row) {
    const std::string fault = order.fault(times[row]);
    if (!fault.empty()) {
      report(row, "column time: read " + units::format(units::Time::from_value(times[row]), "s") +
                      "; " + fault);
      ++found;
    }
    if (!rule.holds(values[row])) {
      report(row, "column " + shown(name) + ": allowed is " + std::string(rule.allowed));
      ++found;
    }
  }
  return good;
}

template <class Q>
std::optional<heat::Schedule<Q>> read_columns(MeasuredFiles& files, const Field& field,
                                              const ValueRule& rule) {
  auto object = read_object(field, "an object with file and column");
  if (!object) {
    return std::nullopt;
  }
  const Field file_field = object->required("file");
  const auto file_name = read_file_name(file_field);
  const auto column_name =
      read_name(object->required("column"), "the name of a column of the file");
  object->refuse_unknown_keys();
  const MeasuredTable* table = file_name ? files.find(file_field) : nullptr;
  if (table == nullptr || !column_name) {
    return std::nullopt;
  }
  const auto time_column = find_column(files, *table, std::string(time_column_name));
  const auto value_column = find_column(files, *table, *column_name);
  const auto times =
      time_column ? read_column<units::Time>(files, *table, *time_column) : std::nullopt;
  const auto values = value_column ? read_column<Q>(files, *table, *value_column) : std::nullopt;
  if (!times || !values || !check_columns(files, *table, *times, *values, *column_name, rule)) {
    return std::nullopt;
  }
  std::vector<heat::SchedulePoint<Q>> points;
  points.reserve(times->size());
  for (std::size_t row = 0; row < times->size(); ++row) {
    points.push_back({units::Time::from_value((*times)[row]), Q::from_value((*values)[row])});
  }
  return heat::Schedule<Q>(points);
}

}  // namespace

template <class Q>
std::optional<heat::Schedule<Q>> read_schedule(MeasuredFiles& files, const Field& field,
                                               const ValueRule& rule) {
  const json::Value& value = field.value();
  if (std::holds_alternative<json::List>(value.data)) {
    return read_points<Q>(field, rule);
  }
  if (std::holds_alternative<json::Object>(value.data)) {
    return read_columns<Q>(files, field, rule);
  }
  if (std::holds_alternative<double>(value.data) ||
      (!is_number<Q> && std::holds_alternative<std::string>(value.data))) {
    const auto constant = read_value<Q>(field, rule);
    return constant ? std::optional(heat::Schedule<Q>(*constant)) : std::nullopt;
  }
  field.refuse(std::string(rule.allowed) +
               ", a list of points in time, or an object with file and column");
  return std::nullopt;
}

template std::optional<heat::Schedule<units::Temperature>> read_schedule(MeasuredFiles&,
                                                                         const Field&,
                                                                         const ValueRule&);
template std::optional<heat::Schedule<units::AngularVelocity>> read_schedule(MeasuredFiles&,
                                                                             const Field&,
                                                                             const ValueRule&);
template std::optional<heat::Schedule<units::Power>> read_schedule(MeasuredFiles&, const Field&,
                                                                   const ValueRule&);
template std::optional<heat::Schedule<units::Ratio>> read_schedule(MeasuredFiles&, const Field&,
                                                                   const ValueRule&);

}  // namespace lashband::io
