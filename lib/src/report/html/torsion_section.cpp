#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/chart/torsion_names.hpp"
#include "report/message_text.hpp"
#include "report/number_text.hpp"
#include "report/selection.hpp"
#include "report/torsion_words.hpp"
#include "report/train_selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using design::TorsionCondition;
using design::TorsionElement;
using design::TorsionInertia;
using design::TorsionResult;

// Rows of tables here; CSV and JSON of the analysis have all.
constexpr std::size_t rows_shown = 100;
constexpr std::size_t crossings_shown = 25;
constexpr std::size_t parts_told = 3;

constexpr double percent = 100.0;

// What the tables of this section are written from.
struct TorsionInput {
  const PageInput& page;
  const TorsionResult& result;
  std::vector<const TorsionCondition*> conditions{};  ///< those that the view shows
  Measures measures;
  TorqueMeasures torques;
};

// Rows with how many there would be.
struct Rows {
  std::vector<std::vector<Cell>> shown{};
  std::size_t all = 0;

  [[nodiscard]] bool wants_more(std::size_t most = rows_shown) { return ++all <= most; }
};

void write_rows(HtmlWriter& html, const std::vector<Column>& columns, const Rows& rows,
                const std::string& caption, std::string_view what) {
  if (!rows.shown.empty()) {
    write_table(html, columns, rows.shown, caption);
    tell_left_out(html, rows.shown.size(), rows.all, what, "torsion");
  }
}

std::string own_speed(const TorsionCondition& condition) {
  if (!(has_speed(condition))) {
    return "none";
  }
  return condition.speed_judged ? "its own" : "top of the sweep";
}

void write_assumptions(HtmlWriter& html, const TorsionInput& input) {
  html.element("p",
               "A linear model: lumped inertias joined by springs and dampers, stiff bearings, the "
               "mean of each mesh stiffness over its cycle. Shafts turn uniformly but for small "
               "vibrations, and each counts in the sense in which it turns. Speeds and orders are "
               "those of " +
                   named(input.result.reference) + "; " + named(input.result.driver) +
                   " takes up what the mean torques leave.");
  html.element("p",
               "Where a rattle index is above 1 the teeth part, and this model, in which they "
               "cannot, says that they do, not what follows: forces there are those of teeth that "
               "could pull. Damping is seldom known well: natural frequencies are surer than "
               "what a resonance reaches. Confirm both by measurement on the built unit.");
  if (input.result.revolutions_per_cycle) {
    html.element("p", "A full cycle, after which everything repeats, takes " +
                          rounded_number(*input.result.revolutions_per_cycle, 6) +
                          (*input.result.revolutions_per_cycle == 1.0 ? " turn" : " turns") +
                          " of " + named(input.result.reference) +
                          "; greatest and least values are over a full cycle.");
  } else {
    html.element("p",
                 "Nothing in the file excites the train: there are natural frequencies and "
                 "mean torques alone.");
  }
}

void write_bodies(HtmlWriter& html, const TorsionInput& input) {
  const auto kind_words = [](TorsionInertia::Kind kind) {
    return kind == TorsionInertia::Kind::station ? "shaft"
           : kind == TorsionInertia::Kind::rim   ? "rim of a gear"
                                                 : "damper";
  };
  Rows bodies;
  for (const TorsionInertia& inertia : input.result.inertias) {
    if (bodies.wants_more()) {
      bodies.shown.push_back({Measures::text_cell(inertia.id),
                              {kind_words(inertia.kind), {}},
                              Measures::text_cell(inertia.shaft),
                              Measures::order_cell(inertia.ratio),
                              input.torques.inertia_cell(inertia.inertia)});
    }
  }
  html.element("h3", "Bodies and what joins them");
  write_rows(html,
             {Measures::text("body", "body"), Measures::text("kind", "kind"),
              Measures::text("shaft", "turns with"), Measures::ratio("ratio", "speed ratio"),
              input.torques.inertia("inertia", "inertia")},
             bodies, "Inertias of the model", "bodies");
}

std::string between_words(const TorsionResult& result, const TorsionElement& element) {
  return result.inertias[element.inertia_1].id + ", " +
         (element.inertia_2 ? result.inertias[*element.inertia_2].id : std::string("case"));
}

