#include "lashband/report/vega_lite.hpp"

#include <algorithm>

#include "specification.hpp"
#include "study_charts.hpp"

namespace lashband::report {
namespace {

// Calls `use(chart, table)` for every chart in the order of the report.
template <class Use>
void for_each_chart(const StudyCharts& charts, const Use& use) {
  for (const MeshCharts& mesh : charts.meshes) {
    for (const auto* group : {&mesh.backlash, &mesh.centre, &mesh.teeth}) {
      for (const Chart& chart : *group) {
        use(chart, mesh.states);
      }
    }
    for (const Chart& chart : mesh.budget) {
      use(chart, *mesh.contributions);
    }
  }
  for (const Chart& chart : charts.joint) {
    use(chart, *charts.joint_states);
  }
  for (const HistoryCharts& history : charts.histories) {
    for (const Chart& chart : history.charts) {
      const auto table = std::find_if(history.tables.begin(), history.tables.end(),
                                      [&chart](const auto& one) { return one.id == chart.table; });
      use(chart, *table);
    }
  }
  for (const PairCharts& pair : charts.lost_motion.pairs) {
    for (const Chart& chart : pair.charts) {
      use(chart, pair.states);
    }
  }
  for (const Chart& chart : charts.lost_motion.share_charts) {
    use(chart, *charts.lost_motion.shares);
  }
  for (const LoopCharts& loop : charts.loops.loops) {
    for (const Chart& chart : loop.charts) {
      use(chart, loop.states);
    }
  }
  for (const Chart& chart : charts.frequencies.charts) {
    use(chart, charts.frequencies.lines);
  }
  for (const DrawnTable* drawn : charts.torsion.all()) {
    for (const Chart& chart : drawn->charts) {
      use(chart, drawn->table);
    }
  }
}

Specification rows_of(const DataTable& table) {
  Specification rows = Specification::array();
  for (const std::vector<Cell>& cells : table.rows) {
    Specification row = Specification::object();
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const Column& column = table.columns[i];
      if (!column.numeric) {
        row[column.field] = cells[i].shown;
      } else if (cells[i].value) {
        row[column.field] = *cells[i].value * column.scale + column.offset;
      }
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

Specification with_data(const Chart& chart, const DataTable& table, const Colours& colours) {
  Specification whole = {{"$schema", "https://vega.github.io/schema/vega-lite/v6.json"},
                         {"title", chart.title},
                         {"description", chart.reading},
                         {"config", chart_config(colours)},
                         {"data", {{"values", rows_of(table)}}}};
  whole.update(chart.spec);
  return whole;
}

std::string text_of(const Specification& specification) {
  return specification.dump(2, ' ', false, Specification::error_handler_t::replace) + "\n";
}

}  // namespace

std::vector<ChartName> chart_names(const design::Study& study, const View& view) {
  std::vector<ChartName> names;
  for_each_chart(study_charts(study, view, Colours::plain()),
                 [&names](const Chart& chart, const DataTable&) {
                   names.push_back({chart.id, chart.title});
                 });
  return names;
}

std::optional<std::string> vega_lite(const design::Study& study, const View& view,
                                     std::string_view chart) {
  const Colours colours = Colours::plain();
  std::optional<std::string> found;
  for_each_chart(study_charts(study, view, colours), [&](const Chart& one, const DataTable& table) {
    if (one.id == chart) {
      found = text_of(with_data(one, table, colours));
    }
  });
  return found;
}

std::string vega_lite_of_all(const design::Study& study, const View& view) {
  const Colours colours = Colours::plain();
  Specification all = Specification::object();
  for_each_chart(study_charts(study, view, colours),
                 [&all, &colours](const Chart& chart, const DataTable& table) {
                   all[chart.id] = with_data(chart, table, colours);
                 });
  return text_of(all);
}

}  // namespace lashband::report
