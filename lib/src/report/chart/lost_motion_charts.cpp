#include "lost_motion_charts.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <string_view>
#include <utility>

#include "lashband/units/plain_number.hpp"
#include "report/judged_ends.hpp"
#include "report/requirement_text.hpp"
#include "report/train_selection.hpp"
#include "state_chart.hpp"
#include "state_columns.hpp"
#include "time_specification.hpp"

namespace lashband::report {
namespace {

using design::LostMotion;
using design::LostMotionShare;
using design::LostMotionState;
using units::Angle;

// The chart of shares shows this many meshes of a pair; the table all.
constexpr std::size_t meshes_drawn = 12;

Angle low_end_of(const LostMotionState& at, design::Basis basis) {
  return at.total ? low_end(*at.total, basis) : Angle();
}
Angle high_end_of(const LostMotionState& at, design::Basis basis) {
  return at.total ? high_end(*at.total, basis) : Angle();
}

// Places of the states that a table shows: of the moments of a history, those of the least and the
// greatest.
std::vector<std::size_t> shown_places(const design::TrainResult& train, const LostMotion& motion) {
  struct Ends {
    std::size_t least;
    std::size_t greatest;
  };
  std::map<std::string, Ends> histories;
  const auto& states = motion.states;
  const auto state_of = [&](std::size_t place) -> const design::State& {
    return train.backlash.states[states[place].state];
  };
  for (std::size_t i = 0; i < states.size(); ++i) {
    if (kind_of(state_of(i)) != StateKind::moment) {
      continue;
    }
    Ends& ends = histories.emplace(state_of(i).condition, Ends{i, i}).first->second;
    if (low_end_of(states[i], motion.basis) < low_end_of(states[ends.least], motion.basis)) {
      ends.least = i;
    }
    if (high_end_of(states[i], motion.basis) > high_end_of(states[ends.greatest], motion.basis)) {
      ends.greatest = i;
    }
  }
  std::set<std::size_t> moments;
  for (const auto& [name, ends] : histories) {
    moments.insert({ends.least, ends.greatest});
  }
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < states.size(); ++i) {
    if (kind_of(state_of(i)) != StateKind::moment || moments.contains(i)) {
      places.push_back(i);
    }
  }
  return places;
}

template <class Has>
bool any_total(const LostMotion& motion, const Has& has) {
  return std::any_of(motion.states.begin(), motion.states.end(),
                     [&has](const auto& at) { return at.total && has(*at.total); });
}

DataTable states_table(const design::Study& study, std::size_t pair, const Measures& measures) {
  const design::TrainResult& train = study.train;
  const LostMotion& motion = train.lost_motion[pair];
  const bool rss = any_total(motion, [](const auto& total) { return total.rss_low.has_value(); });
  const bool percentiles =
      any_total(motion, [](const auto& total) { return total.least.has_value(); });
  const AngleScale scale = angle_scale(motion);
  const StateColumns states(study.design.soak.has_value(), {&train.backlash}, measures);
  const std::string number = std::to_string(pair + 1);
  DataTable table;
  table.id = "data-lost-motion-" + number;
  table.title = "lost motion of " + pair_name(motion) + ", at every state";
  table.file = "lost-motion-" + number + ".csv";
  table.columns = states.columns("");
  table.columns.erase(table.columns.begin());  // one carrier throughout
  const auto add = [&](const char* name, const char* head) {
    table.columns.push_back(Measures::angle(name, head, scale));
  };
  add("nominal", "nominal");
  add("worst_low", "worst case, least");
  add("worst_high", "worst case, greatest");
  if (rss) {
    add("rss_low", "RSS, least");
    add("rss_high", "RSS, greatest");
  }
  if (percentiles) {
    add("least_p0.135", "least, 0.135 %");
    add("greatest_p99.865", "greatest, 99.865 %");
  }
  add("backlash_alone_nominal", "backlash alone, nominal");
  add("backlash_alone_low", "backlash alone, least");
  add("backlash_alone_high", "backlash alone, greatest");
  for (const std::size_t place : shown_places(train, motion)) {
    const LostMotionState& at = motion.states[place];
    std::vector<Cell> cells = states.cells("", train.backlash.states[at.state]);
    cells.erase(cells.begin());
    const auto put = [&](const std::optional<Angle>& angle) {
      cells.push_back(Measures::angle_cell(angle, scale));
    };
    const auto put_ends = [&put](const std::optional<design::ResultBand<Angle>>& band) {
      put(band ? std::optional(band->nominal) : std::nullopt);
      put(band ? std::optional(band->low) : std::nullopt);
      put(band ? std::optional(band->high) : std::nullopt);
    };
    put_ends(at.total);
    if (rss) {
      put(at.total ? at.total->rss_low : std::nullopt);
      put(at.total ? at.total->rss_high : std::nullopt);
    }
    if (percentiles) {
      put(at.total && at.total->least ? std::optional(at.total->least->low) : std::nullopt);
      put(at.total && at.total->greatest ? std::optional(at.total->greatest->high) : std::nullopt);
    }
    put_ends(at.backlash_alone);
    table.rows.push_back(std::move(cells));
  }
  return table;
}

std::string reading_of(const design::TrainResult& train, const LostMotion& motion) {
  if (!motion.least || !motion.greatest) {
    return "No state could be computed.";
  }
  const AngleScale scale = angle_scale(motion);
  const LostMotionState& least = motion.states[*motion.least];
  const LostMotionState& greatest = motion.states[*motion.greatest];
  const auto at = [&train](const LostMotionState& state) {
    return " at " + named(train.backlash.states[state.state].id);
  };
  std::string text = "With " + named(motion.held) + " held, " + named(motion.of) +
                     " turns back and forth by " + scale.text(low_end_of(least, motion.basis)) +
                     at(least) + " to " + scale.with_unit(high_end_of(greatest, motion.basis)) +
                     at(greatest) + ", judged on " + basis_text(motion.basis) + ".";
  if (greatest.total && greatest.backlash_alone && greatest.total->nominal > Angle()) {
    constexpr double percent = 100.0;
    const double share = greatest.backlash_alone->nominal / greatest.total->nominal;
    // Rounded to whole percent, the rest is nothing.
    constexpr double nearly_all = 0.995;
    text += share > nearly_all
                ? " Backlash alone makes it: next to nothing floats."
                : " Of the nominal there, backlash alone makes " +
                      units::fixed_number(percent * share, 0) +
                      " %; the rest is float of the bearings and of the shafts along their axes.";
  }
  const auto stuck = std::count_if(motion.states.begin(), motion.states.end(),
                                   [](const auto& state) { return !state.total; });
  if (stuck > 0) {
    text += " A loop between them binds at " + std::to_string(stuck) +
            (stuck == 1 ? " state" : " states") + ": nothing is drawn there.";
  }
  if (const design::RequirementRow* row = lost_motion_requirement(train, motion)) {
    const auto limit = units::from_si<Angle>(row->limit);
    const auto found = units::from_si<Angle>(row->found);
    text += " Required is at most " + scale.with_unit(limit) + ": " +
            (row->met ? "kept with " + scale.with_unit(limit - found) + " to spare"
                      : "missed by " + scale.with_unit(found - limit)) +
            " at " + named(row->state) + ".";
  }
  if (motion.loops) {
    text += " Several ways join the two; the least that any of them leaves counts.";
  }
  return text;
}

Chart states_chart(const design::TrainResult& train, std::size_t pair, const DataTable& table,
                   const Colours& colours) {
  const LostMotion& motion = train.lost_motion[pair];
  using Kind = StateMark::Kind;
  StatePanel panel;
  panel.marks.push_back(
      {Kind::wide_band, "worst case", colours.worst_case, "worst_low", "worst_high"});
  if (has_column(table, "least_p0.135")) {
    panel.marks.push_back({Kind::narrow_band, "99.73 % of units", colours.percentiles,
                           "least_p0.135", "greatest_p99.865"});
  } else if (has_column(table, "rss_low")) {
    panel.marks.push_back(
        {Kind::narrow_band, "root sum square", colours.percentiles, "rss_low", "rss_high"});
  }
  panel.marks.push_back({Kind::two_ends, "backlash alone, worst case", colours.of_series(2),
                         "backlash_alone_low", "backlash_alone_high"});
  panel.marks.push_back({Kind::line, "nominal", colours.nominal, "nominal", ""});
  StateChart drawn;
  drawn.panels.push_back(std::move(panel));
  const Column& nominal = column(table, "nominal");
  drawn.axis = "lost motion [" + nominal.shown_unit + "]";
  if (const design::RequirementRow* row = lost_motion_requirement(train, motion)) {
    drawn.limit = row->limit * nominal.scale;
    drawn.limit_word = "required";
  }
  drawn.read = {"condition",          "temperature",        "nominal",
                "worst_low",          "worst_high",         "rss_low",
                "rss_high",           "least_p0.135",       "greatest_p99.865",
                "backlash_alone_low", "backlash_alone_high"};
  Chart chart;
  chart.id = "lost-motion-" + std::to_string(pair + 1);
  chart.title = "Lost motion of " + pair_name(motion);
  chart.table = table.id;
  chart.reading = reading_of(train, motion);
  chart.spec = state_chart(table, drawn, colours);
  return chart;
}

Angle sum_of(const LostMotionShare& share) {
  return share.from_backlash + share.from_float + share.from_axial_float;
}

// Places of the shares by size, the greatest first.
std::vector<std::size_t> by_size(const std::vector<LostMotionShare>& shares) {
  std::vector<std::size_t> places(shares.size());
  std::iota(places.begin(), places.end(), std::size_t{0});
  std::stable_sort(places.begin(), places.end(), [&shares](std::size_t a, std::size_t b) {
    return sum_of(shares[a]) > sum_of(shares[b]);
  });
  return places;
}

DataTable shares_table(const design::TrainResult& train, const std::vector<std::size_t>& pairs) {
  Angle greatest;
  for (const std::size_t pair : pairs) {
    for (const LostMotionShare& share : train.lost_motion[pair].shares) {
      greatest = std::max(greatest, sum_of(share));
    }
  }
  const AngleScale scale(greatest);
  DataTable table;
  table.id = "data-lost-motion-shares";
  table.title = "what each mesh adds to lost motion, at the state of the greatest, nominal";
  table.file = "lost-motion-shares.csv";
  table.columns = {Measures::text("pair", "lost motion of"),
                   Measures::text("mesh", "mesh"),
                   Measures::ratio("rank", "rank"),
                   Measures::angle("from_backlash", "from backlash", scale),
                   Measures::angle("from_float", "from float", scale),
                   Measures::angle("from_axial_float", "from axial float", scale),
                   Measures::share("share_backlash", "share of backlash"),
                   Measures::share("share_float", "share of float"),
                   Measures::share("share_axial_float", "share of axial float")};
  for (const std::size_t pair : pairs) {
    const LostMotion& motion = train.lost_motion[pair];
    Angle whole;
    for (const LostMotionShare& share : motion.shares) {
      whole += sum_of(share);
    }
    std::vector<long long> rank(motion.shares.size(), 0);
    const std::vector<std::size_t> order = by_size(motion.shares);
    for (std::size_t i = 0; i < order.size(); ++i) {
      rank[order[i]] = static_cast<long long>(i) + 1;
    }
    for (std::size_t i = 0; i < motion.shares.size(); ++i) {
      const LostMotionShare& share = motion.shares[i];
      std::vector<Cell> cells = {
          {pair_name(motion), {}}, Measures::text_cell(share.mesh), Measures::count_cell(rank[i])};
      for (const Angle& part : {share.from_backlash, share.from_float, share.from_axial_float}) {
        cells.push_back(Measures::angle_cell(part, scale));
      }
      for (const Angle& part : {share.from_backlash, share.from_float, share.from_axial_float}) {
        cells.push_back(whole > Angle() ? Measures::share_cell(part / whole) : Cell{});
      }
      table.rows.push_back(std::move(cells));
    }
  }
  return table;
}

std::string shares_reading(const design::TrainResult& train, const std::vector<std::size_t>& pairs,
                           const DataTable& table) {
  constexpr double percent = 100.0;
  std::string text;
  for (const std::size_t pair : pairs) {
    const LostMotion& motion = train.lost_motion[pair];
    if (motion.shares.empty()) {
      continue;
    }
    Angle whole;
    for (const LostMotionShare& share : motion.shares) {
      whole += sum_of(share);
    }
    const LostMotionShare& first = motion.shares[by_size(motion.shares).front()];
    if (whole > Angle()) {
      text.append(text.empty() ? "Of " : "; of ").append(pair_name(motion)).append(", ");
      text.append(named(first.mesh)).append(" makes ");
      text.append(units::fixed_number(percent * (sum_of(first) / whole), 0)).append(" %");
    }
  }
  text += text.empty() ? "Nothing is free in any mesh." : ".";
  const bool more = std::any_of(table.rows.begin(), table.rows.end(), [](const auto& cells) {
    return *cells[2].value > static_cast<double>(meshes_drawn);
  });
  if (more) {
    text +=
        " Drawn are the " + std::to_string(meshes_drawn) + " greatest of each; the table has all.";
  }
  return text;
}

Chart shares_chart(const design::TrainResult& train, const std::vector<std::size_t>& pairs,
                   const DataTable& table, const Colours& colours) {
  std::vector<std::string> meshes;
  for (const auto& cells : table.rows) {
    meshes.push_back(cells[1].shown);
  }
  WordColours words;
  const std::vector<std::pair<std::string_view, std::string_view>> parts = {
      {"share_backlash", "backlash"},
      {"share_float", "float"},
      {"share_axial_float", "axial float"}};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    words.add(parts[i].second, colours.of_series(i));
  }
  const int width = drawing_width - width_of_names(meshes) - 24;
  // Three thin bars a mesh, one below the other: their places tell them apart as well.
  constexpr int bar = 7;
  Specification y = {{"field", "mesh"}, {"type", "nominal"}, {"sort", nullptr}, {"title", nullptr}};
  y["axis"] = {{"labelLimit", label_width}, {"grid", true}, {"tickBand", "extent"}};
  // A mesh that is tight as drawn takes some of it away.
  AxisReach reach;
  for (const auto& [name, word] : parts) {
    const AxisReach part = reach_of(table, name);
    reach = reach.with(part.low).with(part.high);
  }
  if (!(reach.high > reach.low)) {
    reach = {0.0, 1.0};
  }
  const std::vector<std::string> shown = distinct(table, "pair");
  Specification panels = Specification::array();
  for (const std::string& pair : shown) {
    const bool last = pair == shown.back();
    Specification layers = Specification::array();
    for (std::size_t i = 0; i < parts.size(); ++i) {
      Specification x = field(table, parts[i].first);
      x["title"] = last ? Specification("share of the sum over the way [%]") : Specification();
      x["axis"] = {{"tickCount", 6}};
      x["scale"] = {{"domain", {reach.low, reach.high}}, {"nice", false}};
      const bool first = panels.empty() && i == 0;
      layers.push_back(
          {{"mark",
            {{"type", "bar"}, {"height", bar}, {"yOffset", (static_cast<int>(i) - 1) * bar}}},
           {"encoding",
            {{"x", std::move(x)},
             {"y", y},
             {"color",
              first ? words.of(parts[i].second) : Specification{{"datum", parts[i].second}}},
             {"tooltip", tooltip(table, {"mesh", "from_backlash", "from_float", "from_axial_float",
                                         parts[i].first})}}}});
    }
    Specification rows = Specification::array();
    rows.push_back(only("pair", pair));
    panels.push_back({{"title",
                       {{"text", pair},
                        {"fontSize", text_size},
                        {"fontWeight", "normal"},
                        {"anchor", "start"},
                        {"frame", "group"},
                        {"limit", width}}},
                      {"transform", std::move(rows)},
                      {"width", width},
                      {"height", {{"step", 3 * bar + 8}}},
                      {"layer", std::move(layers)}});
  }
  Chart chart;
  chart.id = "lost-motion-shares";
  chart.title = "What each mesh adds to lost motion";
  chart.table = table.id;
  chart.reading = shares_reading(train, pairs, table);
  Specification greatest = Specification::array();
  greatest.push_back({{"filter", {{"field", "rank"}, {"lte", meshes_drawn}}}});
  chart.spec = {{"transform", std::move(greatest)}};
  if (panels.size() == 1) {
    chart.spec["transform"].push_back(panels[0]["transform"][0]);
    panels[0].erase("transform");
    chart.spec.update(panels[0]);
    chart.spec.erase("title");  // the chart's own is enough
  } else {
    chart.spec["vconcat"] = std::move(panels);
    chart.spec["spacing"] = 12;
  }
  return chart;
}

}  // namespace

