#include "loop_text.hpp"

#include <algorithm>
#include <optional>

#include "judged_ends.hpp"
#include "lashband/units/plain_number.hpp"
#include "numbers.hpp"
#include "requirement_text.hpp"
#include "selection.hpp"
#include "shown_states.hpp"
#include "state_text.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

constexpr std::size_t name_width = 19;

// Longer loops are cut in titles.
constexpr std::size_t most_in_title = 6;

std::string list_of(const std::vector<std::string>& names, const char* between) {
  std::string list;
  for (const std::string& name : names) {
    list += (list.empty() ? "" : between) + printable(name);
  }
  return list;
}

// A loop has no percentiles; the root sum square stands for them.
std::string loop_basis(const design::LoopResult& loop) {
  return basis_text(loop.basis == design::Basis::percentile ? design::Basis::rss : loop.basis);
}

// The state of the least margin with all float taken up.
const design::LoopState* nearest_to_binding(const design::LoopResult& loop) {
  const auto found = std::min_element(
      loop.states.begin(), loop.states.end(), [&loop](const auto& a, const auto& b) {
        return judged_taken_up(a, loop.basis) < judged_taken_up(b, loop.basis);
      });
  return found == loop.states.end() ? nullptr : &*found;
}

StateCourse course_of(const design::LoopResult& loop) {
  StateCourse course;
  course.at.reserve(loop.states.size());
  for (const design::LoopState& at : loop.states) {
    course.at.push_back({at.state, at.margin.value(), judged_margin(at, loop.basis).value(),
                         judged_taken_up(at, loop.basis).value()});
  }
  course.least = loop.least;
  const design::LoopState* binding = nearest_to_binding(loop);
  if (binding != nullptr) {
    course.greatest = static_cast<std::size_t>(binding - loop.states.data());
  }
  course.judged_as = "loop " + list_of(loop.meshes, ", ");
  return course;
}

// One loop's table.
class LoopTable {
 public:
  LoopTable(const design::BacklashResult& result, const design::LoopResult& loop, const View& view)
      : result_(result),
        loop_(loop),
        numbers_(view.units),
        shown_(result, course_of(loop), view),
        has_rss_(std::any_of(loop.states.begin(), loop.states.end(),
                             [](const auto& at) { return at.margin_rss_low.has_value(); })),
        has_bores_(std::any_of(loop.states.begin(), loop.states.end(),
                               [](const auto& at) { return at.bore_reserve.has_value(); })) {}

  [[nodiscard]] std::string text() const {
    std::string out = wrapped(loop_title(loop_) + ": " + loop_way(loop_), 2);
    out += wrapped("  " + loop_closure(loop_), 4);
    if (loop_.states.empty()) {
      return out +
             (loop_.closed_by == train::ClosedBy::unknown ? "" : "  no state could be computed\n");
    }
    out += table() + shown_.what_was_left_out("CSV and JSON have all") + least_reserve();
    return out;
  }

 private:
  [[nodiscard]] std::string heads() const {
    const std::size_t group = has_rss_ ? 24 : 16;
    const std::string ends =
        right("nominal", 8) + right("worst", 8) + (has_rss_ ? right("RSS", 8) : "");
    std::string out = "  " + left("", name_width) + right("float in its mid", group) +
                      right("float taken up", group) + "\n";
    return out + "  " + left(std::string("margin in ") + numbers_.gap_unit(), name_width) + ends +
           ends + (has_bores_ ? right("bore off", 10) : "") + "\n";
  }

  [[nodiscard]] std::string table() const {
    std::string out = heads();
    for (const std::size_t place : shown_.places()) {
      const design::LoopState& at = loop_.states[place];
      out +=
          (loop_.least == place ? "↓ " : "  ") + state_label(result_.states[at.state], name_width) +
          right(numbers_.narrow_gap(at.margin), 8) + right(numbers_.narrow_gap(at.margin_low), 8) +
          (has_rss_ ? right(numbers_.narrow_gap(at.margin_rss_low), 8) : "") +
          right(numbers_.narrow_gap(at.taken_up), 8) +
          right(numbers_.narrow_gap(at.taken_up_low), 8) +
          (has_rss_ ? right(numbers_.narrow_gap(at.taken_up_rss_low), 8) : "") +
          (has_bores_ ? right(numbers_.narrow_gap(at.bore_reserve), 10) : "") + "\n";
    }
    return out;
  }

  [[nodiscard]] std::string least_reserve() const {
    const design::LoopState* least = nullptr;
    for (const design::LoopState& at : loop_.states) {
      if (at.bore_reserve && (least == nullptr || *at.bore_reserve < *least->bore_reserve)) {
        least = &at;
      }
    }
    if (least == nullptr) {
      return "";
    }
    return wrapped(
        "  bore off: all else as drawn, the bore of " + printable(loop_.shafts.at(least->bore)) +
            " alone may be " + numbers_.gap_with_unit(*least->bore_reserve) +
            " off its place until the loop binds, at " + printable(result_.states[least->state].id),
        4);
  }

