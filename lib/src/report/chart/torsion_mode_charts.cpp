#include "torsion_mode_charts.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/torsion_words.hpp"
#include "specification.hpp"
#include "torsion_names.hpp"

namespace lashband::report {
namespace {

using design::NaturalMode;
using design::TorsionCondition;
using design::TorsionResult;

// More columns or rows would not fit on paper; CSV and JSON of the analysis have all.
constexpr std::size_t modes_drawn = 9;
constexpr std::size_t elements_drawn = 16;
constexpr std::size_t modes_with_bars = 6;
constexpr long long parts_drawn = 4;

constexpr double percent = 100.0;

// The modes that vibrate, the lowest first.
std::vector<std::size_t> vibrating_modes(const TorsionCondition& condition) {
  std::vector<std::size_t> modes;
  for (std::size_t m = 0; m < condition.modes.size(); ++m) {
    if (!condition.modes[m].strain_share.empty()) {
      modes.push_back(m);
    }
  }
  return modes;
}

// What can move a natural frequency: a stiffness or an inertia.
struct Part {
  std::string name;
  bool is_stiffness = true;
  std::optional<double> share{};
  std::optional<double> sensitivity{};
};

std::vector<Part> parts_of(const TorsionResult& result, const NaturalMode& mode) {
  std::vector<Part> parts;
  parts.reserve(result.elements.size() + result.inertias.size());
  for (std::size_t e = 0; e < result.elements.size(); ++e) {
    parts.push_back({element_words(result.elements[e]), true, mode.strain_share[e],
                     mode.frequency_by_stiffness.empty()
                         ? std::nullopt
                         : std::optional(mode.frequency_by_stiffness[e])});
  }
  for (std::size_t i = 0; i < result.inertias.size() && !mode.frequency_by_inertia.empty(); ++i) {
    parts.push_back({"inertia of " + inertia_words(result.inertias[i]), false, std::nullopt,
                     mode.frequency_by_inertia[i]});
  }
  return parts;
}

// Ranks of the parts by how much they move the frequency, from 1.
std::vector<long long> ranks_of(const std::vector<Part>& parts) {
  std::vector<std::size_t> order(parts.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&parts](std::size_t a, std::size_t b) {
    return std::abs(parts[a].sensitivity.value_or(0.0)) >
           std::abs(parts[b].sensitivity.value_or(0.0));
  });
  std::vector<long long> ranks(parts.size(), 0);
  for (std::size_t i = 0; i < order.size(); ++i) {
    ranks[order[i]] = static_cast<long long>(i) + 1;
  }
  return ranks;
}

DataTable modes_table(const TorsionResult& result, std::size_t place,
                      const std::vector<std::size_t>& modes) {
  const TorsionCondition& condition = result.conditions[place];
  const std::string number = std::to_string(place + 1);
  DataTable table;
  table.id = "data-torsion-modes-" + number;
  table.title = "what each mode strains and what moves its frequency, " + named(condition.id);
  table.file = "torsion-modes-" + number + ".csv";
  table.columns = {Measures::ratio("mode", "mode"),
                   Measures::frequency("frequency", "natural frequency"),
                   Measures::text("part", "part"),
                   Measures::text("kind", "of its"),
                   Measures::share("share", "share of strain energy"),
                   Measures::ratio("sensitivity", "d ln f / d ln part"),
                   Measures::ratio("rank", "rank")};
  for (const std::size_t m : modes) {
    const NaturalMode& mode = condition.modes[m];
    const std::vector<Part> parts = parts_of(result, mode);
    const std::vector<long long> ranks = ranks_of(parts);
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const Part& part = parts[i];
      table.rows.push_back({Measures::count_cell(static_cast<long long>(m)),
                            Measures::frequency_cell(mode.frequency),
                            Measures::text_cell(part.name),
                            {part.is_stiffness ? "stiffness" : "inertia", {}},
                            part.share ? Measures::share_cell(*part.share) : Cell{},
                            part.sensitivity
                                ? Cell{units::fixed_number(*part.sensitivity, 4), *part.sensitivity}
                                : Cell{},
                            part.sensitivity ? Measures::count_cell(ranks[i]) : Cell{}});
    }
  }
  return table;
}

