#include "band/spread_nodes.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "band/gauss_rules.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;

// A normal density is followed to here; 1e-17 of it lies beyond.
constexpr double normal_reach_in_sigma = 8.5;
// Gauss-Legendre on a piece of a normal density of this width is good to 1e-12 with as many nodes.
constexpr double normal_piece_in_sigma = 4.0;
constexpr std::size_t nodes_a_piece = 14;
// Nodes for each further bounded draw of a form.
constexpr std::size_t nodes_of_others = 12;
// A node of less weight than this changes nothing.
constexpr double least_weight = 1e-20;

constexpr std::size_t nodes_a_panel = MeasureBuilder::nodes_a_panel;

// Coefficients of the powers of x in P_k, row by row: (k+1) P_{k+1} = (2k+1) x P_k - k P_{k-1}.
using Square = std::array<std::array<double, nodes_a_panel>, nodes_a_panel>;
constexpr Square legendre_coefficients = [] {
  Square row{};
  row[0][0] = 1.0;
  row[1][1] = 1.0;
  for (std::size_t k = 1; k + 1 < nodes_a_panel; ++k) {
    const auto degree = static_cast<double>(k);
    for (std::size_t i = 0; i < nodes_a_panel; ++i) {
      const double raised = i > 0 ? (2.0 * degree + 1.0) * row[k][i - 1] : 0.0;
      row[k + 1][i] = (raised - degree * row[k - 1][i]) / (degree + 1.0);
    }
  }
  return row;
}();

// What the weight of node j takes of each moment of a panel: the measure on the nodes with the same
// moments is sum of (2k+1) P_k(x_j) (Legendre moment k) times the weight of the node.
Square weights_of_moments() {
  const GaussRule& rule = gauss_legendre(nodes_a_panel);
  Square result{};
  for (std::size_t j = 0; j < nodes_a_panel; ++j) {
    for (std::size_t k = 0; k < nodes_a_panel; ++k) {
      double legendre = 0.0;
      for (std::size_t i = nodes_a_panel; i-- > 0;) {
        legendre = legendre * rule.node[j] + legendre_coefficients[k][i];
      }
      const double factor = rule.weight[j] * (2.0 * static_cast<double>(k) + 1.0) * legendre;
      for (std::size_t i = 0; i < nodes_a_panel; ++i) {
        result[j][i] += factor * legendre_coefficients[k][i];
      }
    }
  }
  return result;
}

// The draw that is integrated over piece by piece: a density on [low, high] with corners.
struct Piecewise {
  double low;
  double high;
  std::vector<double> corners;
};

Piecewise pieces_of(const Shape& shape) {
  Piecewise pieces{shape.least(), shape.greatest(), {}};
  switch (shape.kind()) {
    case Shape::Kind::normal:
      pieces.low = -normal_reach_in_sigma * shape.sigma();
      pieces.high = -pieces.low;
      [[fallthrough]];
    case Shape::Kind::truncated_normal: {
      const double width = normal_piece_in_sigma / (3.0 * shape.capability());
      const auto count = static_cast<int>(std::ceil((pieces.high - pieces.low) / width));
      for (int i = 1; i < count; ++i) {
        pieces.corners.push_back(pieces.low + (pieces.high - pieces.low) * i / count);
      }
      break;
    }
    case Shape::Kind::triangular:
      pieces.corners.push_back(shape.mode());
      break;
    case Shape::Kind::tabulated:
      for (const Shape::Point& point : shape.points()) {
        pieces.corners.push_back(point.y);
      }
      break;
    case Shape::Kind::uniform:
      break;
  }
  return pieces;
}

// Nodes of the density over its pieces, with one more corner at `kink`.
void add_piecewise(const Shape& shape, Piecewise pieces, double kink, std::size_t count,
                   std::vector<Node>& nodes) {
  pieces.corners.insert(pieces.corners.end(), {pieces.low, pieces.high, kink});
  std::sort(pieces.corners.begin(), pieces.corners.end());
  const GaussRule& rule = gauss_legendre(count);
  for (std::size_t i = 0; i + 1 < pieces.corners.size(); ++i) {
    const double from = std::max(pieces.corners[i], pieces.low);
    const double to = std::min(pieces.corners[i + 1], pieces.high);
    if (!(to > from)) {
      continue;
    }
    for (std::size_t k = 0; k < rule.node.size(); ++k) {
      const double y = 0.5 * (from + to) + 0.5 * (to - from) * rule.node[k];
      nodes.push_back({y, (to - from) * rule.weight[k] * shape.density(y)});
    }
  }
}

}  // namespace

