#include <algorithm>
#include <string>
#include <vector>

#include "lashband/design/frequencies.hpp"
#include "lashband/report/text.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "lashband/units/rotation.hpp"
#include "line_words.hpp"
#include "message_text.hpp"
#include "number_text.hpp"
#include "selection.hpp"
#include "terminal_table.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

using units::value_in;

constexpr std::size_t speeds_shown = 3;
constexpr std::size_t speed_width = 10;

// Rows of a table; CSV and JSON have all.
constexpr std::size_t lines_shown = 300;
constexpr std::size_t meetings_shown = 100;
constexpr std::size_t phases_shown = 50;
constexpr std::size_t candidates_shown = 3;

// Significant digits of orders and frequencies.
constexpr int digits = 6;

std::string rpm_text(units::AngularVelocity speed) {
  return rounded_number(value_in(speed, "rpm"), digits) + " rpm";
}

std::string hertz_text(units::Frequency frequency) {
  return rounded_number(value_in(frequency, "Hz"), digits);
}

std::string percent_text(double share) {
  constexpr double percent = 100.0;
  return rounded_number(percent * share, 2) + " %";
}

std::string some_of(std::size_t shown, std::size_t all, const char* what) {
  return shown == all ? ""
                      : "  " + std::to_string(shown) + " of " + std::to_string(all) + " " + what +
                            " shown; CSV and JSON have all\n";
}

// Of many conditions several may run at one speed.
std::vector<units::AngularVelocity> distinct(const std::vector<design::NamedSpeed>& speeds) {
  std::vector<units::AngularVelocity> values;
  for (const design::NamedSpeed& one : speeds) {
    if (std::find(values.begin(), values.end(), one.speed) == values.end()) {
      values.push_back(one.speed);
    }
  }
  return values;
}

std::string speed_words(const design::FrequenciesResult& result,
                        const std::vector<design::NamedSpeed>& speeds) {
  if (speeds.empty()) {
    return "no speed is given: orders alone (--speed gives one)";
  }
  std::string text;
  for (const design::NamedSpeed& one : speeds) {
    text += text.empty() ? "" : result.range ? " to " : ", ";
    text += rpm_text(one.speed);
    text += one.condition.empty() ? "" : " (" + printable(one.condition) + ")";
  }
  return "speed: " + text;
}

std::string meeting_table(const design::FrequenciesResult& result, const View& view) {
  const auto order = [](const std::optional<double>& value) {
    return right(value ? rounded_number(*value, digits) : "-", 11);
  };
  std::string rows;
  std::size_t all = 0;
  for (const design::MeshMeeting& mesh : result.meshes) {
    if (!shows_mesh(view, mesh.mesh) || ++all > meetings_shown) {
      continue;
    }
    rows += "  " + left(printable(mesh.mesh), 14) +
            right(std::to_string(mesh.teeth_1) + "/" + std::to_string(mesh.teeth_2), 10) +
            right(std::to_string(mesh.meeting.common_factor), 5) +
            right(std::to_string(mesh.meeting.revolutions_1), 8) +
            right(std::to_string(mesh.meeting.revolutions_2), 8) + order(mesh.mesh_order) +
            order(mesh.hunting_tooth_order) + order(mesh.assembly_phase_order) + "\n";
  }
  if (rows.empty()) {
    return "";
  }
  return wrapped(
             "meshes: N is the greatest common factor of the teeth, 1 where every tooth meets "
             "every other; the same two teeth meet again after so many turns of gear 1 and of "
             "gear 2",
             2) +
         "  " + left("", 14) + right("", 10) + right("", 5) + right("turns of", 16) +
         right("orders", 11) + right("hunting", 11) + right("assembly", 11) + "\n" + "  " +
         left("mesh", 14) + right("teeth", 10) + right("N", 5) + right("1", 8) + right("2", 8) +
         right("mesh", 11) + right("tooth", 11) + right("phase", 11) + "\n" + rows +
         some_of(std::min(all, meetings_shown), all, "meshes") + "\n";
}

std::string phase_table(const design::FrequenciesResult& result, const View& view) {
  std::string rows;
  std::size_t all = 0;
  for (const design::MeshPhase& phase : result.phases) {
    const bool shown = shows_mesh(view, phase.mesh_1) || shows_mesh(view, phase.mesh_2);
    if (!shown || ++all > phases_shown) {
      continue;
    }
    rows += "  " + left(printable(phase.gear), 16) + left(printable(phase.mesh_1), 15) + " " +
            left(printable(phase.mesh_2), 15) +
            right(units::format_fixed(phase.turned, "deg", 3), 11) +
            right(units::fixed_number(phase.phase, 4), 10) + (phase.idler ? "  idler" : "") + "\n";
  }
  if (rows.empty()) {
    return "";
  }
  return wrapped(
             "two meshes of one gear: by what part of a mesh period the second is behind the "
             "first",
             2) +
         "  " + left("gear", 16) + left("first mesh", 15) + " " + left("second mesh", 15) +
         right("apart deg", 11) + right("phase", 10) + "\n" + rows +
         some_of(std::min(all, phases_shown), all, "pairs") + "\n";
}