std::string pair_name(const LostMotion& motion) {
  return named(motion.of) + " with " + named(motion.held) + " held";
}

const design::RequirementRow* lost_motion_requirement(const design::TrainResult& train,
                                                      const LostMotion& motion) {
  const std::string name = "lost motion " + motion.of + " - " + motion.held;
  const auto found = std::find_if(
      train.requirements.begin(), train.requirements.end(),
      [&name](const auto& row) { return row.what == "greatest_lost_motion" && row.mesh == name; });
  return found == train.requirements.end() ? nullptr : &*found;
}

AngleScale angle_scale(const LostMotion& motion) {
  Angle greatest;
  for (const LostMotionState& at : motion.states) {
    greatest = std::max(greatest, at.total ? at.total->high : Angle());
  }
  return AngleScale(greatest);
}

LostMotionCharts lost_motion_charts(const design::Study& study, const View& view, std::size_t most,
                                    const Measures& measures, const Colours& colours) {
  const design::TrainResult& train = study.train;
  std::vector<std::size_t> pairs;
  for (std::size_t i = 0; i < train.lost_motion.size(); ++i) {
    if (shows_way(view, train.lost_motion[i])) {
      pairs.push_back(i);
    }
  }
  std::stable_partition(pairs.begin(), pairs.end(), [&train](std::size_t i) {
    return lost_motion_requirement(train, train.lost_motion[i]) != nullptr;
  });
  LostMotionCharts charts;
  if (pairs.size() > most) {
    charts.left_out = pairs.size() - most;
    pairs.resize(most);
  }
  std::sort(pairs.begin(), pairs.end());
  for (const std::size_t pair : pairs) {
    if (train.lost_motion[pair].states.empty()) {
      continue;
    }
    PairCharts one{pair, states_table(study, pair, measures), {}};
    if (std::any_of(train.lost_motion[pair].states.begin(), train.lost_motion[pair].states.end(),
                    [](const auto& at) { return at.total.has_value(); })) {
      one.charts.push_back(states_chart(train, pair, one.states, colours));
    }
    charts.pairs.push_back(std::move(one));
  }
  // Where a loop binds there is nothing to share.
  std::erase_if(pairs, [&train](std::size_t pair) {
    const LostMotion& motion = train.lost_motion[pair];
    return !motion.greatest || !motion.states[*motion.greatest].total;
  });
  DataTable shares = shares_table(train, pairs);
  if (!shares.rows.empty()) {
    charts.share_charts.push_back(shares_chart(train, pairs, shares, colours));
    charts.shares = std::move(shares);
  }
  return charts;
}

}  // namespace lashband::report
