#include "band/part_terms.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "band/gap_terms.hpp"

namespace lashband::band::kernel {
namespace {

using tolerance::Shape;
using tolerance::kernel::Measure;
using tolerance::kernel::Part;
using tolerance::kernel::Term;

double variance_of(const Measure& measure) {
  const double mean = mean_of(measure);
  double variance = 0.0;
  for (std::size_t i = 0; i < measure.place.size(); ++i) {
    variance += measure.weight[i] * std::pow(measure.place[i] - mean, 2);
  }
  return variance;
}

}  // namespace

FloatMoments moments_of(const std::vector<Term>& terms, const std::vector<Measure>& measures) {
  FloatMoments sum;
  for (const Term& term : terms) {
    sum.mean += term.reach * term.shape->mean();
    sum.variance += std::pow(term.reach * term.shape->sigma(), 2);
  }
  for (const Measure& measure : measures) {
    sum.mean += mean_of(measure);
    sum.variance += variance_of(measure);
  }
  return sum;
}

std::shared_ptr<const std::vector<Shape>> with_a_normal(std::vector<Shape> shapes) {
  shapes.push_back(Shape::normal());
  return std::make_shared<const std::vector<Shape>>(std::move(shapes));
}

bool needs_smoothing(const Part& part) {
  constexpr std::size_t few = 6;
  constexpr std::size_t many_places = 8;
  const auto broad = [](const tolerance::kernel::Measure& measure) {
    return measure.place.size() > many_places;
  };
  const auto normal = [](const Term& term) { return term.shape->kind() == Shape::Kind::normal; };
  return part.plain.size() + part.curved.size() <= few &&
         std::none_of(part.plain.begin(), part.plain.end(), normal) &&
         std::none_of(part.curved.begin(), part.curved.end(), normal) &&
         (std::any_of(part.plain_measures.begin(), part.plain_measures.end(), broad) ||
          std::any_of(part.curved_measures.begin(), part.curved_measures.end(), broad));
}

}  // namespace lashband::band::kernel
