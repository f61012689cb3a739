#include "interference_chart.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/number_text.hpp"
#include "report/torsion_words.hpp"
#include "specification.hpp"
#include "torsion_names.hpp"

namespace lashband::report {
namespace {

using design::Crossing;
using design::ExcitationLine;
using design::TorsionCondition;
using design::TorsionResult;

// More lines from the origin are a thicket.
constexpr std::size_t orders_drawn = 20;

constexpr int plot_height = 340;
constexpr int numbers_and_title = 70;
constexpr int room_for_labels = 170;
constexpr std::size_t label_length = 24;  // that fits there
constexpr double rounding = 1e-9;         // of speeds
constexpr int plot_width = drawing_width - numbers_and_title - room_for_labels;

// As the table has them.
constexpr std::string_view natural = "natural frequency";
constexpr std::string_view of_torque = "order of a torque";
constexpr std::string_view of_mesh = "order of a mesh";
constexpr std::string_view crossing_word = "crossing";
constexpr std::string_view near_word = "crossing near the speed";

constexpr double seconds_per_minute = 60.0;

double hertz(const design::NaturalMode& mode) {
  return units::value_in(mode.frequency, "Hz");
}

double rpm(units::AngularVelocity speed) {
  return units::value_in(speed, "rpm");
}

bool same_order(double one, double two) {
  return std::abs(one - two) <= rounding * std::max(one, two);
}

// One order with all that excite at it.
struct Ray {
  double order = 0.0;
  std::size_t line = 0;  ///< the first
  std::size_t others = 0;
};

struct Meeting {
  const Crossing* crossing = nullptr;
  std::size_t ray = 0;
};

// An interval of an axis.
struct Reach {
  double low = 0.0;
  double high = 0.0;
};

class InterferenceDiagram {
 public:
  InterferenceDiagram(const design::Design& design, const TorsionResult& result, std::size_t place,
                      const Colours& colours)
      : result_(result),
        condition_(result.conditions[place]),
        place_(place),
        colours_(colours),
        asked_(design.torsion ? design.torsion->require.least_resonance_margin : std::nullopt) {
    const double own = rpm(condition_.speed);
    speeds_ = design.torsion && design.torsion->sweep
                  ? Reach{rpm(design.torsion->sweep->from), rpm(design.torsion->sweep->to)}
                  : Reach{0.5 * own, 2.0 * own};
    for (std::size_t m = 0; m < condition_.modes.size(); ++m) {
      if (hertz(condition_.modes[m]) > 0.0) {
        modes_.push_back(m);
      }
    }
    collect_orders();
    collect_meetings();
    choose_frequencies();
  }

  [[nodiscard]] bool has_anything() const {
    return !modes_.empty() && speeds_.high > speeds_.low && speeds_.high > 0.0;
  }

  [[nodiscard]] DrawnTable drawn() const {
    DrawnTable drawn;
    drawn.table = table();
    const std::string name = named(condition_.id);
    Chart chart;
    chart.id = "torsion-speeds-" + std::to_string(place_ + 1);
    chart.title = "Natural frequencies and excitation over speed, " + name;
    chart.table = drawn.table.id;
    chart.reading = reading();
    chart.spec = specification(drawn.table);
    drawn.charts.push_back(std::move(chart));
    return drawn;
  }

 private:
  // Those that meet a natural frequency first, the nearest to the speed before others; then the
  // lowest of the rest.
  void collect_orders() {
    std::vector<std::size_t> lines;
    lines.reserve(condition_.crossings.size() + result_.lines.size());
    for (const Crossing& crossing : condition_.crossings) {
      lines.push_back(crossing.line);
    }
    std::vector<std::size_t> rest(result_.lines.size());
    for (std::size_t i = 0; i < rest.size(); ++i) {
      rest[i] = i;
    }
    std::stable_sort(rest.begin(), rest.end(), [this](std::size_t a, std::size_t b) {
      return result_.lines[a].order < result_.lines[b].order;
    });
    lines.insert(lines.end(), rest.begin(), rest.end());
    for (const std::size_t line : lines) {
      const double order = result_.lines[line].order;
      const bool known = std::any_of(rays_.begin(), rays_.end(), [order](const Ray& ray) {
        return same_order(ray.order, order);
      });
      if (!known && order > 0.0) {
        rays_.push_back({order, line, 0});
      }
    }
    // Gas and masses of one crank shake at one order, and are one excitation.
    for (Ray& ray : rays_) {
      std::set<std::string> ids;
      for (const ExcitationLine& line : result_.lines) {
        if (same_order(line.order, ray.order)) {
          ids.insert(line.id);
        }
      }
      ray.others = ids.size() - 1;
    }
  }

