#include "requirement_text.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "angle_text.hpp"
#include "lashband/units/plain_number.hpp"
#include "numbers.hpp"
#include "state_text.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
std::string verdict(bool met, const View& view) {
  std::string word = met ? "met" : "NOT MET";
  if (!view.color) {
    return word;
  }
  return (met ? "\x1b[32m" : "\x1b[1;31m") + word + "\x1b[0m";
}

std::string basis_text(design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return "nominal";
    case design::Basis::rss:
      return "root sum square";
    case design::Basis::percentile:
      return "percentiles (0.135 and 99.865)";
    case design::Basis::worst_case:
      break;
  }
  return "worst case";
}

std::string requirement_words(std::string what) {
  std::replace(what.begin(), what.end(), '_', ' ');
  return what;
}

std::string limit_sign(const design::RequirementRow& row) {
  return row.what.substr(0, 8) == "greatest" ? "≤ " : "≥ ";
}

std::string ratio_text(double ratio) {
  return std::isinf(ratio) ? "∞" : units::fixed_number(ratio, 3);
}

std::string requirement_value(const design::RequirementRow& row, double value, const View& view) {
  switch (row.kind) {
    case design::RequirementRow::Kind::ratio:
      return ratio_text(value);
    case design::RequirementRow::Kind::angle: {
      // Limit and what was found in one unit.
      const double greater = std::max(std::abs(row.limit), std::abs(row.found));
      return AngleScale(units::from_si<units::Angle>(greater))
          .with_unit(units::from_si<units::Angle>(value));
    }
    case design::RequirementRow::Kind::length:
      break;
  }
  return Numbers(view.units).gap_with_unit(units::from_si<units::Length>(value));
}

namespace {

// A row of a loop or of lost motion: what it is about says what is asked for, and is too long for
// the column of meshes.
bool is_of_train(const design::RequirementRow& row) {
  return row.what == "no_loop_binding" || row.what == "greatest_lost_motion";
}

// A margin names the excitation and the mode, which takes a line as well.
bool has_own_line(const design::RequirementRow& row) {
  return is_of_train(row) || row.what == "least_resonance_margin";
}

std::string words_of_own_line(const design::RequirementRow& row) {
  return row.what == "no_loop_binding"          ? "no binding"
         : row.what == "least_resonance_margin" ? requirement_words(row.what)
                                                : "greatest";
}

}  // namespace

std::string requirement_line(const design::RequirementRow& row, const View& view) {
  return printable(row.mesh) + (is_of_train(row) ? "" : " " + requirement_words(row.what)) + ": " +
         requirement_value(row, row.found, view) + " against " +
         requirement_value(row, row.limit, view) + ", " + printable(row.state);
}

namespace {

// The rows in their order, those of one basis together.
std::vector<design::RequirementRow> by_basis(std::vector<design::RequirementRow> rows) {
  const auto place = [first = rows](design::Basis basis) {
    return std::find_if(first.begin(), first.end(),
                        [basis](const auto& row) { return row.basis == basis; }) -
           first.begin();
  };
  std::stable_sort(rows.begin(), rows.end(), [&place](const auto& a, const auto& b) {
    return place(a.basis) < place(b.basis);
  });
  return rows;
}

}  // namespace

std::string requirement_table(const std::vector<design::RequirementRow>& rows,
                              const std::vector<design::State>& states, const View& view) {
  if (rows.empty()) {
    return "";
  }
  std::string out;
  std::optional<design::Basis> basis;
  for (const design::RequirementRow& row : by_basis(rows)) {
    if (basis != row.basis) {
      out += "requirements, judged on: " + basis_text(row.basis) + "\n";
      out += "  " + left("mesh", 8) + left("", 24) + right("limit", 12) + right("found", 11) +
             "  at\n";
      basis = row.basis;
    }
    // Angles need more room than lengths.
    const std::size_t more = row.kind == design::RequirementRow::Kind::angle ? 3 : 0;
    if (has_own_line(row)) {
      out += wrapped("  " + printable(row.mesh), 4);
      out += "  " + left("", 8) + left(words_of_own_line(row), 24 - 2 * more);
    } else {
      out += "  " + left(printable(row.mesh), 7) + " " + left(requirement_words(row.what), 24);
    }
    out += right(limit_sign(row) + requirement_value(row, row.limit, view), 12 + more) +
           right(requirement_value(row, row.found, view), 11 + more) + "  " +
           state_label(states, row.state, 13) + " " + verdict(row.met, view) + "\n";
  }
  return out + "  " + requirement_count(rows);
}

std::string requirement_count(const std::vector<design::RequirementRow>& rows) {
  if (rows.empty()) {
    return "";
  }
  const auto failed =
      std::count_if(rows.begin(), rows.end(), [](const auto& row) { return !row.met; });
  const std::string all = std::to_string(rows.size());
  const std::string noun = rows.size() == 1 ? " requirement" : " requirements";
  return failed == 0
             ? (rows.size() == 1 ? "the one requirement met\n" : "all " + all + noun + " met\n")
             : std::to_string(failed) + " of " + all + noun + " not met\n";
}

}  // namespace lashband::report
