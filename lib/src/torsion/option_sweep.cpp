#include "torsion/option_sweep.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>

#include "lashband/error.hpp"
#include "torsion/checks.hpp"
#include "torsion/option_sweep_kernel.hpp"

namespace lashband::torsion::kernel {
namespace {

using Complex = std::complex<double>;

// Arms of two elements side by side are of one ratio if they differ by no more: a few roundings.
constexpr double ratio_slack = 4.0 * std::numeric_limits<double>::epsilon();

// --- what is asked -------------------------------------------------------------------------------

void check(const ShakenOrder& shaken, const OptionSweep& sweep, const std::string& what) {
  require(shaken.order > 0.0 && std::isfinite(shaken.order), what, "an order must be above 0",
          shaken.order);
  require(shaken.speed_exponent >= 0 && shaken.speed_exponent <= 2, what,
          "the exponent of the speed must be 0, 1 or 2", shaken.speed_exponent);
  require(shaken.reference_speed > 0.0 && std::isfinite(shaken.reference_speed), what,
          "the reference speed must be above 0 rad/s", shaken.reference_speed, " rad/s");
  if (!shaken.excitation.torques.empty()) {
    check_list("torque", shaken.excitation.torques, sweep.system.inertias.size());
  }
  if (!shaken.excitation.displacements.empty()) {
    check_list("displacement", shaken.excitation.displacements, sweep.system.elements.size());
  }
}

void check(const OptionSweep& sweep) {
  check(sweep.system);
  const std::size_t elements = sweep.system.elements.size();
  require(sweep.varied < elements, "varied element", "it must be one of the system",
          static_cast<double>(sweep.varied));
  for (const std::size_t element : sweep.watched) {
    require(element < elements, "watched element", "it must be one of the system",
            static_cast<double>(element));
  }
  for (const double speed : sweep.speeds) {
    require(speed > 0.0 && std::isfinite(speed), "speed", "it must be above 0 rad/s", speed,
            " rad/s");
  }
  for (std::size_t i = 0; i < sweep.shaken.size(); ++i) {
    check(sweep.shaken[i], sweep, numbered("shaken order", i));
    for (const double speed : sweep.speeds) {
      check_omega(sweep.shaken[i].order * speed);
    }
  }
  for (std::size_t i = 0; i < sweep.options.size(); ++i) {
    check(sweep.options[i], numbered("option", i));
  }
}

// --- the tree ------------------------------------------------------------------------------------

// Elements side by side, in the order in which the first of them joins two inertias.
struct Link {
  std::size_t first = 0, second = 0;
  double arm_1 = 1.0, arm_2 = -1.0;
  std::vector<Strand> strands{};
};

// x of `element` for an x of 1 of the link, if it lies beside it.
std::optional<double> scale_beside(const Link& link, const Element& element) {
  if (!element.second) {
    return std::nullopt;
  }
  const bool same = element.first == link.first && *element.second == link.second;
  const bool turned = element.first == link.second && *element.second == link.first;
  if (!same && !turned) {
    return std::nullopt;
  }
  const double arm_1 = same ? element.arm_1 : element.arm_2;
  const double arm_2 = same ? element.arm_2 : element.arm_1;
  const double one = arm_1 * link.arm_2;
  const double two = arm_2 * link.arm_1;
  if (!(std::abs(one - two) <= ratio_slack * (std::abs(one) + std::abs(two)))) {
    return std::nullopt;
  }
  return arm_1 / link.arm_1;
}

Link link_of(const Element& element) {
  return {element.first, element.second.value_or(element.first), element.arm_1, element.arm_2, {}};
}

class TreeMaker {
 public:
  explicit TreeMaker(const OptionSweep& sweep) : sweep_(sweep), varied_(link_of(varied())) {
    sort_elements();
  }

  /// Nothing if there is a closed loop.
  [[nodiscard]] std::optional<SweepPlan> plan();

 private:
  [[nodiscard]] const Element& varied() const { return sweep_.system.elements[sweep_.varied]; }
  void sort_elements();
  [[nodiscard]] bool is_tree() const;
  void grow(std::size_t root, Side side);
  [[nodiscard]] Watch watch(std::size_t element) const;