  // Of lines of one order the first alone.
  void collect_meetings() {
    for (const Crossing& crossing : condition_.crossings) {
      const double at = rpm(crossing.speed);
      if (at < (1.0 - rounding) * speeds_.low || at > (1.0 + rounding) * speeds_.high) {
        continue;
      }
      const double order = result_.lines[crossing.line].order;
      const auto ray = std::find_if(rays_.begin(), rays_.end(), [order](const Ray& one) {
        return same_order(one.order, order);
      });
      const auto index = static_cast<std::size_t>(ray - rays_.begin());
      const bool known = std::any_of(meetings_.begin(), meetings_.end(), [&](const Meeting& one) {
        return one.ray == index && one.crossing->mode == crossing.mode;
      });
      if (!known) {
        meetings_.push_back({&crossing, index});
      }
    }
    all_meetings_ = meetings_.size();
    if (rays_.size() > orders_drawn) {
      rays_left_out_ = rays_.size() - orders_drawn;
      rays_.resize(orders_drawn);
      std::erase_if(meetings_, [](const Meeting& one) { return one.ray >= orders_drawn; });
    }
  }

  void choose_frequencies() {
    if (modes_.empty()) {
      return;
    }
    const double lowest = hertz(condition_.modes[modes_.front()]);
    double low = lowest;
    double high = lowest;
    for (const Meeting& meeting : meetings_) {
      const double met = hertz(condition_.modes[meeting.crossing->mode]);
      low = std::min(low, met);
      high = std::max(high, met);
    }
    if (meetings_.empty() && !rays_.empty()) {
      // How far the lowest order is from the lowest natural frequency.
      const auto first = std::min_element(
          rays_.begin(), rays_.end(), [](const Ray& a, const Ray& b) { return a.order < b.order; });
      high = std::max(high, first->order * speeds_.high / seconds_per_minute);
    }
    // Beyond this the low frequencies would lie at the foot of the plot.
    constexpr double most_on_a_linear_axis = 6.0;
    constexpr double above_linear = 1.1;
    constexpr double below_logarithmic = 0.6;
    constexpr double above_logarithmic = 1.5;
    logarithmic_ = high > most_on_a_linear_axis * low && speeds_.low > 0.0;
    frequencies_ = logarithmic_ ? Reach{below_logarithmic * low, above_logarithmic * high}
                                : Reach{0.0, above_linear * high};
    std::erase_if(modes_,
                  [this](std::size_t m) { return hertz(condition_.modes[m]) > frequencies_.high; });
  }

  [[nodiscard]] std::string ray_name(const Ray& ray) const {
    return excitation_name(result_.lines[ray.line]) +
           (ray.others > 0 ? " and " + std::to_string(ray.others) + " more" : "");
  }

  [[nodiscard]] bool is_near(std::size_t meeting) const {
    if (!condition_.speed_judged) {
      return false;
    }
    const std::optional<double>& margin = meetings_[meeting].crossing->margin;
    return asked_ ? margin && std::abs(*margin) < *asked_ : meeting == 0;
  }

  [[nodiscard]] DataTable table() const {
    DataTable table;
    const std::string number = std::to_string(place_ + 1);
    table.id = "data-torsion-speeds-" + number;
    table.title = "natural frequencies, orders and where they meet, " + named(condition_.id);
    table.file = "torsion-speeds-" + number + ".csv";
    table.columns = {Measures::text("kind", "kind"),
                     Measures::text("excitation", "excitation"),
                     Measures::ratio("order", "order"),
                     Measures::ratio("mode", "mode"),
                     Measures::frequency("frequency", "frequency"),
                     Measures::share("damping_ratio", "damping ratio"),
                     Measures::text("strained", "strained most"),
                     Measures::speed("speed", "speed"),
                     Measures::share("margin", "excitation above it at the condition's speed")};
    for (const std::size_t m : modes_) {
      table.rows.push_back(mode_row(m));
    }
    for (const Ray& ray : rays_) {
      table.rows.push_back(
          {{std::string(is_of_mesh(result_.lines[ray.line]) ? of_mesh : of_torque), {}},
           Measures::text_cell(ray_name(ray)),
           Measures::order_cell(ray.order),
           {},
           {},
           {},
           {},
           {},
           {}});
    }
    for (std::size_t i = 0; i < meetings_.size(); ++i) {
      std::vector<Cell> cells = mode_row(meetings_[i].crossing->mode);
      const Crossing& crossing = *meetings_[i].crossing;
      cells[0] = {std::string(is_near(i) ? near_word : crossing_word), {}};
      cells[1] = Measures::text_cell(ray_name(rays_[meetings_[i].ray]));
      cells[2] = Measures::order_cell(rays_[meetings_[i].ray].order);
      cells[7] = Measures::speed_cell(crossing.speed);
      cells[8] = crossing.margin ? Measures::share_cell(*crossing.margin) : Cell{};
      table.rows.push_back(std::move(cells));
    }
    return table;
  }

