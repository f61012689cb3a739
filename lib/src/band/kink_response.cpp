#include "band/kink_response.hpp"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numeric>
#include <utility>

namespace lashband::band::kernel {

KinkResponse::KinkResponse(const std::vector<std::size_t>& elongations, std::size_t draws,
                           double other_variance,
                           const std::function<FloatMoments(const std::vector<double>&)>& moments) {
  // A variance that vanishes or grows beyond this is no matter of a scale: the terms of another
  // centre have to tell it.
  constexpr double greatest_log = 1.5;
  std::vector<double> y(draws, 0.0);
  const FloatMoments mid = moments(y);
  const auto change = [&](const std::vector<double>& at) {
    const FloatMoments there = moments(at);
    const double ratio = (other_variance + there.variance) / (other_variance + mid.variance);
    const double log_ratio = std::log(ratio);
    return KinkChange{there.mean - mid.mean, std::abs(log_ratio) <= greatest_log ? log_ratio : 0.0};
  };
  for (const std::size_t draw : elongations) {
    y[draw] = -1.0;
    const KinkChange below = change(y);
    y[draw] = 1.0;
    const KinkChange above = change(y);
    y[draw] = 0.0;
    const Response response{
        draw,
        {0.5 * (above.mean - below.mean), 0.5 * (above.log_variance - below.log_variance)},
        {0.5 * (above.mean + below.mean), 0.5 * (above.log_variance + below.log_variance)}};
    if (response.rise.mean != 0.0 || response.bend.mean != 0.0 ||
        response.rise.log_variance != 0.0 || response.bend.log_variance != 0.0) {
      responses_.push_back(response);
    }
  }
  for (std::size_t i = 0; i < responses_.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      const Response& one = responses_[i];
      const Response& other = responses_[k];
      y[one.draw] = y[other.draw] = reach_of_crossing;
      const KinkChange one_way = change(y);
      y[one.draw] = y[other.draw] = -reach_of_crossing;
      const KinkChange opposite = change(y);
      y[one.draw] = y[other.draw] = 0.0;
      // Odd powers cancel between the two.
      constexpr double square = reach_of_crossing * reach_of_crossing;
      crossings_.push_back(
          {one.draw, other.draw,
           0.5 * (one_way.mean + opposite.mean) / square - one.bend.mean - other.bend.mean,
           0.5 * (one_way.log_variance + opposite.log_variance) / square - one.bend.log_variance -
               other.bend.log_variance});
    }
  }
}

KinkChange KinkResponse::bent_by(std::size_t draw) const {
  for (const Response& response : responses_) {
    if (response.draw == draw) {
      return {response.bend.mean, std::copysign(std::abs(response.rise.log_variance) +
                                                    std::abs(response.bend.log_variance),
                                                response.rise.log_variance)};
    }
  }
  return {};
}

KinkChange KinkResponse::from(const std::vector<double>& centre,
                              const std::vector<double>& y) const {
  const KinkChange there = at(y);
  const KinkChange here = at(centre);
  return {there.mean - here.mean, there.log_variance - here.log_variance};
}

KinkChange KinkResponse::at(const std::vector<double>& y) const {
  KinkChange sum;
  for (const Response& response : responses_) {
    const double by = y[response.draw];
    sum.mean += (response.rise.mean + response.bend.mean * by) * by;
    sum.log_variance += (response.rise.log_variance + response.bend.log_variance * by) * by;
  }
  for (const Crossing& crossing : crossings_) {
    const double by = y[crossing.first] * y[crossing.second];
    sum.mean += crossing.mean * by;
    sum.log_variance += crossing.log_variance * by;
  }
  return sum;
}

double spread_by(const KinkChange& change) {
  constexpr double most = 0.3;
  return std::exp(0.5 * std::clamp(change.log_variance, -most, most));
}

Pieces pieces_of(const ElongationNodes& nodes, const std::vector<double>& sigmas,
                 std::span<const KinkedTerms> kinked) {
  Pieces pieces{{nodes.mids()}, std::vector<std::size_t>(nodes.count(), 0)};
  double variance = 0.0;
  for (const KinkedTerms& terms : kinked) {
    variance += terms.variance;
  }
  // How much a term changes along the elongations: of the variance, and the bend of the mean over
  // the standard deviation.
  std::vector<double> along(sigmas.size(), 0.0);
  double square = 0.0;
  for (const KinkedTerms& terms : kinked) {
    if (!terms.response.any() || !(variance > 0.0)) {
      continue;
    }
    for (std::size_t draw = 0; draw < along.size(); ++draw) {
      const KinkChange bent = terms.response.bent_by(draw);
      along[draw] += terms.variance / variance * bent.log_variance +
                     std::copysign(2.0 * std::abs(bent.mean * terms.slope) / std::sqrt(variance),
                                   bent.log_variance);
    }
  }
  for (std::size_t draw = 0; draw < along.size(); ++draw) {
    square += std::pow(along[draw] * sigmas[draw], 2);
  }
  const double sigma = std::sqrt(square);
  // The error of a percentile falls with the square of the number of pieces: 1e-3 of the spread is
  // left.
  constexpr double for_one_more = 200.0;
  constexpr double most_pieces = 15.0;
  const double wanted = std::min(most_pieces, std::sqrt(for_one_more * sigma));
  if (!(wanted > 1.0)) {
    return pieces;
  }
  // An odd number, so that the mids are a centre. Ends as for the least square from the centres of
  // a normal density (Panter and Dite 1951, from memory).
  const std::size_t count = 2 * static_cast<std::size_t>(std::ceil(0.5 * (wanted - 1.0))) + 1;
  std::vector<double> ends;
  ends.reserve(count);
  for (std::size_t i = 1; i < count; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(count);
    ends.push_back(-std::sqrt(6.0) * boost::math::erfc_inv(2.0 * share) * sigma);
  }
  std::vector<double> weights(count, 0.0);
  std::vector<std::vector<double>> centres(count, std::vector<double>(along.size(), 0.0));
  std::vector<double> y;
  for (std::size_t i = 0; i < nodes.count(); ++i) {
    const double weight = nodes.at(i, y);
    const double way = std::inner_product(y.begin(), y.end(), along.begin(), 0.0);
    const auto number =
        static_cast<std::size_t>(std::upper_bound(ends.begin(), ends.end(), way) - ends.begin());
    pieces.of_node[i] = number;
    weights[number] += weight;
    for (std::size_t draw = 0; draw < y.size(); ++draw) {
      centres[number][draw] += weight * y[draw];
    }
  }
  pieces.centres.clear();
  std::vector<std::size_t> renumbered(count, 0);
  for (std::size_t number = 0; number < count; ++number) {
    if (weights[number] == 0.0) {
      continue;
    }
    for (double& place : centres[number]) {
      place /= weights[number];
      // Rounding must not make another measure of what is that of the mids.
      constexpr double rounding = 1e-12;
      place = std::abs(place) < rounding ? 0.0 : place;
    }
    renumbered[number] = pieces.centres.size();
    pieces.centres.push_back(std::move(centres[number]));
  }
  for (std::size_t& number : pieces.of_node) {
    number = renumbered[number];
  }
  return pieces;
}

}  // namespace lashband::band::kernel
