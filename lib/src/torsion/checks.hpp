#pragma once

#include <complex>
#include <cstddef>
#include <string>
#include <vector>

#include "torsion/system.hpp"

/// What the functions of this room ask of their arguments, said in one place.
namespace lashband::torsion::kernel {

/// Ten digits: enough to find the number in the input, without the noise of binary fractions.
[[nodiscard]] std::string number_text(double value);

/// "inertia 3"
[[nodiscard]] std::string numbered(const char* what, std::size_t index);

/// Throws DomainError, "<what>: <rule>, not <value><unit>", unless the rule holds.
void require(bool holds, const std::string& what, const char* rule, double value,
             const char* unit = "");

/// Throws DomainError, "<what>: <rule>", unless the rule holds.
void require(bool holds, const std::string& what, const char* rule);

/// Throws DomainError unless every value is in its range and every index points at an inertia.
void check(const System& system);
void check(const Law& law, const std::string& what);

/// Throws DomainError unless omega > 0 and finite.
void check_omega(double omega);

/// Throws DomainError unless there are `count` finite numbers.
void check_list(const std::string& what, const std::vector<double>& values, std::size_t count);
void check_list(const std::string& what, const std::vector<std::complex<double>>& values,
                std::size_t count);

}  // namespace lashband::torsion::kernel
