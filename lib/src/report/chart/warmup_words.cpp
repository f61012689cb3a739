#include "warmup_words.hpp"

#include <algorithm>
#include <cmath>

#include "lashband/units/plain_number.hpp"
#include "report/requirement_text.hpp"

namespace lashband::report {
namespace {

std::string span_text(const design::TimeSpan& span, const TimeScale& scale) {
  const std::string to = time_text(span.to, scale);
  if (time_text(span.from, scale) == to) {
    return "at " + to;
  }
  return "from " + Measures::time_cell(span.from, scale).shown + " to " + to;
}

bool is_whole(const std::vector<design::TimeSpan>& spans, const design::HistoryResult& history) {
  return spans.size() == 1 && spans.front().from <= history.start &&
         spans.front().to >= history.end;
}

}  // namespace

TimeScale time_scale_of(const design::HistoryResult& history) {
  return time_scale(std::max(history.end - history.start,
                             units::Time::from_value(std::max(std::abs(history.start.value()),
                                                              std::abs(history.end.value())))));
}

std::string spans_text(const std::vector<design::TimeSpan>& spans, const TimeScale& scale,
                       std::size_t most) {
  std::string text;
  const std::size_t told = std::min(most, spans.size());
  for (std::size_t i = 0; i < told; ++i) {
    const bool last = i + 1 == spans.size();
    text += i == 0 ? "" : last ? " and " : ", ";
    text += span_text(spans[i], scale);
  }
  const std::size_t left = spans.size() - told;
  if (left > 0) {
    text += " and " + std::to_string(left) + (left == 1 ? " more time" : " more times");
  }
  return text;
}

std::string requirement_over_time(const design::RequirementOverTime& requirement,
                                  const design::HistoryResult& history, const View& view) {
  constexpr std::size_t most_spans = 3;
  const TimeScale scale = time_scale_of(history);
  const design::RequirementRow& row = requirement.row;
  const std::string found =
      requirement_value(row, row.found, view) + " at " + time_text(requirement.at, scale);
  std::string text = requirement_words(row.what);
  if (row.what != "no_binding") {
    text += " (" + limit_sign(row) + requirement_value(row, row.limit, view) + ")";
  }
  text += ", judged on " + basis_text(row.basis) + ": ";
  if (requirement.violated.empty()) {
    return text + "holds throughout, nearest to its limit with " + found;
  }
  if (is_whole(requirement.violated, history)) {
    return text + "violated throughout, worst with " + found;
  }
  text +=
      "violated " + spans_text(requirement.violated, scale, most_spans) + ", worst with " + found;
  text += requirement.holds_from
              ? "; holds from " + time_text(*requirement.holds_from, scale) + " on"
              : "; does not hold at the end";
  return text;
}

}  // namespace lashband::report
