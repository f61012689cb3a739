#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "angle_text.hpp"
#include "judged_ends.hpp"
#include "lashband/design/train.hpp"
#include "lashband/report/text.hpp"
#include "lashband/units/format.hpp"
#include "loop_text.hpp"
#include "message_text.hpp"
#include "number_text.hpp"
#include "requirement_text.hpp"
#include "selection.hpp"
#include "shown_states.hpp"
#include "state_text.hpp"
#include "terminal_table.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

using units::Angle;

constexpr std::size_t name_width = 19;

// Longer exact ratios do not fit a column.
constexpr std::size_t ratio_width = 16;

constexpr std::size_t speeds_shown = 4;
constexpr std::size_t speed_width = 14;

std::string exact_text(const train::ExactRatio& ratio) {
  const std::string text = train::text_of(ratio);
  return text.size() < ratio_width ? text : "long, see JSON";
}

const char* sense_of(const train::ExactRatio& ratio) {
  return ratio > 0 ? "same" : ratio < 0 ? "opposite" : "held";
}

std::string decimal_text(const train::ExactRatio& ratio) {
  constexpr int digits = 8;
  const double nearest = train::nearest_double(ratio);
  return std::isfinite(nearest) ? rounded_number(nearest, digits) : "-";
}

std::string ratio_table(const design::TrainResult& result) {
  std::string out;
  std::string group;
  for (const design::TrainShaft& shaft : result.shafts) {
    if (out.empty() || shaft.referred_to != group) {
      group = shaft.referred_to;
      out += wrapped("shafts, speed over that of " + printable(group), 2);
      out += "  " + left("shaft", 24) + right("exact", ratio_width) + right("decimal", 18) +
             "  sense\n";
    }
    out += "  " + left(printable(shaft.id), 24) + right(exact_text(shaft.ratio), ratio_width) +
           right(decimal_text(shaft.ratio), 18) + "  " + sense_of(shaft.ratio) + "\n";
  }
  if (result.arm) {
    out +=
        wrapped("planet arm " + printable(*result.arm) + ": turns " + exact_text(result.arm_ratio) +
                    " (" + decimal_text(result.arm_ratio) + ") times as fast as " +
                    printable(result.reference) + "; " + printable(result.held) + " is held",
                2);
  }
  return out + "\n";
}

// Speeds by shaft and condition; nothing where no condition gives one.
std::string speed_table(const design::TrainResult& result, const View& view) {
  std::vector<std::size_t> shown;
  std::size_t all = 0;
  for (std::size_t i = 0; i < result.conditions.size(); ++i) {
    if (shows_condition(view, result.conditions[i])) {
      ++all;
      if (shown.size() < speeds_shown) {
        shown.push_back(i);
      }
    }
  }
  if (shown.empty()) {
    return "";
  }
  std::string out = "  " + left("speed in rpm", 20);
  for (const std::size_t i : shown) {
    std::string name = left(printable(result.conditions[i]), speed_width - 1);
    name.erase(name.find_last_not_of(' ') + 1);
    out += right(name, speed_width);
  }
  out += "\n";
  for (const design::TrainShaft& shaft : result.shafts) {
    out += "  " + left(printable(shaft.id), 20);
    for (const std::size_t i : shown) {
      const auto speed = i < shaft.speed.size() ? shaft.speed[i] : std::nullopt;
      out += right(speed ? rounded_number(units::value_in(*speed, "rpm"), 7) : "-", speed_width);
    }
    out += "\n";
  }
  if (shown.size() < all) {
    out += "  " + std::to_string(shown.size()) + " of " + std::to_string(all) +
           " conditions shown; --condition, CSV and JSON have the others\n";
  }
  return out + "\n";
}

// A state where the two cannot turn counts as 0.
StateCourse course_of(const design::LostMotion& motion) {
  StateCourse course;
  course.at.reserve(motion.states.size());
  for (const design::LostMotionState& at : motion.states) {
    if (at.total) {
      course.at.push_back({at.state, at.total->nominal.value(),
                           low_end(*at.total, motion.basis).value(),
                           high_end(*at.total, motion.basis).value()});
    } else {
      course.at.push_back({at.state, 0.0, 0.0, 0.0});
    }
  }
  course.least = motion.least;
  course.greatest = motion.greatest;
  course.judged_as = "lost motion " + motion.of + " - " + motion.held;
  return course;
}

Angle greatest_of(const design::LostMotion& motion) {
  Angle greatest{};
  for (const design::LostMotionState& at : motion.states) {
    if (at.total) {
      greatest = std::max(greatest, at.total->high);
    }
  }
  return greatest;
}