  [[nodiscard]] std::vector<Cell> mode_row(std::size_t m) const {
    const design::NaturalMode& mode = condition_.modes[m];
    const auto strained = most_strained(mode);
    return {{std::string(natural), {}},
            {},
            {},
            Measures::count_cell(static_cast<long long>(m)),
            Measures::frequency_cell(mode.frequency),
            mode.damping_ratio ? Measures::share_cell(*mode.damping_ratio) : Cell{},
            strained ? Measures::text_cell(element_words(result_.elements[*strained])) : Cell{},
            {},
            {}};
  }

  // "torque load, order 2 meets mode 1 (60.2 Hz) at 1805 rpm, at the condition's speed 0.3 % below
  // it; asked for are 5.0 % at least: NOT KEPT"
  [[nodiscard]] std::string meeting_words(const Crossing& crossing, const std::string& subject,
                                          bool several) const {
    std::string text = subject + (several ? " meet " : " meets ") +
                       mode_name(condition_, crossing.mode) + " at " + rpm_words(crossing.speed);
    if (!condition_.speed_judged || !crossing.margin) {
      return text;
    }
    constexpr double percent = 100.0;
    text += ", at the condition's speed " +
            units::fixed_number(percent * std::abs(*crossing.margin), 1) + " % " +
            (*crossing.margin < 0.0 ? "below it" : "above it");
    if (asked_) {
      text += "; asked for are " + units::fixed_number(percent * *asked_, 1) +
              " % at least: " + (std::abs(*crossing.margin) >= *asked_ ? "kept" : "NOT KEPT");
    }
    return text;
  }

  [[nodiscard]] std::string nearest_sentence() const {
    const Ray& ray = rays_[meetings_.front().ray];
    return "The nearest " +
           (condition_.speed_judged ? "to the " + rpm_words(condition_.speed) + " of the condition"
                                    : std::string("to the top of the sweep")) +
           ": " + meeting_words(*meetings_.front().crossing, named(ray_name(ray)), ray.others > 0) +
           ".";
  }

  // What counts for the margin may lie beyond the ends of the sweep.
  [[nodiscard]] std::string nearer_beyond() const {
    if (!condition_.speed_judged || condition_.crossings.empty()) {
      return "";
    }
    const Crossing& nearest = condition_.crossings.front();
    const double at = rpm(nearest.speed);
    if (at >= (1.0 - rounding) * speeds_.low && at <= (1.0 + rounding) * speeds_.high) {
      return "";
    }
    return (meetings_.empty() ? " Beyond these speeds " : " Nearer, beyond these speeds, ") +
           meeting_words(nearest, named(excitation_name(result_.lines[nearest.line])), false) + ".";
  }

  [[nodiscard]] std::string reading() const {
    const std::string range =
        rounded_number(speeds_.low, 6) + " and " + rounded_number(speeds_.high, 6) + " rpm";
    std::string text =
        "Level lines are natural frequencies, rising ones the orders of what shakes "
        "the train; points are where they meet. ";
    if (result_.lines.empty()) {
      return text + "Nothing in the file excites the train.";
    }
    if (meetings_.empty()) {
      text += "Between " + range + " no excitation meets a natural frequency.";
    } else {
      text += "Between " + range + " there " + (all_meetings_ == 1 ? "is " : "are ") +
              std::to_string(all_meetings_) +
              (all_meetings_ == 1 ? " such point. " : " such points. ") + nearest_sentence();
    }
    text += nearer_beyond();
    if (rays_left_out_ > 0) {
      text += " Of " + std::to_string(rays_.size() + rays_left_out_) + " orders the " +
              std::to_string(rays_.size()) + " that come nearest are drawn.";
    }
    if (logarithmic_) {
      text += " Both axes are logarithmic.";
    }
    return text;
  }

