#include "io/measured_table.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <system_error>
#include <utility>

#include "io/shown_text.hpp"
#include "io/table_number.hpp"
#include "io/table_text.hpp"
#include "lashband/units/parse.hpp"

namespace lashband::io {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

std::string count_of(std::size_t count, const std::string& one) {
  return std::to_string(count) + ' ' + one + (count == 1 ? "" : "s");
}

/// Where the bracket that the last character of `text` closes was opened.
std::size_t opening_bracket(std::string_view text) {
  const char close = text.back();
  const char open = close == ']' ? '[' : '(';
  std::size_t depth = 0;
  for (std::size_t i = text.size(); i-- > 0;) {
    depth += text[i] == close ? 1U : 0U;
    if (text[i] == open && --depth == 0) {
      return i;
    }
  }
  return std::string_view::npos;
}

/// The parts of a head. Empty where its brackets do not pair.
std::optional<ColumnHead> head_of(std::string_view text) {
  text = trimmed(text);
  if (text.empty() || (text.back() != ']' && text.back() != ')')) {
    const bool stray = text.find_first_of("[]") != std::string_view::npos;
    return stray ? std::nullopt : std::optional(ColumnHead{std::string(text), ""});
  }
  const std::size_t open = opening_bracket(text);
  if (open == std::string_view::npos) {
    return std::nullopt;
  }
  const std::string_view unit = text.substr(open + 1, text.size() - open - 2);
  return ColumnHead{std::string(trimmed(text.substr(0, open))), std::string(trimmed(unit))};
}

/// What keeps the bytes of a head from being one line of UTF-8 text, or nothing.
std::string text_fault(std::string_view text) {
  for (std::size_t offset = 0; offset < text.size();) {
    const Utf8Character character = utf8_at(text, offset);
    if (!character.valid) {
      return "is not UTF-8; save the table as CSV in UTF-8";
    }
    if (is_control(character.code_point)) {
      return "holds a control character; a head is one line of text";
    }
    offset += character.bytes;
  }
  return {};
}

struct Separator {
  char character;
  std::string_view name;
};
constexpr std::array separators{Separator{',', "commas"}, Separator{';', "semicolons"},
                                Separator{'\t', "tabs"}};

class TableReader {
 public:
  TableReader(const std::filesystem::path& file, const std::string& shown_name,
              const ByteListener& on_bytes, const HeadExample& example)
      : problems_(shown_name), window_(file, on_bytes, problems_), example_(example) {
    table_.file = shown_name;
  }

  [[nodiscard]] MeasuredTable read() {
    skip_byte_order_mark();
    skip_to_head();
    read_head();
    read_rows();
    if (rows_ == 0) {
      problems_.report(table_.head_line, 1,
                       [] { return std::string("no rows of numbers stand below the head"); });
    }
    if (!doubtful_comma_.empty() && !commas_are_decimal_) {
      problems_.report(doubtful_line_, doubtful_column_, [this] { return doubtful_comma_; });
    }
    problems_.throw_if_any();
    return std::move(table_);
  }

 private:
  /// Brings more of the text into memory. Returns false at the end of the file.
  bool read_on() {
    if (window_.fill()) {
      return true;
    }
    if (!window_.at_file_end()) {
      problems_.refuse(line_, 1,
                       "the line that begins here is longer than 256 KiB, which is the most that "
                       "is read; perhaps a quotation mark is not closed");
    }
    return false;
  }

  void skip_byte_order_mark() {
    read_on();
    const std::string_view text = window_.text();
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
      problems_.refuse(0, 0, "is text in UTF-16; save the table as CSV in UTF-8");
    }
    if (text.starts_with(byte_order_mark)) {
      window_.drop_until(text.data() + byte_order_mark.size());
    }
  }

  /// Leaves comments and blank lines behind.
  void skip_to_head() {
    while (true) {
      const char* limit = window_.lines_end();
      const char* at = behind_blanks(window_.begin(), limit);
      if (at == limit) {
        if (!read_on()) {
          problems_.refuse(0, 0,
                           "holds no table; needed is a head line, such as " +
                               std::string(example_.lines) + ", and rows of numbers below it");
        }
      } else if (*at == '#' || is_line_end(*at)) {
        window_.drop_until(behind_line_end(std::find_if(at, limit, is_line_end), limit));
        ++line_;
      } else {
        return;
      }
    }
  }

