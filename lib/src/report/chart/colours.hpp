#pragma once

#include <array>
#include <cstddef>
#include <string>

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

}  // namespace lashband::report
