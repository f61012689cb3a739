#include "backlash_charts.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>

#include "report/numbers.hpp"
#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "specification.hpp"

namespace lashband::report {
namespace {

using units::Length;

// What the bands of both charts are called, in the order of the legend.
constexpr std::string_view worst_case_word = "worst case";
constexpr std::string_view percentile_word = "99.73 % of units";
constexpr std::string_view nominal_word = "nominal";
constexpr std::string_view limit_word = "required";

// More carriers than this would make the panels of a row too narrow to read.
constexpr std::size_t panels_in_a_row = 3;
constexpr int panel_height = 240;

// Ends and middle that the file asks a mesh to keep, as it is judged.
struct Required {
  std::optional<Length> least, greatest;
};

Required required(const design::BacklashResult& result, const std::string& mesh) {
  Required asked;
  for (const design::RequirementRow& row : result.requirements) {
    if (row.mesh == mesh && row.what == "least_backlash") {
      asked.least = units::from_si<Length>(row.limit);
    }
    if (row.mesh == mesh && row.what == "greatest_backlash") {
      asked.greatest = units::from_si<Length>(row.limit);
    }
  }
  return asked;
}

// The parts of a chart of one mesh's bands, along x or along y.
class BandLayers {
 public:
  BandLayers(const DataTable& table, const Measures& measures, const Colours& colours,
             const Required& asked)
      : table_(table),
        measures_(measures),
        asked_(asked),
        percentiles_(has_column(table, "j_wt_least_p0.135")) {
    add_entry(worst_case_word, colours.worst_case);
    if (percentiles_) {
      add_entry(percentile_word, colours.percentiles);
    }
    add_entry(nominal_word, colours.nominal);
    if (asked.least || asked.greatest) {
      add_entry(limit_word, colours.limit);
    }
  }

  [[nodiscard]] bool percentiles() const { return percentiles_; }

  // Colour and legend entry of one of the words above.
  [[nodiscard]] Specification coloured(std::string_view word) const {
    return {{"datum", word},
            {"scale", {{"domain", words_}, {"range", colours_}}},
            {"legend", {{"title", nullptr}, {"symbolType", "square"}, {"columns", 4}}}};
  }

  // Both ends of a band on one axis: {"y": ..., "y2": ...}.
  [[nodiscard]] Specification ends(std::string_view low, std::string_view high,
                                   const std::string& axis) const {
    Specification first = field(table_, low);
    first["title"] = title();
    first["scale"] = {{"zero", false}};
    return {{axis, std::move(first)}, {axis + "2", {{"field", field(table_, high)["field"]}}}};
  }

  [[nodiscard]] Specification nominal(const std::string& axis) const {
    Specification one = field(table_, "j_wt_nominal");
    one["title"] = title();
    one["scale"] = {{"zero", false}};
    return {{axis, std::move(one)}};
  }

  // A dashed line at each limit, across the whole panel.
  void add_limits(Specification& layers, const std::string& axis) const {
    for (const auto& limit : {asked_.least, asked_.greatest}) {
      if (limit) {
        const Column& gap = column(table_, "j_wt_nominal");
        const double shown = *measures_.gap_cell(limit).value * gap.scale;
        layers.push_back({{"data", {{"values", {Specification::object()}}}},
                          {"mark", {{"type", "rule"}, {"strokeDash", {6, 4}}, {"strokeWidth", 2}}},
                          {"encoding",
                           {{axis, {{"datum", shown}, {"type", "quantitative"}}},
                            {"color", coloured(limit_word)}}}});
      }
    }
  }

  [[nodiscard]] std::string title() const {
    return "backlash j_wt [" + column(table_, "j_wt_nominal").shown_unit + "]";
  }

 private:
  void add_entry(std::string_view word, const std::string& colour) {
    words_.push_back(word);
    colours_.push_back(colour);
  }