  void read_head() {
    find_separator();
    const TableLine scanned(window_.begin(), window_.lines_end(), line_, separator_);
    if (scanned.is_open() && !window_.at_file_end()) {
      // A head is one line of text, so what is in memory is enough to know.
      refuse_head(scanned.fields().back(), words_of(QuoteFault::not_closed));
    }
    if (scanned.fields().size() > most_table_columns) {
      problems_.refuse(line_, 1,
                       "the head names " + count_of(scanned.fields().size(), "column") +
                           "; the most is " + std::to_string(most_table_columns));
    }
    table_.head_line = line_;
    for (const FieldText& field : scanned.fields()) {
      add_head(field);
    }
    table_.columns.resize(table_.heads.size());
    row_.resize(table_.heads.size());
    line_ = scanned.next_line();
    table_.first_line = line_;
    window_.drop_until(scanned.end());
  }

  void find_separator() {
    bool quoted = false;
    std::array<bool, separators.size()> present{};
    for (const char* at = window_.begin(); at != window_.lines_end(); ++at) {
      if (is_line_end(*at)) {
        break;  // in quotation marks too: a head is one line of text
      }
      quoted = quoted != (*at == '"');
      for (std::size_t i = 0; i < separators.size(); ++i) {
        present[i] = present[i] || (!quoted && *at == separators[i].character);
      }
    }
    std::string found;
    for (std::size_t i = 0; i < separators.size(); ++i) {
      if (present[i]) {
        separator_ = separators[i].character;
        found += found.empty() ? "" : " and ";
        found += separators[i].name;
      }
    }
    if (std::count(present.begin(), present.end(), true) > 1) {
      problems_.refuse(line_, 1,
                       "the head holds " + found +
                           "; which of them separate the fields cannot be told. Put a name that "
                           "holds one in quotation marks");
    }
  }

  [[noreturn]] void refuse_head(const FieldText& field, const std::string& fault) {
    problems_.refuse(field.line, field.column, "the head: " + fault);
  }

  [[nodiscard]] std::string right_head() const {
    return "a head is a name and its unit, as in " + std::string(example_.head);
  }

  void add_head(const FieldText& field) {
    if (field.fault != QuoteFault::none) {
      refuse_head(field, words_of(field.fault));
    }
    const std::string content = content_of(field);
    if (const std::string fault = text_fault(content); !fault.empty()) {
      refuse_head(field, in_quotes(content) + ' ' + fault);
    }
    const std::optional<ColumnHead> head = head_of(content);
    if (!head) {
      problems_.report(field.line, field.column, [&] {
        return "the brackets of the head " + in_quotes(content) + " do not pair; " + right_head();
      });
    } else if (head->name.empty()) {
      problems_.report(field.line, field.column, [&] {
        return "the head of column " + std::to_string(table_.heads.size() + 1) +
               (content.empty() ? " is empty; " : " has no name; ") + right_head();
      });
    } else {
      for (std::size_t i = 0; i < table_.heads.size(); ++i) {
        if (table_.heads[i].name == head->name) {
          problems_.report(field.line, field.column, [&] {
            return "the name " + in_quotes(head->name) + " stands over the columns " +
                   std::to_string(i + 1) + " and " + std::to_string(table_.heads.size() + 1) +
                   "; each column has a name of its own";
          });
          break;
        }
      }
    }
    table_.heads.push_back(head ? *head : ColumnHead{content, ""});
    table_.head_columns.push_back(field.column);
  }

  void read_rows() {
    while (true) {
      while (window_.begin() != window_.lines_end()) {
        if (!read_plain_row() && !read_line()) {
          break;
        }
      }
      reserve_columns();
      if (!read_on() && window_.begin() == window_.lines_end()) {
        return;
      }
    }
  }

  /// Room for as many rows as the file seems to have, so that growing does not double the memory.
  void reserve_columns() {
    if (is_reserved_ || rows_ == 0 || window_.at_file_end() || problems_.any()) {
      return;
    }
    is_reserved_ = true;
    const double bytes_a_row =
        static_cast<double>(window_.dropped_bytes()) / static_cast<double>(rows_);
    const double rows = static_cast<double>(window_.expected_bytes()) / bytes_a_row;
    // Rows differ in length, by a few percent as a rule; a wrong guess costs time or memory only.
    constexpr double spare = 1.05;
    const std::size_t most = std::min(most_table_rows, most_table_numbers / table_.columns.size());
    const auto room = static_cast<std::size_t>(std::min(spare * rows, static_cast<double>(most)));
    for (std::vector<double>& column : table_.columns) {
      column.reserve(room);
    }
  }

