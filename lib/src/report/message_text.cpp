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

std::string warning_text(const design::Warning& warning) {
  std::string text = printable(warning.kind);
  // A warning about the carrier itself names it already.
  if (!warning.carrier.empty() && warning.subject != "carrier " + warning.carrier) {
    text += ", with " + printable(warning.carrier);
  }
  for (const std::string& part : {warning.subject, warning.state}) {
    text += part.empty() ? "" : ", " + printable(part);
  }
  return text + ": " + printable(warning.text);
}

std::string warning_lines(const std::vector<design::Warning>& warnings) {
  if (warnings.empty()) {
    return "";
  }
  std::string out = "\nwarnings\n";
  for (const design::Warning& warning : warnings) {
    out += wrapped("  " + warning_text(warning), 4);
  }
  return out;
}

std::string failure_text(const design::Failure& failure) {
  return printable(failure.subject) +
         (failure.state.empty() ? "" : " at " + printable(failure.state)) + ": " +
         printable(failure.text);
}

std::string failure_lines(const std::vector<design::Failure>& failures) {
  std::string out;
  for (const design::Failure& failure : failures) {
    out += wrapped("not computed: " + failure_text(failure), 4);
  }
  return out;
}

}  // namespace lashband::report
