#include "joint_over_time.hpp"

#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "thinning.hpp"

namespace lashband::report {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();

// A number of the joint, if it has it.
using JointValue = std::optional<double> (*)(const thermal::CarrierState&);

struct JointColumn {
  std::string_view field;
  const char* head;
  bool force;
  JointValue value;
};

constexpr JointColumn joint_columns[] = {
    {"joint_force", "joint force", true,
     [](const thermal::CarrierState& at) {
       return at.joint_force ? std::optional(at.joint_force->value()) : std::nullopt;
     }},
    {"joint_force_low", "joint force, least", true,
     [](const thermal::CarrierState& at) {
       return at.joint_force_reach ? std::optional(at.joint_force_reach->low.value())
                                   : std::nullopt;
     }},
    {"joint_force_high", "joint force, greatest", true,
     [](const thermal::CarrierState& at) {
       return at.joint_force_reach ? std::optional(at.joint_force_reach->high.value())
                                   : std::nullopt;
     }},
    {"squeeze_left", "free to squeeze", false,
     [](const thermal::CarrierState& at) {
       return at.squeeze_left ? std::optional(at.squeeze_left->value()) : std::nullopt;
     }},
    {"stretch_left", "free to stretch", false, [](const thermal::CarrierState& at) {
       return at.stretch_left ? std::optional(at.stretch_left->value()) : std::nullopt;
     }}};

// What the joint does over time; no columns but time where the carrier has none.
DataTable joint_over_time(const HistoryContext& in) {
  DataTable table = table_over_time(
      in, "data-warmup-joint-" + in.number,
      "the joint of " + Measures::text_cell(in.history.backlash.carrier).shown + " over " + in.name,
      "warmup-joint-" + in.number + ".csv");
  std::vector<std::vector<double>> curves;
  std::vector<const JointColumn*> shown;
  for (const JointColumn& joint : joint_columns) {
    std::vector<double> curve(in.times.size(), no_value);
    bool any = false;
    for (const design::CarrierStateResult& at : in.history.backlash.carrier_states) {
      if (const std::optional<double> value = joint.value(at.carrier)) {
        curve[at.state] = *value;
        any = true;
      }
    }
    if (any) {
      curves.push_back(std::move(curve));
      shown.push_back(&joint);
      table.columns.push_back(joint.force ? in.measures.force(std::string(joint.field), joint.head)
                                          : in.measures.gap(std::string(joint.field), joint.head));
    }
  }
  if (curves.empty()) {
    return table;
  }
  for (const std::size_t i : drawn_samples(in.times, curves, {})) {
    std::vector<Cell> cells = {Measures::time_cell(units::Time::from_value(in.times[i]), in.scale)};
    for (std::size_t c = 0; c < curves.size(); ++c) {
      const double value = curves[c][i];
      cells.push_back(std::isnan(value) ? Cell{}
                      : shown[c]->force
                          ? in.measures.force_cell(units::from_si<units::Force>(value))
                          : in.measures.gap_cell(units::from_si<units::Length>(value)));
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

}  // namespace

void add_joint(const HistoryContext& in, HistoryCharts& charts) {
  DataTable table = joint_over_time(in);
  if (table.columns.size() < 2) {
    return;
  }
  const auto add = [&](std::string_view field, const std::string& id, const std::string& title,
                       const std::string& what, const std::string& more, std::string_view low = {},
                       std::string_view high = {}) {
    if (!has_column(table, field)) {
      return;
    }
    Chart chart = line_chart(in, table, field, what, low, high);
    chart.id = "warmup-" + id + "-" + in.number;
    chart.title = title + " over " + in.name;
    chart.reading += more + in.thinned_to(table.rows.size(), table.rows.size());
    charts.charts.push_back(std::move(chart));
  };
  const std::string sign = " A positive force stretches the insert.";
  if (has_column(table, "joint_force_low")) {
    add("joint_force", "joint-force", "Force in the joint", "joint force",
        sign +
            " The line is the first run from assembly; the band has that and every later run of "
            "the same history.",
        "joint_force_low", "joint_force_high");
  } else {
    add("joint_force", "joint-force", "Force in the joint", "joint force", sign);
  }
  add("squeeze_left", "squeeze-left", "Free travel left before the case squeezes the insert",
      "travel left", " Below zero the insert is squeezed and no longer floats.");
  add("stretch_left", "stretch-left", "Free travel left before the case stretches the insert",
      "travel left", " Below zero the insert is stretched and no longer floats.");
  charts.tables.push_back(std::move(table));
}

}  // namespace lashband::report
