#include "torsion/kinematics.hpp"

#include <algorithm>
#include <cmath>

namespace lashband::torsion::kernel {

bool cancels(long double term_1, long double term_2) {
  return std::fabs(term_1 + term_2) <=
         static_cast<long double>(loop_slack) * (std::fabs(term_1) + std::fabs(term_2));
}

Parts parts(const System& system, const std::vector<bool>& holds) {
  const std::size_t n = system.inertias.size();
  std::vector<std::vector<std::size_t>> touching(n);
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    if (holds[e] && element.second) {
      touching[element.first].push_back(e);
      touching[*element.second].push_back(e);
    }
  }
  Parts result;
  result.of.assign(n, n);
  result.ratio.assign(n, 0.0);
  // Exponents enough for the ratios of two hundred stages.
  std::vector<long double> turning(n, 0.0L);
  for (std::size_t start = 0; start < n; ++start) {
    if (result.of[start] != n) {
      continue;
    }
    const std::size_t part = result.held.size();
    result.held.push_back(false);
    result.of[start] = part;
    turning[start] = 1.0L;
    std::vector<std::size_t> members{start};
    for (std::size_t place = 0; place < members.size(); ++place) {
      const std::size_t at = members[place];
      for (const std::size_t e : touching[at]) {
        const Element& element = system.elements[e];
        const bool forward = element.first == at;
        const std::size_t other = forward ? *element.second : element.first;
        if (result.of[other] == n) {
          const long double near = wide(forward ? element.arm_1 : element.arm_2);
          const long double far = wide(forward ? element.arm_2 : element.arm_1);
          result.of[other] = part;
          turning[other] = -turning[at] * near / far;
          members.push_back(other);
        }
      }
    }
    long double greatest = 0.0L;
    for (const std::size_t i : members) {
      greatest = std::max(greatest, std::fabs(turning[i]));
    }
    for (const std::size_t i : members) {
      result.ratio[i] = static_cast<double>(turning[i] / greatest);
    }
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    if (holds[e] && (!element.second || !cancels(wide(element.arm_1) * turning[element.first],
                                                 wide(element.arm_2) * turning[*element.second]))) {
      result.held[result.of[element.first]] = true;
    }
  }
  return result;
}

std::vector<bool> holding(const System& system) {
  std::vector<bool> holds;
  holds.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    holds.push_back(element.law.stiffness > 0.0 || !element.law.branches.empty());
  }
  return holds;
}

std::vector<std::vector<double>> turnings(const Parts& parts) {
  std::vector<std::vector<double>> result;
  for (std::size_t part = 0; part < parts.held.size(); ++part) {
    if (parts.held[part]) {
      continue;
    }
    std::vector<double> turning(parts.of.size(), 0.0);
    for (std::size_t i = 0; i < turning.size(); ++i) {
      if (parts.of[i] == part) {
        turning[i] = parts.ratio[i];
      }
    }
    result.push_back(std::move(turning));
  }
  return result;
}

System with_others_fixed(const System& system, const std::vector<std::size_t>& kept) {
  const std::size_t none = system.inertias.size();
  std::vector<std::size_t> place(none, none);
  System result;
  result.inertias.reserve(kept.size());
  for (const std::size_t i : kept) {
    place[i] = result.inertias.size();
    result.inertias.push_back(system.inertias[i]);
  }
  for (const Element& element : system.elements) {
    const std::size_t first = place[element.first];
    const std::size_t second = element.second ? place[*element.second] : none;
    if (first == none && second == none) {
      continue;
    }
    Element part = element;
    part.second.reset();
    if (first == none) {
      part.first = second;
      part.arm_1 = element.arm_2;
    } else {
      part.first = first;
      if (second != none) {
        part.second = second;
      }
    }
    result.elements.push_back(std::move(part));
  }
  return result;
}

}  // namespace lashband::torsion::kernel