  const OptionSweep& sweep_;
  Link varied_;  // and what lies beside it
  std::vector<Link> links_{};
  std::vector<std::vector<Ground>> grounds_{};  // by inertia
  std::vector<Joint> outwards_{};               // from the roots; parents by inertia
  std::vector<bool> reached_{};
};

void TreeMaker::sort_elements() {
  const System& system = sweep_.system;
  grounds_.resize(system.inertias.size());
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    if (e == sweep_.varied) {
      continue;
    }
    if (!element.second) {
      grounds_[element.first].push_back({e, element.arm_1});
      continue;
    }
    if (varied().second) {
      if (const std::optional<double> scale = scale_beside(varied_, element)) {
        varied_.strands.push_back({e, *scale});
        continue;
      }
    }
    bool placed = false;
    for (Link& link : links_) {
      if (const std::optional<double> scale = scale_beside(link, element)) {
        link.strands.push_back({e, *scale});
        placed = true;
        break;
      }
    }
    if (!placed) {
      links_.push_back(link_of(element));
      links_.back().strands.push_back({e, 1.0});
    }
  }
}

bool TreeMaker::is_tree() const {
  std::vector<std::size_t> group(sweep_.system.inertias.size());
  std::iota(group.begin(), group.end(), std::size_t{0});
  std::vector<Link> all = links_;
  if (varied().second) {
    all.push_back(varied_);
  }
  for (const Link& link : all) {
    const std::size_t from = group[link.second];
    const std::size_t to = group[link.first];
    if (from == to) {
      return false;
    }
    std::replace(group.begin(), group.end(), from, to);
  }
  return true;
}

void TreeMaker::grow(std::size_t root, Side side) {
  const auto add = [this, side](std::size_t inertia) -> Joint& {
    Joint joint;
    joint.inertia = inertia;
    joint.side = side;
    joint.grounds = grounds_[inertia];
    outwards_.push_back(std::move(joint));
    reached_[inertia] = true;
    return outwards_.back();
  };
  std::size_t place = outwards_.size();
  add(root);
  for (; place < outwards_.size(); ++place) {
    const std::size_t at = outwards_[place].inertia;
    for (const Link& link : links_) {
      const bool forward = link.first == at;
      const std::size_t other = forward ? link.second : link.first;
      if ((!forward && link.second != at) || reached_[other]) {
        continue;
      }
      Joint& joint = add(other);
      joint.parent = at;
      joint.arm = forward ? link.arm_2 : link.arm_1;
      joint.arm_of_parent = forward ? link.arm_1 : link.arm_2;
      joint.strands = link.strands;
    }
  }
}

// Of an element of the train: where its torque comes from. Its joints are in place.
Watch TreeMaker::watch(std::size_t element) const {
  Watch watch;
  watch.element = element;
  if (element == sweep_.varied) {
    return watch;
  }
  for (const Strand& strand : varied_.strands) {
    if (strand.element == element) {
      watch.kind = Watch::Kind::beside_varied;
      watch.scale = strand.scale;
      return watch;
    }
  }
  for (std::size_t place = 0; place < outwards_.size(); ++place) {
    const Joint& joint = outwards_[place];
    watch.joint = outwards_.size() - 1 - place;
    watch.side = joint.side;
    for (const Strand& strand : joint.strands) {
      if (strand.element == element) {
        watch.kind = Watch::Kind::joint;
        watch.scale = strand.scale;
        return watch;
      }
    }
    for (const Ground& ground : joint.grounds) {
      if (ground.element == element) {
        watch.kind = Watch::Kind::ground;
        watch.scale = ground.arm;
        return watch;
      }
    }
  }
  throw std::logic_error("a watched element is in no joint");
}

std::optional<SweepPlan> TreeMaker::plan() {
  if (!is_tree()) {
    return std::nullopt;
  }
  const std::size_t n = sweep_.system.inertias.size();
  reached_.assign(n, false);
  grow(varied().first, Side::first);
  if (varied().second) {
    grow(*varied().second, Side::second);
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (!reached_[i]) {
      grow(i, Side::neither);
    }
  }
  SweepPlan plan;
  plan.varied = sweep_.varied;
  plan.beside_varied = varied_.strands;
  for (const std::size_t element : sweep_.watched) {
    plan.watched.push_back(watch(element));
  }
  // Leaves first.
  std::vector<std::size_t> place(n);
  for (std::size_t j = 0; j < n; ++j) {
    place[outwards_[j].inertia] = n - 1 - j;
  }
  plan.joints.assign(outwards_.rbegin(), outwards_.rend());
  for (Joint& joint : plan.joints) {
    if (joint.parent) {
      joint.parent = place[*joint.parent];
    }
  }
  plan.roots[0] = place[varied().first];
  plan.arms[0] = varied().arm_1;
  if (varied().second) {
    plan.roots[1] = place[*varied().second];
    plan.arms[1] = varied().arm_2;
  }
  return plan;
}

// --- one solve after the other -------------------------------------------------------------------

double energy_of(const System& system, const std::vector<Complex>& angles, double omega) {
  double sum = 0.0;
  for (std::size_t i = 0; i < angles.size(); ++i) {
    sum += system.inertias[i] * std::norm(angles[i]);
  }
  return 0.25 * omega * omega * sum;
}

// By response(), which says what is wrong where there is no answer.
class Direct {
 public:
  explicit Direct(const OptionSweep& sweep) : sweep_(sweep), system_(sweep.system) {}