  // Even steps of 1, 2 or 5: over less than a decade a logarithmic axis has few labels of its own.
  [[nodiscard]] std::vector<double> even_speeds() const {
    constexpr double most = 10.0;
    const double least_step = (speeds_.high - speeds_.low) / most;
    const double decade = std::pow(10.0, std::floor(std::log10(least_step)));
    double step = decade;
    for (const double factor : {2.0, 5.0, 10.0}) {
      step = step < least_step ? factor * decade : step;
    }
    std::vector<double> speeds;
    const auto last = std::llround(std::floor(speeds_.high / step));
    for (auto i = std::llround(std::ceil(speeds_.low / step)); i <= last; ++i) {
      speeds.push_back(static_cast<double>(i) * step);
    }
    return speeds;
  }

  [[nodiscard]] Specification x_axis(Specification of) const {
    of["type"] = "quantitative";
    of["title"] = "speed of " + named(result_.reference) + " [rpm]";
    of["scale"] = {{"domain", {speeds_.low, speeds_.high}}, {"nice", false}};
    of["axis"] = {{"labelSeparation", 8}, {"labelOverlap", true}};
    if (logarithmic_) {
      of["scale"]["type"] = "log";
      of["axis"] = {{"labelSeparation", 8}, {"labelOverlap", "greedy"}, {"values", even_speeds()}};
    }
    return of;
  }
  [[nodiscard]] Specification y_axis(Specification of) const {
    of["type"] = "quantitative";
    of["title"] = "frequency [Hz]";
    of["scale"] = {{"domain", {frequencies_.low, frequencies_.high}}, {"nice", false}};
    if (logarithmic_) {
      of["scale"]["type"] = "log";
      of["axis"] = {{"labelSeparation", 4}, {"labelOverlap", true}};
    }
    return of;
  }

  [[nodiscard]] std::string speed_word() const {
    return "speed of the condition, " + rpm_words(condition_.speed);
  }

  [[nodiscard]] bool speed_is_drawn() const {
    const double own = rpm(condition_.speed);
    return condition_.speed_judged && own >= speeds_.low && own <= speeds_.high;
  }

  [[nodiscard]] Specification specification(const DataTable& table) const {
    Specification layers = Specification::array();
    add_rays(table, layers);
    add_natural(table, layers);
    add_speed(layers);
    add_meetings(table, layers);
    add_mode_labels(layers);
    add_order_labels(layers);
    return {{"width", plot_width}, {"height", plot_height}, {"layer", std::move(layers)}};
  }

  // Colour and dash by kind, the same for all that is drawn as a line.
  [[nodiscard]] Specification by_kind(const Specification& of) const {
    Specification words = Specification::array();
    Specification colours = Specification::array();
    Specification dashes = Specification::array();
    const auto add = [&](std::string_view word, const std::string& colour, std::size_t dash) {
      words.push_back(word);
      colours.push_back(colour);
      dashes.push_back(dash_of_series(dash));
    };
    add(natural, colours_.ink, 0);
    for (const std::string_view word : {of_torque, of_mesh}) {
      const bool any = std::any_of(rays_.begin(), rays_.end(), [&](const Ray& ray) {
        return is_of_mesh(result_.lines[ray.line]) == (word == of_mesh);
      });
      if (any) {
        add(word, colours_.of_series(word == of_mesh ? 2 : 0), word == of_mesh ? 3 : 0);
      }
    }
    if (speed_is_drawn()) {
      add(speed_word(), colours_.limit, 1);
    }
    Specification encoding;
    for (const char* channel : {"color", "strokeDash"}) {
      Specification one = of;
      one["type"] = "nominal";
      one["scale"] = {{"domain", words},
                      {"range", std::string_view(channel) == "color" ? colours : dashes}};
      one["legend"] = {{"title", nullptr},       {"symbolType", "stroke"}, {"symbolSize", 300},
                       {"symbolStrokeWidth", 2}, {"orient", "bottom"},     {"columns", 2},
                       {"labelLimit", 300}};
      encoding[channel] = std::move(one);
    }
    return encoding;
  }

