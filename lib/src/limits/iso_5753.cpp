#include "lashband/limits/iso_5753.hpp"

#include <array>
#include <cstddef>
#include <string>

#include "lashband/error.hpp"
#include "size_range.hpp"

namespace lashband::limits {
namespace {

using units::Band;
using units::Length;

constexpr std::array<std::string_view, 4> names = {"C2", "CN", "C3", "C4"};

struct Clearance {
  double low;
  double high;
};

constexpr double start_in_mm = 6;
constexpr std::size_t rows = 9;
constexpr std::array<double, rows> ends_in_mm = {10, 18, 24, 30, 40, 50, 65, 80, 100};

// Micrometres. A row for each range of bores, a column for each class.
constexpr std::array<std::array<Clearance, names.size()>, rows> clearances = {{
    {{{0, 7}, {2, 13}, {8, 23}, {14, 29}}},
    {{{0, 9}, {3, 18}, {11, 25}, {18, 33}}},
    {{{0, 10}, {5, 20}, {13, 28}, {20, 36}}},
    {{{1, 11}, {5, 20}, {13, 28}, {23, 41}}},
    {{{1, 11}, {6, 20}, {15, 33}, {28, 46}}},
    {{{1, 11}, {6, 23}, {18, 36}, {30, 51}}},
    {{{1, 15}, {8, 28}, {23, 43}, {38, 61}}},
    {{{1, 15}, {10, 30}, {25, 51}, {46, 71}}},
    {{{1, 18}, {12, 36}, {30, 58}, {53, 84}}},
}};

std::size_t row_of_bore(Length bore) {
  return kernel::row_of(bore, start_in_mm, ends_in_mm, "the bore of a bearing of ISO 5753-1");
}

std::size_t column_of(ClearanceClass clearance_class) {
  const auto column = static_cast<std::size_t>(clearance_class);
  if (column >= names.size()) {
    throw DomainError("clearance class " + std::to_string(static_cast<int>(clearance_class)) +
                      " is none of the four that exist");
  }
  return column;
}

}  // namespace

std::string_view clearance_class_name(ClearanceClass clearance_class) {
  return names[column_of(clearance_class)];
}

Band<Length> internal_clearance(ClearanceClass clearance_class, Length bore) {
  const Clearance& clearance = clearances[row_of_bore(bore)][column_of(clearance_class)];
  return {kernel::micrometres(clearance.low), kernel::micrometres(clearance.high)};
}

Certainty internal_clearance_certainty(Length bore) {
  return row_of_bore(bore) == 0 ? Certainty::memory : Certainty::seen;
}

}  // namespace lashband::limits
