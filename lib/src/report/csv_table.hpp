#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"
#include "lashband/units/format.hpp"

// What tables of comma-separated values of several analyses are put together from.
namespace lashband::report {

/// One table: fields are quoted where RFC 4180 asks for it.
class CsvTable {
 public:
  void field(std::string_view text);
  void number(double value);
  void truth(bool value) { field(value ? "true" : "false"); }
  void blank() { field(""); }
  void blanks(int count) {
    for (int i = 0; i < count; ++i) {
      blank();
    }
  }
  void end_row() {
    text_ += "\r\n";
    at_start_ = true;
  }
  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  void separate() {
    if (!at_start_) {
      text_ += ',';
    }
    at_start_ = false;
  }
  std::string text_;
  bool at_start_ = true;
};

/// Writes quantities in the units of the view.
class CsvWriter {
 public:
  explicit CsvWriter(UnitSystem units) : inch_(units == UnitSystem::inch) {}

  [[nodiscard]] std::string length_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [in]" : " [mm]");
  }
  [[nodiscard]] std::string force_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [lbf]" : " [N]");
  }
  [[nodiscard]] std::string torque_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [lbf ft]" : " [N m]");
  }
  [[nodiscard]] std::string level_head(std::string_view name) const {
    return std::string(name) + (inch_ ? " [degF]" : " [degC]");
  }
  void put(CsvTable& table, units::Length length) const {
    table.number(inch_ ? units::value_in(length, "in") : units::value_in(length, "mm"));
  }
  void put(CsvTable& table, units::Force force) const {
    table.number(inch_ ? units::value_in(force, "lbf") : units::value_in(force, "N"));
  }
  /// By name: a torque has the dimension of energy.
  void put_torque(CsvTable& table, units::Torque torque) const {
    table.number(inch_ ? units::value_in(torque, "lbf ft") : units::value_in(torque, "N m"));
  }
  void put(CsvTable& table, units::Temperature level) const {
    table.number(inch_ ? units::value_in(level, "degF") : units::value_in(level, "degC"));
  }
  static void put(CsvTable& table, units::Time time) { table.number(units::value_in(time, "s")); }
  static void put(CsvTable& table, units::Angle angle) {
    table.number(units::value_in(angle, "rad"));
  }
  static void put(CsvTable& table, units::Frequency frequency) {
    table.number(units::value_in(frequency, "Hz"));
  }
  static void put(CsvTable& table, units::AngularVelocity speed) {
    table.number(units::value_in(speed, "rpm"));
  }
  template <class Q>
  void put(CsvTable& table, const std::optional<Q>& maybe) const {
    if (maybe) {
      put(table, *maybe);
    } else {
      table.blank();
    }
  }
  static void put(CsvTable& table, const std::optional<double>& maybe) {
    if (maybe) {
      table.number(*maybe);
    } else {
      table.blank();
    }
  }
  /// Nominal and worst case, the columns of `plain_band_heads`.
  template <class Q>
  void put_plain(CsvTable& table, const design::ResultBand<Q>& band) const {
    put(table, band.nominal);
    put(table, band.low);
    put(table, band.high);
  }
  template <class Q>
  void put_plain(CsvTable& table, const std::optional<design::ResultBand<Q>>& band) const {
    if (band) {
      put_plain(table, *band);
    } else {
      table.blanks(3);
    }
  }
  template <class Q>
  void put(CsvTable& table, const std::optional<design::Percentiles<Q>>& values) const {
    if (values) {
      put(table, values->low);
      put(table, values->mid);
      put(table, values->high);
    } else {
      table.blanks(3);
    }
  }
  /// The columns of `band_heads`.
  template <class Q>
  void put(CsvTable& table, const design::ResultBand<Q>& band) const {
    put_plain(table, band);
    put(table, band.rss_low);
    put(table, band.rss_high);
    put(table, band.least);
    put(table, band.greatest);
  }
  template <class Q>
  void put(CsvTable& table, const std::optional<design::ResultBand<Q>>& band) const {
    if (band) {
      put(table, *band);
    } else {
      table.blanks(11);
    }
  }

 private:
  bool inch_;
};

/// The columns of a band: of a name that begins with phi or lost_motion in rad, else a length.
void plain_band_heads(CsvTable& table, const CsvWriter& write, std::string_view name);
void band_heads(CsvTable& table, const CsvWriter& write, std::string_view name);
/// Such columns with ends of one's own.
void heads(CsvTable& table, const CsvWriter& write, std::string_view name,
           std::initializer_list<const char*> ends);

inline constexpr const char* time_head = "time [s]";

/// The columns of a state's name.
void put_state(CsvTable& table, const CsvWriter& write, const design::State& state);
void put_state(CsvTable& table, const CsvWriter& write, const std::vector<design::State>& states,
               const std::string& id);

/// The ids in one field: "A-B, B-C, C-A".
[[nodiscard]] std::string listed(const std::vector<std::string>& ids);

}  // namespace lashband::report