// Of the table under torque.
Angle greatest_under_torque(const design::LostMotion& motion) {
  Angle greatest{};
  for (const design::LostMotionState& at : motion.states) {
    greatest = std::max(greatest, at.wind_up.value_or(Angle()));
    greatest = std::max(greatest, at.under_torque ? at.under_torque->high : Angle());
  }
  return greatest;
}

class LostMotionTable {
 public:
  LostMotionTable(const design::BacklashResult& result, const design::LostMotion& motion,
                  const View& view)
      : result_(result),
        motion_(motion),
        scale_(greatest_of(motion)),
        torque_scale_(greatest_under_torque(motion)),
        shown_(result, course_of(motion), view),
        has_rss_(any([](const auto& total) { return total.rss_high.has_value(); })),
        has_percentiles_(any([](const auto& total) { return total.greatest.has_value(); })) {}

  [[nodiscard]] std::string text() const {
    std::string out = wrapped("lost motion of " + printable(motion_.of) + " with " +
                                  printable(motion_.held) + " held: " + way(),
                              2);
    if (motion_.states.empty()) {
      return out + "  no state could be computed\n";
    }
    out += table() + shown_.what_was_left_out("CSV and JSON have all");
    if (motion_.percentiles_sampled) {
      out += "  percentiles are sampled\n";
    }
    return out + under_torque() + shares();
  }

 private:
  template <class Has>
  [[nodiscard]] bool any(const Has& has) const {
    return std::any_of(motion_.states.begin(), motion_.states.end(),
                       [&has](const auto& at) { return at.total && has(*at.total); });
  }

  [[nodiscard]] std::string way() const {
    constexpr std::size_t most = 12;
    std::string text;
    for (std::size_t i = 0; i < std::min(most, motion_.way.size()); ++i) {
      text += (text.empty() ? "over " : ", ") + printable(motion_.way[i]);
    }
    if (motion_.way.size() > most) {
      text += " and " + std::to_string(motion_.way.size() - most) + " more";
    }
    return text + (motion_.loops ? "; other ways join them too, the least of all counts" : "");
  }

  [[nodiscard]] std::string heads() const {
    std::string group = "  " + left("", name_width + 8);
    std::string head =
        "  " + left(std::string("in ") + scale_.unit(), name_width) + right("nominal", 8);
    const auto add = [&](const char* name) {
      group += right(name, 14);
      head += right("min", 7) + right("max", 7);
    };
    add("worst case");
    if (has_rss_) {
      add("RSS");
    }
    if (has_percentiles_) {
      add("99.73 %");
    }
    return group + right("backlash", 9) + "\n" + head + right("alone", 9) + "\n";
  }

  [[nodiscard]] std::string two(const std::optional<Angle>& low,
                                const std::optional<Angle>& high) const {
    return right(low ? scale_.text(*low) : "-", 7) + right(high ? scale_.text(*high) : "-", 7);
  }

  [[nodiscard]] std::string mark(std::size_t place) const {
    const bool least = motion_.least == place;
    const bool greatest = motion_.greatest == place;
    return least && greatest ? "↕ " : least ? "↓ " : greatest ? "↑ " : "  ";
  }

  [[nodiscard]] std::string table() const {
    std::string out = heads();
    for (const std::size_t place : shown_.places()) {
      const design::LostMotionState& at = motion_.states[place];
      out += mark(place) + state_label(result_.states[at.state], name_width);
      if (!at.total) {
        out += "  a loop binds: they cannot turn\n";
        continue;
      }
      const auto& total = *at.total;
      out += right(scale_.text(total.nominal), 8) + two(total.low, total.high);
      out += has_rss_ ? two(total.rss_low, total.rss_high) : "";
      out += has_percentiles_
                 ? two(total.least ? std::optional(total.least->low) : std::nullopt,
                       total.greatest ? std::optional(total.greatest->high) : std::nullopt)
                 : "";
      out += right(at.backlash_alone ? scale_.text(at.backlash_alone->nominal) : "-", 9) + "\n";
    }
    return out;
  }

