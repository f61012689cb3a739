#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <string>
#include <vector>

#include "failure_probability.hpp"
#include "judged_ends.hpp"
#include "lashband/report/text.hpp"
#include "lashband/units/plain_number.hpp"
#include "message_text.hpp"
#include "numbers.hpp"
#include "over_time_text.hpp"
#include "requirement_text.hpp"
#include "selection.hpp"
#include "shown_states.hpp"
#include "terminal_table.hpp"
#include "time_plot.hpp"
#include "time_text.hpp"

namespace lashband::report {
namespace {

using units::Length;
using units::Time;

// Rows of the table, unless more moments are named by requirements.
constexpr std::size_t moments_shown = 12;
// More curves cannot be told apart.
constexpr std::size_t curves_drawn = 6;
// Long histories have times in hours, minutes and seconds.
constexpr double longest_in_seconds = 600.0;

constexpr double none = std::numeric_limits<double>::quiet_NaN();

std::string band_word(design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return "nominal";
    case design::Basis::rss:
      return "RSS";
    case design::Basis::percentile:
      return "99.73 %";
    case design::Basis::worst_case:
      break;
  }
  return "worst case";
}

Time time_of(const design::BacklashResult& result, const design::MeshState& at) {
  return result.states[at.state].time.value_or(Time());
}

std::vector<double> seconds_of(const std::vector<design::State>& states) {
  std::vector<double> seconds;
  seconds.reserve(states.size());
  for (const design::State& state : states) {
    seconds.push_back(state.time.value_or(Time()).value());
  }
  return seconds;
}

// A limit of j_wt.
struct Limit {
  std::string text;
  double value = 0.0;
  bool met = true;
};

class MeshOverTime {
 public:
  MeshOverTime(const design::HistoryResult& history, const design::MeshResult& mesh,
               const std::vector<std::string>& zones, const View& view)
      : history_(history), mesh_(mesh), zones_(zones), view_(view), numbers_(view.units) {}

  [[nodiscard]] std::string text() const {
    if (mesh_.states.empty()) {
      return "mesh " + printable(mesh_.id) + ": no moment could be computed\n";
    }
    return plot() + "\n" + table() + sampled();
  }

 private:
  [[nodiscard]] bool has_band() const { return mesh_.basis != design::Basis::nominal; }

  // Value of j_wt at every moment of the history.
  template <class Of>
  [[nodiscard]] std::vector<double> over_time(const Of& of) const {
    std::vector<double> values(history_.backlash.states.size(), none);
    for (const design::MeshState& at : mesh_.states) {
      values[at.state] = numbers_.gap_number(of(at.gap.j_wt, mesh_.basis));
    }
    return values;
  }

  [[nodiscard]] std::vector<Limit> limits() const {
    std::vector<Limit> all;
    for (const design::RequirementOverTime& one : history_.requirements) {
      const design::RequirementRow& row = one.row;
      if (row.mesh == mesh_.id &&
          (row.what == "least_backlash" || row.what == "greatest_backlash")) {
        const auto limit = units::from_si<Length>(row.limit);
        const std::string sign = !view_.ascii                   ? limit_sign(row)
                                 : row.what == "least_backlash" ? ">= "
                                                                : "<= ";
        all.push_back({sign + numbers_.gap(limit), numbers_.gap_number(limit), row.met});
      }
    }
    return all;
  }