  /// The excitation of an order at a speed.
  [[nodiscard]] Excitation excitation(std::size_t order, double speed) const {
    const ShakenOrder& shaken = sweep_.shaken[order];
    const double factor = std::pow(speed / shaken.reference_speed, shaken.speed_exponent);
    Excitation result = shaken.excitation;
    for (Complex& torque : result.torques) {
      torque *= factor;
    }
    for (Complex& displacement : result.displacements) {
      displacement *= factor;
    }
    return result;
  }

  [[nodiscard]] Response answer(std::size_t option, std::size_t order, double speed,
                                const Excitation& excitation) {
    system_.elements[sweep_.varied].law = sweep_.options[option];
    const double omega = sweep_.shaken[order].order * speed;
    try {
      return response(system_, omega, excitation);
    } catch (const ComputationError& error) {
      std::string text = "order ";
      text += number_text(sweep_.shaken[order].order);
      text += " at ";
      text += number_text(speed);
      text += " rad/s, option ";
      text += std::to_string(option);
      text += ": ";
      text += error.what();
      throw ComputationError(text);
    }
  }

 private:
  const OptionSweep& sweep_;
  System system_;
};

// The eight speeds from `first` on, or fewer at the end.
struct Stretch {
  std::size_t first = 0;
  std::size_t count = 0;
};

void put(const OptionSweep& sweep, const Response& answer, double energy, std::size_t order,
         std::size_t lane, OptionRows& rows) {
  const std::size_t watched = sweep.watched.size();
  for (std::size_t w = 0; w < watched; ++w) {
    const Complex torque = answer.torques[sweep.watched[w]];
    rows.torques[2 * (order * watched + w)].lane[lane] = torque.real();
    rows.torques[2 * (order * watched + w) + 1].lane[lane] = torque.imag();
  }
  rows.energies[order].lane[lane] = energy;
}

/// Asks response() for the lanes in which digits were lost. Returns their number.
std::size_t put_direct(const OptionSweep& sweep, std::size_t option, const Stretch& stretch,
                       Direct& direct, OptionRows& rows) {
  std::size_t done = 0;
  const std::uint32_t asked = (1U << stretch.count) - 1U;
  if ((rows.small_anywhere & asked) == 0) {
    return 0;
  }
  for (std::size_t order = 0; order < rows.small.size(); ++order) {
    const std::uint32_t small = rows.small[order] & asked;
    for (std::size_t lane = 0; small >> lane != 0; ++lane) {
      if ((small >> lane & 1U) != 0) {
        const double speed = sweep.speeds[stretch.first + lane];
        const Response answer =
            direct.answer(option, order, speed, direct.excitation(order, speed));
        put(sweep, answer,
            energy_of(sweep.system, answer.angles, sweep.shaken[order].order * speed), order, lane,
            rows);
        ++done;
      }
    }
  }
  return done;
}

// --- trees ---------------------------------------------------------------------------------------

class TreeSweep {
 public:
  TreeSweep(const OptionSweep& sweep, SweepPlan plan)
      : sweep_(sweep), plan_(std::move(plan)), work_(plan_.joints.size()) {
    Reduced empty;
    empty.torques.resize(plan_.watched.size());
    for (const Joint& joint : plan_.joints) {
      if (joint.parent && joint.side != Side::neither &&
          sweep_.system.inertias[joint.inertia] > 0.0) {
        std::vector<Motion>& motions = empty.motions[static_cast<std::size_t>(joint.side)];
        motions.emplace_back();
      }
    }
    reduced_.assign(sweep_.shaken.size(), empty);
  }

