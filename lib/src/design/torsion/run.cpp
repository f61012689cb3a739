#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "condition.hpp"
#include "design/train_model.hpp"
#include "findings.hpp"
#include "heat.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/error.hpp"
#include "lashband/units/plain_number.hpp"
#include "layout.hpp"
#include "lines.hpp"
#include "speeds.hpp"
#include "state.hpp"

namespace lashband::design {
namespace {

using units::AngularVelocity;

std::vector<double> sweep_speeds(const TorsionSettings& settings) {
  std::vector<double> speeds;
  if (settings.sweep) {
    const SpeedSweep& sweep = *settings.sweep;
    const auto last = static_cast<double>(sweep.points - 1);
    for (std::size_t i = 0; i < sweep.points; ++i) {
      const double share = static_cast<double>(i) / last;
      speeds.push_back((1.0 - share) * sweep.from.value() + share * sweep.to.value());
    }
  }
  return speeds;
}

class TorsionRun {
 public:
  TorsionRun(const Design& design, const BacklashResult& backlash, const RunOptions& options,
             const TorsionQuestion& question)
      : design_(design),
        backlash_(backlash),
        question_(question),
        reference_{design.reference_temperature, options.extrapolation},
        train_(train_model(design)),
        layout_(torsion_layout(design, train_, reference_)),
        lines_(torsion_lines(design, layout_)) {}

  TorsionResult result() {
    TorsionResult result;
    result.input = backlash_.input;
    result.carrier = backlash_.carrier;
    result.reference = design_.shafts[design_.train.reference].id;
    result.driver = design_.shafts[design_.torsion->driver].id;
    result.inertias = layout_.inertias;
    result.elements = layout_.elements;
    for (std::size_t e = 0; e < layout_.elements.size(); ++e) {
      if (layout_.elements[e].kind == TorsionElement::Kind::mesh) {
        result.meshes.push_back(e);
      }
    }
    for (const TorsionLine& line : lines_.lines) {
      result.lines.push_back(line.shown);
    }
    result.revolutions_per_cycle = lines_.revolutions;
    add_torsion_gaps(design_, layout_, result);
    warn_of_long_cycle(result);
    for (std::size_t c = 0; c < design_.conditions.size(); ++c) {
      add_condition(c, result);
    }
    add_findings(result);
    judge_torsion(design_, result);
    return result;
  }

 private:
  void warn_of_long_cycle(TorsionResult& result) const {
    if (lines_.cycle_too_long) {
      result.warnings.push_back(
          {"full_cycle", "", "", "",
           "a full cycle takes more than a million periods of its highest order: greatest and "
           "least forces and the rattle index are left out; leave out transmission errors, or give "
           "orders with fewer decimals"});
    }
  }

  void add_condition(std::size_t index, TorsionResult& result) {
    const Condition& condition = design_.conditions[index];
    const auto own = question_.speed ? std::optional(std::abs(question_.speed->value()))
                                     : condition_speed(design_, condition, train_);
    const auto& sweep = design_.torsion->sweep;
    const double speed = own ? *own : (sweep ? sweep->to.value() : 0.0);
    if (!(speed > 0.0)) {
      result.warnings.push_back({"no_speed", "", "", condition.id,
                                 "neither the condition nor torsion.speed gives a speed: natural "
                                 "frequencies alone are worked out"});
    }
    const TorsionLines& lines = speed > 0.0 ? lines_ : still_;
    const TorsionJob job{design_, layout_, lines, result.meshes, reference_};
    try {
      TorsionState state(design_, layout_, condition.temperatures, reference_,
                         contact_ratios(backlash_, index));
      std::vector<ElastomerHeat> heat(layout_.elements.size());
      if (speed > 0.0) {
        heat = heat_elastomers(state, lines, layout_, reference_, speed);
        tell_heat(heat, condition.id, result);
      }
      TorsionCondition row = torsion_condition(job, state, heat, speed);
      row.id = condition.id;
      row.speed_judged = own.has_value();
      const TorsionAtSpeed at = state.at(speed);
      for (Warning& warning : state.findings(at)) {
        warning.state = condition.id;
        findings_.push_back(std::move(warning));
      }
      for (const LightMesh& mesh : state.light_meshes(at)) {
        light_meshes_.push_back(mesh);
      }
      add_torsion_findings(design_, layout_, row, result);
      if (question_.sweep && !lines.cycle_too_long) {
        add_sweep(job, state, row, result);
      }
      result.conditions.push_back(std::move(row));
    } catch (const Error& error) {
      result.failures.push_back({"torsional model", condition.id, error.what()});
    }
  }