  const design::BacklashResult& result_;
  const design::LoopResult& loop_;
  Numbers numbers_;
  ShownStates shown_;
  bool has_rss_;
  bool has_bores_;
};

}  // namespace

std::string loop_title(const design::LoopResult& loop) {
  if (loop.meshes.size() <= most_in_title) {
    return "loop " + list_of(loop.meshes, ", ");
  }
  const std::vector<std::string> first(
      loop.meshes.begin(), loop.meshes.begin() + static_cast<std::ptrdiff_t>(most_in_title));
  return "loop " + list_of(first, ", ") + " and " +
         std::to_string(loop.meshes.size() - most_in_title) + " more";
}

std::string loop_way(const design::LoopResult& loop) {
  std::string way;
  for (std::size_t i = 0; i < loop.shafts.size() && i < loop.meshes.size(); ++i) {
    way += printable(loop.shafts[i]) + " - " + printable(loop.meshes[i]) + " - ";
  }
  return way + (loop.shafts.empty() ? "" : printable(loop.shafts.front()));
}

std::string loop_closure(const design::LoopResult& loop) {
  std::string text;
  switch (loop.closed_by) {
    case train::ClosedBy::places:
      text = "closed by the places of its shafts: " + units::fixed_number(loop.offset, 4) +
             " pitches of " + (loop.meshes.empty() ? "" : printable(loop.meshes.front())) +
             " left over as drawn";
      break;
    case train::ClosedBy::assembly:
      text = "closed at assembly: a gear on " + list_of(loop.set_on, ", ") +
             " is turned until it fits, then fastened";
      break;
    case train::ClosedBy::unknown:
      return "how it closes is not known: a shaft of it has no place (\"at\")";
  }
  return text + (!loop.can_be_assembled ? "; whether it can be assembled cannot be told"
                 : *loop.can_be_assembled
                     ? "; it can be assembled"
                     : "; it CANNOT be assembled, that is more than its backlash takes up");
}

std::string loop_lines(const design::BacklashResult& result, const View& view) {
  const Numbers numbers(view.units);
  std::string out;
  for (const design::LoopResult& loop : result.loops) {
    if (!shows_loop(view, loop)) {
      continue;
    }
    const design::LoopState* binding = nearest_to_binding(loop);
    std::string text = loop_title(loop) + ": ";
    if (loop.least && binding != nullptr) {
      const design::LoopState& tight = loop.states[*loop.least];
      text += "least margin " + numbers.gap_with_unit(judged_margin(tight, loop.basis)) + " at " +
              printable(result.states[tight.state].id) + ", with all float taken up " +
              numbers.gap_with_unit(judged_taken_up(*binding, loop.basis)) + " at " +
              printable(result.states[binding->state].id) + "; " + loop_basis(loop);
    } else {
      text += loop_closure(loop);
    }
    out += wrapped(text, 2);
  }
  return out.empty() ? ""
                     : out +
                           wrapped(
                               "margin: by how much the backlash j_bt of each mesh of a loop can "
                               "shrink until the loop binds; lashband train shows every state",
                               0) +
                           "\n";
}

std::string loop_tables(const design::BacklashResult& result, const View& view) {
  std::string out;
  for (const design::LoopResult& loop : result.loops) {
    out += shows_loop(view, loop) ? LoopTable(result, loop, view).text() + "\n" : "";
  }
  return out;
}

std::string loop_comparison(const design::CarriersResult& result, const View& view) {
  const Numbers numbers(view.units);
  std::string out;
  const auto& loops = result.rows.front().result.loops;
  for (std::size_t i = 0; i < loops.size(); ++i) {
    if (!shows_loop(view, loops[i])) {
      continue;
    }
    out += wrapped(loop_title(loops[i]) + ": margin over all states, " + loop_basis(loops[i]), 2);
    out += "  " + left(std::string("least in ") + numbers.gap_unit(), 21) +
           right("float in mid", 12) + "  " + left("at", 14) + right("float taken up", 14) + "  " +
           "at\n";
    for (const design::CarrierRow& row : result.rows) {
      const design::LoopResult& loop = row.result.loops.at(i);
      const design::LoopState* binding = nearest_to_binding(loop);
      out += (row.in_use ? "* " : "  ") + left(printable(row.result.carrier), 21);
      if (!loop.least || binding == nullptr) {
        out += loop.closed_by == train::ClosedBy::unknown ? "  not known\n" : "  not computed\n";
        continue;
      }
      const design::LoopState& tight = loop.states[*loop.least];
      out += right(numbers.gap(judged_margin(tight, loop.basis)), 12) + "  " +
             state_label(row.result.states[tight.state], 14) +
             right(numbers.gap(judged_taken_up(*binding, loop.basis)), 14) + "  " +
             state_label(row.result.states[binding->state], 13);
      out.erase(out.find_last_not_of(' ') + 1);
      out += "\n";
    }
    out += "\n";
  }
  return out;
}

}  // namespace lashband::report
