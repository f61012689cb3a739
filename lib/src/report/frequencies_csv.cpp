#include "csv_table.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/report/csv.hpp"
#include "line_words.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

void line_heads(CsvTable& table) {
  for (const char* name : {"kind", "source", "harmonic", "sideband", "around"}) {
    table.field(name);
  }
}

void put_line(CsvTable& table, const spectrum::Line& line) {
  table.field(kind_word(line.kind));
  table.field(line.source);
  table.number(line.harmonic);
  table.number(line.sideband);
  table.field(line.around);
}

std::string lines_csv(const design::FrequenciesResult& result, const View& view) {
  CsvTable table;
  line_heads(table);
  for (const char* name : {"order", "condition", "speed [rpm]", "frequency [Hz]"}) {
    table.field(name);
  }
  table.end_row();
  const std::vector<design::NamedSpeed> speeds = shown_speeds(result, view);
  for (const spectrum::Line& line : result.lines) {
    if (!shows_line(view, line)) {
      continue;
    }
    for (const design::NamedSpeed& speed : speeds) {
      put_line(table, line);
      table.number(line.order);
      table.field(speed.condition);
      CsvWriter::put(table, speed.speed);
      CsvWriter::put(table, design::frequency_of(line, speed.speed));
      table.end_row();
    }
    if (speeds.empty()) {
      put_line(table, line);
      table.number(line.order);
      table.blanks(3);
      table.end_row();
    }
  }
  return table.take();
}

std::string peaks_csv(const design::FrequenciesResult& result,
                      const design::MeasuredResult& measured) {
  const bool over_orders = measured.axis == design::MeasuredInput::Axis::order;
  CsvTable table;
  for (const char* name : {"peak", over_orders ? "measured_order" : "frequency [Hz]", "order",
                           "amplitude", "prominence", "by_chance", "candidate"}) {
    table.field(name);
  }
  line_heads(table);
  for (const char* name : {"line_order", "line_frequency [Hz]", "error [Hz]", "order_error"}) {
    table.field(name);
  }
  table.end_row();
  const std::vector<spectrum::AttributedPeak>& peaks = measured.attribution.peaks;
  const auto put_peak = [&](std::size_t i) {
    const spectrum::AttributedPeak& at = peaks[i];
    table.number(static_cast<double>(i + 1));
    CsvWriter::put(table, at.peak.frequency);
    table.number(at.order);
    table.number(at.peak.amplitude);
    table.number(at.peak.prominence);
    table.number(at.by_chance);
  };
  for (std::size_t i = 0; i < peaks.size(); ++i) {
    const std::vector<spectrum::Candidate>& candidates = peaks[i].candidates;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
      const spectrum::Line& line = result.lines.at(candidates[k].line);
      put_peak(i);
      table.number(static_cast<double>(k + 1));
      put_line(table, line);
      table.number(line.order);
      if (over_orders) {
        table.blanks(2);
      } else {
        CsvWriter::put(table, design::frequency_of(line, measured.attribution.speed));
        CsvWriter::put(table, candidates[k].error);
      }
      table.number(candidates[k].order_error);
      table.end_row();
    }
    if (candidates.empty()) {
      put_peak(i);
      table.blanks(10);
      table.end_row();
    }
  }
  return table.take();
}

}  // namespace

std::string csv(const design::FrequenciesResult& result, const View& view) {
  return result.measured ? peaks_csv(result, *result.measured) : lines_csv(result, view);
}

}  // namespace lashband::report
