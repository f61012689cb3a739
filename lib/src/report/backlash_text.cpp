#include <algorithm>
#include <string>

#include "failure_probability.hpp"
#include "lashband/report/text.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "loop_text.hpp"
#include "message_text.hpp"
#include "numbers.hpp"
#include "requirement_text.hpp"
#include "selection.hpp"
#include "shown_states.hpp"
#include "state_text.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

using units::Length;

// Ends of a band nearer than this are the same: far below what any gap is known to.
constexpr double same_length_in_m = 1e-12;

// Columns for the name of a state.
constexpr std::size_t name_width = 19;

template <class Has>
bool any_state(const design::MeshResult& mesh, const Has& has) {
  return std::any_of(mesh.states.begin(), mesh.states.end(), has);
}

// What there is to show of a mesh. A column that no state can fill is left out.
struct Columns {
  bool worst_case, rss, percentiles, probability;
  bool float_1, float_2, loaded, tilt;
  bool load;

  explicit Columns(const design::MeshResult& mesh)
      : worst_case(any_state(mesh,
                             [](const auto& at) {
                               const auto& j = at.gap.j_wt;
                               return std::max(j.high - j.nominal, j.nominal - j.low).value() >
                                      same_length_in_m;
                             })),
        rss(any_state(mesh, [](const auto& at) { return at.gap.j_wt.rss_low.has_value(); })),
        percentiles(any_state(mesh, [](const auto& at) { return at.gap.j_wt.least.has_value(); })),
        probability(any_state(mesh, has_distribution)),
        float_1(any_state(mesh, [](const auto& at) { return at.float_1.has_value(); })),
        float_2(any_state(mesh, [](const auto& at) { return at.float_2.has_value(); })),
        loaded(any_state(mesh, [](const auto& at) { return at.j_wt_loaded.has_value(); })),
        tilt(any_state(mesh, [](const auto& at) { return at.tilt_over_face.has_value(); })),
        load(any_state(mesh, [](const auto& at) { return at.load && at.j_wt_loaded; })) {}

  [[nodiscard]] bool any_band() const { return worst_case || rss || percentiles || probability; }
  [[nodiscard]] bool any_shaft() const { return float_1 || float_2 || loaded || tilt; }
};

// What the heads of all tables together mean.
std::string legend(const design::BacklashResult& result, const View& view) {
  bool worst_case = false;
  bool rss = false;
  bool percentiles = false;
  bool probability = false;
  bool shaft = false;
  bool tilt = false;
  bool load = false;
  for (const design::MeshResult& mesh : result.meshes) {
    if (shows_mesh(view, mesh.id)) {
      const Columns columns(mesh);
      worst_case = worst_case || columns.worst_case;
      rss = rss || columns.rss;
      percentiles = percentiles || columns.percentiles;
      probability = probability || columns.probability;
      shaft = shaft || columns.float_1 || columns.float_2 || columns.loaded;
      tilt = tilt || columns.tilt;
      load = load || columns.load;
    }
  }
  std::string text = "j_wt at the mid of every tolerance (nominal)";
  text += worst_case ? ", in the worst case of all together" : "";
  text += rss ? ", by root sum square (RSS)" : "";
  text += percentiles ? ", from the 0.135 percentile of the least to the 99.865 of the greatest of "
                        "built units (99.73 %)"
                      : "";
  text += probability ? "; P(bind): that a unit binds" : "";
  text += "; c: the smaller tip clearance";
  text += shaft ? "; float: radial, at the gear; loaded: shafts pressed apart" : "";
  text +=
      load ? "; mean forces: those of the torsional model, above 0 the first gear drives; under "
             "them loaded is as they hold the shafts, shafts, separation and ring (elastomer) say "
             "how far the axes open, teeth how far these give on the base tangent"
           : "";
  text += tilt ? "; tilt: of the axes, over the face" : "";
  return wrapped(text + "; ↓ ↑: least and greatest of all states", 0);
}

