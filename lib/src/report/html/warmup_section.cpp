#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <string>
#include <utility>

#include "lashband/units/plain_number.hpp"
#include "report/chart/temperatures_over_time.hpp"
#include "report/chart/warmup_words.hpp"
#include "report/judged_ends.hpp"
#include "report/message_text.hpp"
#include "report/numbers.hpp"
#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using design::HistoryResult;
using design::MeshResult;
using design::MeshState;
using design::RequirementOverTime;

// What the history is: where its temperatures come from and how long it is.
std::string origin_sentence(const HistoryResult& history) {
  const TimeScale scale = time_scale_of(history);
  const std::string reach =
      Measures::time_cell(history.start, scale).shown + " to " + time_text(history.end, scale);
  const std::string moments = counted(history.backlash.states.size(), "moment", "moments");
  if (history.source == HistoryResult::Source::record) {
    return "A record" + (history.file.empty() ? std::string() : ", " + named(history.file)) +
           ": temperatures from " + reach + ", linear between its rows, worked out at " + moments +
           ".";
  }
  std::string text = "The thermal network of the file, from " + reach;
  if (history.cycles > 1) {
    text += " in " + std::to_string(history.cycles) + " cycles";
  }
  text += ", worked out at " + moments + ".";
  if (history.is_periodic) {
    text += " It was repeated until a cycle is like the one before it.";
  }
  return text;
}

// "Mesh A-B: least backlash 1.4 µm at 0.00 min, judged on worst case; least backlash (≥ 30.0 µm),
// judged on ..."
std::string mesh_sentence(const PageInput& input, const HistoryResult& history,
                          const MeshResult& mesh) {
  const Numbers numbers(input.options.view.units);
  const TimeScale scale = time_scale_of(history);
  std::string text = "Mesh " + named(mesh.id) + ": ";
  if (!mesh.least) {
    return text + "no moment could be computed.";
  }
  const MeshState& least = mesh.states[*mesh.least];
  text += "least backlash " + numbers.gap_with_unit(judged_low(least.gap.j_wt, mesh.basis)) +
          " at " + time_text(*history.backlash.states[least.state].time, scale) + ", judged on " +
          basis_text(mesh.basis);
  std::string kept;
  for (const RequirementOverTime& requirement : history.requirements) {
    if (requirement.row.mesh != mesh.id) {
      continue;
    }
    if (requirement.violated.empty()) {
      kept += (kept.empty() ? "" : ", ") + requirement_words(requirement.row.what);
    } else {
      text += "; " + requirement_over_time(requirement, history, input.options.view);
    }
  }
  if (!kept.empty()) {
    text += "; throughout holds " + kept;
  }
  return text + ".";
}

void write_words(HtmlWriter& html, const PageInput& input, const HistoryResult& history) {
  html.element("p", origin_sentence(history));
  std::vector<std::string> texts;
  for (const MeshResult& mesh : history.backlash.meshes) {
    if (shows_mesh(input.options.view, mesh.id)) {
      texts.push_back(mesh_sentence(input, history, mesh));
    }
  }
  if (!texts.empty()) {
    write_list(html, texts);
  }
}

void write_requirements(HtmlWriter& html, const PageInput& input, const HistoryResult& history) {
  const View& view = input.options.view;
  const TimeScale scale = time_scale_of(history);
  std::vector<Column> columns = {
      Measures::text("mesh", "mesh"),         Measures::text("what", "what is asked for"),
      Measures::text("limit", "limit"),       Measures::text("found", "worst"),
      Measures::time("at", "at", scale),      Measures::text("basis", "judged on"),
      Measures::text("violated", "violated"), Measures::time("holds_from", "holds from", scale),
      Measures::text("met", "verdict")};
  columns[2].numeric = columns[3].numeric = true;
  std::vector<std::vector<Cell>> rows;
  for (const RequirementOverTime& requirement : history.requirements) {
    const design::RequirementRow& row = requirement.row;
    if (!shows_mesh(view, row.mesh)) {
      continue;
    }
    const std::vector<design::TimeSpan>& violated = requirement.violated;
    rows.push_back({Measures::text_cell(row.mesh),
                    Measures::text_cell(requirement_words(row.what)),
                    requirement_cell(row, row.limit,
                                     limit_sign(row) + requirement_value(row, row.limit, view)),
                    requirement_cell(row, row.found, requirement_value(row, row.found, view)),
                    Measures::time_cell(requirement.at, scale),
                    Measures::text_cell(basis_text(row.basis)),
                    {violated.empty() ? "never" : spans_text(violated, scale, violated.size()), {}},
                    requirement.holds_from ? Measures::time_cell(*requirement.holds_from, scale)
                                           : Cell{"not at the end", {}},
                    Measures::text_cell(row.met ? "met" : "NOT MET")});
  }
  if (!rows.empty()) {
    write_table(html, columns, rows, "Requirements over " + named(history.id));
  }
}