  [[nodiscard]] std::string plot() const {
    TimePlot plot;
    plot.times = seconds_of(history_.backlash.states);
    const std::vector<double> low = over_time(judged_low);
    const std::vector<double> high = over_time(judged_high);
    if (has_band()) {
      plot.curves = {{"high", '+', high}, {"low", 'o', low}};
    } else {
      plot.curves = {{"nominal", 'o', low}};
    }
    const bool inch = view_.units == UnitSystem::inch;
    constexpr double least_span_in_um = 1.0;
    constexpr double least_span_in_thou = 0.1;
    plot.least_span = inch ? least_span_in_thou : least_span_in_um;
    std::string text = "mesh " + printable(mesh_.id) + ": backlash j_wt in " + numbers_.gap_unit() +
                       ", " + (has_band() ? "ends of the " + band_word(mesh_.basis) : "nominal") +
                       (has_band() && mesh_.basis != design::Basis::worst_case ? " band" : "");
    if (mesh_.least && mesh_.greatest) {
      const design::MeshState& least = mesh_.states[*mesh_.least];
      const design::MeshState& greatest = mesh_.states[*mesh_.greatest];
      plot.marks = {{PlotMark::Kind::least, plot.curves.size() - 1, least.state},
                    {PlotMark::Kind::greatest, 0, greatest.state}};
      text += std::string("; ") + (view_.ascii ? "v" : "↓") + " least " +
              numbers_.gap(judged_low(least.gap.j_wt, mesh_.basis)) + " at " +
              time_words(time_of(history_.backlash, least)) + ", " + (view_.ascii ? "^" : "↑") +
              " greatest " + numbers_.gap(judged_high(greatest.gap.j_wt, mesh_.basis)) + " at " +
              time_words(time_of(history_.backlash, greatest));
    }
    text += add_limits(plot);
    return wrapped(text, 2) + plot_text(plot, view_.ascii);
  }

  // Draws the limits that are near; tells those that are far off, where the curves would be flat.
  [[nodiscard]] std::string add_limits(TimePlot& plot) const {
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    for (const PlotCurve& curve : plot.curves) {
      for (const double value : curve.values) {
        low = std::isnan(value) ? low : std::min(low, value);
        high = std::isnan(value) ? high : std::max(high, value);
      }
    }
    // Farther than that, a limit would leave the curves less than half the rows.
    const double near = 0.5 * std::max(high - low, plot.least_span);
    std::string far;
    for (const Limit& limit : limits()) {
      if (!limit.met || (limit.value >= low - near && limit.value <= high + near)) {
        plot.levels.push_back({limit.text, limit.value});
      } else {
        far += far.empty() ? "; beyond the plot: " : ", ";
        far += limit.text;
      }
    }
    return far;
  }

  // The moments at which a requirement of the mesh begins or ceases to hold.
  [[nodiscard]] std::vector<Time> wanted() const {
    constexpr std::size_t spans_shown = 3;
    std::vector<Time> times;
    for (const design::RequirementOverTime& one : history_.requirements) {
      for (std::size_t i = 0; one.row.mesh == mesh_.id && i < one.violated.size(); ++i) {
        if (i < spans_shown) {
          times.push_back(one.violated[i].from);
          times.push_back(one.violated[i].to);
        }
      }
    }
    return times;
  }

  [[nodiscard]] bool has_joint() const {
    const auto& states = history_.backlash.carrier_states;
    return std::any_of(states.begin(), states.end(),
                       [](const auto& at) { return at.carrier.joint_force.has_value(); });
  }

  [[nodiscard]] bool has_squeeze() const {
    const auto& states = history_.backlash.carrier_states;
    return std::any_of(states.begin(), states.end(),
                       [](const auto& at) { return at.carrier.squeeze_left.has_value(); });
  }

  [[nodiscard]] bool in_seconds() const {
    return std::max(std::abs(history_.start.value()), std::abs(history_.end.value())) <=
           longest_in_seconds;
  }

  [[nodiscard]] std::string time_cell(Time time) const {
    if (in_seconds()) {
      return seconds_text(time);
    }
    constexpr long long seconds_per_hour = 3600;
    const long long seconds = std::llround(std::abs(time.value()));
    const auto two = [](long long number) {
      return (number < 10 ? ":0" : ":") + std::to_string(number);
    };
    return (time.value() < 0.0 ? "-" : "") + std::to_string(seconds / seconds_per_hour) +
           two(seconds / 60 % 60) + two(seconds % 60);
  }

