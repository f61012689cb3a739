#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "lashband/units/plain_number.hpp"
#include "report/judged_ends.hpp"
#include "report/loop_text.hpp"
#include "report/number_text.hpp"
#include "report/numbers.hpp"
#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "report/train_selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using design::LoopResult;
using design::LoopState;
using design::LostMotion;
using design::TrainResult;
using train::ExactRatio;
using units::Angle;

// More columns than these would not fit on paper.
constexpr std::size_t conditions_shown = 4;
// Rows of tables here; CSV and JSON of the analysis have all.
constexpr std::size_t rows_shown = 100;

std::string exact_text(const ExactRatio& ratio) {
  constexpr std::size_t longest = 24;
  const std::string text = train::text_of(ratio);
  return text.size() <= longest ? text : "long, see JSON";
}

const char* sense_words(const ExactRatio& ratio) {
  return ratio > 0 ? "same" : ratio < 0 ? "opposite" : "held";
}

Cell decimal_cell(const ExactRatio& ratio) {
  const double nearest = train::nearest_double(ratio);
  return std::isfinite(nearest) ? Measures::order_cell(nearest) : Cell{"beyond range", {}};
}

void write_shafts(HtmlWriter& html, const PageInput& input) {
  const TrainResult& train = input.study.train;
  std::vector<std::size_t> conditions;
  std::size_t all_conditions = 0;
  for (std::size_t i = 0; i < train.conditions.size(); ++i) {
    if (shows_condition(input.options.view, train.conditions[i])) {
      ++all_conditions;
      if (conditions.size() < conditions_shown) {
        conditions.push_back(i);
      }
    }
  }
  std::vector<Column> columns = {
      Measures::text("shaft", "shaft"), Measures::text("exact", "speed ratio"),
      Measures::ratio("ratio", "as a decimal"), Measures::text("referred_to", "over that of"),
      Measures::text("sense", "sense")};
  for (const std::size_t i : conditions) {
    columns.push_back(Measures::speed("speed_" + std::to_string(i + 1),
                                      Measures::text_cell(train.conditions[i]).shown));
  }
  std::vector<std::vector<Cell>> rows;
  for (const design::TrainShaft& shaft : train.shafts) {
    if (rows.size() == rows_shown) {
      break;
    }
    std::vector<Cell> cells = {Measures::text_cell(shaft.id),
                               {exact_text(shaft.ratio), {}},
                               decimal_cell(shaft.ratio),
                               Measures::text_cell(shaft.referred_to),
                               {sense_words(shaft.ratio), {}}};
    for (const std::size_t i : conditions) {
      cells.push_back(Measures::speed_cell(i < shaft.speed.size() ? shaft.speed[i] : std::nullopt));
    }
    rows.push_back(std::move(cells));
  }
  html.element("h3", "Ratios and speeds");
  if (train.arm) {
    const double ratio = train::nearest_double(train.arm_ratio);
    html.element("p", "The bores sit in the planet arm " + named(*train.arm) + ", which turns " +
                          exact_text(train.arm_ratio) + " (" + rounded_number(ratio, 7) +
                          ") times as fast as " + named(train.reference) + " while " +
                          named(train.held) + " is held. Speeds are those in space.");
  }
  write_table(html, columns, rows,
              "Shafts: speed over that of the reference, exactly as tooth numbers make it");
  tell_left_out(html, rows.size(), train.shafts.size(), "shafts", "train");
  tell_left_out(html, conditions.size(), all_conditions, "conditions with a speed", "train");
}

void write_meshes(HtmlWriter& html, const PageInput& input) {
  const std::vector<Column> columns = {
      Measures::text("mesh", "mesh"),       Measures::text("gear_1", "gear 1"),
      Measures::text("gear_2", "gear 2"),   Measures::text("shafts", "shafts"),
      Measures::ratio("z_1", "z_1"),        Measures::ratio("z_2", "z_2"),
      Measures::text("exact", "n_2 / n_1"), Measures::ratio("ratio", "as a decimal"),
      Measures::text("kind", "kind"),       Measures::text("on_a_loop", "on a loop")};
  std::vector<std::vector<Cell>> rows;
  std::size_t all = 0;
  for (const design::TrainMesh& mesh : input.study.train.meshes) {
    if (!shows_mesh(input.options.view, mesh.id) || ++all > rows_shown) {
      continue;
    }
    // Against what the bores sit in.
    const ExactRatio ratio =
        ExactRatio(mesh.internal ? mesh.teeth_1 : -mesh.teeth_1) / ExactRatio(mesh.teeth_2);
    rows.push_back({Measures::text_cell(mesh.id),
                    Measures::text_cell(mesh.gear_1),
                    Measures::text_cell(mesh.gear_2),
                    Measures::text_cell(mesh.shaft_1 + ", " + mesh.shaft_2),
                    Measures::count_cell(mesh.teeth_1),
                    Measures::count_cell(mesh.teeth_2),
                    {exact_text(ratio), {}},
                    decimal_cell(ratio),
                    {mesh.internal ? "internal" : "external", {}},
                    {mesh.on_a_loop ? "yes" : "no", {}}});
  }
  write_table(html, columns, rows,
              input.study.train.arm ? "Meshes: ratios against the planet arm" : "Meshes: ratios");
  tell_left_out(html, rows.size(), all, "meshes", "train");
}

