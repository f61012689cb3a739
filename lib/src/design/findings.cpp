#include "findings.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "lashband/units/plain_number.hpp"
#include "loops_run.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using units::fixed_number;

std::string micrometres(double length) {
  return fixed_number(1e6 * length, 1) + " µm";
}

// The states where `badness` is above 0, told by the worst of them.
struct Tally {
  std::size_t count = 0;
  std::size_t worst = 0;
  double badness = 0.0;

  void add(std::size_t state, double how_bad) {
    if (!(how_bad > 0.0)) {
      return;
    }
    ++count;
    if (count == 1 || how_bad > badness) {
      worst = state;
      badness = how_bad;
    }
  }
  [[nodiscard]] std::string states(std::size_t total) const {
    return std::to_string(count) + " such states, of " + std::to_string(total);
  }
};

class Collector {
 public:
  explicit Collector(const BacklashResult& result) : result_(result) {}

  void add(std::string kind, std::string subject, const Tally& tally, const std::string& text) {
    if (tally.count > 0) {
      warnings_.push_back({std::move(kind), "", std::move(subject), result_.states[tally.worst].id,
                           text + " (worst of " + tally.states(result_.states.size()) + ")"});
    }
  }
  void add(std::string kind, std::string subject, std::string text) {
    warnings_.push_back({std::move(kind), "", std::move(subject), "", std::move(text)});
  }
  // The same ring may belong to several meshes.
  void add(std::string kind, std::string subject, std::string state, std::string text) {
    const bool said = std::any_of(warnings_.begin(), warnings_.end(), [&](const Warning& warning) {
      return warning.kind == kind && warning.subject == subject && warning.text == text;
    });
    if (!said) {
      warnings_.push_back(
          {std::move(kind), "", std::move(subject), std::move(state), std::move(text)});
    }
  }
  /// Warnings that say the same of several subjects become one.
  [[nodiscard]] std::vector<Warning> take() {
    std::vector<Warning> merged;
    for (Warning& warning : warnings_) {
      const auto same = std::find_if(merged.begin(), merged.end(), [&](const Warning& other) {
        return other.kind == warning.kind && other.state == warning.state &&
               other.text == warning.text && !warning.subject.empty();
      });
      if (same == merged.end()) {
        merged.push_back(std::move(warning));
      } else {
        same->subject += ", " + warning.subject;
      }
    }
    return merged;
  }

 private:
  const BacklashResult& result_;
  std::vector<Warning> warnings_;
};

void look_at_gears(const Design& design, Collector& warnings) {
  for (const Gear& gear : design.gears) {
    if (gear.body.internal()) {
      continue;  // not cut by a rack
    }
    const auto thinnest =
        gear.thickness_allowance
            ? gear.body.with_thickness_allowance(gear.thickness_allowance->band.low)
            : gear.body;
    const double x_E = thinnest.generating_profile_shift();
    const double limit = thinnest.undercut_limit();
    if (x_E < limit) {
      warnings.add("undercut", "gear " + gear.id,
                   "the root is undercut: x_E = " + fixed_number(x_E, 3) +
                       " at the thinnest tooth, " + fixed_number(limit, 3) +
                       " is the least without undercut");
    }
  }
}

void look_at_mesh(const MeshResult& mesh, Collector& warnings) {
  Tally interference;
  Tally fouling;
  Tally contact;
  Tally clearance;
  Tally bounded;
  Tally no_radial_play;
  for (const MeshState& state : mesh.states) {
    interference.add(state.state, -state.interference_margin_low.value());
    fouling.add(state.state, state.tip_fouling_low ? -state.tip_fouling_low->value() : 0.0);
    contact.add(state.state, 1.0 - state.eps_alpha_low);
    clearance.add(state.state, -state.tip_clearance_low.value());
    bounded.add(state.state, state.gap.cycle_resolved
                                 ? 0.0
                                 : std::abs(state.base_pitch_mismatch.value()) + 1e-300);
    no_radial_play.add(state.state, state.gap.j_r ? 0.0 : 1.0);
  }
  const std::string subject = "mesh " + mesh.id;
  warnings.add("interference", subject, interference,
               "tips reach below the generated involute of the mate by " +
                   micrometres(interference.badness) +
                   " along the line of action in the worst case");
  warnings.add("tip fouling", subject, fouling,
               "the tips foul those of the ring gear beside the path of contact, by " +
                   micrometres(fouling.badness) +
                   " along its base circle in the worst case: the gap is less than reported, or "
                   "the gears cannot turn");
  warnings.add("contact ratio", subject, contact,
               "eps_alpha falls to " + fixed_number(1.0 - contact.badness, 3) +
                   " in the worst case: contact is lost between pairs of teeth");
  warnings.add("tip clearance", subject, clearance,
               "tips reach into the roots of the mate by " + micrometres(clearance.badness) +
                   " in the worst case");
  warnings.add("bound", subject, bounded,
               "the gears differ in base pitch and eps_alpha is below 1; over the mesh cycle the "
               "least and greatest backlash are bounds, not values");
  warnings.add("radial play", subject, no_radial_play,
               "no radial play j_r: the base circles would touch before the flanks do");
}