std::string line_table(const design::FrequenciesResult& result, const View& view,
                       const std::vector<units::AngularVelocity>& speeds) {
  const std::size_t columns = std::min(speeds.size(), speeds_shown);
  std::string out = "lines, orders of " + printable(result.reference) +
                    (columns > 0 ? ", frequencies in Hz" : "") + "\n";
  out = wrapped(out.substr(0, out.size() - 1), 2);
  out += "  " + left("source", 19) + left("line", 17) + right("order", 11);
  for (std::size_t i = 0; i < columns; ++i) {
    out += right(rounded_number(value_in(speeds[i], "rpm"), 5) + " rpm", speed_width);
  }
  out += "\n";
  std::string source;
  std::size_t all = 0;
  for (const spectrum::Line& line : result.lines) {
    if (!shows_line(view, line) || ++all > lines_shown) {
      continue;
    }
    const std::string here = source_words(line);
    out += "  " + left(here == source ? "" : here, 18) + " " + left(multiple_words(line), 17) +
           right(rounded_number(line.order, digits), 11);
    source = here;
    for (std::size_t i = 0; i < columns; ++i) {
      out += right(hertz_text(design::frequency_of(line, speeds[i])), speed_width);
    }
    out += "\n";
  }
  out += some_of(std::min(all, lines_shown), all, "lines");
  out += some_of(columns, speeds.size(), "speeds");
  return out + "\n";
}

class MeasuredTable {
 public:
  MeasuredTable(const design::FrequenciesResult& result, const design::MeasuredResult& measured)
      : result_(result),
        measured_(measured),
        over_orders_(measured.axis == design::MeasuredInput::Axis::order) {}

  [[nodiscard]] std::string text() const {
    std::string out = wrapped(
        "measured spectrum " + printable(measured_.file) + ": " + speed_found() + "; " + counts(),
        2);
    const auto& peaks = measured_.attribution.peaks;
    if (peaks.empty()) {
      return out;
    }
    out += "  " + right(over_orders_ ? "measured" : "frequency", 10) + right("order", 10) +
           right("amplitude", 11) + right("chance", 8) + right("off by", 10) + "  line\n";
    out += "  " + right(over_orders_ ? "order" : "Hz", 10) + right("", 10) + right("", 11) +
           right("", 8) + right(over_orders_ ? "order" : "Hz", 10) + "\n";
    for (const spectrum::AttributedPeak& peak : peaks) {
      out += row(peak);
    }
    return out + wrapped(
                     "chance: that a peak of any other origin would be explained there; near 100 % "
                     "a line beside a peak says nothing",
                     0);
  }

 private:
  [[nodiscard]] std::string speed_found() const {
    const spectrum::Attribution& found = measured_.attribution;
    if (over_orders_) {
      const double factor = units::frequency(found.speed).value();
      return found.refined
                 ? "its orders are " + rounded_number(factor, digits) +
                       " times those of the train" +
                       (found.standard_error
                            ? ", standard error " +
                                  rounded_number(units::frequency(*found.standard_error).value(), 2)
                            : "") +
                       ", from " + std::to_string(found.used) + " peaks"
                 : std::string("its orders are taken as they are");
    }
    if (!found.refined) {
      return "speed " + rpm_text(found.speed) + " as given, not refined";
    }
    return "speed " + rpm_text(measured_.speed_given) + " given, " + rpm_text(found.speed) +
           " by " + std::to_string(found.used) + " of its peaks" +
           (found.standard_error
                ? " (standard error " + rounded_number(value_in(*found.standard_error, "rpm"), 2) +
                      " rpm)"
                : "");
  }

  [[nodiscard]] std::string counts() const {
    const std::size_t all = measured_.attribution.peaks.size();
    if (all == 0) {
      return "no peak stands out; --prominence asks for lower ones";
    }
    return std::to_string(all) + (all == 1 ? " peak, " : " peaks, ") +
           (measured_.unexplained == 0
                ? std::string(all == 1 ? "explained" : "all explained")
                : std::to_string(measured_.unexplained) + " of them UNEXPLAINED");
  }

  [[nodiscard]] std::string row(const spectrum::AttributedPeak& at) const {
    constexpr std::size_t before = 2 + 10 + 10 + 11 + 8;
    std::string out = "  " + right(hertz_text(at.peak.frequency), 10) +
                      right(rounded_number(at.order, 6), 10) +
                      right(rounded_number(at.peak.amplitude, 4), 11) +
                      right(units::fixed_number(100.0 * at.by_chance, 0) + " %", 8);
    if (at.candidates.empty()) {
      return out + right("-", 10) + "  UNEXPLAINED\n";
    }
    for (std::size_t i = 0; i < std::min(candidates_shown, at.candidates.size()); ++i) {
      const spectrum::Candidate& candidate = at.candidates[i];
      const double error = over_orders_ ? candidate.order_error : value_in(candidate.error, "Hz");
      const std::string words = line_words(result_.lines.at(candidate.line));
      out += (i == 0 ? "" : std::string(before, ' ')) + right(rounded_number(error, 2), 10) + "  " +
             left(words, 27);
      out.erase(out.find_last_not_of(' ') + 1);
      out += "\n";
    }
    if (at.candidates.size() > candidates_shown) {
      out += std::string(before + 12, ' ') + "and " +
             std::to_string(at.candidates.size() - candidates_shown) + " more\n";
    }
    return out;
  }

  const design::FrequenciesResult& result_;
  const design::MeasuredResult& measured_;
  bool over_orders_;
};

}  // namespace

std::string text(const design::FrequenciesResult& result, const View& view) {
  const std::vector<design::NamedSpeed> speeds = shown_speeds(result, view);
  std::string out = title_lines(result.input);
  out += wrapped("frequencies of the train, orders of " + printable(result.reference), 2);
  out += wrapped(speed_words(result, speeds), 2) + "\n";
  out += meeting_table(result, view) + phase_table(result, view);
  out += line_table(result, view, distinct(speeds));
  if (result.coincidences.empty()) {
    out += "no lines of different sources fall together within " +
           percent_text(result.coincidence_options.within) + "\n";
  }
  if (result.measured) {
    out += "\n" + MeasuredTable(result, *result.measured).text();
  }
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
