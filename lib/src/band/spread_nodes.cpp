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

constexpr std::size_t panel_nodes = MeasureBuilder::nodes_a_panel;
constexpr std::size_t panel_moments = MeasureBuilder::moments_a_panel;
using PanelMoments = std::array<double, panel_moments>;

// Of a probability of 1e-12 a tail with less than this is a hundred thousandth.
constexpr double least_tail = 1e-17;

// What two panels side by side have as moments on the panel that both are together: a moment of
// (x -+ 1)/2 is a sum of binomials.
PanelMoments merged(const double* left, const double* right) {
  static constexpr auto binomials = [] {
    std::array<PanelMoments, panel_moments> row{};
    for (std::size_t n = 0; n < panel_moments; ++n) {
      row[n][0] = 1.0;
      for (std::size_t k = 1; k <= n; ++k) {
        row[n][k] = row[n - 1][k - 1] + (k < n ? row[n - 1][k] : 0.0);
      }
    }
    return row;
  }();
  PanelMoments result{};
  double scale = 1.0;
  for (std::size_t n = 0; n < panel_moments; ++n) {
    for (std::size_t k = 0; k <= n; ++k) {
      const double from_left = (n - k) % 2 == 0 ? left[k] : -left[k];
      result[n] += binomials[n][k] * (from_left + right[k]);
    }
    result[n] *= scale;
    scale *= 0.5;
  }
  return result;
}

// The recurrence of the monic polynomials that are orthogonal for a measure, p_{k+1} = (x - a_k)
// p_k
// - b_k p_{k-1}, from its moments (Chebyshev's algorithm, as in Gautschi 2004, from memory).
struct PanelRecurrence {
  std::size_t count = 0;  // of nodes
  std::array<double, panel_nodes> a{};
  std::array<double, panel_nodes> b{};
};

PanelRecurrence recurrence_of(const PanelMoments& moment) {
  // Of what a further node would tell, less than this is rounding, and moves nothing.
  constexpr double least_square = 1e-12;
  PanelRecurrence result;
  PanelMoments before{};  // moments of p_{k-1}
  PanelMoments row = moment;
  result.a[0] = moment[1] / moment[0];
  result.count = 1;
  for (std::size_t k = 1; k < panel_nodes; ++k) {
    PanelMoments next{};
    for (std::size_t l = k; l < panel_moments - k; ++l) {
      next[l] = row[l + 1] - result.a[k - 1] * row[l] - (k > 1 ? result.b[k - 1] : 0.0) * before[l];
    }
    if (!(next[k] > least_square * moment[0])) {
      break;
    }
    result.a[k] = next[k + 1] / next[k] - row[k] / row[k - 1];
    result.b[k] = next[k] / row[k - 1];
    result.count = k + 1;
    before = row;
    row = next;
  }
  return result;
}