// Shafts, elastomers and dampers; meshes have a table of their own.
void write_elements(HtmlWriter& html, const TorsionInput& input) {
  const TorqueMeasures& torques = input.torques;
  Rows rows;
  for (std::size_t e = 0; e < input.result.elements.size(); ++e) {
    const TorsionElement& element = input.result.elements[e];
    if (is_mesh(element)) {
      continue;
    }
    for (const TorsionCondition* condition : input.conditions) {
      if (e < condition->elements.size() && rows.wants_more()) {
        const design::ElementState& at = condition->elements[e];
        const bool ends = cycle_known(input.result, *condition);
        rows.shown.push_back({Measures::text_cell(element_words(element)),
                              Measures::text_cell(between_words(input.result, element)),
                              Measures::text_cell(condition->id),
                              torques.stiffness_cell(at.stiffness), torques.torque_cell(at.mean),
                              ends ? torques.torque_cell(at.greatest) : Cell{},
                              ends ? torques.torque_cell(at.least) : Cell{}});
      }
    }
  }
  write_rows(html,
             {Measures::text("element", "element"), Measures::text("between", "between"),
              Measures::text("condition", "condition"), torques.stiffness("stiffness", "stiffness"),
              torques.torque("mean", "mean"), torques.torque("greatest", "greatest"),
              torques.torque("least", "least")},
             rows, "Torques of shafts, elastomers and dampers at the speed of each condition",
             "torques");
}

void write_modes(HtmlWriter& html, const TorsionInput& input) {
  Rows rows;
  for (const TorsionCondition* condition : input.conditions) {
    for (std::size_t m = 0; m < condition->modes.size(); ++m) {
      const design::NaturalMode& mode = condition->modes[m];
      if (!rows.wants_more()) {
        continue;
      }
      const auto strained = most_strained(mode);
      std::string nodes;
      for (const std::size_t element : mode.nodes) {
        nodes += nodes.empty() ? "" : ", ";
        nodes += element_words(input.result.elements[element]);
      }
      rows.shown.push_back(
          {Measures::text_cell(condition->id), Measures::count_cell(static_cast<long long>(m)),
           Measures::frequency_cell(mode.frequency),
           mode.damping_ratio
               ? Cell{units::fixed_number(percent * *mode.damping_ratio, 2), *mode.damping_ratio}
               : Cell{},
           mode.damped ? Measures::frequency_cell(*mode.damped) : Cell{},
           strained ? Measures::text_cell(element_words(input.result.elements[*strained]))
                    : Cell{"free motion", {}},
           strained ? Measures::share_cell(mode.strain_share[*strained]) : Cell{},
           Measures::text_cell(nodes)});
    }
  }
  html.element("h3", "Natural frequencies");
  write_rows(
      html,
      {Measures::text("condition", "condition"), Measures::ratio("mode", "mode"),
       Measures::frequency("frequency", "undamped"),
       Measures::share("damping_ratio", "damping ratio"),
       Measures::frequency("damped", "damped mode"), Measures::text("strained", "strains most"),
       Measures::share("share", "of its strain energy"), Measures::text("nodes", "nodes in")},
      rows, "Natural frequencies at each condition; a node: both ends turn against each other",
      "natural frequencies");
}

void write_crossings(HtmlWriter& html, const TorsionInput& input) {
  Rows rows;
  for (const TorsionCondition* condition : input.conditions) {
    std::size_t of_this = 0;
    for (const design::Crossing& crossing : condition->crossings) {
      ++rows.all;
      if (++of_this > std::max<std::size_t>(1, crossings_shown / input.conditions.size())) {
        continue;
      }
      const design::ExcitationLine& line = input.result.lines[crossing.line];
      const bool judged = condition->speed_judged && crossing.margin;
      rows.shown.push_back({Measures::text_cell(condition->id),
                            Measures::text_cell(excitation_name(line)),
                            Measures::order_cell(line.order),
                            Measures::count_cell(static_cast<long long>(crossing.mode)),
                            Measures::frequency_cell(condition->modes[crossing.mode].frequency),
                            Measures::speed_cell(crossing.speed),
                            judged ? Measures::speed_cell(condition->speed) : Cell{"not given", {}},
                            judged ? Measures::share_cell(*crossing.margin) : Cell{}});
    }
  }
  write_rows(
      html,
      {Measures::text("condition", "condition"), Measures::text("excitation", "excitation"),
       Measures::ratio("order", "order"), Measures::ratio("mode", "mode"),
       Measures::frequency("frequency", "natural frequency"),
       Measures::speed("speed", "they meet at"), Measures::speed("own_speed", "condition's speed"),
       Measures::share("margin", "excitation above it there")},
      rows, "Where an excitation meets a natural frequency, the nearest of each condition",
      "such points");
}