  [[nodiscard]] std::string table() const {
    constexpr std::size_t time_width = 9;
    constexpr std::size_t zone_width = 7;
    constexpr std::size_t a_width = 9;
    constexpr std::size_t gap_width = 8;
    constexpr std::size_t joint_width = 8;
    const bool joint = has_joint();
    const bool squeeze = has_squeeze();
    const std::size_t taken = 2 + time_width + a_width + gap_width + (has_band() ? 14U : 0U) +
                              (joint ? joint_width : 0U) + (squeeze ? joint_width : 0U);
    const std::size_t zones = std::min(zones_.size(), (terminal_width - taken) / zone_width);

    std::string group(2 + time_width + zones * zone_width + a_width, ' ');
    std::string head = "  " + right("time", time_width);
    std::string unit = "  " + right(in_seconds() ? "s" : "h:mm:ss", time_width);
    for (std::size_t zone = 0; zone < zones; ++zone) {
      std::string name = left(printable(zones_[zone]), zone_width - 1);
      name.erase(name.find_last_not_of(' ') + 1);
      head += right(name, zone_width);
      unit += right(numbers_.level_unit(), zone_width);
    }
    head += right("a", a_width) + right("nominal", gap_width);
    unit += right(numbers_.distance_unit(), a_width) + right(numbers_.gap_unit(), gap_width);
    group += right("j_wt", gap_width);
    if (has_band()) {
      group += right(band_word(mesh_.basis), 14);
      head += right("low", 7) + right("high", 7);
      unit += right(numbers_.gap_unit(), 7) + right(numbers_.gap_unit(), 7);
    }
    group += joint ? right("joint", joint_width) : "";
    head += joint ? right("force", joint_width) : "";
    unit += joint ? right(numbers_.force_unit(), joint_width) : "";
    group += squeeze ? right("squeeze", joint_width) : "";
    head += squeeze ? right("left", joint_width) : "";
    unit += squeeze ? right(numbers_.gap_unit(), joint_width) : "";
    std::string out = group + "\n" + head + "\n" + unit + "\n";

    std::vector<std::size_t> all;
    all.reserve(mesh_.states.size());
    for (std::size_t place = 0; place < mesh_.states.size(); ++place) {
      all.push_back(place);
    }
    const std::set<std::size_t> shown =
        telling_places(history_.backlash, mesh_, all, wanted(), moments_shown);
    for (const std::size_t place : shown) {
      const design::MeshState& at = mesh_.states[place];
      const design::State& state = history_.backlash.states[at.state];
      out += mark(place) + right(time_cell(time_of(history_.backlash, at)), time_width);
      for (std::size_t zone = 0; zone < zones; ++zone) {
        out += right(numbers_.level(state.temperatures.by_zone()[zone]), zone_width);
      }
      const auto& j = at.gap.j_wt;
      out += right(numbers_.distance(at.a), a_width) +
             right(numbers_.narrow_gap(j.nominal), gap_width);
      if (has_band()) {
        out += right(numbers_.narrow_gap(judged_low(j, mesh_.basis)), 7) +
               right(numbers_.narrow_gap(judged_high(j, mesh_.basis)), 7);
      }
      const thermal::CarrierState* carrier = carrier_at(history_.backlash, at.state);
      if (joint) {
        out +=
            right(carrier != nullptr && carrier->joint_force ? numbers_.force(*carrier->joint_force)
                                                             : "-",
                  joint_width);
      }
      if (squeeze) {
        out += right(carrier != nullptr && carrier->squeeze_left
                         ? numbers_.narrow_gap(*carrier->squeeze_left)
                         : "-",
                     joint_width);
      }
      out += "\n";
    }
    std::string left_out;
    if (shown.size() < all.size()) {
      left_out =
          std::to_string(shown.size()) + " of " + std::to_string(all.size()) + " moments shown";
    }
    if (zones < zones_.size()) {
      left_out += (left_out.empty() ? "" : ", ") + std::to_string(zones) + " of " +
                  std::to_string(zones_.size()) + " zones";
      left_out += shown.size() < all.size() ? "" : " shown";
    }
    return out + (left_out.empty() ? "" : wrapped("  " + left_out + "; CSV and JSON have all", 2));
  }

