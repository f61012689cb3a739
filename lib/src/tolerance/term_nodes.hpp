#pragma once

#include <vector>

#include "lashband/tolerance/shape.hpp"

// What integrals over a bounded density need: nodes, or the places where it jumps or bends.
namespace lashband::tolerance::kernel {

struct Nodes {
  std::vector<double> place;
  std::vector<double> weight;
};

/// Gauss-Legendre nodes, panel by panel, of a bounded density: the sum of weight * f(place) is E f
/// to rounding for f = e^{-z y} with |z| <= `exponent`, real or complex, relative to the greatest
/// |f|. A factor y^m adds m/2 to the exponent. Not for the normal kind.
[[nodiscard]] Nodes nodes(const Shape& shape, double exponent);

/// A place where a piecewise linear density jumps or its slope does.
struct Break {
  double y;
  double jump;
  double bend;
};

/// All such places; empty for the kinds that are not piecewise linear. With them
/// E e^{-u y} = sum of e^{-u y_j} (jump_j/u + bend_j/u^2), exactly.
[[nodiscard]] std::vector<Break> breaks(const Shape& shape);

/// Between neighbours the density is smooth. Not for the normal kind.
[[nodiscard]] std::vector<double> panel_ends(const Shape& shape);

}  // namespace lashband::tolerance::kernel