std::string mark(const design::MeshResult& mesh, std::size_t place) {
  const bool least = mesh.least && *mesh.least == place;
  const bool greatest = mesh.greatest && *mesh.greatest == place;
  return least && greatest ? "↕ " : least ? "↓ " : greatest ? "↑ " : "  ";
}

// One mesh's tables, which have the same rows.
class MeshTables {
 public:
  MeshTables(const design::BacklashResult& result, const design::MeshResult& mesh, const View& view)
      : result_(result),
        mesh_(mesh),
        numbers_(view.units),
        shown_(result, mesh, view),
        columns_(mesh) {}

  [[nodiscard]] std::string text() const {
    std::string out = wrapped("mesh " + printable(mesh_.id) + ": gears " + printable(mesh_.gear_1) +
                                  " and " + printable(mesh_.gear_2),
                              2);
    if (mesh_.states.empty()) {
      return out + "  no state could be computed\n";
    }
    out += geometry();
    out += columns_.any_band() ? "\n" + bands() : std::string();
    out += columns_.any_shaft() ? "\n" + shafts() : std::string();
    out += loads();
    out += shown_.what_was_left_out();
    out += failures();
    for (const design::LooseRing& ring : mesh_.loose_rings) {
      out += wrapped(std::string("  ") + (ring.outer ? "outer" : "inner") + " ring of " +
                         printable(ring.bearing) + " loose by " + numbers_.gap(ring.by) + " " +
                         numbers_.gap_unit() + " at " + printable(ring.state),
                     4);
    }
    if (mesh_.percentiles_sampled && columns_.any_band()) {
      out += wrapped(
          "  percentiles and probabilities are sampled, since contributors are "
          "correlated; none: in no sample",
          4);
    }
    return out;
  }

 private:
  [[nodiscard]] std::string name(const design::MeshState& at) const {
    return state_label(result_.states[at.state], name_width);
  }

  // Where no band is to be shown, the nominal backlash stands here.
  [[nodiscard]] std::string geometry() const {
    const bool with_gap = !columns_.any_band();
    std::string out = "  " + left("condition", name_width) + right("a", 10) + right("α_wt", 7) +
                      right("c", 8) + right("ε_α", 7) + (with_gap ? right("j_wt", 8) : "") + "\n";
    out += "  " + left("", name_width) + right(numbers_.distance_unit(), 10) + right("deg", 7) +
           right(numbers_.distance_unit(), 8) +
           (with_gap ? right("", 7) + right(numbers_.gap_unit(), 8) : "") + "\n";
    for (const std::size_t place : shown_.places()) {
      const design::MeshState& at = mesh_.states[place];
      out += (with_gap ? mark(mesh_, place) : "  ") + name(at) +
             right(numbers_.distance(at.a), 10) +
             right(units::format_fixed(at.alpha_wt, "deg", 2), 7) +
             right(numbers_.clearance(std::min(at.c_1, at.c_2)), 8) +
             right(units::fixed_number(at.eps_alpha, 3), 7) +
             (with_gap ? right(numbers_.gap(at.gap.j_wt.nominal), 8) : "") + "\n";
    }
    return out;
  }

  [[nodiscard]] std::string two(const std::optional<Length>& low,
                                const std::optional<Length>& high) const {
    return right(numbers_.narrow_gap(low), 7) + right(numbers_.narrow_gap(high), 7);
  }