void write_frequencies(HtmlWriter& html, const TorsionInput& input) {
  const TorsionCharts& charts = input.page.charts.torsion;
  write_modes(html, input);
  write_crossings(html, input);
  for (std::size_t i = 0; i < charts.conditions.size(); ++i) {
    for (const auto& drawn : {charts.speeds[i], charts.modes[i]}) {
      if (drawn) {
        write_charts(html, drawn->charts, input.page);
        write_data(html, drawn->table);
      }
    }
  }
  if (charts.conditions_left_out > 0) {
    html.element("p", counted(charts.conditions_left_out, "more condition", "more conditions") +
                          " of the tables left out of the charts of this section.");
  }
}

// Of a mesh at a condition; null where its vibration is not known.
Cell index_cell(const design::MeshVibration* mesh) {
  if (mesh == nullptr) {
    return {"not known", {}};
  }
  return mesh->rattle_index ? five_digits(*mesh->rattle_index) : Cell{"no mean force", {}};
}

void write_meshes(HtmlWriter& html, const TorsionInput& input) {
  const TorsionResult& result = input.result;
  const Measures& measures = input.measures;
  const double scale = measures.force("", "").scale;
  Rows rows;
  for (std::size_t i = 0; i < result.meshes.size(); ++i) {
    const std::size_t e = result.meshes[i];
    if (!shows_mesh(input.page.options.view, result.elements[e].id)) {
      continue;
    }
    for (const TorsionCondition* condition : input.conditions) {
      if (e >= condition->elements.size() || !rows.wants_more()) {
        continue;
      }
      const design::ElementState& at = condition->elements[e];
      const design::MeshVibration* mesh =
          i < condition->meshes.size() ? &condition->meshes[i] : nullptr;
      rows.shown.push_back(
          {Measures::text_cell(result.elements[e].id),
           Measures::text_cell(condition->id),
           has_speed(*condition) ? Measures::speed_cell(condition->speed) : Cell{},
           {own_speed(*condition), {}},
           input.torques.mesh_stiffness_cell(at.stiffness),
           five_digits(at.mean, scale),
           mesh == nullptr ? Cell{} : five_digits(0.5 * (at.greatest - at.least), scale),
           mesh == nullptr ? Cell{} : five_digits(mesh->least.value(), scale),
           index_cell(mesh),
           {mesh == nullptr             ? ""
            : mesh->least.value() < 0.0 ? "they part"
                                        : "stay in contact",
            {}}});
    }
  }
  if (rows.shown.empty()) {
    return;
  }
  html.element("h3", "Meshes under vibration");
  html.element(
      "p",
      "The rattle index tells how far the force of a mesh falls below its mean, over the mean: "
      "above 1 the teeth part. Forces act on the base tangent, at the speed of each "
      "condition.");
  write_rows(html,
             {Measures::text("mesh", "mesh"), Measures::text("condition", "condition"),
              Measures::speed("speed", "speed"), Measures::text("speed_from", "speed is"),
              input.torques.mesh_stiffness("stiffness", "mesh stiffness"),
              measures.force("mean", "mean force"), measures.force("dynamic", "dynamic force"),
              measures.force("least", "least force"),
              Measures::ratio("rattle_index", "rattle index"), Measures::text("teeth", "teeth")},
             rows, "Meshes at the speed of each condition", "states of meshes");
  for (const DrawnTable& mesh : input.page.charts.torsion.meshes) {
    write_charts(html, mesh.charts, input.page);
    write_data(html, mesh.table);
  }
  if (input.page.charts.torsion.meshes_left_out > 0) {
    html.element("p",
                 counted(input.page.charts.torsion.meshes_left_out, "more mesh", "more meshes") +
                     " of the table left out of the charts.");
  }
}