  // Lost motion by itself and with what mean torques wind up, side by side. States without such
  // torques have no row; nothing where no shown state has them.
  [[nodiscard]] std::string under_torque() const {
    const auto ends = [this](const std::optional<design::ResultBand<Angle>>& band) {
      return band ? right(torque_scale_.text(band->nominal), 9) +
                        right(torque_scale_.text(band->low), 8) +
                        right(torque_scale_.text(band->high), 8)
                  : right("-", 9) + right("-", 8) + right("-", 8);
    };
    std::string rows;
    for (const std::size_t place : shown_.places()) {
      const design::LostMotionState& at = motion_.states[place];
      if (at.wind_up) {
        rows += "  " + state_label(result_.states[at.state], name_width) + ends(at.total) +
                right(torque_scale_.text(*at.wind_up), 9) + ends(at.under_torque) + "\n";
      }
    }
    if (rows.empty()) {
      return "";
    }
    const std::string three = right("nominal", 9) + right("min", 8) + right("max", 8);
    return "  " + left("mean torques", name_width) + right("lost motion, worst case", 25) +
           right("wind-up", 9) + right("under torque, worst case", 25) + "\n  " +
           left(std::string("in ") + torque_scale_.unit(), name_width) + three + right("", 9) +
           three + "\n" + rows;
  }

  // What each mesh adds at the state of the greatest.
  [[nodiscard]] std::string shares() const {
    if (motion_.shares.empty() || !motion_.greatest) {
      return "";
    }
    constexpr std::size_t most = 20;
    const design::State& state = result_.states[motion_.states[*motion_.greatest].state];
    std::string out = wrapped("  share of each mesh at " + printable(state.id) + ", nominal", 4);
    out += "  " + left(std::string("in ") + scale_.unit(), name_width + 8) + right("backlash", 14) +
           right("float", 14) + right("axial float", 14) + "\n";
    for (std::size_t i = 0; i < std::min(most, motion_.shares.size()); ++i) {
      const design::LostMotionShare& share = motion_.shares[i];
      out += "  " + left(printable(share.mesh), name_width + 8) +
             right(scale_.text(share.from_backlash), 14) +
             right(scale_.text(share.from_float), 14) +
             right(scale_.text(share.from_axial_float), 14) + "\n";
    }
    if (motion_.shares.size() > most) {
      out += "  " + std::to_string(most) + " of " + std::to_string(motion_.shares.size()) +
             " meshes shown; CSV and JSON have all\n";
    }
    return out;
  }

  const design::BacklashResult& result_;
  const design::LostMotion& motion_;
  AngleScale scale_;
  AngleScale torque_scale_;
  ShownStates shown_;
  bool has_rss_;
  bool has_percentiles_;
};

std::string legend(const design::TrainResult& result) {
  std::string text;
  if (!result.backlash.loops.empty()) {
    text =
        "margin: by how much the backlash j_bt of each mesh of a loop can shrink until the loop "
        "binds, below 0 with all float taken up it does";
  }
  if (!result.lost_motion.empty()) {
    text += text.empty() ? "" : "; ";
    text +=
        "lost motion: how far a shaft turns back and forth, float included; backlash alone: what "
        "the teeth make of it; min 0: binds there";
  }
  const bool wound =
      std::any_of(result.lost_motion.begin(), result.lost_motion.end(), [](const auto& motion) {
        return std::any_of(motion.states.begin(), motion.states.end(),
                           [](const auto& at) { return at.wind_up.has_value(); });
      });
  if (wound) {
    text +=
        "; wind-up: by the mean torques of the torsional model; under torque: as these reverse, "
        "twice the wind-up more";
  }
  return text.empty() ? "" : wrapped(text + "; ↓ ↑: least and greatest of all states", 0) + "\n";
}

std::string left_out(const design::TrainResult& result) {
  if (result.lost_motion_left_out == 0) {
    return "";
  }
  return wrapped("lost motion of " + std::to_string(result.lost_motion_left_out) +
                     " pairs of shafts is left out: --of SHAFT --held SHAFT shows one, and "
                     "\"lost_motion\" of the train in the file names those to judge",
                 2) +
         "\n";
}

}  // namespace

std::string text(const design::TrainResult& result, const View& view) {
  std::string out = title_lines(result.input);
  out += wrapped("carrier: " + printable(result.carrier), 2);
  out += legend(result);
  out += ratio_table(result) + speed_table(result, view);
  out += loop_tables(result.backlash, view);
  for (const design::LostMotion& motion : result.lost_motion) {
    if (shows_way(view, motion)) {
      out += LostMotionTable(result.backlash, motion, view).text() + "\n";
    }
  }
  out += left_out(result);
  const std::string sampling = sampling_line(result.sampling);
  out += sampling.empty() ? "" : sampling + "\n";
  out += requirement_table(result.requirements, result.backlash.states, view);
  out += failure_lines(result.failures);
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
