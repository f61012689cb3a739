#include "failure_probability.hpp"

#include <charconv>

#include "lashband/units/plain_number.hpp"

namespace lashband::report {

const char* fault_word(Fault fault) {
  switch (fault) {
    case Fault::below_least:
      return "below_least";
    case Fault::above_greatest:
      return "above_greatest";
    case Fault::binds:
      break;
  }
  return "bind";
}

bool has_distribution(const design::MeshState& at) {
  return at.gap.j_bind.least.has_value() || at.gap.j_wt.least.has_value();
}

std::optional<double> probability(const design::MeshState& at, Fault fault) {
  switch (fault) {
    case Fault::below_least:
      return at.failure.below_least;
    case Fault::above_greatest:
      return at.failure.above_greatest;
    case Fault::binds:
      break;
  }
  return has_distribution(at) ? std::optional<double>(at.failure.binds) : std::nullopt;
}

std::optional<MostLikely> most_likely(const design::MeshResult& mesh, Fault fault) {
  std::optional<MostLikely> worst;
  for (const design::MeshState& at : mesh.states) {
    const std::optional<double> here = probability(at, fault);
    if (here && (!worst || *here > worst->probability)) {
      worst = MostLikely{*here, at.state};
    }
  }
  return worst;
}

std::optional<design::SampledProbability> anywhere(const design::MeshResult& mesh, Fault fault) {
  if (!mesh.anywhere) {
    return std::nullopt;
  }
  switch (fault) {
    case Fault::below_least:
      return mesh.anywhere->below_least;
    case Fault::above_greatest:
      return mesh.anywhere->above_greatest;
    case Fault::binds:
      break;
  }
  return mesh.anywhere->binds;
}

std::string probability_text(double probability, bool sampled) {
  if (probability == 0.0) {
    return sampled ? "none" : "0";
  }
  if (probability == 1.0) {
    return "1";
  }
  if (probability > 0.0 && probability < 1e-12) {
    return "<1e-12";  // the accuracy of the tails ends there
  }
  if (probability >= 0.9995 && probability < 1.0) {
    return ">0.999";
  }
  if (probability >= 0.001) {
    return units::fixed_number(probability, probability < 0.01 ? 4 : 3);
  }
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), probability,
                                 std::chars_format::scientific, 1);
  return {buffer.data(), end.ptr};
}

const char* fault_phrase(Fault fault) {
  switch (fault) {
    case Fault::below_least:
      return "below the least asked for";
    case Fault::above_greatest:
      return "above the greatest asked for";
    case Fault::binds:
      break;
  }
  return "binds";
}

std::string sampled_text(const design::SampledProbability& sampled) {
  const std::string value = probability_text(sampled.value, true);
  return sampled.value == 0.0 ? value
                              : value + " ± " + probability_text(sampled.standard_error, false);
}

}  // namespace lashband::report
