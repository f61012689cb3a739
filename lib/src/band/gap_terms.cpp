#include "band/gap_terms.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "band/spread_nodes.hpp"
#include "band/worst_case.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;
using tolerance::kernel::Measure;

// Whether a form can go beyond the ends of its bands.
bool bounded(const LinearForm& form, const Draws& draws) {
  return std::none_of(form.terms.begin(), form.terms.end(), [&draws](const LinearTerm& term) {
    return term.coefficient != 0.0 && draws.shapes[term.draw].kind() == Shape::Kind::normal;
  });
}

double greatest_value(const std::vector<Node>& nodes) {
  return std::max_element(nodes.begin(), nodes.end(),
                          [](const Node& a, const Node& b) { return a.value < b.value; })
      ->value;
}

double least_value(const std::vector<Node>& nodes) {
  return std::min_element(nodes.begin(), nodes.end(),
                          [](const Node& a, const Node& b) { return a.value < b.value; })
      ->value;
}

}  // namespace

bool is_spread(const LinearForm& form) {
  return std::any_of(form.terms.begin(), form.terms.end(),
                     [](const LinearTerm& term) { return term.coefficient != 0.0; });
}

Measure scaled(Measure measure, double factor) {
  for (double& place : measure.place) {
    place *= factor;
  }
  measure.low *= factor;
  measure.high *= factor;
  if (measure.high < measure.low) {
    std::swap(measure.low, measure.high);
  }
  return measure;
}

Measure size_of(const LinearForm& form, const Draws& draws) {
  const std::vector<Node> nodes = nodes_with_kink(form, draws, 0.0);
  const double most = std::max(greatest_value(nodes), -least_value(nodes));
  MeasureBuilder builder(0.0, most);
  for (const Node& node : nodes) {
    builder.add(std::abs(node.value), node.weight);
  }
  Measure measure = builder.built();
  if (bounded(form, draws)) {
    const Range range = range_of(form, draws);
    measure.high = std::max(std::abs(range.low), std::abs(range.high));
    measure.low = range.low > 0.0 ? range.low : range.high < 0.0 ? -range.high : 0.0;
  }
  return measure;
}

Measure phased_run_out(const MeshModel& mesh, const Draws& draws, double e_1, double e_2) {
  constexpr std::size_t nodes_of_phase = 48;
  const std::vector<Node> one = nodes_with_kink(mesh.run_out_1, draws, 0.0);
  const std::vector<Node> two = nodes_with_kink(mesh.run_out_2, draws, 0.0);
  std::vector<Node> phases{{mesh.run_out_phase->constant, 1.0}};
  if (is_spread(*mesh.run_out_phase)) {
    // Over half a turn: the other half is its mirror image.
    const auto half = nodes_of(Shape::uniform(), nodes_of_phase - 3);
    phases.clear();
    for (const Node& node : half) {
      phases.push_back({0.5 * std::numbers::pi * (1.0 + node.value), node.weight});
    }
  }
  for (Node& phase : phases) {
    const double half = std::cos(0.5 * phase.value);
    phase.value = 4.0 * half * half;
  }
  const double most =
      0.5 * (e_1 * std::max(std::abs(greatest_value(one)), std::abs(least_value(one))) +
             e_2 * std::max(std::abs(greatest_value(two)), std::abs(least_value(two))));
  const bool single = one.size() == 1 && two.size() == 1 && phases.size() == 1;
  MeasureBuilder builder(0.0, single ? 0.0 : most);
  for (const Node& a : one) {
    for (const Node& b : two) {
      const double u = a.value * e_1;
      const double v = b.value * e_2;
      const double square = (u - v) * (u - v);
      for (const Node& phase : phases) {
        builder.add(0.5 * std::sqrt(square + u * v * phase.value),
                    a.weight * b.weight * phase.weight);
      }
    }
  }
  return builder.built();
}

double mean_of(const Measure& measure) {
  double mean = 0.0;
  for (std::size_t i = 0; i < measure.place.size(); ++i) {
    mean += measure.weight[i] * measure.place[i];
  }
  return mean;
}

}  // namespace lashband::band::kernel