// Elements by the greatest share that any mode drawn has in them; those without any are left out.
std::vector<std::string> strained_elements(const TorsionResult& result,
                                           const TorsionCondition& condition,
                                           const std::vector<std::size_t>& modes) {
  constexpr double least_shown = 0.005;
  std::vector<double> greatest(result.elements.size(), 0.0);
  for (const std::size_t m : modes) {
    for (std::size_t e = 0; e < greatest.size(); ++e) {
      greatest[e] = std::max(greatest[e], condition.modes[m].strain_share[e]);
    }
  }
  std::vector<std::size_t> places(greatest.size());
  std::iota(places.begin(), places.end(), std::size_t{0});
  std::erase_if(places, [&greatest](std::size_t e) { return greatest[e] < least_shown; });
  std::stable_sort(places.begin(), places.end(),
                   [&greatest](std::size_t a, std::size_t b) { return greatest[a] > greatest[b]; });
  places.resize(std::min(places.size(), elements_drawn));
  std::sort(places.begin(), places.end());
  std::vector<std::string> names;
  names.reserve(places.size());
  for (const std::size_t e : places) {
    names.push_back(Measures::text_cell(element_words(result.elements[e])).shown);
  }
  return names;
}

std::string strain_reading(const TorsionResult& result, const TorsionCondition& condition,
                           const std::vector<std::size_t>& modes) {
  constexpr std::size_t told = 4;
  std::string text = "Shares of a mode's strain energy: what is strained most sets its frequency. ";
  for (std::size_t i = 0; i < std::min(told, modes.size()); ++i) {
    const NaturalMode& mode = condition.modes[modes[i]];
    const std::size_t element = *most_strained(mode);
    text += i == 0 ? "Most strained by " : "; by ";
    text.append(mode_name(condition, modes[i])).append(" is ");
    text.append(named(element_words(result.elements[element]))).append(", ");
    text.append(units::fixed_number(percent * mode.strain_share[element], 0)).append(" %");
  }
  text += ".";
  if (modes.size() > modes_drawn) {
    text += " Drawn are the " + std::to_string(modes_drawn) + " lowest of " +
            std::to_string(modes.size()) + " modes.";
  }
  return text;
}

// Natural frequencies as they stand below the numbers of the modes.
Specification mode_label() {
  return {{"calculate", "datum.mode + '|' + format(datum.frequency, '.4~r')"}, {"as", "label"}};
}

// A field of squares, darker where a share is greater, with the share in it.
Specification strain_specification(const DataTable& table, const std::vector<std::string>& elements,
                                   double last_mode, const Colours& colours) {
  constexpr int row = 24;
  constexpr int widest_column = 60;
  constexpr double darkest = 0.55;
  const int names = width_of_names(elements);
  const auto columns = std::max<std::size_t>(1, [&table, last_mode] {
    std::vector<double> modes;
    for (const auto& cells : table.rows) {
      if (*cells[0].value <= last_mode &&
          std::find(modes.begin(), modes.end(), *cells[0].value) == modes.end()) {
        modes.push_back(*cells[0].value);
      }
    }
    return modes.size();
  }());
  const int step =
      std::min(widest_column, (drawing_width - names - 24) / static_cast<int>(columns));
  Specification shown = Specification::array();
  for (const std::string& name : elements) {
    shown.push_back(name);
  }
  Specification transform = Specification::array();
  transform.push_back(with_number("share"));
  transform.push_back({{"filter", {{"field", "mode"}, {"lte", last_mode}}}});
  transform.push_back({{"filter", {{"field", "part"}, {"oneOf", shown}}}});
  transform.push_back(mode_label());
  const Specification x = {{"field", "label"},
                           {"type", "nominal"},
                           {"title", "mode, and its natural frequency [Hz]"},
                           {"sort", {{"field", "mode"}}},
                           {"axis", {{"labelAngle", 0}, {"labelExpr", "split(datum.label, '|')"}}}};
  const Specification y = {{"field", "part"},
                           {"type", "nominal"},
                           {"sort", shown},
                           {"title", nullptr},
                           {"axis", {{"labelLimit", label_width}}}};
  Specification square = {{"x", x}, {"y", y}};
  square["opacity"] = field(table, "share");
  square["opacity"]["scale"] = {{"domain", {0, 100}}, {"range", {0, darkest}}};
  square["opacity"]["legend"] = nullptr;
  square["tooltip"] = scaled_tooltip(table, {"mode", "frequency", "part", "share"});
  Specification number = {{"x", x}, {"y", y}};
  number["text"] = {{"field", "share"}, {"type", "quantitative"}, {"format", ".0f"}};
  number["tooltip"] = square["tooltip"];
  Specification told = Specification::array();
  told.push_back({{"filter", {{"field", "share"}, {"gte", 0.5}}}});
  Specification layers = Specification::array();
  layers.push_back({{"mark", {{"type", "rect"}, {"color", colours.of_series(0)}}},
                    {"encoding", std::move(square)}});
  layers.push_back({{"transform", std::move(told)},
                    {"mark", {{"type", "text"}, {"fontSize", text_size}, {"color", colours.ink}}},
                    {"encoding", std::move(number)}});
  return {{"transform", std::move(transform)},
          {"width", {{"step", step}}},
          {"height", {{"step", row}}},
          {"layer", std::move(layers)}};
}

