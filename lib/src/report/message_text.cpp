#include "message_text.hpp"

#include "terminal_table.hpp"

namespace lashband::report {

std::string title_lines(const design::Provenance& input) {
  return input.title.empty() ? std::string() : wrapped(printable(input.title), 0);
}

std::string sampling_line(const std::optional<design::Sampling>& sampling) {
  if (!sampling) {
    return "";
  }
  return wrapped("sampled: " + std::to_string(sampling->samples) + " units, seed " +
                     std::to_string(sampling->seed) + ", " + printable(sampling->instruction_set),
                 2);
}

std::string warning_lines(const std::vector<design::Warning>& warnings) {
  if (warnings.empty()) {
    return "";
  }
  std::string out = "\nwarnings\n";
  for (const design::Warning& warning : warnings) {
    std::string line = "  " + warning.kind;
    // A warning about the carrier itself names it already.
    if (!warning.carrier.empty() && warning.subject != "carrier " + warning.carrier) {
      line += ", with " + printable(warning.carrier);
    }
    if (!warning.subject.empty()) {
      line += ", " + printable(warning.subject);
    }
    if (!warning.state.empty()) {
      line += ", " + printable(warning.state);
    }
    out += wrapped(line + ": " + printable(warning.text), 4);
  }
  return out;
}

std::string failure_lines(const std::vector<design::Failure>& failures) {
  std::string out;
  for (const design::Failure& failure : failures) {
    out += wrapped("not computed: " + printable(failure.subject) +
                       (failure.state.empty() ? "" : " at " + printable(failure.state)) + ": " +
                       printable(failure.text),
                   4);
  }
  return out;
}

}  // namespace lashband::report
