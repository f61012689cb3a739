#include "over_time_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <utility>
#include <vector>

#include "lashband/units/format.hpp"
#include "requirement_text.hpp"
#include "terminal_table.hpp"
#include "time_text.hpp"

namespace lashband::report {
namespace {

using design::HeatRow;
using design::RequirementOverTime;
using units::Energy;

// A repeated history may violate a requirement in every cycle.
constexpr std::size_t spans_told = 3;

std::string span_words(const design::TimeSpan& span) {
  return span.from == span.to ? "at " + time_words(span.from)
                              : "from " + time_words(span.from) + " to " + time_words(span.to);
}

// What one line of the account sums up.
std::string heat_line(const char* name, HeatRow::Kind kind, const design::HeatAccount& account,
                      bool in_kilojoule) {
  const auto number = [in_kilojoule](Energy heat) {
    return in_kilojoule ? units::format_fixed(heat, "kJ", 1) : units::format_fixed(heat, "J", 1);
  };
  std::string entries;
  Energy sum;
  std::size_t count = 0;
  for (const HeatRow& row : account.rows) {
    if (row.kind == kind) {
      entries += entries.empty() ? "" : ", ";
      entries += printable(row.id);
      entries += " ";
      entries += number(row.heat);
      sum += row.heat;
      ++count;
    }
  }
  if (count == 0) {
    return "";
  }
  constexpr std::size_t width = 12;
  std::string line = "  " + left(name, width) + entries;
  line += count > 1 ? "; in all " + number(sum) : "";
  return wrapped(line, 2 + width);
}

std::string short_number(double number) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number,
                                 std::chars_format::scientific, 1);
  return {buffer.data(), end.ptr};
}

}  // namespace

std::string history_words(const design::HistoryResult& history) {
  using Source = design::HistoryResult::Source;
  std::string text =
      history.source == Source::network ? "thermal network" : "record " + printable(history.file);
  text += ", ";
  text += history.start.value() == 0.0
              ? time_words(history.end)
              : "from " + time_words(history.start) + " to " + time_words(history.end);
  if (history.cycles > 1 || history.is_periodic) {
    text += ", " + std::to_string(history.cycles) + (history.cycles == 1 ? " cycle" : " cycles");
    text += history.is_periodic ? " until one is like the last" : "";
  }
  return text;
}

std::string violation_words(const RequirementOverTime& requirement,
                            const design::HistoryResult& history) {
  const std::vector<design::TimeSpan>& violated = requirement.violated;
  if (violated.empty()) {
    return requirement.row.met ? "holds throughout" : "violated at " + time_words(requirement.at);
  }
  const bool from_start = !(violated.front().from > history.start);
  if (violated.size() == 1 && from_start && !(violated.front().to < history.end)) {
    return "violated throughout";
  }
  std::string text = "violated ";
  const std::size_t told = std::min(violated.size(), spans_told);
  for (std::size_t i = 0; i < told; ++i) {
    text += i == 0 ? "" : ", ";
    text += span_words(violated[i]);
  }
  if (violated.size() > told) {
    text += " and " + std::to_string(violated.size() - told) + " times more, which JSON has";
  }
  if (!requirement.holds_from) {
    return text + "; does not hold at the end";
  }
  const std::string on = time_words(*requirement.holds_from) + " on";
  return text + (violated.size() == 1 && from_start
                     ? "; first holds from " + on + ": do not load before"
                     : "; holds from " + on);
}

std::string requirements_over_time(const design::HistoryResult& history, const View& view) {
  std::vector<design::Basis> bases;
  for (const RequirementOverTime& one : history.requirements) {
    if (std::find(bases.begin(), bases.end(), one.row.basis) == bases.end()) {
      bases.push_back(one.row.basis);
    }
  }
  std::string out;
  for (const design::Basis basis : bases) {
    out += "requirements over this history, judged on: " + basis_text(basis) + "\n";
    out += "  " + left("mesh", 13) + left("", 24) + right("limit", 12) + right("found", 12) + "\n";
    for (const RequirementOverTime& one : history.requirements) {
      if (one.row.basis != basis) {
        continue;
      }
      out += "  " + left(printable(one.row.mesh), 12) + " " +
             left(requirement_words(one.row.what), 24) +
             right(limit_sign(one.row) + requirement_value(one.row, one.row.limit, view), 12) +
             right(requirement_value(one.row, one.row.found, view), 12) + "  " +
             verdict(one.row.met, view) + "\n";
      out += wrapped((one.row.met ? "    tightest at " : "    worst at ") + time_words(one.at) +
                         "; " + violation_words(one, history),
                     6);
    }
  }
  return out;
}

std::string heat_lines(const design::HistoryResult& history) {
  if (!history.heat) {
    return "";
  }
  const design::HeatAccount& account = *history.heat;
  // Below that, tenths of a kilojoule say too little.
  constexpr double least_in_kilojoule = 1e4;
  const bool in_kilojoule = account.turnover.value() >= least_in_kilojoule;
  std::string out = std::string("heat in ") + (in_kilojoule ? "kJ" : "J") +
                    ": stored is what was brought in (negative: taken away)\n";
  out += heat_line("stored", HeatRow::Kind::stored, account, in_kilojoule);
  out += heat_line("inputs", HeatRow::Kind::input, account, in_kilojoule);
  out += heat_line("boundaries", HeatRow::Kind::boundary, account, in_kilojoule);
  out += heat_line("streams", HeatRow::Kind::stream, account, in_kilojoule);
  const double unit = in_kilojoule ? 1e-3 : 1.0;
  return out + "  " + left("residual", 12) + short_number(unit * account.residual.value()) +
         " of " + short_number(unit * account.turnover.value()) + " turned over\n";
}

}  // namespace lashband::report