// What happens at the moments of a history, in order of time.
class Events {
 public:
  Events(const PageInput& input, const HistoryResult& history) : history_(history) {
    const std::vector<design::State>& states = history.backlash.states;
    add(*states.front().time, "it begins");
    const Numbers numbers(input.options.view.units);
    for (const MeshResult& mesh : history.backlash.meshes) {
      if (!shows_mesh(input.options.view, mesh.id) || !mesh.least || !mesh.greatest) {
        continue;
      }
      const MeshState& least = mesh.states[*mesh.least];
      const MeshState& greatest = mesh.states[*mesh.greatest];
      add(*states[least.state].time,
          named(mesh.id) + " has its least backlash, " +
              numbers.gap_with_unit(judged_low(least.gap.j_wt, mesh.basis)));
      add(*states[greatest.state].time,
          named(mesh.id) + " has its greatest backlash, " +
              numbers.gap_with_unit(judged_high(greatest.gap.j_wt, mesh.basis)));
    }
    for (const RequirementOverTime& requirement : history.requirements) {
      if (shows_mesh(input.options.view, requirement.row.mesh)) {
        add(requirement, input.options.view);
      }
    }
    add(*states.back().time, "it ends");
  }

  // By the index of the moment.
  [[nodiscard]] const std::map<std::size_t, std::string>& by_moment() const { return texts_; }

 private:
  void add(const RequirementOverTime& requirement, const View& view) {
    const std::string what =
        named(requirement.row.mesh) + " " + requirement_words(requirement.row.what);
    for (const design::TimeSpan& span : requirement.violated) {
      // What is violated at the ends of the history began before it and ends after it.
      add(span.from, what + (span.from > history_.start ? " begins to be violated"
                                                        : " is violated from the start"));
      add(span.to, what + (span.to < history_.end ? " holds again" : " is violated at the end"));
    }
    // Backlash itself is told by its least and greatest already.
    if (requirement.row.what != "least_backlash" && requirement.row.what != "greatest_backlash") {
      add(requirement.at, what +
                              (requirement.violated.empty() ? " is nearest to its limit, "
                                                            : " is farthest beyond its limit, ") +
                              requirement_value(requirement.row, requirement.row.found, view));
    }
  }

  // At the moment nearest to a time; all that is told of has one.
  void add(units::Time time, const std::string& what) {
    const std::vector<design::State>& states = history_.backlash.states;
    const auto nearest = std::min_element(states.begin(), states.end(),
                                          [time](const design::State& a, const design::State& b) {
                                            return std::abs(a.time->value() - time.value()) <
                                                   std::abs(b.time->value() - time.value());
                                          });
    std::string& text = texts_[static_cast<std::size_t>(nearest - states.begin())];
    if (text.find(what) == std::string::npos) {
      text += (text.empty() ? "" : "; ") + what;
    }
  }

  const HistoryResult& history_;
  std::map<std::size_t, std::string> texts_;
};

void write_events(HtmlWriter& html, const PageInput& input, const HistoryResult& history) {
  // More columns of temperatures than this would not fit on paper; the table of the chart has all.
  constexpr std::size_t most_zones = 6;
  const Measures measures(input.options.view.units);
  const TimeScale scale = time_scale_of(history);
  std::vector<Column> columns = {Measures::time("time", "time", scale)};
  std::vector<TemperatureCurve> curves = temperature_curves(input.study, history);
  std::erase_if(
      curves, [](const TemperatureCurve& curve) { return curve.of != TemperatureCurve::Of::zone; });
  if (curves.size() > most_zones) {
    curves.clear();
  }
  for (std::size_t i = 0; i < curves.size(); ++i) {
    columns.push_back(
        measures.level("T_" + std::to_string(i + 1), Measures::text_cell(curves[i].name).shown));
  }
  columns.push_back(Measures::text("event", "what happens"));
  std::vector<std::vector<Cell>> rows;
  const Events events(input, history);
  for (const auto& [moment, text] : events.by_moment()) {
    std::vector<Cell> cells = {Measures::time_cell(*history.backlash.states[moment].time, scale)};
    for (const TemperatureCurve& curve : curves) {
      cells.push_back(measures.level_cell(curve.level[moment]));
    }
    cells.push_back({text, {}});
    rows.push_back(std::move(cells));
  }
  write_table(html, columns, rows, "Telling moments of " + named(history.id));
}