  // How likely a unit fails at some moment, where that was sampled.
  [[nodiscard]] std::string sampled() const {
    std::string text;
    for (const Fault fault : all_faults) {
      if (const auto over_all = anywhere(mesh_, fault)) {
        text += text.empty() ? "  a built unit anywhere in this history: " : ", ";
        text += std::string(fault_phrase(fault)) + " " + sampled_text(*over_all);
      }
    }
    return text.empty() ? "" : wrapped(text, 4);
  }

  [[nodiscard]] std::string mark(std::size_t place) const {
    const bool least = mesh_.least && *mesh_.least == place;
    const bool greatest = mesh_.greatest && *mesh_.greatest == place;
    return least && greatest ? "↕ " : least ? "↓ " : greatest ? "↑ " : "  ";
  }

  const design::HistoryResult& history_;
  const design::MeshResult& mesh_;
  const std::vector<std::string>& zones_;
  const View& view_;
  Numbers numbers_;
};

std::string temperature_plot(const design::HistoryResult& history,
                             const std::vector<std::string>& zones, const View& view) {
  const Numbers numbers(view.units);
  TimePlot plot;
  plot.times = seconds_of(history.backlash.states);
  constexpr std::size_t temperature_rows = 8;
  plot.rows = temperature_rows;
  const std::size_t drawn = std::min(zones.size(), curves_drawn);
  for (std::size_t zone = 0; zone < drawn; ++zone) {
    PlotCurve curve;
    curve.letter = static_cast<char>('a' + static_cast<int>(zone));
    curve.name = printable(zones[zone]);
    if (view.ascii) {
      curve.name = std::string(1, curve.letter) + " " + curve.name;
    }
    curve.values.reserve(plot.times.size());
    for (const design::State& state : history.backlash.states) {
      curve.values.push_back(numbers.level_number(state.temperatures.by_zone()[zone]));
    }
    plot.curves.push_back(std::move(curve));
  }
  const std::string text = plot_text(plot, view.ascii);
  if (text.empty()) {
    return "";
  }
  const std::string some = drawn < zones.size() ? ", the first " + std::to_string(drawn) + " of " +
                                                      std::to_string(zones.size()) + " zones"
                                                : "";
  return wrapped(std::string("temperatures in ") + numbers.level_unit() + some, 2) + text + "\n";
}

std::string history_text(const design::WarmupResult& result, const design::HistoryResult& history,
                         const View& view) {
  std::string out =
      wrapped("history " + printable(history.id) + ": " + history_words(history), 2) + "\n";
  out += temperature_plot(history, result.zones, view);
  for (const design::MeshResult& mesh : history.backlash.meshes) {
    if (shows_mesh(view, mesh.id)) {
      out += MeshOverTime(history, mesh, result.zones, view).text() + "\n";
    }
  }
  out += requirements_over_time(history, view);
  const std::string heat = heat_lines(history);
  return out + (heat.empty() ? "" : "\n" + heat);
}

}  // namespace

std::string text(const design::WarmupResult& result, const View& view) {
  std::string out = title_lines(result.input);
  out += wrapped("carrier: " + printable(result.carrier), 2);
  out += wrapped(
      "j_wt over time, at the mid of every tolerance (nominal) and at the ends of the band that "
      "the mesh is judged on; ↓ ↑: least and greatest of the history",
      0);
  std::vector<design::RequirementRow> rows;
  for (const design::HistoryResult& history : result.histories) {
    if (shows_history(view, history)) {
      out += "\n" + history_text(result, history, view);
    }
    rows.insert(rows.end(), history.backlash.requirements.begin(),
                history.backlash.requirements.end());
  }
  const std::string count = requirement_count(rows);
  if (!count.empty()) {
    out += "\n" + count.substr(0, count.size() - 1) +
           (result.histories.size() == 1 ? " over the history\n" : " over all histories\n");
  }
  for (const design::HistoryResult& history : result.histories) {
    if (history.backlash.sampling) {
      out += sampling_line(history.backlash.sampling);
      break;
    }
  }
  out += failure_lines(result.failures);
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