  [[nodiscard]] std::string bands() const {
    std::string group = std::string(2 + name_width + 8, ' ');
    std::string head = "  " + left(std::string("j_wt in ") + numbers_.gap_unit(), name_width) +
                       right("nominal", 8);
    const std::string ends = right("min", 7) + right("max", 7);
    const auto pair = [&](const char* name) {
      group += right(name, 14);
      head += ends;
    };
    if (columns_.worst_case) {
      pair("worst case");
    }
    if (columns_.rss) {
      pair("RSS");
    }
    if (columns_.percentiles) {
      pair("99.73 %");
    }
    head += columns_.probability ? right("P(bind)", 9) : "";
    std::string out = group + "\n" + head + "\n";
    for (const std::size_t place : shown_.places()) {
      const design::MeshState& at = mesh_.states[place];
      const auto& j = at.gap.j_wt;
      out += mark(mesh_, place) + name(at) + right(numbers_.narrow_gap(j.nominal), 8);
      out += columns_.worst_case ? two(j.low, j.high) : "";
      out += columns_.rss ? two(j.rss_low, j.rss_high) : "";
      out += columns_.percentiles
                 ? two(j.least ? std::optional<Length>(j.least->low) : std::nullopt,
                       j.greatest ? std::optional<Length>(j.greatest->high) : std::nullopt)
                 : "";
      if (columns_.probability) {
        const std::optional<double> binds = probability(at, Fault::binds);
        out += right(binds ? probability_text(*binds, mesh_.percentiles_sampled) : "-", 9);
      }
      out += "\n";
    }
    return out;
  }

  using Band = std::optional<design::ResultBand<Length>>;

  [[nodiscard]] std::string ends_of(const Band& band) const {
    return band ? two(band->low, band->high) : two({}, {});
  }

  // What bearings and walls do.
  [[nodiscard]] std::string shafts() const {
    std::string group(2 + name_width, ' ');
    std::string head = "  " + left(std::string("in ") + numbers_.gap_unit(), name_width);
    const std::string ends = right("min", 7) + right("max", 7);
    const auto add_float = [&](const std::string& gear) {
      std::string title = left("float " + printable(gear), 13);
      title.erase(title.find_last_not_of(' ') + 1);
      group += right(title, 14);
      head += ends;
    };
    if (columns_.float_1) {
      add_float(mesh_.gear_1);
    }
    if (columns_.float_2) {
      add_float(mesh_.gear_2);
    }
    if (columns_.loaded) {
      group += right("j_wt loaded", 8 + 14);
      head += right("nominal", 8) + ends;
    }
    head += columns_.tilt ? right("tilt", 9) : "";
    std::string out = group.find_last_not_of(' ') == std::string::npos ? "" : group + "\n";
    out += head + "\n";
    for (const std::size_t place : shown_.places()) {
      const design::MeshState& at = mesh_.states[place];
      out += "  " + name(at);
      out += columns_.float_1 ? ends_of(at.float_1) : "";
      out += columns_.float_2 ? ends_of(at.float_2) : "";
      if (columns_.loaded) {
        out += right(at.j_wt_loaded ? numbers_.narrow_gap(at.j_wt_loaded->nominal) : "-", 8) +
               ends_of(at.j_wt_loaded);
      }
      out += columns_.tilt ? right(numbers_.narrow_gap(at.tilt_over_face), 9) : "";
      out += "\n";
    }
    return out;
  }

  // Unloaded and loaded backlash side by side, and what opens it. States without a force have no
  // row; nothing where no shown state has one.
  [[nodiscard]] std::string loads() const {
    std::string rows;
    for (const std::size_t place : shown_.places()) {
      const design::MeshState& at = mesh_.states[place];
      if (!at.load || !at.j_wt_loaded) {
        continue;
      }
      const design::MeshLoad& load = *at.load;
      rows += "  " + name(at) + right(numbers_.narrow_gap(at.gap.j_wt.nominal), 9) +
              right(numbers_.narrow_gap(at.j_wt_loaded->nominal), 8) +
              right(numbers_.narrow_gap(load.shafts), 7) +
              right(numbers_.narrow_gap(load.separation), 11) +
              right(numbers_.narrow_gap(load.ring), 7) +
              right(numbers_.narrow_gap(load.tooth_deflection), 7) +
              right(numbers_.force(load.force), 10) + "\n";
    }
    if (rows.empty()) {
      return "";
    }
    return "\n  " + left("mean forces", name_width) + right("j_wt, nominal", 17) +
           right("opened by", 32) + right("force", 10) + "\n  " +
           left(std::string("in ") + numbers_.gap_unit(), name_width) + right("unloaded", 9) +
           right("loaded", 8) + right("shafts", 7) + right("separation", 11) + right("ring", 7) +
           right("teeth", 7) + right(numbers_.force_unit(), 10) + "\n" + rows;
  }