  void prepare(const Stretch& stretch, Direct&) {
    Lanes speeds{};
    for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
      speeds[lane] = sweep_.speeds[stretch.first + std::min(lane, stretch.count - 1)];
    }
    for (std::size_t order = 0; order < reduced_.size(); ++order) {
      reduce(sweep_.system, plan_, sweep_.shaken[order], speeds, work_, reduced_[order]);
    }
  }

  void solve(std::size_t option, const Stretch&, std::vector<OptionRows>& rows) const {
    kernel::solve(plan_, reduced_, sweep_.options, option, rows);
  }

 private:
  const OptionSweep& sweep_;
  SweepPlan plan_;
  std::vector<JointWork> work_;
  std::vector<Reduced> reduced_{};
};

// --- closed loops --------------------------------------------------------------------------------

// Sherman and Morrison, from one of the options to all others.
class LoopSweep {
 public:
  explicit LoopSweep(const OptionSweep& sweep)
      : sweep_(sweep), starts_(sweep.shaken.size() * sweep_lanes) {
    const Element& varied = sweep.system.elements[sweep.varied];
    arms_.torques.resize(sweep.system.inertias.size());
    arms_.torques[varied.first] = varied.arm_1;
    if (varied.second) {
      arms_.torques[*varied.second] = varied.arm_2;
    }
  }

  void prepare(const Stretch& stretch, Direct& direct) {
    for (std::size_t order = 0; order < sweep_.shaken.size(); ++order) {
      for (std::size_t lane = 0; lane < stretch.count; ++lane) {
        starts_[order * sweep_lanes + lane] =
            start(order, sweep_.speeds[stretch.first + lane], direct);
      }
    }
  }

  void solve(std::size_t option, const Stretch& stretch, std::vector<OptionRows>& rows) const {
    for (OptionRows& each : rows) {
      each.small_anywhere = 0;
      for (std::size_t order = 0; order < sweep_.shaken.size(); ++order) {
        each.small[order] = 0;
        for (std::size_t lane = 0; lane < stretch.count; ++lane) {
          if (!step(starts_[order * sweep_lanes + lane], option, order, lane, each)) {
            each.small[order] |= 1U << lane;
            each.small_anywhere |= 1U << lane;
          }
        }
      }
      ++option;
    }
  }

 private:
  // The answer with one of the options, and that to the arms of the varied element as torques.
  struct Start {
    double omega = 0.0;
    Complex stiffness{};
    Complex strain{};      // x - e of the varied element
    Complex compliance{};  // x of the varied element under its own arms
    Response answer{}, to_arms{};
    double energy = 0.0, energy_to_arms = 0.0;
  };

  // Where cancelling costs more, response() is asked again: what it gives is good to about 1e-13.
  static constexpr double most_cancelled = 100.0;

  // The middle one, by stiffness, of those that are not 0.
  [[nodiscard]] std::size_t start_option(double omega) const {
    std::vector<std::pair<double, std::size_t>> found;
    for (std::size_t option = 0; option < sweep_.options.size(); ++option) {
      const double stiffness = std::abs(dynamic_stiffness(sweep_.options[option], omega));
      if (stiffness > 0.0) {
        found.emplace_back(stiffness, option);
      }
    }
    if (found.empty()) {
      return 0;
    }
    const auto middle = found.begin() + static_cast<std::ptrdiff_t>(found.size() / 2);
    std::nth_element(found.begin(), middle, found.end());
    return middle->second;
  }