std::vector<Node> nodes_of(const Shape& shape, std::size_t count) {
  std::vector<Node> nodes;
  if (shape.kind() == Shape::Kind::normal) {
    const GaussRule& rule = gauss_hermite(count);
    for (std::size_t k = 0; k < rule.node.size(); ++k) {
      nodes.push_back({shape.sigma() * rule.node[k], rule.weight[k]});
    }
    return nodes;
  }
  Piecewise pieces = pieces_of(shape);
  const std::size_t each =
      std::min(most_gauss_nodes, std::max<std::size_t>(3, count / (pieces.corners.size() + 1) + 6));
  add_piecewise(shape, std::move(pieces), shape.least(), each, nodes);
  // A density that is no polynomial leaves a trace in the sum of the weights.
  double sum = 0.0;
  for (const Node& node : nodes) {
    sum += node.weight;
  }
  for (Node& node : nodes) {
    node.weight /= sum;
  }
  return nodes;
}

std::vector<Node> nodes_with_kink(const LinearForm& form, const Draws& draws, double kink) {
  double normal_variance = 0.0;
  std::vector<LinearTerm> bounded;
  double constant = form.constant;
  for (const LinearTerm& term : form.terms) {
    const Shape& shape = draws.shapes[term.draw];
    if (term.coefficient == 0.0) {
      continue;
    }
    if (shape.kind() == Shape::Kind::normal) {
      normal_variance += std::pow(term.coefficient * shape.sigma(), 2);
    } else {
      bounded.push_back(term);
    }
  }
  const Shape unit_normal = Shape::normal(1.0);
  const Shape* last = nullptr;
  double reach = 0.0;
  if (normal_variance > 0.0) {
    last = &unit_normal;
    reach = std::sqrt(normal_variance) / unit_normal.sigma();
  } else if (!bounded.empty()) {
    // The widest one smooths the kink best.
    std::sort(bounded.begin(), bounded.end(), [](const LinearTerm& a, const LinearTerm& b) {
      return std::abs(a.coefficient) < std::abs(b.coefficient);
    });
    last = &draws.shapes[bounded.back().draw];
    reach = bounded.back().coefficient;
    bounded.pop_back();
  }
  std::vector<Node> others{{constant, 1.0}};
  for (const LinearTerm& term : bounded) {
    const std::vector<Node> factor = nodes_of(draws.shapes[term.draw], nodes_of_others);
    std::vector<Node> product;
    product.reserve(others.size() * factor.size());
    for (const Node& a : others) {
      for (const Node& b : factor) {
        product.push_back({a.value + term.coefficient * b.value, a.weight * b.weight});
      }
    }
    others = std::move(product);
  }
  if (last == nullptr) {
    return others;
  }
  const Piecewise pieces = pieces_of(*last);
  std::vector<Node> nodes;
  std::vector<Node> inner;
  for (const Node& other : others) {
    inner.clear();
    const double corner = std::clamp((kink - other.value) / reach, pieces.low, pieces.high);
    add_piecewise(*last, pieces, corner, nodes_a_piece, inner);
    for (const Node& node : inner) {
      const double weight = other.weight * node.weight;
      if (std::abs(weight) > least_weight) {
        nodes.push_back({other.value + reach * node.value, weight});
      }
    }
  }
  return nodes;
}

MeasureBuilder::MeasureBuilder(double low, double high)
    : low_(low),
      high_(high),
      panels_per_length_(static_cast<double>(panels) / (high - low)),
      moments_(panels * nodes_a_panel, 0.0) {}

void MeasureBuilder::add_atom(double place, double weight) {
  for (Node& atom : atoms_) {
    if (atom.value == place) {
      atom.weight += weight;
      return;
    }
  }
  atoms_.push_back({place, weight});
}

tolerance::kernel::Measure MeasureBuilder::built() const {
  tolerance::kernel::Measure measure;
  measure.low = low_;
  measure.high = high_;
  for (const Node& atom : atoms_) {
    measure.low = std::min(measure.low, atom.value);
    measure.high = std::max(measure.high, atom.value);
    measure.place.push_back(atom.value);
    measure.weight.push_back(atom.weight);
  }
  if (!(high_ > low_)) {
    return measure;
  }
  const GaussRule& rule = gauss_legendre(nodes_a_panel);
  static const Square shares = weights_of_moments();
  const double width = (high_ - low_) / static_cast<double>(panels);
  for (std::size_t panel = 0; panel < panels; ++panel) {
    const double* moment = &moments_[panel * nodes_a_panel];
    if (std::all_of(moment, moment + nodes_a_panel, [](double m) { return m == 0.0; })) {
      continue;
    }
    for (std::size_t j = 0; j < nodes_a_panel; ++j) {
      double weight = 0.0;
      for (std::size_t i = 0; i < nodes_a_panel; ++i) {
        weight += shares[j][i] * moment[i];
      }
      measure.place.push_back(low_ +
                              width * (static_cast<double>(panel) + 0.5 + 0.5 * rule.node[j]));
      measure.weight.push_back(weight);
    }
  }
  return measure;
}

}  // namespace lashband::band::kernel
