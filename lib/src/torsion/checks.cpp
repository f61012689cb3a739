#include "torsion/checks.hpp"

#include <cmath>
#include <sstream>

#include "lashband/error.hpp"

namespace lashband::torsion::kernel {
namespace {

bool finite(double value) {
  return std::isfinite(value);
}

bool finite(const std::complex<double>& value) {
  return std::isfinite(value.real()) && std::isfinite(value.imag());
}

template <class Number>
void check_numbers(const std::string& what, const std::vector<Number>& values, std::size_t count) {
  if (values.size() != count) {
    std::string text = what;
    text += ": there must be ";
    text += std::to_string(count);
    text += ", not ";
    text += std::to_string(values.size());
    throw DomainError(text);
  }
  for (std::size_t i = 0; i < count; ++i) {
    if (!finite(values[i])) {
      throw DomainError(numbered(what.c_str(), i) + ": it must be finite");
    }
  }
}

void check_arm(double arm, const std::string& what) {
  require(std::isfinite(arm) && arm != 0.0, what, "an arm must be finite and other than 0", arm);
}

void check(const Element& element, std::size_t inertias, const std::string& what) {
  require(element.first < inertias, what, "its first inertia must be one of the system",
          static_cast<double>(element.first));
  check_arm(element.arm_1, what);
  if (element.second) {
    require(*element.second < inertias, what, "its second inertia must be one of the system",
            static_cast<double>(*element.second));
    require(*element.second != element.first, what, "it must join two different inertias",
            static_cast<double>(*element.second));
    check_arm(element.arm_2, what);
  }
  check(element.law, what);
}

}  // namespace

std::string number_text(double value) {
  std::ostringstream text;
  text.precision(10);
  text << value;
  return text.str();
}

std::string numbered(const char* what, std::size_t index) {
  std::string text = what;
  text += ' ';
  text += std::to_string(index);
  return text;
}

void require(bool holds, const std::string& what, const char* rule, double value,
             const char* unit) {
  if (!holds) {
    std::string text = what;
    text += ": ";
    text += rule;
    text += ", not ";
    text += number_text(value);
    text += unit;
    throw DomainError(text);
  }
}

void require(bool holds, const std::string& what, const char* rule) {
  if (!holds) {
    std::string text = what;
    text += ": ";
    text += rule;
    throw DomainError(text);
  }
}

void check(const Law& law, const std::string& what) {
  const auto not_negative = [&what](double value, const char* rule) {
    require(value >= 0.0 && std::isfinite(value), what, rule, value);
  };
  const auto positive = [&what](double value, const char* rule, const char* unit) {
    require(value > 0.0 && std::isfinite(value), what, rule, value, unit);
  };
  not_negative(law.stiffness, "the stiffness must be 0 or more");
  not_negative(law.damping, "the damping must be 0 or more");
  not_negative(law.loss_factor, "the loss factor must be 0 or more");
  for (const MaxwellBranch& branch : law.branches) {
    positive(branch.stiffness, "the stiffness of a branch must be above 0", "");
    positive(branch.relaxation_time, "the relaxation time of a branch must be above 0 s", " s");
  }
}

void check(const System& system) {
  require(!system.inertias.empty(), "torsional system", "there must be at least one inertia");
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    const double inertia = system.inertias[i];
    if (!(inertia >= 0.0 && std::isfinite(inertia))) {
      require(false, numbered("inertia", i), "it must be 0 kg m2 or more", inertia, " kg m2");
    }
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    check(system.elements[e], system.inertias.size(), numbered("element", e));
  }
}

void check_omega(double omega) {
  require(omega > 0.0 && std::isfinite(omega), "omega", "it must be above 0 rad/s", omega,
          " rad/s");
}

void check_list(const std::string& what, const std::vector<double>& values, std::size_t count) {
  check_numbers(what, values, count);
}

void check_list(const std::string& what, const std::vector<std::complex<double>>& values,
                std::size_t count) {
  check_numbers(what, values, count);
}

}  // namespace lashband::torsion::kernel