  void add_rays(const DataTable& table, Specification& layers) const {
    if (rays_.empty()) {
      return;
    }
    const std::string slope = number_text(seconds_per_minute);
    const auto clipped = [&](const char* bound, double speed, double frequency) {
      return std::string(bound) + "(" + number_text(speed) + ", " + number_text(frequency) + " * " +
             slope + " / datum.order)";
    };
    Specification transform = Specification::array();
    transform.push_back(
        {{"filter",
          {{"field", "kind"}, {"oneOf", {std::string(of_torque), std::string(of_mesh)}}}}});
    transform.push_back(
        {{"calculate", clipped("max", speeds_.low, frequencies_.low)}, {"as", "from"}});
    transform.push_back(
        {{"calculate", clipped("min", speeds_.high, frequencies_.high)}, {"as", "to"}});
    transform.push_back({{"filter", "datum.from < datum.to"}});
    transform.push_back(
        {{"calculate", "datum.order * datum.from / " + slope}, {"as", "from_hertz"}});
    transform.push_back({{"calculate", "datum.order * datum.to / " + slope}, {"as", "to_hertz"}});
    const Specification ends = {{"x", x_axis({{"field", "from"}})},
                                {"x2", {{"field", "to"}}},
                                {"y", y_axis({{"field", "from_hertz"}})},
                                {"y2", {{"field", "to_hertz"}}}};
    layers.push_back({{"transform", transform},
                      {"mark", {{"type", "rule"}, {"strokeWidth", 1.2}}},
                      {"encoding", merged(ends, by_kind({{"field", "kind"}}))}});
    layers.push_back(
        {{"transform", transform},
         {"mark", {{"type", "rule"}, {"opacity", 0}, {"strokeWidth", 7}}},
         {"encoding",
          merged(ends, {{"tooltip", scaled_tooltip(table, {"kind", "excitation", "order"})}})}});
  }

  void add_natural(const DataTable& table, Specification& layers) const {
    const Specification ends = {{"y", y_axis({{"field", "frequency"}})}};
    Specification transform = Specification::array();
    transform.push_back(only("kind", natural));
    layers.push_back({{"transform", transform},
                      {"mark", {{"type", "rule"}, {"strokeWidth", 2}}},
                      {"encoding", merged(ends, by_kind({{"field", "kind"}}))}});
    layers.push_back(
        {{"transform", transform},
         {"mark", {{"type", "rule"}, {"opacity", 0}, {"strokeWidth", 9}}},
         {"encoding",
          merged(ends, {{"tooltip", scaled_tooltip(table, {"kind", "mode", "frequency",
                                                           "damping_ratio", "strained"})}})}});
  }

  void add_speed(Specification& layers) const {
    if (!speed_is_drawn()) {
      return;
    }
    Specification values = Specification::array();
    values.push_back({{"rpm", rpm(condition_.speed)}});
    layers.push_back({{"data", {{"values", std::move(values)}}},
                      {"mark", {{"type", "rule"}, {"strokeWidth", 2}}},
                      {"encoding", merged({{"x", x_axis({{"field", "rpm"}})}},
                                          by_kind({{"datum", speed_word()}}))}});
  }

  void add_meetings(const DataTable& table, Specification& layers) const {
    const Specification encoding = {
        {"x", x_axis({{"field", "speed"}})},
        {"y", y_axis({{"field", "frequency"}})},
        {"tooltip", scaled_tooltip(table, {"excitation", "order", "mode", "frequency",
                                           "damping_ratio", "strained", "speed", "margin"})}};
    const auto add = [&](std::string_view word, const Specification& mark) {
      Specification transform = Specification::array();
      transform.push_back(only("kind", word));
      layers.push_back({{"transform", std::move(transform)},
                        {"mark", merged({{"type", "point"}, {"opacity", 1}}, mark)},
                        {"encoding", encoding}});
    };
    add(crossing_word,
        {{"shape", "circle"}, {"size", 45}, {"filled", true}, {"color", colours_.ink}});
    bool any_near = false;
    for (std::size_t i = 0; i < meetings_.size(); ++i) {
      any_near = any_near || is_near(i);
    }
    if (any_near) {
      add(near_word, {{"shape", "diamond"},
                      {"size", 160},
                      {"strokeWidth", 2.5},
                      {"color", colours_.violated}});
    }
  }

  // The share of the plot below a frequency, and to the left of a speed.
  [[nodiscard]] static double share(double value, const Reach& reach, bool logarithmic) {
    return logarithmic ? std::log(value / reach.low) / std::log(reach.high / reach.low)
                       : (value - reach.low) / (reach.high - reach.low);
  }

