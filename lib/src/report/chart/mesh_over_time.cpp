#include "mesh_over_time.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "band_specification.hpp"
#include "report/judged_ends.hpp"
#include "report/numbers.hpp"
#include "report/requirement_text.hpp"
#include "thinning.hpp"
#include "warmup_words.hpp"

namespace lashband::report {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();

struct MeshOverTime {
  const design::MeshResult& mesh;
  std::size_t place = 0;  // in the design
  std::vector<const design::MeshState*>
      at{};  // at each moment; null where it could not be computed
};

std::vector<double> curve_of(const MeshOverTime& mesh, double (*value)(const design::MeshState&)) {
  std::vector<double> curve;
  curve.reserve(mesh.at.size());
  for (const design::MeshState* at : mesh.at) {
    curve.push_back(at == nullptr ? no_value : value(*at));
  }
  return curve;
}

// The moments that draw the mesh's curves.
std::vector<std::size_t> drawn_moments(const HistoryContext& in, const MeshOverTime& mesh) {
  const design::Basis basis = mesh.mesh.basis;
  std::vector<std::vector<double>> curves = {
      curve_of(mesh, [](const design::MeshState& at) { return at.gap.j_wt.nominal.value(); }),
      curve_of(mesh, [](const design::MeshState& at) { return at.a.value(); })};
  std::vector<double> low;
  std::vector<double> high;
  for (const design::MeshState* at : mesh.at) {
    low.push_back(at == nullptr ? no_value : judged_low(at->gap.j_wt, basis).value());
    high.push_back(at == nullptr ? no_value : judged_high(at->gap.j_wt, basis).value());
  }
  curves.push_back(std::move(low));
  curves.push_back(std::move(high));
  std::set<std::size_t> kept;
  for (const std::optional<std::size_t>& end : {mesh.mesh.least, mesh.mesh.greatest}) {
    if (end) {
      kept.insert(mesh.mesh.states[*end].state);
    }
  }
  return drawn_samples(in.times, curves, kept);
}

DataTable mesh_over_time(const HistoryContext& in, const MeshOverTime& mesh) {
  const design::Basis basis = mesh.mesh.basis;
  const std::string number = in.number + "-" + std::to_string(mesh.place + 1);
  DataTable table =
      table_over_time(in, "data-warmup-mesh-" + number,
                      "mesh " + Measures::text_cell(mesh.mesh.id).shown + " over " + in.name,
                      "warmup-mesh-" + number + ".csv");
  table.columns.push_back(in.measures.gap("j_wt_nominal", "j_wt nominal"));
  if (basis != design::Basis::nominal) {
    const std::string word = basis == design::Basis::percentile ? "99.73 %" : basis_text(basis);
    table.columns.push_back(in.measures.gap("j_wt_low", "least, " + word));
    table.columns.push_back(in.measures.gap("j_wt_high", "greatest, " + word));
  }
  table.columns.push_back(in.measures.gap("a_change", "a less its drawn value"));
  const units::Length drawn_a = in.study.design.meshes[mesh.place].centre_distance;
  for (const std::size_t i : drawn_moments(in, mesh)) {
    std::vector<Cell> cells = {Measures::time_cell(units::Time::from_value(in.times[i]), in.scale)};
    if (const design::MeshState* at = mesh.at[i]) {
      cells.push_back(in.measures.gap_cell(at->gap.j_wt.nominal));
      if (basis != design::Basis::nominal) {
        cells.push_back(in.measures.gap_cell(judged_low(at->gap.j_wt, basis)));
        cells.push_back(in.measures.gap_cell(judged_high(at->gap.j_wt, basis)));
      }
      cells.push_back(in.measures.gap_cell(at->a - drawn_a));
    }
    cells.resize(table.columns.size());
    table.rows.push_back(std::move(cells));
  }
  return table;
}

// When any requirement of the mesh is violated: overlapping spans joined.
std::vector<design::TimeSpan> violated_spans(const design::HistoryResult& history,
                                             const std::string& mesh) {
  std::vector<design::TimeSpan> spans;
  for (const design::RequirementOverTime& requirement : history.requirements) {
    if (requirement.row.mesh == mesh) {
      spans.insert(spans.end(), requirement.violated.begin(), requirement.violated.end());
    }
  }
  std::sort(spans.begin(), spans.end(),
            [](const auto& a, const auto& b) { return a.from < b.from; });
  std::vector<design::TimeSpan> joined;
  for (const design::TimeSpan& span : spans) {
    if (!joined.empty() && span.from <= joined.back().to) {
      joined.back().to = std::max(joined.back().to, span.to);
    } else {
      joined.push_back(span);
    }
  }
  return joined;
}

constexpr std::string_view nominal_word = "nominal";
constexpr std::string_view limit_word = "required";
constexpr std::string_view violated_word = "some requirement violated";

Specification inline_values(Specification values) {
  return {{"values", std::move(values)}};
}

// The mark and the words at the least backlash.
void add_least_mark(const HistoryContext& in, const MeshOverTime& mesh, const DataTable& table,
                    const Specification& x, const AxisReach& gaps,
                    const std::vector<double>& limits, Specification& layers) {
  const design::MeshState& least = mesh.mesh.states[*mesh.mesh.least];
  const Column& gap = column(table, "j_wt_nominal");
  const units::Length low = judged_low(least.gap.j_wt, mesh.mesh.basis);
  const units::Time time = *in.history.backlash.states[least.state].time;
  const double shown_time = time.value() / in.scale.seconds;
  const AxisReach times = in.times_shown();
  const double share =
      times.high > times.low ? (shown_time - times.low) / (times.high - times.low) : 0.5;
  // Towards the middle of the panel where it would reach out of it.
  const char* align = share < 0.25 ? "left" : share > 0.75 ? "right" : "center";
  const double shown_low = shown_value(gap, *in.measures.gap_cell(low).value);
  // In px from the point down to the top of the words; below a limit that would strike them
  // through.
  constexpr double below_point = 8.0;
  constexpr double line_height = 16.0;
  constexpr double below_limit = 5.0;
  double down = below_point;
  for (const double limit : limits) {
    const double to_limit = (shown_low - limit) / (gaps.high - gaps.low) * plot_height;
    if (to_limit > below_point - 2.0 && to_limit < below_point + line_height) {
      down = to_limit + below_limit;
    }
  }
  Specification values = Specification::array();
  values.push_back({{"time", shown_time},
                    {"gap", shown_low},
                    {"words", Numbers(in.view.units).gap_with_unit(low) + in.at(time)}});
  const Specification y = {{"field", "gap"},
                           {"type", "quantitative"},
                           {"title", nullptr},
                           {"scale", {{"domain", {gaps.low, gaps.high}}, {"nice", false}}}};
  const Specification data = inline_values(std::move(values));
  layers.push_back({{"data", data},
                    {"mark",
                     {{"type", "point"},
                      {"shape", "diamond"},
                      {"filled", true},
                      {"size", 80},
                      {"opacity", 1},
                      {"color", in.colours.ink}}},
                    {"encoding", {{"x", x}, {"y", y}}}});
  layers.push_back({{"data", data},
                    {"mark",
                     {{"type", "text"},
                      {"align", align},
                      {"baseline", "top"},
                      {"dy", down},
                      {"fontSize", text_size},
                      {"color", in.colours.ink}}},
                    {"encoding", {{"x", x}, {"y", y}, {"text", {{"field", "words"}}}}}});
}

Specification backlash_specification(const HistoryContext& in, const MeshOverTime& mesh,
                                     const DataTable& table) {
  const design::Basis basis = mesh.mesh.basis;
  const bool has_band = basis != design::Basis::nominal;
  const RequiredBacklash asked = required_of(in.history.backlash, mesh.mesh.id);
  const std::vector<design::TimeSpan> violated = violated_spans(in.history, mesh.mesh.id);
  const std::string band_word =
      basis == design::Basis::percentile ? "99.73 % of units" : basis_text(basis);

  WordColours words;
  if (has_band) {
    words.add(band_word,
              basis == design::Basis::worst_case ? in.colours.worst_case : in.colours.percentiles);
  }
  words.add(nominal_word, in.colours.nominal);
  if (asked.least || asked.greatest) {
    words.add(limit_word, in.colours.limit);
  }
  if (!violated.empty()) {
    words.add(violated_word, in.colours.violated);
  }

  const Column& gap = column(table, "j_wt_nominal");
  AxisReach gaps = reach_of(table, "j_wt_nominal");
  if (has_band) {
    gaps = gaps.with(reach_of(table, "j_wt_low").low).with(reach_of(table, "j_wt_high").high);
  }
  std::vector<double> limits;
  for (const std::optional<units::Length>& limit : {asked.least, asked.greatest}) {
    if (limit) {
      limits.push_back(shown_value(gap, *in.measures.gap_cell(limit).value));
      gaps = gaps.with(limits.back());
    }
  }
  gaps = gaps.widened(0.16, 0.05);  // room for the words below the least

  const int width = drawing_width - axis_width;
  const Specification x = time_axis(table, in.times_shown());
  const std::string title = "backlash j_wt [" + gap.shown_unit + "]";
  const Specification nominal = reach_axis(table, "j_wt_nominal", title, gaps);
  Specification layers = Specification::array();
  Specification spans = Specification::array();
  for (const design::TimeSpan& span : violated) {
    spans.push_back({{"from", span.from.value() / in.scale.seconds},
                     {"to", span.to.value() / in.scale.seconds}});
  }
  Specification from = x;
  from["field"] = "from";
  const auto over_spans = [&](Specification mark) {
    return Specification{
        {"data", inline_values(spans)},
        {"mark", std::move(mark)},
        {"encoding", {{"x", from}, {"x2", {{"field", "to"}}}, {"color", words.of(violated_word)}}}};
  };
  if (!violated.empty()) {
    layers.push_back(over_spans({{"type", "rect"},
                                 {"fillOpacity", 0.16},
                                 {"stroke", in.colours.violated},
                                 {"strokeOpacity", 0.6},
                                 {"strokeWidth", 1}}));
  }
  if (has_band) {
    layers.push_back({{"mark", {{"type", "area"}, {"opacity", 1}}},
                      {"encoding",
                       {{"x", x},
                        {"y", reach_axis(table, "j_wt_low", title, gaps)},
                        {"y2", {{"field", "j_wt_high"}}},
                        {"color", words.of(band_word)}}}});
  }
  layers.push_back({{"mark", {{"type", "line"}, {"strokeWidth", 2}}},
                    {"encoding", {{"x", x}, {"y", nominal}, {"color", words.of(nominal_word)}}}});
  for (const double limit : limits) {
    layers.push_back(
        {{"data", inline_values({Specification::object()})},
         {"mark", {{"type", "rule"}, {"strokeDash", {6, 4}}, {"strokeWidth", 2}}},
         {"encoding",
          {{"y", {{"datum", limit}, {"type", "quantitative"}}}, {"color", words.of(limit_word)}}}});
  }
  if (!violated.empty()) {
    // A bar at the foot, for those who do not see the pale shade.
    Specification foot = over_spans({{"type", "rule"}, {"strokeWidth", 6}});
    foot["encoding"]["y"] = {{"value", plot_height - 3}};
    layers.push_back(std::move(foot));
  }
  if (mesh.mesh.least) {
    add_least_mark(in, mesh, table, x, gaps, limits, layers);
  }
  layers.push_back(nearest_row(table, x, nominal, "j_wt_nominal",
                               {"time", "j_wt_nominal", "j_wt_low", "j_wt_high", "a_change"},
                               in.colours));
  return {{"width", width}, {"height", plot_height}, {"layer", std::move(layers)}};
}

std::string backlash_reading(const HistoryContext& in, const MeshOverTime& mesh) {
  const Numbers numbers(in.view.units);
  const design::Basis basis = mesh.mesh.basis;
  std::string text;
  if (mesh.mesh.least && mesh.mesh.greatest) {
    const design::MeshState& least = mesh.mesh.states[*mesh.mesh.least];
    const design::MeshState& greatest = mesh.mesh.states[*mesh.mesh.greatest];
    text = "Judged on " + basis_text(basis) + ", the least is " +
           numbers.gap_with_unit(judged_low(least.gap.j_wt, basis)) + in.at(least.state) +
           " and the greatest " + numbers.gap_with_unit(judged_high(greatest.gap.j_wt, basis)) +
           in.at(greatest.state) + ".";
  }
  constexpr std::size_t most_spans = 3;
  std::string violated;
  bool asked = false;
  for (const design::RequirementOverTime& requirement : in.history.requirements) {
    if (requirement.row.mesh != mesh.mesh.id) {
      continue;
    }
    asked = true;
    if (!requirement.violated.empty()) {
      violated += (violated.empty() ? " " : "; ") + requirement_words(requirement.row.what) + " " +
                  spans_text(requirement.violated, in.scale, most_spans);
    }
  }
  if (!violated.empty()) {
    text += " Shaded is when a requirement is violated:" + violated + ".";
  } else if (asked) {
    text += " All that is asked of this mesh holds throughout.";
  }
  return text;
}

void add_backlash(const HistoryContext& in, const MeshOverTime& mesh, HistoryCharts& charts) {
  DataTable table = mesh_over_time(in, mesh);
  const std::string number = in.number + "-" + std::to_string(mesh.place + 1);
  const std::string thinned = in.thinned_to(table.rows.size(), table.rows.size());
  Chart backlash;
  backlash.id = "warmup-backlash-" + number;
  backlash.title = "Backlash of " + named(mesh.mesh.id) + " over " + in.name;
  backlash.table = table.id;
  backlash.reading = backlash_reading(in, mesh) + thinned;
  backlash.spec = backlash_specification(in, mesh, table);
  charts.charts.push_back(std::move(backlash));
  charts.tables.push_back(std::move(table));
}

void add_centre(const HistoryContext& in, const MeshOverTime& mesh, HistoryCharts& charts) {
  const DataTable& table = charts.tables.back();
  Chart chart = line_chart(in, table, "a_change", "a less its drawn value");
  chart.id = "warmup-centre-" + in.number + "-" + std::to_string(mesh.place + 1);
  chart.title = "Centre distance of " + named(mesh.mesh.id) + " over " + in.name +
                ", against its drawn value";
  chart.reading += in.thinned_to(table.rows.size(), table.rows.size());
  charts.charts.push_back(std::move(chart));
}

}  // namespace

void add_mesh(const HistoryContext& in, std::size_t mesh, HistoryCharts& charts) {
  const design::MeshResult& result = in.history.backlash.meshes[mesh];
  if (result.states.empty()) {
    return;
  }
  MeshOverTime over_time{result, mesh,
                         std::vector<const design::MeshState*>(in.times.size(), nullptr)};
  for (const design::MeshState& at : result.states) {
    over_time.at[at.state] = &at;
  }
  add_backlash(in, over_time, charts);
  add_centre(in, over_time, charts);
}

}  // namespace lashband::report
