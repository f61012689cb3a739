#include "chart.hpp"

#include "report/terminal_table.hpp"

namespace lashband::report {

std::string named(std::string_view name) {
  constexpr std::size_t longest = 48;
  const std::string text = printable(name);
  return columns_of(text) <= longest ? text : left(text, longest);
}

}  // namespace lashband::report