// The way with its first meshes.
std::string way_words(const LostMotion& motion) {
  constexpr std::size_t most = 4;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, motion.way.size()); ++i) {
    text += (i == 0 ? "" : ", ") + named(motion.way[i]);
  }
  if (motion.way.size() > most) {
    text += " and " + std::to_string(motion.way.size() - most) + " more";
  }
  return text + (motion.loops ? "; other ways too" : "");
}

void write_pairs(HtmlWriter& html, const PageInput& input) {
  const TrainResult& train = input.study.train;
  Angle greatest;
  for (const LostMotion& motion : train.lost_motion) {
    for (const design::LostMotionState& at : motion.states) {
      greatest = std::max(greatest, at.total ? at.total->high : Angle());
    }
  }
  const AngleScale scale(greatest);
  std::vector<Column> columns = {Measures::text("of", "of"),
                                 Measures::text("held", "held"),
                                 Measures::text("way", "over"),
                                 Measures::angle("least", "least", scale),
                                 Measures::text("least_condition", "at"),
                                 Measures::angle("greatest", "greatest", scale),
                                 Measures::text("greatest_condition", "at"),
                                 Measures::text("basis", "told on")};
  const bool any_asked = std::any_of(train.lost_motion.begin(), train.lost_motion.end(),
                                     [&train](const LostMotion& motion) {
                                       return lost_motion_requirement(train, motion) != nullptr;
                                     });
  if (any_asked) {
    columns.push_back(Measures::angle("limit", "required", scale));
    columns.push_back(Measures::text("met", "verdict"));
  }
  std::vector<std::vector<Cell>> rows;
  for (const LostMotion& motion : train.lost_motion) {
    if (!shows_way(input.options.view, motion) || rows.size() == rows_shown) {
      continue;
    }
    const auto end = [&](const std::optional<std::size_t>& place, bool low) {
      if (!place) {
        return Cell{"–", {}};
      }
      const auto& total = motion.states[*place].total;
      return total
                 ? Measures::angle_cell(
                       low ? low_end(*total, motion.basis) : high_end(*total, motion.basis), scale)
                 : Cell{"binds", {}};
    };
    const auto state = [&](const std::optional<std::size_t>& place) {
      return place ? Measures::text_cell(train.backlash.states[motion.states[*place].state].id)
                   : Cell{};
    };
    const design::RequirementRow* asked = lost_motion_requirement(train, motion);
    rows.push_back({Measures::text_cell(motion.of),
                    Measures::text_cell(motion.held),
                    {way_words(motion), {}},
                    end(motion.least, true),
                    state(motion.least),
                    end(motion.greatest, false),
                    state(motion.greatest),
                    {basis_text(motion.basis), {}}});
    if (any_asked) {
      rows.back().push_back(asked == nullptr
                                ? Cell{}
                                : Measures::angle_cell(units::from_si<Angle>(asked->limit), scale));
      rows.back().push_back({asked == nullptr ? "" : (asked->met ? "met" : "NOT MET"), {}});
    }
  }
  write_table(html, columns, rows, "Lost motion over all states");
}

