#include "torsion/coordinates.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "torsion/kinematics.hpp"

namespace lashband::torsion::kernel {
namespace {

using Index = Eigen::Index;

// Inertias that have been joined.
struct Group {
  std::vector<std::size_t> members{};
  std::size_t root = 0;
  long double inertia = 0.0L;           // referred to the turning of the members
  std::optional<std::size_t> anchor{};  // element that ties it to the case, or stops it in a loop
};

// A forest grown from the stiffest element on.
class Forest {
 public:
  Forest(const System& system, const std::vector<double>& weight,
         const std::vector<double>& inertia)
      : system_(system), weight_(weight), turning_(inertia.size(), 1.0L) {
    groups_.reserve(inertia.size());
    for (std::size_t i = 0; i < inertia.size(); ++i) {
      groups_.push_back({{i}, i, wide(inertia[i]), {}});
      group_.push_back(i);
    }
    tree_.assign(system.elements.size(), false);
    for (const std::size_t e : stiffest_first()) {
      take(e);
    }
  }

  [[nodiscard]] Coordinates coordinates() const;

 private:
  [[nodiscard]] std::vector<std::size_t> stiffest_first() const;
  [[nodiscard]] long double mass_at(std::size_t inertia, long double arm) const;
  void take(std::size_t e);
  void anchor(std::size_t e, long double lever);
  void join(std::size_t e);
  void spread(const Group& group, Coordinates& result) const;
  void place_anchor(const Group& group, Coordinates& result) const;