std::string heat_word(design::HeatRow::Kind kind) {
  using Kind = design::HeatRow::Kind;
  switch (kind) {
    case Kind::input:
      return "brought in by heat input";
    case Kind::boundary:
      return "brought in from boundary";
    case Kind::stream:
      return "brought along by stream";
    case Kind::stored:
      break;
  }
  return "gained by body";
}

void write_heat(HtmlWriter& html, const HistoryResult& history) {
  if (!history.heat) {
    return;
  }
  constexpr double joules_in_kilojoule = 1000.0;
  const auto heat_cell = [](units::Energy heat) {
    return Cell{units::fixed_number(heat.value() / joules_in_kilojoule, 3), heat.value()};
  };
  const std::vector<Column> columns = {
      Measures::text("what", "heat"),
      Measures::text("id", "of"),
      {"heat", "heat", true, "J", "kJ", 1.0 / joules_in_kilojoule, 0.0}};
  std::vector<std::vector<Cell>> rows;
  for (const design::HeatRow& row : history.heat->rows) {
    rows.push_back({{heat_word(row.kind), {}}, Measures::text_cell(row.id), heat_cell(row.heat)});
  }
  rows.push_back(
      {{"left over: gained less brought in", {}}, {}, heat_cell(history.heat->residual)});
  write_table(html, columns, rows,
              "Where the heat of " + named(history.id) + " came from and went");
  const double turnover = history.heat->turnover.value();
  if (turnover > 0.0) {
    // "3.6e-17"
    std::array<char, 32> share{};
    const auto end = std::to_chars(share.data(), share.data() + share.size(),
                                   std::abs(history.heat->residual.value()) / turnover,
                                   std::chars_format::scientific, 1);
    html.element("p", "Below zero heat went out. The account closes to " +
                          std::string(share.data(), end.ptr) +
                          " of the greatest amount of heat that anything took or passed on.");
  }
}

void write_history(HtmlWriter& html, const PageInput& input, const HistoryCharts& charts) {
  const HistoryResult& history = input.study.warmup.histories[charts.history];
  html.open("section", {{"class", "history"}, {"id", "history-" + std::to_string(charts.number)}});
  html.element("h3", "History " + named(history.id));
  write_words(html, input, history);
  write_requirements(html, input, history);
  write_events(html, input, history);
  write_charts(html, charts.charts, input);
  for (const DataTable& table : charts.tables) {
    write_data(html, table);
  }
  write_heat(html, history);
  html.close().line_break();
}

// What the histories by themselves found that no other analysis has: at moments of their own.
void write_warnings(HtmlWriter& html, const design::Study& study) {
  std::vector<std::string> texts;
  for (const design::Warning& warning : study.warmup.warnings) {
    // A network that floats makes these temperatures something else than they seem.
    if (warning.kind == "floating network" || warning.kind == "viscosity") {
      texts.push_back(warning_text(warning));
    }
  }
  if (!texts.empty()) {
    html.element("h3", "What to know about these temperatures");
    write_list(html, texts);
  }
}

}  // namespace

Section warmup_section(const PageInput& input) {
  const design::WarmupResult& warmup = input.study.warmup;
  if (warmup.histories.empty() && warmup.failures.empty()) {
    return {};
  }
  HtmlWriter html;
  html.element("p",
               "The train on " + named(input.study.backlash().carrier) +
                   ", the carrier in use, over each history by itself. Each zone has one "
                   "temperature at a moment, and each mesh is where these put it at once. "
                   "Requirements are judged over the history alone; times count as the history "
                   "counts them.");
  if (!warmup.failures.empty()) {
    html.element("h3", "What could not be computed over time");
    std::vector<design::State> states;
    for (const HistoryResult& history : warmup.histories) {
      states.insert(states.end(), history.backlash.states.begin(), history.backlash.states.end());
    }
    write_list(html, failure_texts(warmup.failures, states));
  }
  write_warnings(html, input.study);
  for (const HistoryCharts& charts : input.charts.histories) {
    write_history(html, input, charts);
  }
  return {"warm-up", "Warm-up", html.take()};
}

}  // namespace lashband::report