  [[nodiscard]] Start start(std::size_t order, double speed, Direct& direct) const {
    Start start;
    start.omega = sweep_.shaken[order].order * speed;
    const std::size_t option = start_option(start.omega);
    start.stiffness = dynamic_stiffness(sweep_.options[option], start.omega);
    start.answer = direct.answer(option, order, speed, direct.excitation(order, speed));
    start.to_arms = direct.answer(option, order, speed, arms_);
    start.energy = energy_of(sweep_.system, start.answer.angles, start.omega);
    start.energy_to_arms = energy_of(sweep_.system, start.to_arms.angles, start.omega);
    if (start.stiffness != Complex{}) {
      start.strain = start.answer.torques[sweep_.varied] / start.stiffness;
      start.compliance = start.to_arms.torques[sweep_.varied] / start.stiffness;
    }
    return start;
  }

  // False where too many digits would be lost.
  [[nodiscard]] bool step(const Start& start, std::size_t option, std::size_t order,
                          std::size_t lane, OptionRows& rows) const {
    const Complex stiffness = dynamic_stiffness(sweep_.options[option], start.omega);
    const Complex change = stiffness - start.stiffness;
    const Complex divisor = 1.0 + change * start.compliance;
    if (!(std::abs(divisor) * most_cancelled >= 1.0 + std::abs(change * start.compliance))) {
      return false;
    }
    const Complex strain = start.strain / divisor;
    const Complex torque = change * strain;
    Response answer = start.answer;
    for (std::size_t i = 0; i < answer.angles.size(); ++i) {
      answer.angles[i] -= torque * start.to_arms.angles[i];
    }
    const double energy = energy_of(sweep_.system, answer.angles, start.omega);
    const double parts =
        std::sqrt(start.energy) + std::abs(torque) * std::sqrt(start.energy_to_arms);
    if (!(most_cancelled * std::sqrt(energy) >= parts)) {
      return false;
    }
    for (const std::size_t element : sweep_.watched) {
      const Complex one = start.answer.torques[element];
      const Complex two = torque * start.to_arms.torques[element];
      answer.torques[element] = element == sweep_.varied ? stiffness * strain : one - two;
      if (element != sweep_.varied &&
          !(most_cancelled * std::abs(one - two) >= std::abs(one) + std::abs(two))) {
        return false;
      }
    }
    put(sweep_, answer, energy, order, lane, rows);
    return true;
  }

  const OptionSweep& sweep_;
  Excitation arms_{};
  std::vector<Start> starts_;
};

OptionAnswers answers(const OptionSweep& sweep, std::size_t option, const Stretch& stretch,
                      const OptionRows& rows) {
  OptionAnswers result;
  result.option = option;
  result.first_speed = stretch.first;
  result.speeds = stretch.count;
  result.orders = sweep.shaken.size();
  result.watched = sweep.watched.size();
  result.torques = rows.torques.empty() ? nullptr : rows.torques[0].lane.data();
  result.energies = rows.energies.empty() ? nullptr : rows.energies[0].lane.data();
  return result;
}

template <class Engine>
SweepCount in_stretches(const OptionSweep& sweep,
                        const std::function<void(const OptionAnswers&)>& receive, Engine engine) {
  SweepCount total;
  Direct direct(sweep);
  const std::size_t options = sweep.options.size();
  const OptionRows empty(sweep.shaken.size(), sweep.watched.size());
  std::vector<OptionRows> rows;
  for (std::size_t first = 0; first < sweep.speeds.size(); first += sweep_lanes) {
    const Stretch stretch{first, std::min(sweep_lanes, sweep.speeds.size() - first)};
    engine.prepare(stretch, direct);
    for (std::size_t option = 0; option < options; option += rows.size()) {
      rows.resize(std::min(options_at_once, options - option), empty);
      engine.solve(option, stretch, rows);
      for (std::size_t i = 0; i < rows.size(); ++i) {
        total.direct += put_direct(sweep, option + i, stretch, direct, rows[i]);
        total.solves += stretch.count * sweep.shaken.size();
        receive(answers(sweep, option + i, stretch, rows[i]));
      }
    }
  }
  return total;
}

}  // namespace

SweepCount sweep(const OptionSweep& sweep,
                 const std::function<void(const OptionAnswers&)>& receive) {
  check(sweep);
  if (sweep.options.empty()) {
    return {};
  }
  if (std::optional<SweepPlan> plan = TreeMaker(sweep).plan()) {
    return in_stretches(sweep, receive, TreeSweep(sweep, std::move(*plan)));
  }
  return in_stretches(sweep, receive, LoopSweep(sweep));
}

}  // namespace lashband::torsion::kernel
