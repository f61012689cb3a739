#include "state_columns.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "specification.hpp"

namespace lashband::report {
namespace {

// The temperature of all zones at a point of the soak; empty for other states.
std::optional<units::Temperature> soak_level(const design::State& state) {
  const auto& levels = state.temperatures.by_zone();
  if (kind_of(state) != StateKind::soak || levels.empty()) {
    return std::nullopt;
  }
  return levels.front();
}

std::vector<const design::BacklashResult*> results_of(const design::Study& study) {
  std::vector<const design::BacklashResult*> results;
  results.reserve(study.carriers.rows.size());
  for (const design::CarrierRow& row : study.carriers.rows) {
    results.push_back(&row.result);
  }
  return results;
}

}  // namespace

StateKind kind_of(const design::State& state) {
  if (state.time) {
    return StateKind::moment;
  }
  return state.condition == "soak" ? StateKind::soak : StateKind::condition;
}

StateColumns::StateColumns(const design::Study& study, const Measures& measures)
    : StateColumns(study.design.soak.has_value(), results_of(study), measures) {}

StateColumns::StateColumns(bool soak, const std::vector<const design::BacklashResult*>& results,
                           const Measures& measures)
    : soak_(soak), measures_(measures) {
  std::optional<units::Time> latest;
  for (const design::BacklashResult* result : results) {
    for (const design::State& state : result->states) {
      if (state.time) {
        const auto distance = units::Time::from_value(std::abs(state.time->value()));
        latest = latest ? std::max(*latest, distance) : distance;
      }
    }
  }
  if (latest) {
    time_ = time_scale(*latest);
  }
}

std::vector<Column> StateColumns::columns(const std::string& carrier_head) const {
  std::vector<Column> columns = {Measures::text("carrier", carrier_head),
                                 Measures::text("condition", "condition")};
  if (soak_) {
    columns.push_back(measures_.level("temperature", "soak"));
  }
  if (time_) {
    columns.push_back(Measures::text("history", "history"));
    columns.push_back(Measures::time("time", "time", *time_));
  }
  return columns;
}

std::vector<Cell> StateColumns::cells(const std::string& carrier,
                                      const design::State& state) const {
  std::vector<Cell> cells = {Measures::text_cell(carrier), Measures::text_cell(state.id)};
  if (soak_) {
    cells.push_back(measures_.level_cell(soak_level(state)));
  }
  if (time_) {
    cells.push_back(state.time ? Measures::text_cell(state.condition) : Cell{});
    cells.push_back(state.time ? Measures::time_cell(*state.time, *time_) : Cell{});
  }
  return cells;
}

void keep_ends_of_histories(DataTable& table, std::size_t first) {
  const std::size_t history = place_of(table, "history");
  if (history == table.columns.size()) {
    return;
  }
  std::map<std::string, std::vector<std::size_t>> rows_by_history;
  for (std::size_t row = first; row < table.rows.size(); ++row) {
    if (!table.rows[row][history].shown.empty()) {
      rows_by_history[table.rows[row][history].shown].push_back(row);
    }
  }
  std::set<std::size_t> kept;
  for (const auto& [name, rows] : rows_by_history) {
    for (std::size_t column = 0; column < table.columns.size(); ++column) {
      if (!table.columns[column].numeric || table.columns[column].field == "time") {
        continue;
      }
      std::optional<std::size_t> least;
      std::optional<std::size_t> greatest;
      const auto value = [&](std::size_t row) { return *table.rows[row][column].value; };
      for (const std::size_t row : rows) {
        if (!table.rows[row][column].value) {
          continue;
        }
        least = !least || value(row) < value(*least) ? row : *least;
        greatest = !greatest || value(row) > value(*greatest) ? row : *greatest;
      }
      if (least && table.columns[column].ends != EndsTold::greatest) {
        kept.insert(*least);
      }
      if (greatest && table.columns[column].ends != EndsTold::least) {
        kept.insert(*greatest);
      }
    }
  }
  std::vector<std::vector<Cell>> rows;
  rows.reserve(table.rows.size());
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (row < first || table.rows[row][history].shown.empty() || kept.contains(row)) {
      rows.push_back(std::move(table.rows[row]));
    }
  }
  table.rows = std::move(rows);
}

}  // namespace lashband::report
