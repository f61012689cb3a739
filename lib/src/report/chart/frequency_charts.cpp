#include "frequency_charts.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <string_view>
#include <utility>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/line_words.hpp"
#include "report/number_text.hpp"
#include "report/train_selection.hpp"
#include "specification.hpp"

namespace lashband::report {
namespace {

using design::FrequenciesResult;
using spectrum::Line;
using spectrum::LineKind;

// More columns than this would not fit on paper, and their marks would lie on one another.
constexpr std::size_t speeds_shown = 3;
// Rows of the table; CSV and JSON of the analysis have all.
constexpr std::size_t lines_shown = 300;
// Lines from the origin; more are a thicket.
constexpr std::size_t rays_drawn = 40;
constexpr std::size_t coincidences_drawn = 12;

constexpr int rays_height = 340;
constexpr int low_rays_height = 190;
constexpr int numbers_and_title = 70;
constexpr int room_for_labels = 170;

bool is_ray(const Line& line) {
  return line.kind == LineKind::shaft || line.kind == LineKind::mesh ||
         line.kind == LineKind::excitation;
}

std::vector<SpeedShown> speeds_of(const FrequenciesResult& result, const View& view) {
  std::vector<SpeedShown> speeds;
  for (const design::NamedSpeed& one : shown_speeds(result, view)) {
    const auto found = std::find_if(speeds.begin(), speeds.end(), [&one](const SpeedShown& known) {
      return known.speed == one.speed;
    });
    SpeedShown& shown =
        found == speeds.end() ? speeds.emplace_back(SpeedShown{{}, one.speed}) : *found;
    if (!one.condition.empty()) {
      shown.conditions.push_back(one.condition);
    }
  }
  return speeds;
}

// "1800 rpm: warming up, running hot"
std::string speed_words(const SpeedShown& speed) {
  std::string text = rpm_text(speed.speed);
  for (std::size_t i = 0; i < speed.conditions.size(); ++i) {
    text += (i == 0 ? ": " : ", ") + named(speed.conditions[i]);
  }
  return text;
}

// Of a large train sidebands are left out first, then higher harmonics, then whatever comes last.
std::vector<const Line*> lines_of(const FrequenciesResult& result, const View& view,
                                  std::size_t& left_out) {
  std::vector<const Line*> lines;
  for (const Line& line : result.lines) {
    if (shows_line(view, line)) {
      lines.push_back(&line);
    }
  }
  const std::size_t all = lines.size();
  const std::vector<std::function<bool(const Line*)>> sparable = {
      [](const Line* line) { return line->kind == LineKind::sideband; },
      [](const Line* line) { return line->harmonic > 1; }};
  for (const auto& may_go : sparable) {
    if (lines.size() > lines_shown) {
      std::erase_if(lines, may_go);
    }
  }
  lines.resize(std::min(lines.size(), lines_shown));
  left_out = all - lines.size();
  return lines;
}

std::string frequency_field(std::size_t speed) {
  return "f_" + std::to_string(speed + 1);
}

DataTable lines_table(const std::vector<const Line*>& lines,
                      const std::vector<SpeedShown>& speeds) {
  DataTable table;
  table.id = "data-frequencies";
  table.title = "orders and frequencies";
  table.file = "frequencies.csv";
  table.columns = {Measures::text("kind", "kind"), Measures::text("source", "of"),
                   Measures::text("multiple", "which"), Measures::ratio("order", "order")};
  for (std::size_t i = 0; i < speeds.size(); ++i) {
    table.columns.push_back(
        Measures::frequency(frequency_field(i), "at " + rpm_text(speeds[i].speed)));
  }
  for (const Line* line : lines) {
    std::vector<Cell> cells = {{kind_words(line->kind), {}},
                               Measures::text_cell(line->source),
                               {multiple_words(*line), {}},
                               Measures::order_cell(line->order)};
    for (const SpeedShown& speed : speeds) {
      cells.push_back(Measures::frequency_cell(design::frequency_of(*line, speed.speed)));
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

double hertz(const Line& line, units::AngularVelocity speed) {
  return units::value_in(design::frequency_of(line, speed), "Hz");
}

double rpm(units::AngularVelocity speed) {
  return units::value_in(speed, "rpm");
}

// Lines from the origin, one for each order: the first of its source, with how many share it.
struct Ray {
  const Line* line = nullptr;
  std::size_t others = 0;
};

std::vector<Ray> rays_of(const std::vector<const Line*>& lines) {
  std::vector<Ray> rays;
  // Basic frequencies before harmonics, so that these are drawn and named first.
  for (const bool harmonics : {false, true}) {
    for (const Line* line : lines) {
      if (!is_ray(*line) || (line->harmonic > 1) != harmonics) {
        continue;
      }
      const auto same = std::find_if(rays.begin(), rays.end(), [line](const Ray& ray) {
        return ray.line->order == line->order;
      });
      if (same != rays.end()) {
        ++same->others;
      } else if (rays.size() < rays_drawn) {
        rays.push_back({line, 0});
      }
    }
  }
  return rays;
}

Specification inline_values(Specification values) {
  return {{"values", std::move(values)}};
}

// The diagram of frequency over speed.
class SpeedDiagram {
 public:
  SpeedDiagram(const FrequenciesResult& result, const std::vector<const Line*>& lines,
               const std::vector<SpeedShown>& speeds, const DataTable& table,
               const Colours& colours)
      : result_(result), speeds_(speeds), table_(table), colours_(colours), rays_(rays_of(lines)) {
    constexpr double beyond = 1.1;  // of the fastest
    for (const SpeedShown& speed : speeds) {
      fastest_ = std::max(fastest_, beyond * rpm(speed.speed));
    }
  }

  [[nodiscard]] bool has_rays() const { return !rays_.empty(); }

  /// All lines; below it the low ones by themselves, where the high ones press them to the foot.
  [[nodiscard]] Specification specification() const {
    const Panel whole(*this, rays_, rays_height);
    std::vector<Ray> low;
    for (const Ray& ray : rays_) {
      if (end_of(*ray.line) < pressed_down * whole.highest) {
        low.push_back(ray);
      }
    }
    if (low.size() < 2 || low.size() == rays_.size()) {
      return drawn(whole, true);
    }
    Specification both = Specification::array();
    both.push_back(drawn(whole, true));
    both.push_back(drawn(Panel(*this, std::move(low), low_rays_height), false));
    return {{"vconcat", std::move(both)}, {"spacing", 24}};
  }

 private:
  // Lines ending below this share of the highest are drawn again by themselves.
  static constexpr double pressed_down = 0.12;

  struct Panel {
    Panel(const SpeedDiagram& diagram, std::vector<Ray> drawn_rays, int in_pixels)
        : rays(std::move(drawn_rays)), height(in_pixels) {
      constexpr double above = 1.03;
      for (const Ray& ray : rays) {
        highest = std::max(highest, above * diagram.end_of(*ray.line));
      }
    }
    std::vector<Ray> rays;
    int height;
    double highest = 0.0;
  };

  [[nodiscard]] Specification drawn(const Panel& panel, bool coincidences) const {
    Specification layers = Specification::array();
    add_speeds(layers);
    add_rays(panel, layers);
    if (coincidences) {
      add_coincidences(panel, layers);
    }
    add_labels(panel, layers);
    return {{"width", drawing_width - numbers_and_title - room_for_labels},
            {"height", panel.height},
            {"layer", std::move(layers)}};
  }

  [[nodiscard]] double end_of(const Line& line) const { return line.order * fastest_ / 60.0; }

  [[nodiscard]] Specification x_axis(Specification of) const {
    of["type"] = "quantitative";
    of["title"] = "speed of " + named(result_.reference) + " [rpm]";
    of["scale"] = {{"domain", {0.0, fastest_}}, {"nice", false}};
    return of;
  }
  [[nodiscard]] static Specification y_axis(const Panel& panel, Specification of) {
    of["type"] = "quantitative";
    of["title"] = "frequency [Hz]";
    of["scale"] = {{"domain", {0.0, panel.highest}}, {"nice", false}};
    return of;
  }

  // Upright lines with their numbers above.
  void add_speeds(Specification& layers) const {
    constexpr double room_for_number = 48.0;
    Specification lines = Specification::array();
    Specification numbers = Specification::array();
    const double width = drawing_width - numbers_and_title - room_for_labels;
    std::vector<double> told;
    for (const SpeedShown& speed : speeds_) {
      const double at = rpm(speed.speed);
      lines.push_back({{"rpm", at}});
      const double place = width * at / fastest_;
      if (std::all_of(told.begin(), told.end(), [place](double other) {
            return std::abs(other - place) >= room_for_number;
          })) {
        told.push_back(place);
        numbers.push_back({{"rpm", at}, {"words", rounded_number(at, 5)}});
      }
    }
    layers.push_back({{"data", inline_values(std::move(lines))},
                      {"mark", {{"type", "rule"}, {"color", colours_.quiet}, {"strokeWidth", 1.5}}},
                      {"encoding", {{"x", x_axis({{"field", "rpm"}})}}}});
    layers.push_back({{"data", inline_values(std::move(numbers))},
                      {"mark",
                       {{"type", "text"},
                        {"baseline", "bottom"},
                        {"dy", -4},
                        {"fontSize", text_size},
                        {"color", colours_.ink}}},
                      {"encoding",
                       {{"x", x_axis({{"field", "rpm"}})},
                        {"y", {{"value", 0}}},
                        {"text", {{"field", "words"}}}}}});
  }

  void add_rays(const Panel& panel, Specification& layers) const {
    Specification kinds = Specification::array();
    Specification colours = Specification::array();
    Specification dashes = Specification::array();
    const std::vector<LineKind> drawn = {LineKind::shaft, LineKind::mesh, LineKind::excitation};
    for (std::size_t i = 0; i < drawn.size(); ++i) {
      if (std::any_of(rays_.begin(), rays_.end(),
                      [&](const Ray& ray) { return ray.line->kind == drawn[i]; })) {
        kinds.push_back(kind_words(drawn[i]));
        colours.push_back(colours_.of_series(i));
        dashes.push_back(dash_of_series(i));
      }
    }
    const auto by_kind = [&kinds](const Specification& range) {
      return Specification{
          {"field", "kind"},
          {"type", "nominal"},
          {"scale", {{"domain", kinds}, {"range", range}}},
          {"legend", {{"title", nullptr}, {"symbolType", "stroke"}, {"orient", "bottom"}}}};
    };
    Specification orders = Specification::array();
    for (const Ray& ray : panel.rays) {
      orders.push_back(ray.line->order);
    }
    Specification ends = {{"x", x_axis({{"field", "origin"}})},
                          {"x2", {{"field", "fastest"}}},
                          {"y", y_axis(panel, {{"field", "origin"}})},
                          {"y2", {{"field", "end"}}}};
    Specification transform = Specification::array();
    transform.push_back({{"filter", {{"field", "kind"}, {"oneOf", kinds}}}});
    transform.push_back({{"filter", {{"field", "order"}, {"oneOf", std::move(orders)}}}});
    transform.push_back({{"calculate", "0"}, {"as", "origin"}});
    transform.push_back({{"calculate", number_text(fastest_)}, {"as", "fastest"}});
    transform.push_back(
        {{"calculate", "datum.order * " + number_text(fastest_ / 60.0)}, {"as", "end"}});
    layers.push_back({{"transform", transform},
                      {"mark", {{"type", "rule"}, {"strokeWidth", 1.6}}},
                      {"encoding", merged(ends, {{"color", by_kind(colours)},
                                                 {"strokeDash", by_kind(dashes)}})}});
    std::vector<std::string> fields;
    for (std::size_t i = 0; i < speeds_.size(); ++i) {
      fields.push_back(frequency_field(i));
    }
    std::vector<std::string_view> read = {"kind", "source", "multiple", "order"};
    read.insert(read.end(), fields.begin(), fields.end());
    // For the pointer alone.
    layers.push_back({{"transform", transform},
                      {"mark", {{"type", "rule"}, {"opacity", 0}, {"strokeWidth", 7}}},
                      {"encoding", merged(ends, {{"tooltip", tooltip(table_, read)}})}});
  }

  void add_coincidences(const Panel& panel, Specification& layers) const {
    Specification values = Specification::array();
    std::size_t told = 0;
    for (const spectrum::Coincidence& pair : result_.coincidences) {
      if (told++ == coincidences_drawn) {
        break;
      }
      for (const SpeedShown& speed : speeds_) {
        values.push_back(
            {{"rpm", rpm(speed.speed)}, {"hertz", hertz(result_.lines[pair.line_1], speed.speed)}});
      }
    }
    if (values.empty()) {
      return;
    }
    layers.push_back(
        {{"data", inline_values(std::move(values))},
         {"mark",
          {{"type", "point"},
           {"shape", "circle"},
           {"size", 120},
           {"strokeWidth", 2},
           {"opacity", 1},
           {"color", colours_.violated}}},
         {"encoding",
          {{"x", x_axis({{"field", "rpm"}})}, {"y", y_axis(panel, {{"field", "hertz"}})}}}});
  }

  // Names at the right ends, where there is room.
  void add_labels(const Panel& panel, Specification& layers) const {
    constexpr double apart = 14.0;
    Specification values = Specification::array();
    std::vector<double> taken;
    for (const Ray& ray : panel.rays) {
      const double end = end_of(*ray.line);
      const double place = panel.height * end / panel.highest;
      if (std::any_of(taken.begin(), taken.end(),
                      [place](double other) { return std::abs(place - other) < apart; })) {
        continue;
      }
      taken.push_back(place);
      values.push_back(
          {{"hertz", end},
           {"words", named(ray.line->source) + ", " + multiple_words(*ray.line) +
                         (ray.others > 0 ? " and " + std::to_string(ray.others) + " more" : "")}});
    }
    layers.push_back({{"data", inline_values(std::move(values))},
                      {"mark",
                       {{"type", "text"},
                        {"align", "left"},
                        {"baseline", "middle"},
                        {"dx", 6},
                        {"limit", room_for_labels - 16},
                        {"fontSize", text_size},
                        {"color", colours_.ink}}},
                      {"encoding",
                       {{"x", x_axis({{"datum", fastest_}})},
                        {"y", y_axis(panel, {{"field", "hertz"}})},
                        {"text", {{"field", "words"}}}}}});
  }

  const FrequenciesResult& result_;
  const std::vector<SpeedShown>& speeds_;
  const DataTable& table_;
  const Colours& colours_;
  std::vector<Ray> rays_;
  double fastest_ = 0.0;
};

std::string percent_text(double share) {
  constexpr double percent = 100.0;
  return rounded_number(percent * share, 2) + " %";
}

std::string coincidence_sentence(const FrequenciesResult& result) {
  const std::string within = percent_text(result.coincidence_options.within);
  if (result.coincidences.empty()) {
    return "No harmonic of a mesh lies within " + within +
           " of a harmonic of another or of an excitation.";
  }
  const spectrum::Coincidence& closest = result.coincidences[0];
  const std::size_t all = result.coincidences.size() + result.coincidences.more;
  return std::to_string(all) + (all == 1 ? " pair of lines falls" : " pairs of lines fall") +
         " together within " + within + " whatever the speed; the closest are " +
         named_line(result.lines[closest.line_1]) + " and " +
         named_line(result.lines[closest.line_2]) + ", " + percent_text(closest.apart) + " apart.";
}

Chart speed_chart(const FrequenciesResult& result, const SpeedDiagram& diagram,
                  const std::vector<SpeedShown>& speeds, const DataTable& table) {
  Chart chart;
  chart.id = "frequency-over-speed";
  chart.title = "Frequencies over the speed of " + named(result.reference);
  chart.table = table.id;
  chart.reading = "Each frequency is its order times the speed, a line from the origin; upright ";
  chart.reading += result.range ? "are the ends of the range, " : "are the speeds of the file, ";
  for (std::size_t i = 0; i < speeds.size(); ++i) {
    chart.reading += (i == 0 ? "" : "; ") + speed_words(speeds[i]);
  }
  chart.reading += ". " + coincidence_sentence(result);
  if (!result.coincidences.empty()) {
    chart.reading += " They are ringed at each speed";
    chart.reading += result.coincidences.size() > coincidences_drawn
                         ? ", the closest " + std::to_string(coincidences_drawn) + "."
                         : ".";
  }
  chart.spec = diagram.specification();
  if (chart.spec.contains("vconcat")) {
    chart.reading += " The lowest are drawn again below.";
  }
  return chart;
}

// Every line by its kind on a logarithmic axis.
Specification kinds_specification(const DataTable& table, const std::vector<SpeedShown>& speeds,
                                  const std::vector<std::string>& kinds, const Colours& colours) {
  const bool orders = speeds.empty();
  const std::size_t rows = orders ? 1 : speeds.size();
  constexpr int tick = 13;
  double low = 0.0;
  double high = 0.0;
  std::vector<std::string> fields = {"order"};
  if (!orders) {
    fields.clear();
    for (std::size_t i = 0; i < rows; ++i) {
      fields.push_back(frequency_field(i));
    }
  }
  for (const std::string& name : fields) {
    const std::size_t place = place_of(table, name);
    for (const auto& cells : table.rows) {
      const double value = *cells[place].value;
      low = low > 0.0 ? std::min(low, value) : value;
      high = std::max(high, value);
    }
  }
  constexpr double margin = 1.3;
  WordColours words;
  for (std::size_t i = 0; i < speeds.size(); ++i) {
    words.add(rpm_text(speeds[i].speed), colours.of_series(i));
  }
  std::vector<std::string_view> read = {"kind", "source", "multiple", "order"};
  if (!orders) {
    read.insert(read.end(), fields.begin(), fields.end());
  }
  Specification layers = Specification::array();
  for (std::size_t i = 0; i < rows; ++i) {
    Specification x = field(table, fields[i]);
    x["title"] = orders ? "order" : "frequency [Hz]";
    x["axis"] = {{"labelSeparation", 8}};
    x["scale"] = {{"type", "log"}, {"domain", {low / margin, high * margin}}, {"nice", false}};
    Specification y = {{"field", "kind"}, {"type", "nominal"}, {"sort", kinds}, {"title", nullptr}};
    y["axis"] = {{"grid", true}, {"tickBand", "extent"}, {"labelLimit", label_width}};
    const double offset = (static_cast<double>(i) - 0.5 * static_cast<double>(rows - 1)) * tick;
    Specification encoding = {{"x", x}, {"y", y}};
    Specification mark = {{"type", "tick"},
                          {"thickness", 2},
                          {"size", tick - 2},
                          {"opacity", 1},
                          {"yOffset", offset}};
    if (orders) {
      mark["color"] = colours.of_series(0);
    } else {
      encoding["color"] = words.of(rpm_text(speeds[i].speed));
    }
    encoding["tooltip"] = tooltip(table, read);
    layers.push_back({{"mark", std::move(mark)}, {"encoding", std::move(encoding)}});
  }
  return {{"width", drawing_width - width_of_names(kinds) - 24},
          {"height", {{"step", static_cast<int>(rows) * tick + 8}}},
          {"layer", std::move(layers)}};
}

Chart kinds_chart(const FrequenciesResult& result, const std::vector<const Line*>& lines,
                  const std::vector<SpeedShown>& speeds, const DataTable& table,
                  const Colours& colours) {
  const std::vector<std::string> kinds = distinct(table, "kind");
  const auto [lowest, highest] = std::minmax_element(
      lines.begin(), lines.end(), [](const Line* a, const Line* b) { return a->order < b->order; });
  Chart chart;
  chart.id = "frequency-kinds";
  chart.title = speeds.empty() ? "Orders by kind" : "Frequencies by kind";
  chart.table = table.id;
  const auto told = [&](const Line& line) {
    return named_line(line) +
           (speeds.empty() ? " (order " + rounded_number(line.order, 4) + ")"
                           : " (" + rounded_number(hertz(line, speeds.front().speed), 4) + " Hz)");
  };
  chart.reading =
      "Each mark is a line, on a logarithmic axis; below each other in a row are the speeds. ";
  if (speeds.size() < 2) {
    chart.reading = "Each mark is a line, on a logarithmic axis. ";
  }
  chart.reading += speeds.empty() ? "Orders are multiples of the speed of " +
                                        named(result.reference) + "; they reach from "
                                  : "At " + speed_words(speeds.front()) + ", they reach from ";
  chart.reading += told(**lowest) + " to " + told(**highest) + ".";
  chart.spec = kinds_specification(table, speeds, kinds, colours);
  return chart;
}

}  // namespace

std::string rpm_text(units::AngularVelocity speed) {
  return rounded_number(rpm(speed), 7) + " rpm";
}

std::string kind_words(LineKind kind) {
  std::string words = kind_word(kind);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::string named_line(const Line& line) {
  return named(source_words(line)) + ", " + multiple_words(line);
}

FrequencyCharts frequency_charts(const FrequenciesResult& result, const View& view,
                                 const Colours& colours) {
  FrequencyCharts charts;
  charts.speeds = speeds_of(result, view);
  if (charts.speeds.size() > speeds_shown) {
    charts.speeds_left_out = charts.speeds.size() - speeds_shown;
    charts.speeds.resize(speeds_shown);
  }
  const std::vector<const Line*> lines = lines_of(result, view, charts.lines_left_out);
  charts.lines = lines_table(lines, charts.speeds);
  if (lines.empty()) {
    return charts;
  }
  if (!charts.speeds.empty()) {
    const SpeedDiagram diagram(result, lines, charts.speeds, charts.lines, colours);
    if (diagram.has_rays()) {
      charts.charts.push_back(speed_chart(result, diagram, charts.speeds, charts.lines));
    }
  }
  charts.charts.push_back(kinds_chart(result, lines, charts.speeds, charts.lines, colours));
  return charts;
}

}  // namespace lashband::report