// Lost motion by itself and as the mean torques reverse, side by side.
void write_under_torque(HtmlWriter& html, const PageInput& input) {
  const TrainResult& train = input.study.train;
  Angle greatest;
  for (const LostMotion& motion : train.lost_motion) {
    for (const design::LostMotionState& at : motion.states) {
      greatest = std::max(greatest, at.wind_up.value_or(Angle()));
      greatest = std::max(greatest, at.under_torque ? at.under_torque->high : Angle());
    }
  }
  const AngleScale scale(greatest);
  std::vector<std::vector<Cell>> rows;
  std::size_t all = 0;
  for (const LostMotion& motion : train.lost_motion) {
    if (!shows_way(input.options.view, motion)) {
      continue;
    }
    for (const design::LostMotionState& at : motion.states) {
      const design::State& state = train.backlash.states[at.state];
      if (!at.wind_up || !shows_state(input.options.view, state) || ++all > rows_shown) {
        continue;
      }
      std::vector<Cell> cells = {Measures::text_cell(motion.of), Measures::text_cell(motion.held),
                                 Measures::text_cell(state.id)};
      const auto put_ends = [&](const std::optional<design::ResultBand<Angle>>& band) {
        cells.push_back(band ? Measures::angle_cell(band->nominal, scale) : Cell{"binds", {}});
        cells.push_back(band ? Measures::angle_cell(band->low, scale) : Cell{});
        cells.push_back(band ? Measures::angle_cell(band->high, scale) : Cell{});
      };
      put_ends(at.total);
      cells.push_back(Measures::angle_cell(at.wind_up, scale));
      put_ends(at.under_torque);
      rows.push_back(std::move(cells));
    }
  }
  if (rows.empty()) {
    return;
  }
  html.element("p",
               "The mean torques of the torsional model wind the shafts up. As they reverse, a "
               "shaft turns by its lost motion and by twice its wind-up.");
  write_table(html,
              {Measures::text("of", "of"), Measures::text("held", "held"),
               Measures::text("condition", "condition"),
               Measures::angle("nominal", "lost motion, nominal", scale),
               Measures::angle("worst_low", "worst case, least", scale),
               Measures::angle("worst_high", "worst case, greatest", scale),
               Measures::angle("wind_up", "wind-up", scale),
               Measures::angle("under_torque_nominal", "under torque, nominal", scale),
               Measures::angle("under_torque_low", "worst case, least", scale),
               Measures::angle("under_torque_high", "worst case, greatest", scale)},
              rows, "Lost motion under torque, beside that of backlash and float");
  tell_left_out(html, rows.size(), all, "rows", "train");
}

void write_lost_motion(HtmlWriter& html, const PageInput& input) {
  const TrainResult& train = input.study.train;
  const LostMotionCharts& charts = input.charts.lost_motion;
  if (std::none_of(train.lost_motion.begin(), train.lost_motion.end(),
                   [&](const auto& motion) { return shows_way(input.options.view, motion); })) {
    return;
  }
  html.element("h3", "Lost motion");
  html.element("p",
               "How far a shaft turns back and forth while another is held: the backlash of every "
               "mesh between them, and what float of the bearings and of the shafts along their "
               "axes adds, as an angle of the shaft that turns. A least of zero binds there.");
  write_pairs(html, input);
  write_under_torque(html, input);
  if (train.lost_motion_left_out > 0) {
    html.element("p",
                 counted(train.lost_motion_left_out, "pair", "pairs") +
                     " of shafts with the reference " +
                     (train.lost_motion_left_out == 1 ? "is" : "are") +
                     " left out; \"lost_motion\" of the train in the file names those wanted.");
  }
  for (const PairCharts& pair : charts.pairs) {
    if (pair.charts.empty()) {
      html.element("p", "Lost motion of " + pair_name(train.lost_motion[pair.pair]) +
                            ": a loop between the two binds at every state, so nothing is drawn.");
    }
    write_charts(html, pair.charts, input);
    write_data(html, pair.states);
  }
  if (charts.left_out > 0) {
    html.element("p", counted(charts.left_out, "pair", "pairs") + " of the table " +
                          (charts.left_out == 1 ? "has" : "have") +
                          " no chart here; lashband train shows every state of each.");
  }
  if (charts.shares) {
    write_charts(html, charts.share_charts, input);
    write_data(html, *charts.shares);
  }
  if (train.sampling) {
    html.element("p", "Percentiles of lost motion are sampled: " +
                          std::to_string(train.sampling->samples) + " units.");
  }
}

// What is not told by the chart of a loop.
void write_loop_words(HtmlWriter& html, const PageInput& input, const LoopResult& loop) {
  const Numbers numbers(input.options.view.units);
  std::string closure = loop_closure(loop) + ".";
  closure.front() = closure.front() == 'c' ? 'C' : closure.front();
  std::vector<std::string> texts = {"The way round it: " + loop_way(loop) + ".",
                                    std::move(closure)};
  const LoopState* reserve = nullptr;
  for (const LoopState& at : loop.states) {
    if (at.bore_reserve && (reserve == nullptr || *at.bore_reserve < *reserve->bore_reserve)) {
      reserve = &at;
    }
  }
  if (reserve != nullptr && reserve->bore < loop.shafts.size()) {
    texts.push_back("All else as drawn, the bore of " + named(loop.shafts[reserve->bore]) +
                    " alone may be " + numbers.gap_with_unit(*reserve->bore_reserve) +
                    " off its place until the loop binds, at " +
                    named(input.study.backlash().states[reserve->state].id) + ".");
  }
  write_list(html, texts);
}