Chart strain_chart(const TorsionResult& result, std::size_t place,
                   const std::vector<std::size_t>& modes, const DataTable& table,
                   const Colours& colours) {
  const TorsionCondition& condition = result.conditions[place];
  const auto drawn = static_cast<std::ptrdiff_t>(std::min(modes.size(), modes_drawn));
  const std::vector<std::size_t> lowest(modes.begin(), modes.begin() + drawn);
  Chart chart;
  chart.id = "torsion-strain-" + std::to_string(place + 1);
  chart.title = "What each mode strains [%], " + named(condition.id);
  chart.table = table.id;
  chart.reading = strain_reading(result, condition, modes);
  chart.spec = strain_specification(table, strained_elements(result, condition, lowest),
                                    static_cast<double>(lowest.back()), colours);
  return chart;
}

// The place of the part in the table that moves the frequency of a mode most.
const std::vector<Cell>* first_part(const DataTable& table, std::size_t mode) {
  const std::size_t rank = place_of(table, "rank");
  const auto found = std::find_if(table.rows.begin(), table.rows.end(), [&](const auto& cells) {
    return *cells[0].value == static_cast<double>(mode) && cells[rank].value == 1.0;
  });
  return found == table.rows.end() ? nullptr : &*found;
}

std::string sensitivity_reading(const TorsionCondition& condition,
                                const std::vector<std::size_t>& modes, const DataTable& table) {
  std::string text =
      "How many per cent a natural frequency rises where a stiffness or an inertia grows by one "
      "per cent. ";
  const std::vector<Cell>* first = first_part(table, modes.front());
  if (first != nullptr) {
    const Cell& part = (*first)[place_of(table, "part")];
    const Cell& kind = (*first)[place_of(table, "kind")];
    text += "What moves " + mode_name(condition, modes.front()) + " most is the " +
            (kind.shown == "stiffness" ? "stiffness of " : "") + named(part.shown) + ", by " +
            units::fixed_number(*(*first)[place_of(table, "sensitivity")].value, 2) + ".";
  }
  const bool more = std::any_of(table.rows.begin(), table.rows.end(), [&table](const auto& cells) {
    return cells[place_of(table, "rank")].value.value_or(0.0) > static_cast<double>(parts_drawn);
  });
  if (more || modes.size() > modes_with_bars) {
    text += " Drawn are the " + std::to_string(parts_drawn) + " greatest of each of the " +
            std::to_string(std::min(modes.size(), modes_with_bars)) + " lowest modes.";
  }
  return text;
}

// Parts of a mode that are drawn, the greatest first.
std::vector<std::string> parts_shown(const DataTable& table, std::size_t mode) {
  std::vector<std::pair<double, std::string>> found;
  for (const auto& cells : table.rows) {
    const auto& rank = cells[place_of(table, "rank")].value;
    if (*cells[0].value == static_cast<double>(mode) && rank &&
        *rank <= static_cast<double>(parts_drawn)) {
      found.emplace_back(*rank, cells[place_of(table, "part")].shown);
    }
  }
  std::sort(found.begin(), found.end());
  std::vector<std::string> names;
  names.reserve(found.size());
  for (auto& [rank, name] : found) {
    names.push_back(std::move(name));
  }
  return names;
}

