#include "temperatures_over_time.hpp"

#include <algorithm>
#include <optional>
#include <set>
#include <string_view>
#include <utility>

#include "thinning.hpp"

namespace lashband::report {
namespace {

std::string_view word_of(TemperatureCurve::Of of) {
  switch (of) {
    case TemperatureCurve::Of::body:
      return "body";
    case TemperatureCurve::Of::boundary:
      return "boundary";
    case TemperatureCurve::Of::zone:
      break;
  }
  return "zone";
}

std::vector<double> levels_of(const TemperatureCurve& curve) {
  std::vector<double> levels;
  levels.reserve(curve.level.size());
  for (const units::Temperature& level : curve.level) {
    levels.push_back(level.value());
  }
  return levels;
}

// The curves one below the other, each thinned by itself.
struct Temperatures {
  DataTable table{};
  std::size_t fewest = 0;  // moments of a curve
  std::size_t most = 0;
};

Temperatures temperatures(const HistoryContext& in, const std::vector<TemperatureCurve>& curves) {
  Temperatures result;
  DataTable& table = result.table;
  table.id = "data-warmup-temperature-" + in.number;
  table.title = "temperatures over " + in.name;
  table.file = "warmup-temperature-" + in.number + ".csv";
  table.columns = {Measures::text("place", "of"), Measures::text("kind", "which is a"),
                   Measures::time("time", "time", in.scale),
                   in.measures.level("temperature", "temperature")};
  for (const TemperatureCurve& curve : curves) {
    const std::vector<std::size_t> drawn = drawn_samples(in.times, {levels_of(curve)}, {});
    result.fewest = result.fewest == 0 ? drawn.size() : std::min(result.fewest, drawn.size());
    result.most = std::max(result.most, drawn.size());
    for (const std::size_t i : drawn) {
      table.rows.push_back({Measures::text_cell(curve.name),
                            {std::string(word_of(curve.of)), {}},
                            Measures::time_cell(units::Time::from_value(in.times[i]), in.scale),
                            in.measures.level_cell(curve.level[i])});
    }
  }
  return result;
}

std::string level_text(const HistoryContext& in, units::Temperature level) {
  return in.measures.level_cell(level).shown + " " + in.measures.level("", "").shown_unit;
}

// When the zones are farthest apart, and which.
std::string spread_sentence(const HistoryContext& in, const std::vector<TemperatureCurve>& curves) {
  const TemperatureCurve* hot = nullptr;
  const TemperatureCurve* cold = nullptr;
  std::size_t when = 0;
  double farthest = -1.0;
  for (std::size_t i = 0; i < in.times.size(); ++i) {
    const TemperatureCurve* high = nullptr;
    const TemperatureCurve* low = nullptr;
    for (const TemperatureCurve& curve : curves) {
      if (curve.of == TemperatureCurve::Of::zone) {
        high = high == nullptr || curve.level[i] > high->level[i] ? &curve : high;
        low = low == nullptr || curve.level[i] < low->level[i] ? &curve : low;
      }
    }
    if (high == nullptr || low == nullptr) {
      return "";
    }
    const double apart = high->level[i].value() - low->level[i].value();
    if (apart > farthest) {
      farthest = apart;
      hot = high;
      cold = low;
      when = i;
    }
  }
  if (hot == nullptr || cold == nullptr) {
    return "";
  }
  if (!(farthest > 0.0)) {
    return "All zones have one temperature throughout.";
  }
  return "The zones are farthest apart" + in.at(units::Time::from_value(in.times[when])) + ": " +
         named(hot->name) + " at " + level_text(in, hot->level[when]) + ", " + named(cold->name) +
         " at " + level_text(in, cold->level[when]) + ".";
}

// Where the names of lines stand at their right ends: as near to them as there is room for, in px
// from the top.
std::vector<double> spread_apart(std::vector<double> wanted, double apart, double height) {
  std::vector<std::size_t> order(wanted.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  std::sort(order.begin(), order.end(),
            [&wanted](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });
  // Neighbours that are too near become a group around their mean; groups that meet become one.
  struct Group {
    std::size_t first = 0;
    std::size_t count = 0;
    double middle = 0.0;
  };
  std::vector<Group> groups;
  for (std::size_t i = 0; i < order.size(); ++i) {
    groups.push_back({i, 1, std::clamp(wanted[order[i]], 0.0, height)});
    while (groups.size() > 1) {
      Group& above = groups[groups.size() - 2];
      Group& here = groups.back();
      const double half = 0.5 * apart * static_cast<double>(above.count + here.count);
      if (here.middle - above.middle >= half) {
        break;
      }
      const std::size_t count = above.count + here.count;
      const double mean = (above.middle * static_cast<double>(above.count) +
                           here.middle * static_cast<double>(here.count)) /
                          static_cast<double>(count);
      const double room = 0.5 * apart * static_cast<double>(count - 1);
      above = {above.first, count, std::clamp(mean, room, std::max(room, height - room))};
      groups.pop_back();
    }
  }
  for (const Group& group : groups) {
    const double top = group.middle - 0.5 * apart * static_cast<double>(group.count - 1);
    for (std::size_t i = 0; i < group.count; ++i) {
      wanted[order[group.first + i]] = top + apart * static_cast<double>(i);
    }
  }
  return wanted;
}

Chart temperature_chart(const HistoryContext& in, const std::vector<TemperatureCurve>& curves,
                        const Temperatures& drawn) {
  const DataTable& table = drawn.table;
  constexpr double label_height = 16.0;  // of a line of text of `text_size`
  constexpr int leader = 26;             // long enough for one period of each dash
  constexpr int label_gap = 4;
  const int height =
      std::max(plot_height, static_cast<int>(label_height) * static_cast<int>(curves.size()));
  std::vector<std::string> names;
  names.reserve(curves.size());
  for (const TemperatureCurve& curve : curves) {
    names.push_back(Measures::text_cell(curve.name).shown);
  }
  const int width = drawing_width - axis_width - leader - label_gap - width_of_names(names);
  const AxisReach levels = reach_of(table, "temperature").widened(0.04, 0.04);
  const Specification x = time_axis(table, in.times_shown());
  const Specification y =
      reach_axis(table, "temperature",
                 "temperature [" + column(table, "temperature").shown_unit + "]", levels);

  std::vector<double> ends;
  ends.reserve(curves.size());
  const auto from_top = [&](double shown) {
    return (levels.high - shown) / (levels.high - levels.low) * height;
  };
  for (const TemperatureCurve& curve : curves) {
    const double stored = *in.measures.level_cell(curve.level.back()).value;
    ends.push_back(from_top(shown_value(column(table, "temperature"), stored)));
  }
  const std::vector<double> labels = spread_apart(ends, label_height, height);

  Specification layers = Specification::array();
  for (std::size_t i = 0; i < curves.size(); ++i) {
    const int stroke = curves[i].of == TemperatureCurve::Of::zone ? 2 : 1;
    Specification mark = {{"type", "line"},
                          {"strokeWidth", stroke},
                          {"color", in.colours.of_series(i)},
                          {"strokeDash", dash_of_series(i)}};
    Specification line = {{"transform", {only("place", names[i])}}, {"mark", mark}};
    line["encoding"] = {{"x", x}, {"y", y}};
    layers.push_back(std::move(line));
    // From the end of the line to its name.
    mark["type"] = "rule";
    Specification nothing = {{"values", {Specification::object()}}};
    layers.push_back({{"data", nothing},
                      {"mark", mark},
                      {"encoding",
                       {{"x", {{"value", width}}},
                        {"x2", {{"value", width + leader}}},
                        {"y", {{"value", ends[i]}}},
                        {"y2", {{"value", labels[i]}}}}}});
    layers.push_back({{"data", nothing},
                      {"mark",
                       {{"type", "text"},
                        {"align", "left"},
                        {"baseline", "middle"},
                        {"fontSize", text_size},
                        {"limit", label_width},
                        {"color", in.colours.ink}}},
                      {"encoding",
                       {{"x", {{"value", width + leader + label_gap}}},
                        {"y", {{"value", labels[i]}}},
                        {"text", {{"value", names[i]}}}}}});
  }
  layers.push_back(
      nearest_row(table, x, y, "temperature", {"place", "time", "temperature"}, in.colours));

  Chart chart;
  chart.id = "warmup-temperature-" + in.number;
  chart.title = "Temperatures over " + in.name;
  chart.table = table.id;
  chart.reading = spread_sentence(in, curves);
  const bool others = std::any_of(curves.begin(), curves.end(), [](const TemperatureCurve& curve) {
    return curve.of != TemperatureCurve::Of::zone;
  });
  if (others) {
    chart.reading += " Thin lines are parts of the thermal network that are no zone of the train.";
  }
  chart.reading += in.thinned_to(drawn.fewest, drawn.most);
  chart.spec = {{"width", width}, {"height", height}, {"layer", std::move(layers)}};
  return chart;
}

}  // namespace

std::vector<TemperatureCurve> temperature_curves(const design::Study& study,
                                                 const design::HistoryResult& result) {
  using Of = TemperatureCurve::Of;
  const std::vector<design::State>& states = result.backlash.states;
  const auto& network = study.design.thermal_network;
  const bool has_places = !result.places.empty() && network.has_value();
  std::vector<TemperatureCurve> curves;
  std::set<std::size_t> zone_places;
  std::set<std::string> names;
  std::size_t bodies = 0;
  while (bodies < result.places.size() && !result.places[bodies].is_boundary) {
    ++bodies;
  }
  for (std::size_t zone = 0; zone < study.design.zones.size(); ++zone) {
    if (has_places) {
      const std::optional<heat::Place>& place = network->zones.at(zone);
      if (!place) {
        continue;
      }
      zone_places.insert(place->kind == heat::Place::Kind::body ? place->index
                                                                : bodies + place->index);
    }
    TemperatureCurve curve{Of::zone, study.design.zones[zone], {}};
    curve.level.reserve(states.size());
    for (const design::State& state : states) {
      curve.level.push_back(state.temperatures.by_zone().at(zone));
    }
    names.insert(curve.name);
    curves.push_back(std::move(curve));
  }
  for (std::size_t place = 0; place < result.places.size(); ++place) {
    const design::PlaceOverTime& over_time = result.places[place];
    if (zone_places.contains(place)) {
      continue;
    }
    TemperatureCurve curve{over_time.is_boundary ? Of::boundary : Of::body, over_time.id,
                           over_time.temperature};
    while (!names.insert(curve.name).second) {
      curve.name += " (" + std::string(word_of(curve.of)) + ")";
    }
    curves.push_back(std::move(curve));
  }
  return curves;
}

void add_temperatures(const HistoryContext& in, HistoryCharts& charts) {
  const std::vector<TemperatureCurve> curves = temperature_curves(in.study, in.history);
  Temperatures drawn = temperatures(in, curves);
  charts.charts.push_back(temperature_chart(in, curves, drawn));
  charts.tables.push_back(std::move(drawn.table));
}

}  // namespace lashband::report
