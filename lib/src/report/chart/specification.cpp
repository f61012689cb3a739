#include "specification.hpp"

#include <algorithm>
#include <stdexcept>

#include "report/terminal_table.hpp"

namespace lashband::report {
namespace {

// A dot in a field's name would be read as a member of a member.
std::string escaped_field(std::string_view name) {
  std::string text;
  for (const char c : name) {
    text += c == '.' ? "\\." : std::string(1, c);
  }
  return text;
}

// Whether a row is a point of the soak; `level` is the place of its temperature, if it has one.
bool is_soak(const std::vector<Cell>& row, std::size_t level) {
  return level < row.size() && row[level].value.has_value();
}

// Whether a row is a moment of a history; `history` is the place of its name, if it has one.
bool is_moment(const std::vector<Cell>& row, std::size_t history) {
  return history < row.size() && !row[history].shown.empty();
}

// The place of each row among those of its carrier and history, in the order of a number.
Specification place_among(std::string_view name, const char* order, const char* as) {
  Specification by = Specification::array();
  by.push_back({{"field", escaped_field(name)}, {"order", order}});
  by.push_back({{"field", "time"}, {"order", "ascending"}});
  Specification operations = Specification::array();
  operations.push_back({{"op", "row_number"}, {"as", as}});
  return {{"window", std::move(operations)},
          {"groupby", {"carrier", "history"}},
          {"sort", std::move(by)}};
}

}  // namespace

int width_of_names(const std::vector<std::string>& names, int limit) {
  constexpr int widest_character = 8;  // of common text; a cut name is no wider than the limit
  int widest = 0;
  for (const std::string& name : names) {
    widest = std::max(widest, widest_character * static_cast<int>(columns_of(name)));
  }
  return std::min(widest, limit) + 10;
}

void WordColours::add(std::string_view word, const std::string& colour) {
  words_.push_back(word);
  colours_.push_back(colour);
}

Specification WordColours::of(std::string_view word) const {
  return {{"datum", word},
          {"scale", {{"domain", words_}, {"range", colours_}}},
          {"legend", {{"title", nullptr}, {"symbolType", "square"}, {"columns", 4}}}};
}

Specification merged(Specification a, const Specification& b) {
  a.update(b);
  return a;
}

Specification chart_config(const Colours& colours) {
  return {
      {"background", "transparent"},
      {"font", "system-ui, sans-serif"},
      {"aria", false},
      {"padding", 4},
      {"view", {{"stroke", colours.grid}}},
      {"title", {{"color", colours.ink}}},
      {"axis",
       {{"labelFontSize", text_size},
        {"titleFontSize", text_size},
        {"titleFontWeight", "normal"},
        {"labelColor", colours.ink},
        {"titleColor", colours.ink},
        {"domainColor", colours.quiet},
        {"tickColor", colours.quiet},
        {"gridColor", colours.grid},
        {"labelLimit", label_width}}},
      {"legend",
       {{"labelFontSize", text_size},
        {"titleFontSize", text_size},
        {"labelColor", colours.ink},
        {"titleColor", colours.ink},
        {"labelLimit", label_width},
        {"orient", "top"},
        {"columns", 3}}},
      {"header",
       {{"labelFontSize", text_size},
        {"labelColor", colours.ink},
        {"labelLimit", label_width},
        {"title", nullptr}}},
  };
}

std::size_t place_of(const DataTable& table, std::string_view field) {
  const auto found = std::find_if(table.columns.begin(), table.columns.end(),
                                  [field](const Column& column) { return column.field == field; });
  return static_cast<std::size_t>(found - table.columns.begin());
}

bool has_column(const DataTable& table, std::string_view field) {
  return place_of(table, field) < table.columns.size();
}

const Column& column(const DataTable& table, std::string_view field) {
  const std::size_t place = place_of(table, field);
  if (place == table.columns.size()) {
    throw std::logic_error("the table has no column " + std::string(field));
  }
  return table.columns[place];
}

Specification field(const DataTable& table, std::string_view name) {
  const Column& found = column(table, name);
  return {{"field", escaped_field(name)},
          {"type", found.numeric ? "quantitative" : "nominal"},
          {"title", found.head_with_unit()}};
}

Specification value_axis(const DataTable& table, std::string_view name, const std::string& title) {
  Specification axis = field(table, name);
  axis["title"] = title;
  axis["scale"] = {{"zero", false}};
  return axis;
}

Specification soak_axis(const DataTable& table) {
  Specification axis =
      value_axis(table, "temperature",
                 "temperature of all zones [" + column(table, "temperature").shown_unit + "]");
  axis["scale"]["nice"] = false;
  return axis;
}

Specification tooltip(const DataTable& table, const std::vector<std::string_view>& names) {
  Specification list = Specification::array();
  for (const std::string_view name : names) {
    if (!has_column(table, name)) {
      continue;
    }
    Specification one = field(table, name);
    if (name == "p_bind") {
      one["type"] = "nominal";  // as it is: no count of decimals suits a probability
    } else if (column(table, name).numeric) {
      one["format"] = column(table, name).unit.empty() ? ".4~g" : ".2f";
    }
    list.push_back(std::move(one));
  }
  return list;
}

Specification only(std::string_view name, std::string_view value) {
  return {{"filter", {{"field", escaped_field(name)}, {"equal", value}}}};
}
Specification with_number(std::string_view name) {
  return {{"filter", {{"field", escaped_field(name)}, {"valid", true}}}};
}
Specification without_number(std::string_view name) {
  return {{"filter", {{"not", {{"field", escaped_field(name)}, {"valid", true}}}}}};
}

std::vector<std::string> conditions_of(const DataTable& table) {
  const std::size_t level = place_of(table, "temperature");
  const std::size_t name = place_of(table, "condition");
  const std::size_t history = place_of(table, "history");
  std::vector<std::string> names;
  for (const auto& row : table.rows) {
    if (!is_soak(row, level) && !is_moment(row, history) &&
        std::find(names.begin(), names.end(), row[name].shown) == names.end()) {
      names.push_back(row[name].shown);
    }
  }
  return names;
}

std::vector<std::string> histories_of(const DataTable& table) {
  if (!has_column(table, "history")) {
    return {};
  }
  std::vector<std::string> names = distinct(table, "history");
  names.erase(std::remove(names.begin(), names.end(), std::string()), names.end());
  return names;
}

std::vector<Specification> ends_of_histories(const DataTable& table, std::string_view low,
                                             std::string_view high) {
  if (histories_of(table).empty()) {
    return {};
  }
  Specification kept = Specification::array();
  kept.push_back(without_number("time")["filter"]);
  kept.push_back({{"field", "least_place"}, {"equal", 1}});
  kept.push_back({{"field", "greatest_place"}, {"equal", 1}});
  return {place_among(low, "ascending", "least_place"),
          place_among(high, "descending", "greatest_place"),
          {{"filter", {{"or", std::move(kept)}}}}};
}

std::vector<std::string> distinct(const DataTable& table, std::string_view name) {
  const std::size_t place = place_of(table, name);
  std::vector<std::string> texts;
  for (const auto& row : table.rows) {
    if (std::find(texts.begin(), texts.end(), row[place].shown) == texts.end()) {
      texts.push_back(row[place].shown);
    }
  }
  return texts;
}

bool any_number(const DataTable& table, std::string_view name, bool soak) {
  const std::size_t place = place_of(table, name);
  const std::size_t level = place_of(table, "temperature");
  return std::any_of(table.rows.begin(), table.rows.end(), [&](const std::vector<Cell>& row) {
    return row[place].value.has_value() && is_soak(row, level) == soak;
  });
}

}  // namespace lashband::report