void write_loop_table(HtmlWriter& html, const PageInput& input) {
  const design::BacklashResult& result = input.study.backlash();
  const Measures measures(input.options.view.units);
  const std::vector<Column> columns = {Measures::text("loop", "loop"),
                                       Measures::text("closed_by", "closed by"),
                                       Measures::ratio("offset", "left over, pitches"),
                                       Measures::text("assembled", "can be assembled"),
                                       measures.gap("margin", "margin, float in its mid"),
                                       Measures::text("margin_condition", "at"),
                                       measures.gap("taken_up", "margin, float taken up"),
                                       Measures::text("taken_up_condition", "at"),
                                       Measures::text("basis", "judged on")};
  std::vector<std::vector<Cell>> rows;
  std::size_t all = 0;
  for (const LoopResult& loop : result.loops) {
    if (!shows_loop(input.options.view, loop) || ++all > rows_shown) {
      continue;
    }
    const bool placed = loop.closed_by == train::ClosedBy::places;
    const bool unknown = loop.closed_by == train::ClosedBy::unknown;
    const std::size_t binding = nearest_to_binding(loop);
    const bool has_states = binding < loop.states.size() && loop.least;
    const auto state = [&](std::size_t place) {
      return Measures::text_cell(result.states[loop.states[place].state].id);
    };
    rows.push_back(
        {Measures::text_cell(loop_title(loop)),
         {unknown ? "not known" : (placed ? "places" : "assembly"), {}},
         placed ? Cell{units::fixed_number(loop.offset, 4), loop.offset} : Cell{},
         {!loop.can_be_assembled ? "cannot be told" : (*loop.can_be_assembled ? "yes" : "NO"), {}},
         has_states ? measures.gap_cell(judged_margin(loop.states[*loop.least], loop.basis))
                    : Cell{},
         has_states ? state(*loop.least) : Cell{},
         has_states ? measures.gap_cell(judged_taken_up(loop.states[binding], loop.basis)) : Cell{},
         has_states ? state(binding) : Cell{},
         {basis_text(loop.basis == design::Basis::percentile ? design::Basis::rss : loop.basis),
          {}}});
  }
  write_table(html, columns, rows, "Closed loops: least margins over all states");
  tell_left_out(html, rows.size(), all, "loops", "train");
}

void write_loops(HtmlWriter& html, const PageInput& input) {
  const std::vector<LoopResult>& loops = input.study.backlash().loops;
  if (std::none_of(loops.begin(), loops.end(),
                   [&](const LoopResult& loop) { return shows_loop(input.options.view, loop); })) {
    return;
  }
  html.element("h3", "Closed loops");
  html.element(
      "p",
      "Where the train closes upon itself the meshes of the loop must fit each other. The "
      "margin is what is left of that, as transverse backlash: by how much that of each "
      "mesh can shrink until the loop binds. With all float taken up it is an upper bound, "
      "and below zero the loop binds.");
  write_loop_table(html, input);
  for (const LoopCharts& charts : input.charts.loops.loops) {
    const LoopResult& loop = loops[charts.loop];
    html.open("section", {{"class", "loop"}, {"id", "loop-" + std::to_string(charts.loop + 1)}});
    write_charts(html, charts.charts, input);
    write_loop_words(html, input, loop);
    write_data(html, charts.states);
    html.close().line_break();
  }
  if (input.charts.loops.left_out > 0) {
    html.element("p", "Drawn are the " + std::to_string(input.charts.loops.loops.size()) +
                          " tightest; " + counted(input.charts.loops.left_out, "loop", "loops") +
                          " more have their least margins in the table, and lashband train shows "
                          "every state of each.");
  }
}

}  // namespace

Section motion_section(const PageInput& input) {
  const TrainResult& train = input.study.train;
  if (train.shafts.empty()) {
    return {};
  }
  HtmlWriter html;
  write_shafts(html, input);
  write_meshes(html, input);
  if (!train.failures.empty()) {
    std::vector<design::Failure> own;
    for (const design::Failure& failure : train.failures) {
      if (failure.subject.find("lost motion") != std::string::npos) {
        own.push_back(failure);
      }
    }
    if (!own.empty()) {
      html.element("h3", "What could not be computed of lost motion");
      write_list(html, failure_texts(own, train.backlash.states));
    }
  }
  write_lost_motion(html, input);
  write_loops(html, input);
  return {"motion", "Ratios, lost motion and loops", html.take()};
}

}  // namespace lashband::report