  const DataTable& table_;
  const Measures& measures_;
  Required asked_;
  bool percentiles_;
  Specification words_ = Specification::array();
  Specification colours_ = Specification::array();
};

Specification merged(Specification a, const Specification& b) {
  a.update(b);
  return a;
}

const std::vector<std::string_view> read_by_hovering = {
    "carrier",        "condition",       "temperature",       "j_wt_nominal",
    "j_wt_worst_low", "j_wt_worst_high", "j_wt_least_p0.135", "j_wt_greatest_p99.865",
    "p_bind",
};

Specification soak_panel(const DataTable& table, const BandLayers& bands, const Colours& colours,
                         int width, std::size_t points) {
  Specification x = field(table, "temperature");
  x["title"] = "temperature of all zones [" + column(table, "temperature").shown_unit + "]";
  x["scale"] = {{"zero", false}, {"nice", false}};
  Specification layers = Specification::array();
  const auto area = [&](std::string_view low, std::string_view high, std::string_view word) {
    layers.push_back({{"mark", "area"},
                      {"encoding", merged({{"x", x}, {"color", bands.coloured(word)}},
                                          bands.ends(low, high, "y"))}});
  };
  area("j_wt_worst_low", "j_wt_worst_high", worst_case_word);
  if (bands.percentiles()) {
    area("j_wt_least_p0.135", "j_wt_greatest_p99.865", percentile_word);
  }
  layers.push_back({{"mark", {{"type", "line"}, {"strokeWidth", 2}}},
                    {"encoding", merged({{"x", x}, {"color", bands.coloured(nominal_word)}},
                                        bands.nominal("y"))}});
  bands.add_limits(layers, "y");
  // The stretch around each point of the sweep, seen only under the pointer.
  const int stretch = std::max(2, width / static_cast<int>(points));
  layers.push_back(
      {{"params",
        {{{"name", "pointed"},
          {"select",
           {{"type", "point"},
            {"fields", {field(table, "temperature")["field"]}},
            {"on", "pointerover"},
            {"clear", "pointerout"}}}}}},
       {"mark", {{"type", "rule"}, {"color", colours.ink}, {"strokeWidth", stretch}}},
       {"encoding",
        {{"x", x},
         {"opacity",
          {{"condition", {{"param", "pointed"}, {"empty", false}, {"value", 0.15}}}, {"value", 0}}},
         {"tooltip", tooltip(table, read_by_hovering)}}}});
  return {{"width", width}, {"height", panel_height}, {"layer", std::move(layers)}};
}

std::string gap_and_unit(const Measures& measures, Length gap) {
  const Numbers numbers(measures.units());
  return numbers.gap(gap) + " " + numbers.gap_unit();
}

// "6.3 to 246.0 µm"
std::string gaps_and_unit(const Measures& measures, Length low, Length high) {
  return Numbers(measures.units()).gap(low) + " to " + gap_and_unit(measures, high);
}

// Whether a state of that name is a point of the soak.
bool is_soak(const design::BacklashResult& result, const std::string& state) {
  return std::any_of(result.states.begin(), result.states.end(), [&state](const auto& one) {
    return one.id == state && one.condition == "soak";
  });
}

// What the file asks for and whether it is kept, where that is decided by a state of this chart.
std::string required_sentence(const design::BacklashResult& result, const std::string& mesh,
                              bool soak, const Measures& measures) {
  std::string sentence;
  for (const design::RequirementRow& row : result.requirements) {
    const bool least = row.what == "least_backlash";
    if (row.mesh != mesh || (!least && row.what != "greatest_backlash") ||
        is_soak(result, row.state) != soak) {
      continue;
    }
    const Length limit = units::from_si<Length>(row.limit);
    const Length found = units::from_si<Length>(row.found);
    const Length spare = least ? found - limit : limit - found;
    sentence += " Required is at " + std::string(least ? "least " : "most ") +
                gap_and_unit(measures, limit) + ", judged on " + basis_text(row.basis) + ": " +
                (row.met ? "kept with " + gap_and_unit(measures, spare) + " to spare"
                         : "missed by " + gap_and_unit(measures, -spare)) +
                " at " + named(row.state) + ".";
  }
  return sentence;
}

// Least and greatest of some of a mesh's states, worst case.
struct Extremes {
  const design::MeshState* least = nullptr;
  const design::MeshState* greatest = nullptr;
};

Extremes extremes(const design::BacklashResult& result, const design::MeshResult& mesh, bool soak) {
  Extremes found;
  for (const design::MeshState& at : mesh.states) {
    if ((result.states[at.state].condition == "soak") == soak) {
      if (found.least == nullptr || at.gap.j_wt.low < found.least->gap.j_wt.low) {
        found.least = &at;
      }
      if (found.greatest == nullptr || at.gap.j_wt.high > found.greatest->gap.j_wt.high) {
        found.greatest = &at;
      }
    }
  }
  return found;
}

std::string extremes_sentence(const design::BacklashResult& result, const design::MeshResult& mesh,
                              bool soak, const Measures& measures) {
  const Extremes found = extremes(result, mesh, soak);
  if (found.least == nullptr) {
    return "No state could be computed on " + named(result.carrier) + ".";
  }
  return "On " + named(result.carrier) + ", the one in use, the worst case runs from " +
         gaps_and_unit(measures, found.least->gap.j_wt.low, found.greatest->gap.j_wt.high) +
         ": least at " + named(result.states[found.least->state].id) + ", greatest at " +
         named(result.states[found.greatest->state].id) + ".";
}

// How the other carriers compare, by the width that their worst case sweeps.
std::string others_sentence(const design::Study& study, std::size_t mesh, bool soak,
                            const Measures& measures) {
  std::string sentence;
  for (const design::CarrierRow& row : study.carriers.rows) {
    const Extremes found = extremes(row.result, row.result.meshes[mesh], soak);
    if (row.in_use || found.least == nullptr) {
      continue;
    }
    sentence += (sentence.empty() ? " On " : "; on ") + named(row.result.carrier) +
                " it runs from " +
                gaps_and_unit(measures, found.least->gap.j_wt.low, found.greatest->gap.j_wt.high);
  }
  return sentence.empty() ? sentence : sentence + ".";
}

Chart soak_chart(const design::Study& study, std::size_t mesh, const DataTable& table,
                 const Measures& measures, const BandLayers& bands, const Colours& colours) {
  const std::string& id = study.design.meshes[mesh].id;
  const std::vector<std::string> carriers = distinct(table, "carrier");
  const std::size_t panels = std::min(panels_in_a_row, carriers.size());
  constexpr int margin = 76;  // axis and its title at the left
  constexpr int gap = 16;
  const int width =
      (drawing_width - margin - static_cast<int>(panels - 1) * gap) / static_cast<int>(panels) - 4;
  Specification panel = soak_panel(table, bands, colours, width, study.design.soak->points);

  Chart chart;
  chart.id = "soak-" + std::to_string(mesh + 1);
  chart.table = table.id;
  chart.title = "Backlash of " + named(id) + " with everything at one temperature";
  chart.reading =
      extremes_sentence(study.backlash(), study.backlash().meshes[mesh], true, measures) +
      others_sentence(study, mesh, true, measures) +
      required_sentence(study.backlash(), id, true, measures);
  chart.spec = {{"transform", {with_number("temperature")}}};
  if (panels == 1) {
    chart.spec.update(panel);
  } else {
    chart.spec["facet"] = {{"field", "carrier"},
                           {"type", "nominal"},
                           {"sort", carriers},
                           {"header", {{"labelLimit", width}}}};
    chart.spec["columns"] = panels_in_a_row;
    chart.spec["spacing"] = gap;
    chart.spec["spec"] = std::move(panel);
  }
  return chart;
}

Chart condition_chart(const design::Study& study, std::size_t mesh, const DataTable& table,
                      const Measures& measures, const BandLayers& bands) {
  const std::string& id = study.design.meshes[mesh].id;
  const std::vector<std::string> carriers = distinct(table, "carrier");
  Specification conditions = Specification::array();
  for (const design::State& state : study.backlash().states) {
    if (state.condition != "soak") {
      conditions.push_back(Measures::text_cell(state.id).shown);
    }
  }
  // One row a condition, in it one line a carrier.
  const int row_height = 16 * static_cast<int>(carriers.size()) + 12;
  const Specification rows = {
      {"y",
       {{"field", "condition"},
        {"type", "nominal"},
        {"sort", conditions},
        {"title", nullptr},
        {"axis", {{"grid", true}, {"tickBand", "extent"}, {"labelLimit", label_width}}}}},
      {"yOffset", {{"field", "carrier"}, {"type", "nominal"}, {"sort", carriers}}}};
  Specification layers = Specification::array();
  const auto bar = [&](std::string_view low, std::string_view high, std::string_view word,
                       int size) {
    layers.push_back({{"mark", {{"type", "bar"}, {"height", size}}},
                      {"encoding", merged(merged(rows, {{"color", bands.coloured(word)}}),
                                          bands.ends(low, high, "x"))}});
  };
  bar("j_wt_worst_low", "j_wt_worst_high", worst_case_word, 12);
  if (bands.percentiles()) {
    bar("j_wt_least_p0.135", "j_wt_greatest_p99.865", percentile_word, 6);
  }
  bands.add_limits(layers, "x");
  // The nominal carries the shape of its carrier.
  Specification shapes = {{"field", "carrier"}, {"type", "nominal"}, {"sort", carriers}};
  shapes["scale"] = {{"domain", carriers}};
  if (carriers.size() > 1) {
    shapes["legend"] = {{"title", nullptr}, {"orient", "bottom"}};
  } else {
    shapes["legend"] = nullptr;
  }
  layers.push_back({{"mark", {{"type", "point"}, {"filled", true}, {"size", 60}, {"opacity", 1}}},
                    {"encoding", merged(merged(rows, {{"color", bands.coloured(nominal_word)},
                                                      {"shape", shapes}}),
                                        bands.nominal("x"))}});
  // What the pointer is over: the whole band.
  layers.push_back(
      {{"mark", {{"type", "bar"}, {"height", 14}, {"opacity", 0}}},
       {"encoding", merged(merged(rows, {{"tooltip", tooltip(table, read_by_hovering)}}),
                           bands.ends("j_wt_worst_low", "j_wt_worst_high", "x"))}});
  Chart chart;
  chart.id = "conditions-" + std::to_string(mesh + 1);
  chart.table = table.id;
  chart.title = "Backlash of " + named(id) + " at the conditions";
  chart.reading =
      extremes_sentence(study.backlash(), study.backlash().meshes[mesh], false, measures) +
      others_sentence(study, mesh, false, measures) +
      required_sentence(study.backlash(), id, false, measures);
  chart.spec = has_column(table, "temperature")
                   ? Specification{{"transform", {without_number("temperature")}}}
                   : Specification::object();
  chart.spec["width"] = drawing_width - 110;
  chart.spec["height"] = {{"step", row_height}, {"for", "position"}};
  chart.spec["layer"] = std::move(layers);
  return chart;
}

}  // namespace

std::vector<Chart> backlash_charts(const design::Study& study, std::size_t mesh,
                                   const DataTable& table, const Measures& measures,
                                   const Colours& colours) {
  const BandLayers bands(table, measures, colours,
                         required(study.backlash(), study.design.meshes[mesh].id));
  std::vector<Chart> charts;
  if (has_column(table, "temperature") && any_number(table, "j_wt_nominal", true)) {
    charts.push_back(soak_chart(study, mesh, table, measures, bands, colours));
  }
  if (any_number(table, "j_wt_nominal", false)) {
    charts.push_back(condition_chart(study, mesh, table, measures, bands));
  }
  return charts;
}

}  // namespace lashband::report