  const System& system_;
  const std::vector<double>& weight_;
  std::vector<long double> turning_;  // within the group
  std::vector<Group> groups_{};
  std::vector<std::size_t> group_{};  // by inertia
  std::vector<bool> tree_{};          // by element: is a coordinate
};

// By the stiffness referred to the turning of the whole part, as meshes and shafts are in units of
// their own.
std::vector<std::size_t> Forest::stiffest_first() const {
  std::vector<bool> holds;
  holds.reserve(weight_.size());
  for (const double weight : weight_) {
    holds.push_back(weight > 0.0);
  }
  const Parts together = parts(system_, holds);
  std::vector<double> referred(weight_.size(), 0.0);
  std::vector<std::size_t> order;
  for (std::size_t e = 0; e < weight_.size(); ++e) {
    if (holds[e]) {
      const Element& element = system_.elements[e];
      const double arm = element.arm_1 * together.ratio[element.first];
      referred[e] = weight_[e] * arm * arm;
      order.push_back(e);
    }
  }
  std::stable_sort(order.begin(), order.end(),
                   [&referred](std::size_t a, std::size_t b) { return referred[a] > referred[b]; });
  return order;
}

// Of the group, as an element with that arm feels it.
long double Forest::mass_at(std::size_t inertia, long double arm) const {
  const Group& group = groups_[group_[inertia]];
  const long double lever = arm * turning_[inertia];
  return group.anchor ? std::numeric_limits<long double>::infinity()
                      : group.inertia / (lever * lever);
}

void Forest::take(std::size_t e) {
  const Element& element = system_.elements[e];
  const long double term_1 = wide(element.arm_1) * turning_[element.first];
  if (!element.second) {
    anchor(e, term_1);
    return;
  }
  if (group_[element.first] != group_[*element.second]) {
    join(e);
    return;
  }
  const long double term_2 = wide(element.arm_2) * turning_[*element.second];
  if (!cancels(term_1, term_2)) {
    anchor(e, term_1 + term_2);
  }
}

void Forest::anchor(std::size_t e, long double lever) {
  Group& group = groups_[group_[system_.elements[e].first]];
  if (!group.anchor && wide(weight_[e]) * lever * lever > group.inertia) {
    group.anchor = e;
    tree_[e] = true;
    if (!system_.elements[e].second) {
      group.root = system_.elements[e].first;
    }
  }
}

void Forest::join(std::size_t e) {
  const Element& element = system_.elements[e];
  const std::size_t first = element.first;
  const std::size_t second = *element.second;
  const long double mass_1 = mass_at(first, wide(element.arm_1));
  const long double mass_2 = mass_at(second, wide(element.arm_2));
  if (!(wide(weight_[e]) > std::min(mass_1, mass_2))) {
    return;
  }
  tree_[e] = true;
  const bool first_stays = mass_1 >= mass_2;
  const std::size_t staying = group_[first_stays ? first : second];
  const std::size_t joining = group_[first_stays ? second : first];
  const long double lever_1 = wide(element.arm_1) * turning_[first];
  const long double lever_2 = wide(element.arm_2) * turning_[second];
  const long double factor = first_stays ? -lever_1 / lever_2 : -lever_2 / lever_1;
  Group& group = groups_[staying];
  for (const std::size_t i : groups_[joining].members) {
    turning_[i] *= factor;
    group_[i] = staying;
    group.members.push_back(i);
  }
  group.inertia += groups_[joining].inertia * factor * factor;
  groups_[joining] = {};
}

// Angles of the members from that of the root, element by element outwards.
void Forest::spread(const Group& group, Coordinates& result) const {
  std::vector<bool> reached(system_.inertias.size(), false);
  std::vector<std::size_t> order{group.root};
  reached[group.root] = true;
  for (std::size_t place = 0; place < order.size(); ++place) {
    const std::size_t at = order[place];
    for (std::size_t e = 0; e < tree_.size(); ++e) {
      const Element& element = system_.elements[e];
      if (!tree_[e] || !element.second || group.anchor == e ||
          (element.first != at && *element.second != at)) {
        continue;
      }
      const bool forward = element.first == at;
      const std::size_t other = forward ? *element.second : element.first;
      if (reached[other]) {
        continue;
      }
      const double near = forward ? element.arm_1 : element.arm_2;
      const double far = forward ? element.arm_2 : element.arm_1;
      const auto row = static_cast<Index>(other);
      // The coordinate of an element stands in the column of the inertia that it leads to.
      result.angles.row(row) = (-near / far) * result.angles.row(static_cast<Index>(at));
      result.angles(row, row) = 1.0 / far;
      result.elongations(static_cast<Index>(e), row) = 1.0;
      result.own[e] = row;
      reached[other] = true;
      order.push_back(other);
    }
  }
}

// The elongation of the anchor takes the place of the angle of the root.
void Forest::place_anchor(const Group& group, Coordinates& result) const {
  const Element& element = system_.elements[*group.anchor];
  const auto column = static_cast<Index>(group.root);
  Eigen::RowVectorXd row = element.arm_1 * result.angles.row(static_cast<Index>(element.first));
  if (element.second) {
    row += element.arm_2 * result.angles.row(static_cast<Index>(*element.second));
  }
  const double lever = row[column];
  row[column] = 0.0;
  const Eigen::VectorXd root = result.angles.col(column) / lever;
  result.angles -= root * row;
  result.angles.col(column) = root;
  result.elongations(static_cast<Index>(*group.anchor), column) = 1.0;
  result.own[*group.anchor] = column;
}

Coordinates Forest::coordinates() const {
  const auto n = static_cast<Index>(system_.inertias.size());
  const auto m = static_cast<Index>(system_.elements.size());
  Coordinates result{Eigen::MatrixXd::Zero(n, n), Eigen::MatrixXd::Zero(m, n), {}};
  result.own.resize(system_.elements.size());
  for (const Group& group : groups_) {
    if (group.members.empty()) {
      continue;
    }
    const auto root = static_cast<Index>(group.root);
    result.angles(root, root) = 1.0;
    spread(group, result);
    if (group.anchor) {
      place_anchor(group, result);
    }
  }
  for (Index e = 0; e < m; ++e) {
    const Element& element = system_.elements[static_cast<std::size_t>(e)];
    if (tree_[static_cast<std::size_t>(e)]) {
      continue;
    }
    result.elongations.row(e) =
        element.arm_1 * result.angles.row(static_cast<Index>(element.first));
    if (!element.second) {
      continue;
    }
    result.elongations.row(e) +=
        element.arm_2 * result.angles.row(static_cast<Index>(*element.second));
    const std::size_t group = group_[element.first];
    if (group == group_[*element.second] && !groups_[group].anchor &&
        cancels(wide(element.arm_1) * turning_[element.first],
                wide(element.arm_2) * turning_[*element.second])) {
      // A loop that closes is not strained as its part turns.
      result.elongations(e, static_cast<Index>(groups_[group].root)) = 0.0;
    }
  }
  return result;
}

}  // namespace

Coordinates coordinates(const System& system, const std::vector<double>& weight,
                        const std::vector<double>& inertia) {
  return Forest(system, weight, inertia).coordinates();
}

}  // namespace lashband::torsion::kernel