// The helix deviation that both gears of the mesh may have; axes that tilt by more are no longer
// parallel as far as the teeth are concerned.
double allowed_helix_deviation(const Design& design, const MeshResult& mesh) {
  double allowed = 0.0;
  for (const Gear& gear : design.gears) {
    if (gear.helix_deviation && (gear.id == mesh.gear_1 || gear.id == mesh.gear_2)) {
      allowed = std::max(allowed, gear.helix_deviation->band.high.value());
    }
  }
  return allowed;
}

void look_at_bearings(const Design& design, const MeshResult& mesh, Collector& warnings) {
  const std::string subject = "mesh " + mesh.id;
  const double allowed = allowed_helix_deviation(design, mesh);
  Tally tilt;
  for (const MeshState& state : mesh.states) {
    if (state.tilt_over_face && allowed > 0.0) {
      const double over_face = std::abs(state.tilt_over_face->value());
      tilt.add(state.state, over_face > allowed ? over_face : 0.0);
    }
  }
  warnings.add("tilt", subject, tilt,
               "the walls tilt the axes against each other by " + micrometres(tilt.badness) +
                   " over the face width, more than the helix deviation F_beta of " +
                   micrometres(allowed));
  for (const LooseRing& ring : mesh.loose_rings) {
    warnings.add("loose ring", "bearing " + ring.bearing, ring.state,
                 std::string(ring.outer ? "outer" : "inner") + " ring loose by " +
                     micrometres(ring.by.value()) + " in the worst case: it can turn in its seat");
  }
}

// A long loop is named by its first meshes.
std::string short_name(const LoopResult& loop) {
  constexpr std::size_t most = 6;
  if (loop.meshes.size() <= most) {
    return "loop " + loop_name(loop.meshes);
  }
  const std::vector<std::string> first(loop.meshes.begin(),
                                       loop.meshes.begin() + static_cast<std::ptrdiff_t>(most));
  return "loop " + loop_name(first) + " and " + std::to_string(loop.meshes.size() - most) + " more";
}

void look_at_loops(const BacklashResult& result, Collector& warnings) {
  for (const LoopResult& loop : result.loops) {
    const std::string subject = short_name(loop);
    if (loop.closed_by == train::ClosedBy::unknown) {
      warnings.add("loop", subject,
                   "whether the loop closes is not known: not all of its shafts have a place "
                   "(\"at\")");
      continue;
    }
    if (loop.can_be_assembled && !*loop.can_be_assembled) {
      warnings.add("loop", subject,
                   "the teeth do not meet: " + fixed_number(std::abs(loop.offset), 4) +
                       " pitches are left over at the reference temperature, more than the "
                       "backlash of its meshes together; the loop cannot be assembled as drawn");
    }
    Tally tight;
    for (const LoopState& state : loop.states) {
      const bool binds = taken_up_on(state, loop.basis) < units::Length();
      tight.add(state.state, binds ? 0.0 : -margin_on(state, loop.basis).value());
    }
    warnings.add("loop", subject, tight,
                 "the loop is tight by " + micrometres(tight.badness) +
                     " of backlash in each of its meshes: the teeth push the shafts through their "
                     "float");
  }
}

void look_at_carrier(const thermal::Carrier& carrier, const BacklashResult& result,
                     Collector& warnings) {
  Tally squeezed;
  Tally stretched;
  Tally slips;
  const auto* insert = std::get_if<thermal::InsertCarrier>(&carrier.build);
  const auto* friction = insert ? std::get_if<thermal::FrictionJoint>(&insert->joint) : nullptr;
  for (const CarrierStateResult& at : result.carrier_states) {
    if (at.carrier.squeeze_left) {
      squeezed.add(at.state, -at.carrier.squeeze_left->value());
    }
    if (at.carrier.stretch_left) {
      stretched.add(at.state, -at.carrier.stretch_left->value());
    }
    if (friction && at.carrier.joint_force) {
      const double force = std::abs(at.carrier.joint_force->value());
      slips.add(at.state, force >= friction->slip_force.value() ? force : 0.0);
    }
  }
  const std::string subject = "carrier " + carrier.id;
  warnings.add("joint", subject, squeezed,
               "the case squeezes the insert by " + micrometres(squeezed.badness) +
                   " over the locating span: it no longer floats");
  warnings.add("joint", subject, stretched,
               "the case stretches the insert by " + micrometres(stretched.badness) +
                   " over the locating span: it no longer floats");
  warnings.add("joint", subject, slips,
               "the joint slips at " + fixed_number(slips.badness, 0) +
                   " N on first loading, so its force has memory; the worst case covers every "
                   "history within the states");
}

}  // namespace

std::vector<Warning> findings(const Design& design, const thermal::Carrier& carrier,
                              const BacklashResult& result) {
  Collector warnings(result);
  look_at_gears(design, warnings);
  for (const MeshResult& mesh : result.meshes) {
    look_at_mesh(mesh, warnings);
    look_at_bearings(design, mesh, warnings);
  }
  look_at_loops(result, warnings);
  look_at_carrier(carrier, result, warnings);
  for (const Note& note : design.notes) {
    warnings.add(note.kind, note.subject, note.text);
  }
  return warnings.take();
}

}  // namespace lashband::design