Chart sensitivity_chart(const TorsionResult& result, std::size_t place,
                        const std::vector<std::size_t>& modes, const DataTable& table,
                        const Colours& colours) {
  constexpr int bar = 17;
  const TorsionCondition& condition = result.conditions[place];
  std::vector<std::vector<std::string>> parts;
  std::vector<std::string> all;
  double reach = 0.0;
  for (const auto& cells : table.rows) {
    reach = std::max(reach, std::abs(cells[place_of(table, "sensitivity")].value.value_or(0.0)));
  }
  for (std::size_t i = 0; i < std::min(modes.size(), modes_with_bars); ++i) {
    parts.push_back(parts_shown(table, modes[i]));
    all.insert(all.end(), parts.back().begin(), parts.back().end());
  }
  const int width = drawing_width - width_of_names(all) - 24;
  WordColours words;
  words.add("of a stiffness", colours.of_series(0));
  words.add("of an inertia", colours.of_series(1));
  Specification panels = Specification::array();
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i].empty()) {
      continue;
    }
    Specification y = {
        {"field", "part"}, {"type", "nominal"}, {"sort", parts[i]}, {"title", nullptr}};
    y["axis"] = {{"labelLimit", label_width}};
    Specification layers = Specification::array();
    for (const char* kind : {"stiffness", "inertia"}) {
      const bool is_stiffness = std::string_view(kind) == "stiffness";
      const std::string word = is_stiffness ? "of a stiffness" : "of an inertia";
      Specification x = field(table, "sensitivity");
      x["title"] = i + 1 == parts.size()
                       ? Specification("rise of the frequency over growth of the part [% / %]")
                       : Specification();
      x["scale"] = {{"domain", {-1.05 * reach, 1.05 * reach}}, {"nice", false}};
      x["axis"] = {{"tickCount", 6}};
      if (i + 1 < parts.size()) {
        x["axis"]["labels"] = false;
        x["axis"]["ticks"] = false;
      }
      Specification transform = Specification::array();
      transform.push_back(only("kind", kind));
      layers.push_back(
          {{"transform", std::move(transform)},
           {"mark", {{"type", "bar"}, {"height", bar - 5}}},
           {"encoding",
            {{"x", std::move(x)},
             {"y", y},
             {"color",
              panels.empty() && is_stiffness ? words.of(word) : Specification{{"datum", word}}},
             {"tooltip",
              scaled_tooltip(table, {"mode", "frequency", "part", "kind", "sensitivity"})}}}});
    }
    Specification transform = Specification::array();
    transform.push_back({{"filter", {{"field", "mode"}, {"equal", modes[i]}}}});
    transform.push_back({{"filter", {{"field", "rank"}, {"lte", parts_drawn}}}});
    panels.push_back({{"title",
                       {{"text", mode_name(condition, modes[i])},
                        {"fontSize", text_size},
                        {"fontWeight", "normal"},
                        {"anchor", "start"},
                        {"frame", "group"},
                        {"limit", width}}},
                      {"transform", std::move(transform)},
                      {"width", width},
                      {"height", {{"step", bar}}},
                      {"layer", std::move(layers)}});
  }
  Chart chart;
  chart.id = "torsion-sensitivity-" + std::to_string(place + 1);
  chart.title = "What moves the natural frequencies, " + named(condition.id);
  chart.table = table.id;
  chart.reading = sensitivity_reading(condition, modes, table);
  chart.spec = {{"vconcat", std::move(panels)}, {"spacing", 10}};
  return chart;
}

}  // namespace

std::optional<DrawnTable> mode_charts(const TorsionResult& result, std::size_t condition,
                                      bool sensitivities, const Colours& colours) {
  const std::vector<std::size_t> modes = vibrating_modes(result.conditions[condition]);
  if (modes.empty()) {
    return std::nullopt;
  }
  DrawnTable drawn;
  drawn.table = modes_table(result, condition, modes);
  drawn.charts.push_back(strain_chart(result, condition, modes, drawn.table, colours));
  const bool any = std::any_of(modes.begin(), modes.end(), [&](std::size_t m) {
    return !result.conditions[condition].modes[m].frequency_by_stiffness.empty();
  });
  if (sensitivities && any) {
    drawn.charts.push_back(sensitivity_chart(result, condition, modes, drawn.table, colours));
  }
  return drawn;
}

}  // namespace lashband::report