  /// Reads the next row where it is of the usual form: as many numbers as columns, without
  /// quotation marks or anything else that needs a closer look. Returns false, and has done
  /// nothing, where it is not.
  [[nodiscard]] bool read_plain_row() {
    if (blank_line_ > 0 || !are_decimals_known()) {
      return false;
    }
    const char* at = window_.begin();
    const char* limit = window_.lines_end();
    for (std::size_t i = 0; i < row_.size(); ++i) {
      if (i > 0) {
        if (at == limit || *at != separator_) {
          return false;
        }
        ++at;
      }
      at = behind_blanks(at, limit);
      at = separator_ == ',' ? behind_number(at, limit, row_[i])
                             : behind_number_of_sign(at, limit, row_[i]);
      if (at == nullptr || !std::isfinite(row_[i])) {
        return false;
      }
      at = behind_blanks(at, limit);
    }
    const char* end = behind_line_end(at, limit);
    if (end == at && at != limit) {
      return false;
    }
    window_.drop_until(end);
    add_row();
    ++line_;
    return true;
  }

  [[nodiscard]] bool are_decimals_known() const {
    return separator_ == ',' || decimal_sign_ == '.' ||
           (decimal_sign_ == ',' && commas_are_decimal_);
  }

  /// Behind the number with a decimal point at `at`; null where there is none.
  [[nodiscard]] static const char* behind_number(const char* at, const char* limit,
                                                 double& number) {
    const auto [end, fault] = std::from_chars(at, limit, number);
    return fault == std::errc() ? end : nullptr;
  }

  /// The same with the decimal sign of the file.
  [[nodiscard]] const char* behind_number_of_sign(const char* at, const char* limit,
                                                  double& number) const {
    constexpr std::size_t longest = 64;  // of a number in the usual form
    std::array<char, longest> text{};
    std::size_t length = 0;
    const char other_sign = decimal_sign_ == '.' ? ',' : '.';
    for (; at != limit && *at != separator_ && *at != ' ' && !is_line_end(*at); ++at) {
      if (length == longest || *at == other_sign) {
        return nullptr;
      }
      text[length++] = *at == decimal_sign_ ? '.' : *at;
    }
    const char* end = text.data() + length;
    return behind_number(text.data(), end, number) == end ? at : nullptr;
  }

  /// Reads the next line in any form. Returns false where more of the text is needed.
  [[nodiscard]] bool read_line() {
    const TableLine scanned(window_.begin(), window_.lines_end(), line_, separator_);
    if (scanned.is_open() && !window_.at_file_end()) {
      return false;
    }
    if (scanned.is_blank()) {
      blank_line_ = blank_line_ > 0 ? blank_line_ : line_;
    } else {
      if (blank_line_ > 0) {
        problems_.report(blank_line_, 1, [] {
          return std::string("a blank line between rows; they follow one another without a gap");
        });
        blank_line_ = 0;
      }
      read_fields(scanned.fields());
    }
    line_ = scanned.next_line();
    window_.drop_until(scanned.end());
    return true;
  }

  void read_fields(const std::vector<FieldText>& fields) {
    for (const FieldText& field : fields) {
      if (field.fault == QuoteFault::text_behind || field.fault == QuoteFault::not_closed) {
        problems_.report(field.line, field.column, [&] { return words_of(field.fault); });
        ++rows_;
        return;
      }
    }
    if (fields.size() != row_.size()) {
      report_count(fields);
      ++rows_;
      return;
    }
    bool complete = true;
    for (std::size_t i = 0; i < fields.size(); ++i) {
      const std::string content = content_of(fields[i]);
      const std::optional<double> number = number_in(trimmed(content), fields[i], i);
      complete = complete && number;
      row_[i] = number.value_or(0.0);
    }
    if (complete) {
      add_row();
    } else {
      ++rows_;
    }
  }