  // Names of the modes on their lines, at the left, where there is room.
  void add_mode_labels(Specification& layers) const {
    constexpr double apart = 15.0;
    Specification values = Specification::array();
    std::vector<double> taken;
    for (const std::size_t m : modes_) {
      const double at = plot_height * share(hertz(condition_.modes[m]), frequencies_, logarithmic_);
      if (std::all_of(taken.begin(), taken.end(),
                      [at](double other) { return std::abs(at - other) >= apart; })) {
        taken.push_back(at);
        values.push_back(
            {{"hertz", hertz(condition_.modes[m])},
             {"words", std::to_string(m) + ": " + hertz_words(condition_.modes[m].frequency)}});
      }
    }
    layers.push_back({{"data", {{"values", std::move(values)}}},
                      {"mark",
                       {{"type", "text"},
                        {"align", "left"},
                        {"baseline", "bottom"},
                        {"dx", 5},
                        {"dy", -2},
                        {"fontSize", text_size},
                        {"fontWeight", "bold"},
                        {"color", colours_.ink}}},
                      {"encoding",
                       {{"x", {{"value", 0}}},
                        {"y", y_axis({{"field", "hertz"}})},
                        {"text", {{"field", "words"}}}}}});
  }

  // Orders where their lines leave the plot: with their names at the right, as numbers above.
  void add_order_labels(Specification& layers) const {
    constexpr double apart_down = 14.0;
    constexpr double apart_across = 34.0;
    Specification right = Specification::array();
    Specification above = Specification::array();
    std::vector<double> taken_right;
    std::vector<double> taken_above;
    const auto is_free = [](std::vector<double>& taken, double place, double apart) {
      const bool free = std::all_of(taken.begin(), taken.end(),
                                    [&](double other) { return std::abs(place - other) >= apart; });
      if (free) {
        taken.push_back(place);
      }
      return free;
    };
    for (const Ray& ray : rays_) {
      const std::string number = rounded_number(ray.order, 4);
      const double end = ray.order * speeds_.high / seconds_per_minute;
      if (end <= frequencies_.low) {
        continue;
      }
      if (end <= frequencies_.high) {
        const double place = plot_height * share(end, frequencies_, logarithmic_);
        if (is_free(taken_right, place, apart_down)) {
          const std::string words =
              number + ": " + named(result_.lines[ray.line].id) +
              (ray.others > 0 ? " and " + std::to_string(ray.others) + " more" : "");
          right.push_back(
              {{"hertz", end}, {"words", words.size() <= label_length ? words : number}});
        }
        continue;
      }
      const double speed = frequencies_.high * seconds_per_minute / ray.order;
      if (speed < speeds_.low) {
        continue;
      }
      if (is_free(taken_above, plot_width * share(speed, speeds_, logarithmic_), apart_across)) {
        above.push_back({{"rpm", speed}, {"words", number}});
      }
    }
    layers.push_back({{"data", {{"values", std::move(right)}}},
                      {"mark",
                       {{"type", "text"},
                        {"align", "left"},
                        {"baseline", "middle"},
                        {"dx", 6},
                        {"limit", room_for_labels - 16},
                        {"fontSize", text_size},
                        {"color", colours_.ink}}},
                      {"encoding",
                       {{"x", {{"value", plot_width}}},
                        {"y", y_axis({{"field", "hertz"}})},
                        {"text", {{"field", "words"}}}}}});
    layers.push_back({{"data", {{"values", std::move(above)}}},
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

  const TorsionResult& result_;
  const TorsionCondition& condition_;
  std::size_t place_;
  const Colours& colours_;
  std::optional<double> asked_;
  Reach speeds_{};
  Reach frequencies_{};
  bool logarithmic_ = false;
  std::vector<std::size_t> modes_{};  // that vibrate and are drawn
  std::vector<Ray> rays_{};
  std::size_t rays_left_out_ = 0;
  std::vector<Meeting> meetings_{};  // nearest first
  std::size_t all_meetings_ = 0;
};

}  // namespace

std::optional<DrawnTable> interference_chart(const design::Design& design,
                                             const TorsionResult& result, std::size_t condition,
                                             const Colours& colours) {
  const InterferenceDiagram diagram(design, result, condition, colours);
  if (!diagram.has_anything()) {
    return std::nullopt;
  }
  return diagram.drawn();
}

}  // namespace lashband::report
