#include "report/time_plot.hpp"

#include <cmath>
#include <limits>

#include "catch.hpp"
#include "report/terminal_table.hpp"

using namespace lashband;

namespace {

report::TimePlot small_plot() {
  report::TimePlot plot;
  plot.rows = 6;
  plot.times = {0.0, 60.0, 180.0, 600.0};
  plot.curves = {{"high", '+', {60.0, 40.0, 45.0, 70.0}}, {"low", 'o', {30.0, 5.0, 10.0, 40.0}}};
  plot.levels = {{"≥ 20.0", 20.0}};
  plot.marks = {{report::PlotMark::Kind::least, 1, 1}, {report::PlotMark::Kind::greatest, 0, 3}};
  return plot;
}

// A constant over so many seconds.
std::string constant(double value, double from, double length) {
  report::TimePlot plot;
  plot.rows = 4;
  plot.times = {from, from + length};
  plot.curves = {{"", '*', {value, value}}};
  return report::plot_text(plot, true);
}

std::string last_line(const std::string& text) {
  return text.substr(text.rfind('\n', text.size() - 2) + 1);
}

}  // namespace

TEST_CASE("curves of braille dots, with limit, marks, names and both axes") {
  CHECK(report::plot_text(small_plot(), false) ==
        R"(        │                                                        ⣀⣀⣀⣀ high
     60 ┤⠦⣀⡀                           ⢀⣀⣀⣀⣀⣀⣀⠤⠤⠤⠤⠤⠤⠒⠒⠒⠒⠒⠒⠊⠉⠉⠉⠉⠉⠉   ↑
        │  ⠈⠑⠢⢄⣀⣀⣀⠤⠤⠤⠤⠤⠤⠤⠤⠤⠒⠒⠒⠒⠒⠒⠊⠉⠉⠉⠉⠉⠁                         ⢀⣀⣀⣀ low
     30 ┤⠦⣀                                 ⢀⣀⣀⣀⣀⡠⠤⠤⠤⠤⠤⠒⠒⠒⠒⠒⠉⠉⠉⠉⠉⠁
        │⠉ ⠙⠢⢍⡀↓ ⠉ ⠉ ⣉⣀⣉⣀⣉⣀⣉⡠⠭⠤⠭⠤⠭⠒⠛⠒⠛⠒⠉⠉⠉⠉⠉⠁⠉ ⠉ ⠉ ⠉ ⠉ ⠉ ⠉ ⠉ ⠉ ⠉ ⠉ ⠉  ≥ 20.0
      0 ┤     ⠈⠉⠉⠉⠉⠉⠉
        └┬───────────┬───────────┬───────────┬───────────┬──────────┬
         0           2           4           6           8         10 min
)");
}

TEST_CASE("the same plot in ASCII") {
  report::TimePlot plot = small_plot();
  plot.levels[0].name = ">= 20.0";
  CHECK(report::plot_text(plot, true) ==
        R"(        |                                                        ++++ high
     60 +++                             +++++++++++++++++++++++++   ^
        |  +++++++++++++++++++++++++++++                         oooo low
     30 +oo                                 ooooooooooooooooooooo
        |- ooo v - - ooooooooooooooooooooooo - - - - - - - - - - - -  >= 20.0
      0 +     ooooooo
        ++-----------+-----------+-----------+-----------+----------+
         0           2           4           6           8         10 min
)");
}

TEST_CASE("a constant, and a plot without times or values") {
  CHECK_THAT(constant(-40.0, 0.0, 100.0), ContainsText(std::string(60, '*')));
  CHECK(constant(1.0, 5.0, 0.0).empty());
  report::TimePlot plot = small_plot();
  for (report::PlotCurve& curve : plot.curves) {
    for (double& value : curve.values) {
      value = std::numeric_limits<double>::quiet_NaN();
    }
  }
  CHECK(report::plot_text(plot, false).empty());
  CHECK(report::plot_text({}, false).empty());
}

TEST_CASE("values that are lacking leave a gap") {
  report::TimePlot plot;
  plot.times = {0.0, 20.0, 40.0, 59.0};
  plot.curves = {{"", '*', {1.0, 1.0, std::numeric_limits<double>::quiet_NaN(), 1.0}}};
  const std::string text = report::plot_text(plot, true);
  CHECK_THAT(text, ContainsText("|" + std::string(21, '*') + std::string(38, ' ') + "*\n"));
}

TEST_CASE("the time axis has a unit that suits, numbers that are round and none cut") {
  CHECK_THAT(last_line(constant(0.0, 0.0, 0.5)), ContainsText("0.1         0.2"));
  CHECK_THAT(last_line(constant(0.0, 0.0, 300.0)), EndsWith(" s\n"));
  CHECK_THAT(last_line(constant(0.0, 0.0, 301.0)), EndsWith(" min\n"));
  CHECK_THAT(last_line(constant(0.0, 0.0, 4.0 * 3600.0 + 1.0)), EndsWith(" h\n"));
  CHECK_THAT(last_line(constant(0.0, 0.0, 400.0 * 3600.0)), EndsWith(" d\n"));
  for (const double length : {1e-3, 0.7, 45.0, 299.0, 1e3, 1.5e4, 1e5, 4e5, 1e6, 3e8}) {
    for (const double from : {0.0, -20.0, 1234.5, 1.7e9}) {
      const std::string text = constant(0.0, from, length);
      INFO(text);
      for (std::size_t at = 0; at < text.size(); at = text.find('\n', at) + 1) {
        CHECK(report::columns_of(text.substr(at, text.find('\n', at) - at)) <=
              report::terminal_width);
      }
      // Only a number that a label was made of stands there.
      CHECK(last_line(text).find_first_of("0123456789") != std::string::npos);
    }
  }
}

TEST_CASE("every value is within the rows, whatever its size") {
  for (const double size : {1e-9, 1e-3, 1.0, 37.0, 999.0, 1e5, 1e12}) {
    report::TimePlot plot;
    plot.rows = 8;
    plot.least_span = 1e-12;
    plot.times = {0.0, 10.0};
    plot.curves = {{"", '*', {-size, 2.0 * size}}};
    const std::string text = report::plot_text(plot, true);
    INFO(text);
    // The line goes from the lowest to the highest row that there is.
    const std::size_t first = text.find('\n');
    CHECK(text.substr(0, first).find('*') != std::string::npos);
    CHECK(std::count(text.begin(), text.end(), '\n') <= 8 + 2);
    CHECK(std::count(text.begin(), text.end(), '\n') >= 5 + 2);
  }
}
