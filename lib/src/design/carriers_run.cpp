#include "carriers_run.hpp"

#include <algorithm>

#include "backlash_run.hpp"
#include "design/torsion/summary.hpp"
#include "lashband/design/torsion.hpp"

namespace lashband::design {
namespace {

template <class Q>
void lower(std::optional<Q>& least, const std::optional<Q>& value) {
  if (value && (!least || *value < *least)) {
    least = value;
  }
}

JointSummary joint_over(const std::vector<CarrierStateResult>& states) {
  JointSummary joint;
  for (const CarrierStateResult& at : states) {
    const thermal::CarrierState& carrier = at.carrier;
    lower(joint.squeeze_left, carrier.squeeze_left);
    lower(joint.stretch_left, carrier.stretch_left);
    if (!carrier.joint_force) {
      continue;
    }
    const units::Force low =
        carrier.joint_force_reach ? carrier.joint_force_reach->low : *carrier.joint_force;
    const units::Force high =
        carrier.joint_force_reach ? carrier.joint_force_reach->high : *carrier.joint_force;
    joint.force_low = joint.force_low ? std::min(*joint.force_low, low) : low;
    joint.force_high = joint.force_high ? std::max(*joint.force_high, high) : high;
  }
  return joint;
}

bool same(const Warning& a, const Warning& b) {
  return a.kind == b.kind && a.subject == b.subject && a.state == b.state && a.text == b.text;
}

// What every carrier's run found is said once; the rest names its carrier.
std::vector<Warning> merged_warnings(const std::vector<CarrierRow>& rows) {
  std::vector<Warning> merged;
  for (const CarrierRow& row : rows) {
    for (const Warning& warning : row.result.warnings) {
      const bool everywhere =
          std::all_of(rows.begin(), rows.end(), [&warning](const CarrierRow& other) {
            return std::any_of(other.result.warnings.begin(), other.result.warnings.end(),
                               [&warning](const Warning& w) { return same(w, warning); });
          });
      if (!everywhere) {
        merged.push_back(warning);
        merged.back().carrier = row.result.carrier;
      } else if (&row == &rows.front()) {
        merged.push_back(warning);
      }
    }
  }
  return merged;
}

// The carrier moves the axes apart, and with them the contact ratio and the stiffness of the teeth.
void add_torsion(const Design& design, const RunOptions& options, CarrierRow& row) {
  if (!design.torsion) {
    return;
  }
  TorsionQuestion question;
  question.sweep = false;
  const TorsionResult torsion = torsion_of(design, row.result, options, question);
  row.torsion = torsion_summary(design, torsion);
  row.result.requirements.insert(row.result.requirements.end(), torsion.requirements.begin(),
                                 torsion.requirements.end());
  row.result.failures.insert(row.result.failures.end(), torsion.failures.begin(),
                             torsion.failures.end());
}

}  // namespace

CarriersResult carriers(const Design& design, const RunOptions& options) {
  return carriers(design, options, courses_of(design, options));
}

CarriersResult carriers(const Design& design, const RunOptions& options, const Courses& courses) {
  CarriersResult result;
  result.input = {design.title, design.digest};
  for (std::size_t i = 0; i < design.carriers.size(); ++i) {
    CarrierRow row;
    row.in_use = i == design.carrier_in_use;
    row.result = backlash(design, i, options, courses);
    row.joint = joint_over(row.result.carrier_states);
    add_torsion(design, options, row);
    result.rows.push_back(std::move(row));
  }
  result.warnings = merged_warnings(result.rows);
  return result;
}

}  // namespace lashband::design
