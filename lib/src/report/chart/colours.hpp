#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

// What charts are drawn with. Every difference that a colour makes is also made by a dash, a shape,
// a shade or a place, for readers who do not tell the colours apart and for grey prints.
namespace lashband::report {

/// The colours of a chart: as numbers, or as names of the page's style sheet, which has them for
/// light, dark and print.
struct Colours {
  std::string worst_case;   ///< area, light
  std::string percentiles;  ///< area, darker
  std::string nominal;      ///< line
  std::string limit;        ///< what is required
  std::string violated;     ///< when it is not kept
  std::string ink;          ///< text
  std::string quiet;        ///< axes
  std::string grid;
  std::array<std::string, 6> series;  ///< carriers, and other things side by side

  /// For a file of its own, on a light ground.
  [[nodiscard]] static Colours plain();
  /// var(--...) of assets/page.css.
  [[nodiscard]] static Colours of_page();

  [[nodiscard]] const std::string& of_series(std::size_t place) const {
    return series[place % series.size()];
  }
};

/// What tells a series apart beside its colour, by the series' place: the dash of its line, and the
/// shape of its points as Vega names it. Their numbers have no common factor with each other and
/// the colours', so that the pairs repeat late.
[[nodiscard]] const std::vector<int>& dash_of_series(std::size_t place);
[[nodiscard]] const std::string& shape_of_series(std::size_t place);

}  // namespace lashband::report