// What moves the rattle indices most.
void write_index_causes(HtmlWriter& html, const TorsionInput& input) {
  struct Cause {
    std::string name;
    const char* of = "";
    double change = 0.0;
  };
  Rows rows;
  for (const TorsionCondition* condition : input.conditions) {
    for (std::size_t i = 0; i < condition->meshes.size(); ++i) {
      const design::MeshVibration& mesh = condition->meshes[i];
      const std::string& id = mesh_id(input.result, i);
      if (!shows_mesh(input.page.options.view, id)) {
        continue;
      }
      std::vector<Cause> causes;
      for (std::size_t e = 0; e < mesh.index_by_stiffness.size(); ++e) {
        causes.push_back(
            {element_words(input.result.elements[e]), "stiffness", mesh.index_by_stiffness[e]});
      }
      for (std::size_t k = 0; k < mesh.index_by_inertia.size(); ++k) {
        causes.push_back(
            {inertia_words(input.result.inertias[k]), "inertia", mesh.index_by_inertia[k]});
      }
      std::stable_sort(causes.begin(), causes.end(), [](const Cause& a, const Cause& b) {
        return std::abs(a.change) > std::abs(b.change);
      });
      causes.resize(std::min(causes.size(), parts_told));
      for (const Cause& cause : causes) {
        if (cause.change != 0.0 && rows.wants_more()) {
          // By one per cent, as a share of the index itself would not tell of great ones.
          rows.shown.push_back({Measures::text_cell(id),
                                Measures::text_cell(condition->id),
                                Measures::text_cell(cause.name),
                                {cause.of, {}},
                                {rounded_number(cause.change, 4), cause.change}});
        }
      }
    }
  }
  write_rows(html,
             {Measures::text("mesh", "mesh"), Measures::text("condition", "condition"),
              Measures::text("part", "part"), Measures::text("of", "its"),
              Measures::ratio("change", "d index / d ln part")},
             rows,
             "What moves a rattle index most: its rise over the relative growth of a stiffness or "
             "an inertia",
             "such parts");
}

void write_torques(HtmlWriter& html, const TorsionInput& input) {
  const TorsionCharts& charts = input.page.charts.torsion;
  const bool any = std::any_of(input.result.elements.begin(), input.result.elements.end(),
                               [](const TorsionElement& element) { return !is_mesh(element); });
  if (!any) {
    return;
  }
  html.element("h3", "Torques of shafts, elastomers and dampers");
  write_elements(html, input);
  if (charts.torques) {
    write_charts(html, charts.torques->charts, input.page);
    write_data(html, charts.torques->table);
  }
  if (charts.torques_left_out > 0) {
    html.element("p", counted(charts.torques_left_out, "more element", "more elements") +
                          " with smaller dynamic torques left out of the chart.");
  }
}

void write_elastomers(HtmlWriter& html, const TorsionInput& input) {
  const std::optional<DrawnTable>& drawn = input.page.charts.torsion.elastomers;
  if (drawn) {
    html.element("h3", "Elastomers");
    write_charts(html, drawn->charts, input.page);
    write_data(html, drawn->table);
  }
}

void write_wind_up(HtmlWriter& html, const TorsionInput& input) {
  units::Angle greatest;
  for (const TorsionCondition* condition : input.conditions) {
    for (const design::WindUp& shaft : condition->wind_up) {
      greatest = std::max({greatest, shaft.mean, -shaft.mean, shaft.phase_error});
    }
  }
  const AngleScale scale(greatest);
  Rows rows;
  for (const TorsionCondition* condition : input.conditions) {
    for (const design::WindUp& shaft : condition->wind_up) {
      if (rows.wants_more()) {
        rows.shown.push_back(
            {Measures::text_cell(shaft.shaft), Measures::text_cell(shaft.against),
             Measures::text_cell(condition->id), Measures::angle_cell(shaft.mean, scale),
             cycle_known(input.result, *condition) ? Measures::angle_cell(shaft.phase_error, scale)
                                                   : Cell{}});
      }
    }
  }
  if (rows.shown.empty()) {
    return;
  }
  html.element("h3", "Wind-up");
  html.element(
      "p",
      "How far a shaft is behind the place that the tooth numbers give it against another, as "
      "an angle of its own, and half of what it swings about that. Backlash is not in it.");
  write_rows(
      html,
      {Measures::text("shaft", "shaft"), Measures::text("against", "against"),
       Measures::text("condition", "condition"), Measures::angle("mean", "behind, mean", scale),
       Measures::angle("phase_error", "phase error, half range", scale)},
      rows, "Wind-up at the speed of each condition", "angles");
}