  // What holds at every condition is said once.
  void add_findings(TorsionResult& result) const {
    const auto same_as = [](const Warning& one) {
      return [&one](const Warning& other) {
        return one.subject == other.subject && one.text == other.text;
      };
    };
    for (auto it = findings_.begin(); it != findings_.end(); ++it) {
      const auto times = std::count_if(findings_.begin(), findings_.end(), same_as(*it));
      if (times < static_cast<std::ptrdiff_t>(result.conditions.size())) {
        result.warnings.push_back(*it);
      } else if (std::none_of(findings_.begin(), it, same_as(*it))) {
        result.warnings.push_back(*it);
        result.warnings.back().state.clear();
      }
    }
    for (std::size_t m = 0; m < design_.meshes.size(); ++m) {
      tell_light(m, result);
    }
  }

  // "11.9 to 15.1", over all conditions.
  static std::string ends_of(const std::vector<double>& values) {
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    const std::string first = units::fixed_number(*low, 1);
    const std::string last = units::fixed_number(*high, 1);
    return first == last ? first : first + " to " + last;
  }

  void tell_light(std::size_t mesh, TorsionResult& result) const {
    std::vector<double> loads;
    std::vector<double> stiffnesses;
    std::vector<double> at_full_load;
    for (const LightMesh& light : light_meshes_) {
      if (light.mesh == mesh) {
        loads.push_back(1e-3 * light.load_per_width);
        stiffnesses.push_back(1e-6 * light.stiffness);
        at_full_load.push_back(1e-6 * light.full_load_stiffness);
      }
    }
    if (!loads.empty()) {
      result.warnings.push_back(
          {"mesh_stiffness", "", "mesh " + design_.meshes[mesh].id, "",
           "its mean load a width, " + ends_of(loads) +
               " N/mm, is below 100 N/mm: by the standard's factor its stiffness is " +
               ends_of(stiffnesses) + " N/um, at full load " + ends_of(at_full_load) + " N/um"});
    }
  }

  void tell_heat(const std::vector<ElastomerHeat>& heat, const std::string& condition,
                 TorsionResult& result) const {
    for (std::size_t e = 0; e < heat.size(); ++e) {
      if (!heat[e].message.empty()) {
        result.warnings.push_back({"elastomer_heat", "", "elastomer of " + layout_.elements[e].id,
                                   condition, heat[e].message});
      }
    }
  }

  void add_sweep(const TorsionJob& job, const TorsionState& state, TorsionCondition& row,
                 TorsionResult& result) const {
    for (const double speed : sweep_speeds(*design_.torsion)) {
      try {
        row.sweep.push_back(sweep_point(job, state, speed));
      } catch (const Error& error) {
        result.failures.push_back(
            {"torsional model at " +
                 units::fixed_number(speed * 60.0 / (2.0 * std::numbers::pi), 1) + " rpm",
             row.id, error.what()});
      }
    }
  }

  const Design& design_;
  const BacklashResult& backlash_;
  const TorsionQuestion& question_;
  thermal::Reference reference_;
  train::Train train_;
  TorsionLayout layout_;
  TorsionLines lines_;
  std::vector<Warning> findings_;        // at one condition each
  std::vector<LightMesh> light_meshes_;  // of all conditions
  TorsionLines still_{};                 // nothing shakes a train that does not turn
};

}  // namespace

TorsionResult torsion_of(const Design& design, const BacklashResult& backlash,
                         const RunOptions& options, const TorsionQuestion& question) {
  if (!design.torsion) {
    throw DomainError("the design has no torsional model");
  }
  return TorsionRun(design, backlash, options, question).result();
}

TorsionResult torsion_of(const Design& design, std::size_t carrier, const RunOptions& options,
                         const TorsionQuestion& question) {
  // The contact ratios at the conditions are all that is needed of the gaps.
  Design conditions_alone = design;
  conditions_alone.soak.reset();
  conditions_alone.histories.clear();
  return torsion_of(design, backlash(conditions_alone, carrier, options), options, question);
}

}  // namespace lashband::design