// The nodes are the eigenvalues of the symmetric matrix with a_k on its diagonal and the roots of
// b_k beside it, the weights the squares of the first numbers of its eigenvectors (Golub and Welsch
// 1969), here by QL steps with implicit shifts (from memory).
std::array<Node, panel_nodes> gauss_nodes(const PanelRecurrence& recurrence) {
  constexpr int most_steps = 50;
  const std::size_t n = recurrence.count;
  std::array<double, panel_nodes> diagonal = recurrence.a;
  std::array<double, panel_nodes> beside{};
  std::array<double, panel_nodes> first{1.0};
  for (std::size_t k = 1; k < n; ++k) {
    beside[k - 1] = std::sqrt(recurrence.b[k]);
  }
  for (std::size_t l = 0; l < n; ++l) {
    for (int step = 0; step < most_steps; ++step) {
      std::size_t m = l;
      while (m + 1 < n &&
             std::abs(beside[m]) > 1e-16 * (std::abs(diagonal[m]) + std::abs(diagonal[m + 1]))) {
        ++m;
      }
      if (m == l) {
        break;
      }
      const double half = 0.5 * (diagonal[l + 1] - diagonal[l]) / beside[l];
      const double shift = diagonal[m] - diagonal[l] +
                           beside[l] / (half + std::copysign(std::hypot(half, 1.0), half));
      double g = shift;
      double sine = 1.0;
      double cosine = 1.0;
      double moved = 0.0;
      for (std::size_t i = m; i-- > l;) {
        double f = sine * beside[i];
        const double b = cosine * beside[i];
        const double r = std::hypot(f, g);
        beside[i + 1] = r;
        sine = r > 0.0 ? f / r : 0.0;
        cosine = r > 0.0 ? g / r : 1.0;
        g = diagonal[i + 1] - moved;
        const double rest = (diagonal[i] - g) * sine + 2.0 * cosine * b;
        moved = sine * rest;
        diagonal[i + 1] = g + moved;
        g = cosine * rest - b;
        f = first[i + 1];
        first[i + 1] = sine * first[i] + cosine * f;
        first[i] = cosine * first[i] - sine * f;
      }
      diagonal[l] -= moved;
      beside[l] = g;
      beside[m] = 0.0;
    }
  }
  std::array<Node, panel_nodes> nodes{};
  for (std::size_t k = 0; k < n; ++k) {
    nodes[k] = {diagonal[k], first[k] * first[k]};
  }
  return nodes;
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

MeasureBuilder::MeasureBuilder(double low, double high, double grain)
    : low_(low),
      high_(high),
      grain_(grain),
      panels_per_length_(static_cast<double>(panels) / (high - low)),
      moments_(panels * moments_a_panel, 0.0) {}

void MeasureBuilder::add_atom(double place, double weight) {
  for (Node& atom : atoms_) {
    if (atom.value == place) {
      atom.weight += weight;
      return;
    }
  }
  atoms_.push_back({place, weight});
}

tolerance::kernel::Measure MeasureBuilder::built(double panel_in_sigma) const {
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
  // As many panels as the standard deviation asks for.
  std::size_t count = panels;
  const double sought = panel_in_sigma * std::max(sigma(), grain_);
  std::vector<PanelMoments> moments(count);
  for (std::size_t i = 0; i < count; ++i) {
    std::copy_n(&moments_[i * panel_moments], panel_moments, moments[i].begin());
  }
  while (count > 1 && 2.0 * (high_ - low_) <= sought * static_cast<double>(count)) {
    count /= 2;
    for (std::size_t i = 0; i < count; ++i) {
      moments[i] = merged(moments[2 * i].data(), moments[2 * i + 1].data());
    }
  }
  const std::size_t whole = count;
  // Tails that hold next to nothing.
  std::size_t first = 0;
  for (double sum = moments[0][0]; sum <= least_tail && first + 1 < count;) {
    sum += moments[++first][0];
  }
  for (double sum = moments[count - 1][0]; sum <= least_tail && first + 1 < count;) {
    sum += moments[--count - 1][0];
  }
  const double width = (high_ - low_) / static_cast<double>(whole);
  for (std::size_t i = first; i < count; ++i) {
    if (moments[i][0] == 0.0) {
      continue;
    }
    const PanelRecurrence recurrence = recurrence_of(moments[i]);
    const std::array<Node, panel_nodes> nodes = gauss_nodes(recurrence);
    for (std::size_t k = 0; k < recurrence.count; ++k) {
      measure.place.push_back(low_ + width * (static_cast<double>(i) + 0.5 + 0.5 * nodes[k].value));
      measure.weight.push_back(moments[i][0] * nodes[k].weight);
    }
  }
  return measure;
}

double MeasureBuilder::sigma() const {
  const double half = 0.5 * (high_ - low_) / static_cast<double>(panels);
  double weight = 0.0;
  double first = 0.0;
  double second = 0.0;
  const auto add_at = [&](double place, double w, double m_1, double m_2) {
    weight += w;
    first += w * place + m_1;
    second += w * place * place + 2.0 * place * m_1 + m_2;
  };
  for (const Node& atom : atoms_) {
    add_at(atom.value - low_, atom.weight, 0.0, 0.0);
  }
  for (std::size_t i = 0; i < panels; ++i) {
    const double* moment = &moments_[i * panel_moments];
    add_at(half * (2.0 * static_cast<double>(i) + 1.0), moment[0], half * moment[1],
           half * half * moment[2]);
  }
  const double mean = first / weight;
  return std::sqrt(std::max(0.0, second / weight - mean * mean));
}

}  // namespace lashband::band::kernel