void write_reaction(HtmlWriter& html, const TorsionInput& input) {
  Rows rows;
  for (const TorsionCondition* condition : input.conditions) {
    if (rows.wants_more()) {
      const design::CaseReaction& reaction = condition->reaction;
      rows.shown.push_back({Measures::text_cell(condition->id),
                            input.torques.inertia_cell(reaction.inertia),
                            input.torques.inertia_cell(reaction.greatest_part),
                            cycle_known(input.result, *condition)
                                ? input.torques.torque_cell(reaction.vibration.value())
                                : Cell{}});
    }
  }
  if (rows.shown.empty()) {
    return;
  }
  html.element("h3", "What the case feels");
  html.element("p",
               "Where the train speeds up or slows down, the torque on the case is the sum of its "
               "inertias times their signed speed ratios, times the angular acceleration of " +
                   named(input.result.reference) + ", against it.");
  write_rows(
      html,
      {Measures::text("condition", "condition"), input.torques.inertia("inertia", "sum of J r"),
       input.torques.inertia("greatest_part", "greatest part of a shaft"),
       input.torques.torque("vibration", "torque on the case by vibration, half range")},
      rows, "Reaction on the case", "conditions");
  std::string text;
  for (const design::CaseReaction::Cancelling& one :
       input.conditions.front()->reaction.cancelling) {
    text.append(text.empty() ? "" : ", or ");
    text.append(input.torques.inertia_words(one.inertia)).append(" more on ");
    text.append(named(one.shaft));
  }
  if (!text.empty()) {
    html.element("p", "The sum would be zero with " + text + ".");
  }
}

void write_power(HtmlWriter& html, const TorsionInput& input) {
  Rows rows;
  for (const TorsionCondition* condition : input.conditions) {
    if (has_speed(*condition) && rows.wants_more()) {
      const design::TorsionPower& power = condition->power;
      rows.shown.push_back({Measures::text_cell(condition->id),
                            Measures::speed_cell(condition->speed),
                            {own_speed(*condition), {}},
                            input.torques.torque_cell(condition->balance.value()),
                            TorqueMeasures::power_cell(power.driven),
                            TorqueMeasures::power_cell(power.loads),
                            TorqueMeasures::power_cell(power.drag),
                            TorqueMeasures::power_cell(power.vibration_in),
                            TorqueMeasures::power_cell(power.vibration_out)});
    }
  }
  if (rows.shown.empty()) {
    return;
  }
  html.element("h3", "Power");
  write_rows(html,
             {Measures::text("condition", "condition"), Measures::speed("speed", "speed"),
              Measures::text("speed_from", "speed is"),
              input.torques.torque("balance", "balance at " + named(input.result.driver)),
              TorqueMeasures::power("driven", "driving"), TorqueMeasures::power("loads", "loads"),
              TorqueMeasures::power("drag", "drag"),
              TorqueMeasures::power("vibration_in", "into vibration"),
              TorqueMeasures::power("vibration_out", "dissipated by it")},
             rows, "Mean torques and vibration at the speed of each condition", "conditions");
}

void write_messages(HtmlWriter& html, const TorsionResult& result) {
  std::vector<std::string> texts;
  for (const design::Warning& warning : result.warnings) {
    std::string text = warning_text(warning);
    if (std::find(texts.begin(), texts.end(), text) == texts.end()) {
      texts.push_back(std::move(text));
    }
  }
  if (!texts.empty()) {
    html.element("h3", "Findings on vibration");
    write_list(html, texts);
  }
}

}  // namespace

Section torsion_section(const PageInput& input) {
  if (!input.study.torsion) {
    return {};
  }
  const TorsionResult& result = *input.study.torsion;
  TorsionInput of{input,
                  result,
                  {},
                  Measures(input.options.view.units),
                  TorqueMeasures(input.options.view.units)};
  for (const TorsionCondition& condition : result.conditions) {
    if (shows_condition(input.options.view, condition.id)) {
      of.conditions.push_back(&condition);
    }
  }
  HtmlWriter html;
  write_assumptions(html, of);
  if (!result.failures.empty()) {
    std::vector<std::string> texts;
    texts.reserve(result.failures.size());
    for (const design::Failure& failure : result.failures) {
      texts.push_back(failure_text(failure));
    }
    html.element("h3", "What could not be computed of vibration");
    write_list(html, texts);
  }
  write_bodies(html, of);
  if (!of.conditions.empty()) {
    write_frequencies(html, of);
    write_meshes(html, of);
    write_index_causes(html, of);
    write_torques(html, of);
    write_elastomers(html, of);
    write_wind_up(html, of);
    write_reaction(html, of);
    write_power(html, of);
  }
  write_messages(html, result);
  return {"torsion", "Torsional vibration", html.take()};
}

}  // namespace lashband::report