  void report_count(const std::vector<FieldText>& fields) {
    const bool too_few = fields.size() < row_.size();
    const FieldText& place = too_few ? fields.back() : fields[row_.size()];
    problems_.report(place.line, place.column, [&] {
      std::string words;
      if (too_few) {
        words = column_named(table_.heads[fields.size()]) + ": missing; ";
      }
      words += count_of(fields.size(), "field") + " where the head names " +
               count_of(row_.size(), "column");
      if (!too_few && separator_ == ',') {
        words +=
            "; in a file separated by commas the decimal sign is a point, and thousands are not "
            "separated";
      }
      return words;
    });
  }

  std::optional<double> number_in(std::string_view text, const FieldText& place,
                                  std::size_t column) {
    const ColumnHead& head = table_.heads[column];
    const auto report = [&](const auto& message) {
      problems_.report(place.line, place.column, message);
      return std::nullopt;
    };
    const bool has_comma = text.find(',') != std::string_view::npos;
    const bool has_point = text.find('.') != std::string_view::npos;
    const std::optional<double> number =
        has_comma && has_point ? std::nullopt
                               : finite_number(has_comma ? with_decimal_point(text) : text);
    if (!number) {
      return report([&] { return no_number(text, head); });
    }
    if (separator_ == ',') {
      return has_comma ? report([&] {
        return read_in(head, text) +
               "; in a file separated by commas the decimal sign is a point, and thousands are "
               "not separated";
      })
                       : number;
    }
    if (has_comma || has_point) {
      const char sign = has_comma ? ',' : '.';
      if (decimal_sign_ == '\0') {
        decimal_sign_ = sign;
        decimal_line_ = place.line;
      } else if (decimal_sign_ != sign) {
        return report([&] {
          return read_in(head, text) + ", but line " + std::to_string(decimal_line_) +
                 (has_comma ? " has a decimal point" : " has a decimal comma") +
                 "; a file has one decimal sign, and thousands are not separated";
        });
      }
    }
    note_comma(text, has_comma, place, head);
    return number;
  }

  /// Keeps in mind what tells decimal commas from those of thousands.
  void note_comma(std::string_view text, bool has_comma, const FieldText& place,
                  const ColumnHead& head) {
    commas_are_decimal_ = commas_are_decimal_ || proves_decimal_comma(text);
    if (has_comma && !commas_are_decimal_ && doubtful_comma_.empty()) {
      doubtful_line_ = place.line;
      doubtful_column_ = place.column;
      doubtful_comma_ = read_in(head, text) +
                        "; no number of the file tells whether a comma is the decimal sign or "
                        "separates thousands. Write decimal points";
    }
  }

  /// Takes the numbers of row_ over. Once there is a problem there will be no table.
  void add_row() {
    ++rows_;
    if (rows_ > most_table_rows) {
      problems_.refuse(line_, 1,
                       "has more than " + std::to_string(most_table_rows) +
                           " rows, which is the most that is read of a table");
    }
    if (rows_ * row_.size() > most_table_numbers) {
      problems_.refuse(line_, 1,
                       "has more than " + std::to_string(most_table_numbers) +
                           " numbers, which is the most that is read of a table");
    }
    if (!problems_.any()) {
      for (std::size_t i = 0; i < row_.size(); ++i) {
        table_.columns[i].push_back(row_[i]);
      }
    }
  }

  TableProblems problems_;
  TableWindow window_;
  HeadExample example_;
  MeasuredTable table_;
  char separator_ = ',';
  std::size_t line_ = 1;  // of window_.begin()
  std::size_t rows_ = 0;  // read, with those that have problems
  std::vector<double> row_;
  bool is_reserved_ = false;
  std::size_t blank_line_ = 0;  // the first of those since the last row

  char decimal_sign_ = '\0';  // of a file separated by semicolons or tabs, once it is known
  std::size_t decimal_line_ = 0;
  bool commas_are_decimal_ = false;
  std::string doubtful_comma_;  // the problem that the first comma is unless a later number tells
  std::size_t doubtful_line_ = 0;
  std::size_t doubtful_column_ = 0;
};

/// SI value = (number + shift) * above / below, in a long double.
struct Conversion {
  long double shift = 0.0L;
  long double above = 1.0L;
  long double below = 1.0L;
};

