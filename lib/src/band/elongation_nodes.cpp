#include "band/elongation_nodes.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "band/gauss_rules.hpp"
#include "lashband/error.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;

// An elongation with more of the standard deviation than this is a term of the sum.
constexpr double share_of_half_the_variance = 0.7071;

// More combinations of elongations than this take longer than sampling.
constexpr std::size_t most_branches = 60000;

}  // namespace

bool has_any_of(const LinearForm& form, const std::vector<std::size_t>& draws) {
  return std::any_of(form.terms.begin(), form.terms.end(), [&draws](const LinearTerm& term) {
    return term.coefficient != 0.0 &&
           std::find(draws.begin(), draws.end(), term.draw) != draws.end();
  });
}

bool has_any_of(const SeatModel& seat, const std::vector<std::size_t>& draws) {
  return has_any_of(seat.clearance, draws) || has_any_of(seat.outer, draws) ||
         has_any_of(seat.inner, draws);
}

LinearForm given(const LinearForm& form, const std::vector<std::size_t>& elongations,
                 const std::vector<double>& y) {
  LinearForm rest{form.constant, {}};
  for (const LinearTerm& term : form.terms) {
    if (std::find(elongations.begin(), elongations.end(), term.draw) != elongations.end()) {
      rest.constant += term.coefficient * y[term.draw];
    } else {
      rest.terms.push_back(term);
    }
  }
  return rest;
}

SeatModel given(SeatModel seat, const std::vector<std::size_t>& elongations,
                const std::vector<double>& y) {
  seat.clearance = given(seat.clearance, elongations, y);
  seat.outer = given(seat.outer, elongations, y);
  seat.inner = given(seat.inner, elongations, y);
  return seat;
}

std::vector<Node> nodes_for(const Shape& shape, double share, Acts acts) {
  const double least = acts == Acts::on_knee ? 12.0 : acts == Acts::on_float ? 4.0 : 3.0;
  if (share <= share_of_half_the_variance) {
    return nodes_of(shape, static_cast<std::size_t>(least + std::ceil(10.0 * share)));
  }
  // The trapezoid rule, with a step that the rest of the spread smooths to 1e-9.
  const double rest = std::sqrt((1.0 - share) * (1.0 + share)) / share;
  if (shape.kind() != Shape::Kind::normal) {
    return nodes_of(shape, most_gauss_nodes);
  }
  constexpr double reach = 8.5;  // 1e-17 lies beyond
  const double half = std::ceil(reach / rest);
  const double step = reach / half;
  std::vector<Node> nodes;
  nodes.reserve(static_cast<std::size_t>(2.0 * half) + 1);
  double sum = 0.0;
  for (int i = -static_cast<int>(half); i <= static_cast<int>(half); ++i) {
    const double z = i * step;
    nodes.push_back({z * shape.sigma(), std::exp(-0.5 * z * z)});
    sum += nodes.back().weight;
  }
  for (Node& node : nodes) {
    node.weight /= sum;
  }
  return nodes;
}

bool nodes_serve(const Shape& shape, double share, Acts acts) {
  // Of the standard deviation, what nodes at hand can be smoothed by.
  const double most = shape.kind() == Shape::Kind::normal ? 0.999 : 0.95;
  return share <= (acts == Acts::smoothly ? share_of_half_the_variance : most);
}

void ElongationNodes::add(std::size_t draw, std::vector<Node> nodes, std::size_t of_all) {
  count_ *= nodes.size();
  dimensions_.push_back({draw, std::move(nodes)});
  if (count_ > most_branches) {
    throw ComputationError("the elongations of " + std::to_string(of_all) +
                           " materials and strains are too many for the distribution; "
                           "an expansion group makes one of several");
  }
}

std::vector<std::size_t> ElongationNodes::draws() const {
  std::vector<std::size_t> draws;
  draws.reserve(dimensions_.size());
  for (const Dimension& dimension : dimensions_) {
    draws.push_back(dimension.draw);
  }
  return draws;
}

double ElongationNodes::at(std::size_t index, std::vector<double>& y) const {
  y = mids_;
  double weight = 1.0;
  for (const Dimension& dimension : dimensions_) {
    const Node& node = dimension.nodes[index % dimension.nodes.size()];
    index /= dimension.nodes.size();
    y[dimension.draw] = node.value;
    weight *= node.weight;
  }
  return weight;
}

}  // namespace lashband::band::kernel
