#include "line_words.hpp"

#include <cstdlib>

#include "number_text.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

using spectrum::LineKind;

std::string times(int count, const char* symbol) {
  return count == 1 ? symbol : std::to_string(count) + " " + symbol;
}

std::string multiple_of(int count, const char* what) {
  return count == 1 ? what : std::to_string(count) + " x " + what;
}

}  // namespace

const char* kind_word(LineKind kind) {
  switch (kind) {
    case LineKind::mesh:
      return "mesh";
    case LineKind::sideband:
      return "sideband";
    case LineKind::hunting_tooth:
      return "hunting_tooth";
    case LineKind::assembly_phase:
      return "assembly_phase";
    case LineKind::cage:
      return "cage";
    case LineKind::rolling_element:
      return "rolling_element";
    case LineKind::inner_race:
      return "inner_race";
    case LineKind::outer_race:
      return "outer_race";
    case LineKind::excitation:
      return "excitation";
    case LineKind::shaft:
      break;
  }
  return "shaft";
}

std::string source_words(const spectrum::Line& line) {
  switch (line.kind) {
    case LineKind::mesh:
    case LineKind::sideband:
    case LineKind::hunting_tooth:
    case LineKind::assembly_phase:
      return "mesh " + printable(line.source);
    case LineKind::cage:
    case LineKind::rolling_element:
    case LineKind::inner_race:
    case LineKind::outer_race:
      return "bearing " + printable(line.source);
    case LineKind::excitation:
      return "excitation " + printable(line.source);
    case LineKind::shaft:
      break;
  }
  return "shaft " + printable(line.source);
}

std::string multiple_words(const spectrum::Line& line) {
  switch (line.kind) {
    case LineKind::mesh:
      return times(line.harmonic, "f_z");
    case LineKind::sideband:
      return times(line.harmonic, "f_z") + (line.sideband < 0 ? " - " : " + ") +
             times(std::abs(line.sideband), "n") + " " + printable(line.around);
    case LineKind::hunting_tooth:
      return "hunting tooth";
    case LineKind::assembly_phase:
      return "assembly phase";
    case LineKind::cage:
      return multiple_of(line.harmonic, "cage");
    case LineKind::rolling_element:
      return multiple_of(line.harmonic, "rolling element");
    case LineKind::inner_race:
      return multiple_of(line.harmonic, "inner race");
    case LineKind::outer_race:
      return multiple_of(line.harmonic, "outer race");
    case LineKind::excitation:
      return "order " + rounded_number(line.order, 6);
    case LineKind::shaft:
      break;
  }
  return times(line.harmonic, "n");
}

std::string line_words(const spectrum::Line& line) {
  return source_words(line) + ", " + multiple_words(line);
}

}  // namespace lashband::report