Conversion conversion_of(const units::UnitExpression& unit, bool to_level) {
  if (to_level) {
    switch (unit.level) {
      case units::LevelScale::kelvin:
        return {.shift = -273.15L};
      case units::LevelScale::fahrenheit:
        return {.shift = -32.0L, .above = 5.0L, .below = 9.0L};
      case units::LevelScale::celsius:
      case units::LevelScale::none:
        return {};
    }
  }
  const units::UnitScale& scale = unit.scale;
  Conversion result{.above = scale.numerator, .below = scale.denominator};
  // Products, as std::pow need not be exact; up to 10^27 they are.
  for (int i = 0; i < std::abs(scale.power_of_ten); ++i) {
    (scale.power_of_ten > 0 ? result.above : result.below) *= 10.0L;
  }
  for (int i = 0; i < std::abs(scale.power_of_pi); ++i) {
    (scale.power_of_pi > 0 ? result.above : result.below) *= std::numbers::pi_v<long double>;
  }
  return result;
}

/// The unit of a text such as "-40 degC".
std::string_view unit_of(std::string_view quantity) {
  return quantity.substr(std::min(quantity.find(' ') + 1, quantity.size()));
}

std::string with_unit(double value, const std::string& unit) {
  return number_text(value) + (unit.empty() ? "" : " " + shown(unit));
}

}  // namespace

MeasuredTable read_measured_table(const std::filesystem::path& file, const std::string& shown_name,
                                  const ByteListener& on_bytes, const HeadExample& example) {
  return TableReader(file, shown_name, on_bytes, example).read();
}

std::vector<double> detail::column_in_si(const MeasuredTable& table, std::size_t column,
                                         const units::QuantityKind& wanted, MeasuresKind measures) {
  const ColumnHead& head = table.heads.at(column);
  TableProblems problems(table.file);
  const auto refuse = [&](const std::string& fault) {
    problems.refuse(table.head_line, table.head_columns.at(column),
                    "the column " + shown(head.name) + ' ' + fault);
  };
  const bool has_unit = !head.unit.empty() && head.unit != "-" && head.unit != "1";
  std::string needed = "needed is ";
  needed += wanted.name;
  if (!has_unit && wanted.dimension != units::dimensions::none) {
    refuse("has no unit; " + needed + ", for instance " + shown(head.name) + " [" +
           std::string(unit_of(wanted.example)) + ']');
  }
  const units::UnitExpression unit =
      has_unit ? units::unit_expression(head.unit) : units::UnitExpression{};
  if (unit.fault != units::UnitFault::none) {
    const units::ParseFailure failure =
        units::detail::parse_value("1 " + head.unit, wanted).failure();
    refuse("has the unit " + in_quotes(head.unit) + ": " + failure.reason + ", for instance " +
           shown(head.name) + " [" + shown(unit_of(failure.example)) + ']');
  }
  if (!measures(unit)) {
    refuse("is in " + shown(head.unit) + "; " + needed + ", for instance " +
           std::string(unit_of(wanted.example)));
  }

  const bool to_level = &wanted == &units::temperature_level;
  const Conversion conversion = conversion_of(unit, to_level);
  const std::vector<double>& numbers = table.columns.at(column);
  std::vector<double> values;
  values.reserve(numbers.size());
  for (const double number : numbers) {
    const long double exact =
        (static_cast<long double>(number) + conversion.shift) * conversion.above / conversion.below;
    const auto value = static_cast<double>(exact);
    const auto report = [&](const char* fault) {
      problems.report(table.line_of(values.size()), 1, [&] {
        return column_named(head) + ": " + with_unit(number, head.unit) + ' ' + fault;
      });
    };
    if (!std::isfinite(value)) {
      report("is beyond the range of numbers, 1.8e308 in SI units");
    } else if (value == 0.0 && exact != 0.0L) {
      report("is too small to be told from zero in SI units");
    } else if (to_level && !(value >= units::absolute_zero_in_celsius)) {
      report("is below absolute zero, -273.15 degC");
    }
    values.push_back(value);
  }
  problems.throw_if_any();
  return values;
}

void check_rising(const MeasuredTable& table, std::size_t column) {
  const ColumnHead& head = table.heads.at(column);
  const std::vector<double>& values = table.columns.at(column);
  TableProblems problems(table.file);
  for (std::size_t row = 1; row < values.size(); ++row) {
    if (!(values[row] > values[row - 1])) {
      problems.report(table.line_of(row), 1, [&] {
        return shown(head.name) + ' ' + with_unit(values[row], head.unit) + " follows " +
               with_unit(values[row - 1], head.unit) + "; rows must be in rising order of " +
               shown(head.name);
      });
    }
  }
  problems.throw_if_any();
}

}  // namespace lashband::io