  // How likely a unit fails: at the worst single state, and at any state where that was sampled.
  [[nodiscard]] std::string failures() const {
    std::string rows;
    for (const Fault fault : all_faults) {
      const auto worst = most_likely(mesh_, fault);
      const auto over_all = anywhere(mesh_, fault);
      if (!worst && !over_all) {
        continue;
      }
      // Where it cannot happen there is no worst state.
      const bool has_place = worst && worst->probability > 0.0;
      std::string row =
          "  " + left(fault_phrase(fault), 28) +
          right(worst ? probability_text(worst->probability, mesh_.percentiles_sampled) : "-", 8) +
          "  " + (has_place ? state_label(result_.states[worst->state], 19) : left("", 19)) +
          (over_all ? " " + sampled_text(*over_all) : "");
      row.erase(row.find_last_not_of(' ') + 1);
      rows += row + "\n";
    }
    if (rows.empty()) {
      return "";
    }
    std::string head = "  " + left("a built unit", 28) + right("worst", 8) + "  " + left("at", 19) +
                       (mesh_.anywhere ? " anywhere" : "");
    head.erase(head.find_last_not_of(' ') + 1);
    return "\n" + head + "\n" + rows;
  }

  const design::BacklashResult& result_;
  const design::MeshResult& mesh_;
  Numbers numbers_;
  ShownStates shown_;
  Columns columns_;
};

// Force and free travel of the carrier's joint, where it has one.
std::string joint_table(const design::BacklashResult& result, const View& view) {
  const bool has_joint =
      std::any_of(result.carrier_states.begin(), result.carrier_states.end(),
                  [](const auto& at) { return at.carrier.joint_force.has_value(); });
  if (!has_joint || result.meshes.empty()) {
    return "";
  }
  const Numbers numbers(view.units);
  std::string out = "joint of the carrier (positive force: the case stretches the insert)\n";
  out += "  " + left("condition", name_width) + right("force", 14) + right("squeeze left", 16) +
         right("stretch left", 16) + "\n";
  out += "  " + left("", name_width) + right(numbers.force_unit(), 14) +
         right(numbers.gap_unit(), 16) + right(numbers.gap_unit(), 16) + "\n";
  const ShownStates shown(result, result.meshes.front(), view);
  for (const std::size_t place : shown.places()) {
    const std::size_t state = result.meshes.front().states[place].state;
    const thermal::CarrierState* carrier = carrier_at(result, state);
    if (carrier != nullptr && carrier->joint_force) {
      out += "  " + state_label(result.states[state], name_width) +
             right(numbers.force(*carrier->joint_force), 14) +
             right(numbers.gap(carrier->squeeze_left), 16) +
             right(numbers.gap(carrier->stretch_left), 16) + "\n";
    }
  }
  return out + "\n";
}

// What was sampled, or how to have it sampled.
std::string sampling_lines(const design::BacklashResult& result, const View& view) {
  const bool not_sampled =
      std::any_of(result.meshes.begin(), result.meshes.end(), [&view](const auto& mesh) {
        return shows_mesh(view, mesh.id) && !mesh.anywhere && any_state(mesh, has_distribution);
      });
  return sampling_line(result.sampling) +
         (not_sampled ? "how likely a unit fails anywhere over all states: --samples 1000000 "
                        "samples it\n"
                      : "");
}

}  // namespace

std::string text(const design::BacklashResult& result, const View& view) {
  std::string out = title_lines(result.input);
  out += wrapped("carrier: " + printable(result.carrier), 2);
  out += legend(result, view) + "\n";
  for (const design::MeshResult& mesh : result.meshes) {
    if (shows_mesh(view, mesh.id)) {
      out += MeshTables(result, mesh, view).text() + "\n";
    }
  }
  out += joint_table(result, view);
  out += loop_lines(result, view);
  const std::string sampling = sampling_lines(result, view);
  out += sampling.empty() ? "" : sampling + "\n";
  out += requirement_table(result.requirements, result.states, view);
  out += failure_lines(result.failures);
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
