// Tables of measured values: what is read, what is refused and with which words. Expected numbers
// are those written in the tables.
#include "io/measured_table.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <charconv>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <string>
#include <vector>

#include "catch.hpp"
#include "folder.hpp"
#include "io/sha256.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/units/parse.hpp"
#include "lashband/units/temperature.hpp"

namespace {

namespace fs = std::filesystem;
namespace io = lashband::io;
namespace units = lashband::units;
using lashband::io::MeasuredTable;
using lashband::test::Folder;
using Lines = std::vector<std::string>;

MeasuredTable table_of(const std::string& text) {
  const Folder folder;
  return io::read_measured_table(folder.file("t.csv", text), "t.csv");
}

template <class Work>
Lines problems_by(const Work& work) {
  try {
    work();
  } catch (const io::InputErrors& errors) {
    Lines lines;
    for (const io::InputProblem& problem : errors.problems()) {
      lines.push_back(io::one_line(problem));
    }
    return lines;
  }
  return {};
}

/// One line for each problem of the text.
Lines problems_of(const std::string& text) {
  return problems_by([&] { static_cast<void>(table_of(text)); });
}

Lines problems_of_file(const fs::path& file) {
  return problems_by([&] { static_cast<void>(io::read_measured_table(file, "t.csv")); });
}

/// The problems of a row below a good one, in a file of two columns separated by commas.
Lines problems_of_row(const std::string& row) {
  return problems_of("time [s],gears [degC]\n0,20\n" + row + "\n");
}

/// The same with semicolons, and decimal commas known from the row above.
Lines problems_of_comma_row(const std::string& row) {
  return problems_of("time [s];gears [degC]\n0,5;20\n" + row + "\n");
}

using Numbers = std::vector<double>;

}  // namespace

TEST_CASE("A table is read with its heads and the places of its rows", "[io]") {
  const MeasuredTable table = table_of(
      "# logger 4\n\n  # second comment, \"odd\ntime [s],gears "
      "(degC),note\n0,20,1\n60,-40.5,2e-3\n");
  CHECK(table.file == "t.csv");
  REQUIRE(table.heads.size() == 3);
  CHECK(table.heads[0].name == "time");
  CHECK(table.heads[0].unit == "s");
  CHECK(table.heads[1].name == "gears");
  CHECK(table.heads[1].unit == "degC");
  CHECK(table.heads[2].name == "note");
  CHECK(table.heads[2].unit.empty());
  CHECK(table.head_line == 4);
  CHECK(table.head_columns == std::vector<std::size_t>{1, 10, 23});
  CHECK(table.first_line == 5);
  CHECK(table.line_of(1) == 6);
  REQUIRE(table.columns.size() == 3);
  CHECK(table.rows() == 2);
  CHECK(table.columns[0] == Numbers{0.0, 60.0});
  CHECK(table.columns[1] == Numbers{20.0, -40.5});
  CHECK(table.columns[2] == Numbers{1.0, 2e-3});
}

TEST_CASE("A head is a name and a unit in brackets of either kind", "[io]") {
  struct Case {
    std::string head;
    std::string name;
    std::string unit;
  };
  const Case given = GENERATE(
      Case{"gears [degC]", "gears", "degC"}, Case{"gears(degC)", "gears", "degC"},
      Case{"  gears  [ degC ] ", "gears", "degC"}, Case{"gears (inlet) [K]", "gears (inlet)", "K"},
      Case{"h (W/(m2 K))", "h", "W/(m2 K)"}, Case{"h [W/(m2 K)]", "h", "W/(m2 K)"},
      Case{"\"gears, inlet [degC]\"", "gears, inlet", "degC"},
      Case{"\"gears; \"\"A\"\" [degC]\"", "gears; \"A\"", "degC"}, Case{"Öl [°C]", "Öl", "°C"},
      Case{"damage [-]", "damage", "-"}, Case{"a (b) c", "a (b) c", ""}, Case{"x []", "x", ""});
  const MeasuredTable table = table_of("time [s]," + given.head + "\n0,1\n");
  CHECK(table.heads[1].name == given.name);
  CHECK(table.heads[1].unit == given.unit);
}

TEST_CASE("Every form of line end, separator and byte order mark gives the same table", "[io]") {
  const std::string mark = GENERATE(as<std::string>{}, "", "\xEF\xBB\xBF");
  const std::string end = GENERATE(as<std::string>{}, "\n", "\r\n", "\r");
  const std::string tail = GENERATE(as<std::string>{}, "", "E", "EE  E");
  struct Form {
    std::string separator;
    std::string sign;
  };
  const Form form =
      GENERATE(Form{",", "."}, Form{";", "."}, Form{";", ","}, Form{"\t", "."}, Form{"\t", ","});
  // E stands for a line end, S for the separator, D for the decimal sign.
  const std::string pattern =
      R"(# note,;EtimeSgears [K]E0S1D25E 1D5 S -3D5e2E2S"7"E"3D125" S+4)" + tail;
  std::string text = mark;
  for (const char c : pattern) {
    text += c == 'E' ? end : c == 'S' ? form.separator : c == 'D' ? form.sign : std::string(1, c);
  }
  CAPTURE(text);
  const MeasuredTable table = table_of(text);
  CHECK(table.columns[0] == Numbers{0.0, 1.5, 2.0, 3.125});
  CHECK(table.columns[1] == Numbers{1.25, -350.0, 7.0, 4.0});
  CHECK(table.first_line == 3);
  CHECK(table.head_columns == std::vector<std::size_t>{1, 6});
}

TEST_CASE("One column needs no separator", "[io]") {
  const MeasuredTable table = table_of("backlash [um]\n12.5\n13\n");
  CHECK(table.columns == std::vector<Numbers>{{12.5, 13.0}});
}

TEST_CASE("Each number is the double nearest to its text", "[io]") {
  // The same digits read by the C library, in every path: plain, signed and with a decimal comma.
  const std::vector<std::string> texts{
      "0.1", "-273.15", "1e23",         "9007199254740993", "4.9e-324", "1.7976931348623157e308",
      ".5",  "5.",      "123456.789e-3"};
  std::string points = "a,b\n";
  std::string commas = "a;b\n";
  for (const std::string& text : texts) {
    std::string comma = text;
    if (const std::size_t at = comma.find('.'); at != std::string::npos) {
      comma[at] = ',';
    }
    points.append(text).append(",\"").append(text).append("\"\n");
    commas.append(comma).append(";\"").append(comma).append("\"\n");
  }
  for (const std::string& text : {points, commas}) {
    const MeasuredTable table = table_of(text);
    REQUIRE(table.rows() == texts.size());
    for (std::size_t i = 0; i < texts.size(); ++i) {
      CHECK(table.columns[0][i] == std::strtod(texts[i].c_str(), nullptr));
      CHECK(table.columns[1][i] == table.columns[0][i]);
    }
  }
}

TEST_CASE("Gaps and texts in place of numbers are refused with line, column and what was read",
          "[io]") {
  CHECK(problems_of_row("60,") ==
        Lines{"t.csv:3:4: column gears: read an empty field; needed is a number"});
  CHECK(problems_of_row("60,\"\"") ==
        Lines{"t.csv:3:4: column gears: read an empty field; needed is a number"});
  CHECK(problems_of_row(",21") ==
        Lines{"t.csv:3:1: column time: read an empty field; needed is a number"});
  CHECK(problems_of_row("60") == Lines{"t.csv:3:1: column gears: missing; 1 field where the head "
                                       "names 2 columns"});
  CHECK(problems_of_row("60,20,") ==
        Lines{"t.csv:3:7: 3 fields where the head names 2 columns; in a file separated by commas "
              "the decimal sign is a point, and thousands are not separated"});
  CHECK(problems_of_comma_row("60;20;1") ==
        Lines{"t.csv:3:7: 3 fields where the head names 2 columns"});
  CHECK(problems_of_row("60, n/a") ==
        Lines{"t.csv:3:5: column gears: read \"n/a\"; needed is a number"});
  CHECK(
      problems_of_row("60,0x10") ==
      Lines{"t.csv:3:4: column gears: read \"0x10\"; needed is a number alone, its unit stands in "
            "the head as in gears [degC]"});
  CHECK(problems_of_row("60,1e") ==
        Lines{"t.csv:3:4: column gears: read \"1e\"; needed is a number"});
  CHECK(problems_of_row("60,+-1") ==
        Lines{"t.csv:3:4: column gears: read \"+-1\"; needed is a number"});
  CHECK(
      problems_of_row("60,20.5 °C") ==
      Lines{"t.csv:3:4: column gears: read \"20.5 °C\"; needed is a number alone, its unit stands "
            "in the head as in gears [degC]"});
  CHECK(problems_of_row("60,\u22125") ==
        Lines{"t.csv:3:4: column gears: read \"\u22125\"; this dash is not the minus sign \"-\""});
  CHECK(problems_of_row("\u00A060,5") ==
        Lines{"t.csv:3:1: column time: read \"\u00A060\"; needed is a number"});
  CHECK(problems_of_row("60,\xB0") ==
        Lines{"t.csv:3:4: column gears: read \"\\xb0\"; needed is a number"});
  CHECK(problems_of_row("# pause,1") == Lines{"t.csv:3:1: column time: read \"# pause\"; comments "
                                              "stand only in front of the head"});
  CHECK(problems_of_row("60,\"2\n0\"") ==
        Lines{"t.csv:3:4: column gears: read \"2\\u000a0\"; needed is a number"});
}

TEST_CASE("Numbers that are not finite or out of range are refused", "[io]") {
  const std::string text = GENERATE(as<std::string>{}, "NaN", "nan", "inf", "-INF", "infinity");
  CHECK(problems_of_row("60," + text) ==
        Lines{"t.csv:3:4: column gears: read \"" + text + "\"; needed is a finite number"});
  CHECK(problems_of_comma_row("60;" + text) ==
        Lines{"t.csv:3:4: column gears: read \"" + text + "\"; needed is a finite number"});
  const std::string number = GENERATE(as<std::string>{}, "1e400", "-1e400", "1e-400", "2e-324");
  CHECK(problems_of_row("60," + number) ==
        Lines{"t.csv:3:4: column gears: read \"" + number +
              "\"; needed is 0 or a number from 4.9e-324 to 1.8e308 in size"});
}

TEST_CASE("Separated thousands are refused", "[io]") {
  struct Case {
    std::string text;
    std::string number;
  };
  const Case given =
      GENERATE(Case{"1,234.5", "1234.5"}, Case{"1.234,5", "1234.5"}, Case{"-1,234,567", "-1234567"},
               Case{"1.234.567", "1234567"}, Case{"1 234", "1234"}, Case{"1'234,25", "1234.25"},
               Case{"12\u00A0345", "12345"}, Case{"12\u202F345,5", "12345.5"},
               Case{"1\u2019234.5", "1234.5"});
  const Lines expected{"t.csv:3:4: column gears: read \"" + given.text +
                       "\"; thousands are not separated, write " + given.number};
  CHECK(problems_of_comma_row("60;" + given.text) == expected);
  CHECK(problems_of_row("60,\"" + given.text + "\"") == expected);
}

TEST_CASE("What only looks like separated thousands is no number at all", "[io]") {
  const std::string text =
      GENERATE(as<std::string>{}, "12 34", "1234 567", "1,23,456", "1 234.5.6", "1,,234", "1 234,");
  CHECK_THAT(problems_of_comma_row("60;" + text).at(0), EndsWith("needed is a number"));
}

TEST_CASE("A file separated by commas has decimal points", "[io]") {
  CHECK(problems_of_row("60,\"20,5\"") ==
        Lines{"t.csv:3:4: column gears: read \"20,5\"; in a file separated by commas the decimal "
              "sign is a point, and thousands are not separated"});
  CHECK(problems_of_row("1,5,20,5") ==
        Lines{"t.csv:3:5: 4 fields where the head names 2 columns; in a file separated by commas "
              "the decimal sign is a point, and thousands are not separated"});
  CHECK(
      problems_of("gears [degC]\n20,5\n") ==
      Lines{"t.csv:2:4: 2 fields where the head names 1 column; in a file separated by commas the "
            "decimal sign is a point, and thousands are not separated"});
}

TEST_CASE("A file has one decimal sign", "[io]") {
  CHECK(problems_of_comma_row("60;20.5") ==
        Lines{"t.csv:3:4: column gears: read \"20.5\", but line 2 has a decimal comma; a file has "
              "one decimal sign, and thousands are not separated"});
  CHECK(problems_of("time\tgears\n0\t20.5\n60\t1,234\n") ==
        Lines{"t.csv:3:4: column gears: read \"1,234\", but line 2 has a decimal point; a file has "
              "one decimal sign, and thousands are not separated"});
}

TEST_CASE("Commas that could separate thousands are refused unless a number tells", "[io]") {
  const std::string doubtful = "time;gears\n0;20\n60;20,125\n120;-1,250\n";
  CHECK(problems_of(doubtful) ==
        Lines{"t.csv:3:4: column gears: read \"20,125\"; no number of the file tells whether a "
              "comma is the decimal sign or separates thousands. Write decimal points"});
  // Thousands never begin with 0, never have other than three digits, and would be separated in
  // 1000.
  const std::string telling =
      GENERATE(as<std::string>{}, "180;0,125", "180;-0,125", "180;20,5", "180;20,1250", "180;,125",
               "180;1,125e2", "1000;21", "180;1000,125", "180;1000");
  const MeasuredTable table = table_of(doubtful + telling + "\n");
  CHECK(table.columns[1][1] == 20.125);
  CHECK(table.columns[1][2] == -1.25);
}

TEST_CASE("Blank lines stand in front of the head and at the end alone", "[io]") {
  CHECK(table_of("\n \n# a\n\na,b\n1,2\n\n \n\n").first_line == 6);
  CHECK(problems_of("a,b\n1,2\n\n \n3,4\n\n5,6\n\n") ==
        Lines{"t.csv:3:1: a blank line between rows; they follow one another without a gap",
              "t.csv:6:1: a blank line between rows; they follow one another without a gap"});
  CHECK(problems_of("a,b\n\n1,2\n") ==
        Lines{"t.csv:2:1: a blank line between rows; they follow one another without a gap"});
}

TEST_CASE("A head line that cannot be understood is refused", "[io]") {
  CHECK(problems_of("time [s],gears [degC\n0,20\n") ==
        Lines{"t.csv:1:10: the brackets of the head \"gears [degC\" do not pair; a head is a name "
              "and its unit, as in gears [degC]"});
  CHECK(problems_of("time [s],gears degC]\n0,20\n") ==
        Lines{"t.csv:1:10: the brackets of the head \"gears degC]\" do not pair; a head is a name "
              "and its unit, as in gears [degC]"});
  CHECK(problems_of("time [s],gears degC)\n0,20\n") ==
        Lines{"t.csv:1:10: the brackets of the head \"gears degC)\" do not pair; a head is a name "
              "and its unit, as in gears [degC]"});
  CHECK(
      problems_of("time [s],\n0,20\n") ==
      Lines{"t.csv:1:10: the head of column 2 is empty; a head is a name and its unit, as in gears "
            "[degC]"});
  CHECK(problems_of("[s],gears\n0,x\n") ==
        Lines{"t.csv:1:1: the head of column 1 has no name; a head is a name and its unit, as in "
              "gears [degC]",
              "t.csv:2:3: column gears: read \"x\"; needed is a number"});
  CHECK(
      problems_of("oil [K],gears,oil [degC]\n0,20,1\n") ==
      Lines{"t.csv:1:15: the name \"oil\" stands over the columns 1 and 3; each column has a name "
            "of its own"});
  CHECK(problems_of("time [s];gears, inlet [degC]\n0;20\n") ==
        Lines{"t.csv:1:1: the head holds commas and semicolons; which of them separate the fields "
              "cannot be told. Put a name that holds one in quotation marks"});
  CHECK(problems_of("5\" pipe [degC],gears\n0,20\n") ==
        Lines{"t.csv:1:1: the head: a quotation mark stands within a field; put the whole field in "
              "quotation marks and write the one within it twice"});
  CHECK(
      problems_of("\"time\" [s],gears\n0,20\n") ==
      Lines{"t.csv:1:1: the head: text stands behind a closing quotation mark; one within a field "
            "is written twice"});
  CHECK(problems_of("time,\"gears\n0,20\n") ==
        Lines{"t.csv:1:6: the head: the quotation mark that opens here is not closed"});
  CHECK(problems_of("time,\"ge\nars\"\n0,20\n") ==
        Lines{"t.csv:1:6: the head: \"ge\\u000aars\" holds a control character; a head is one line "
              "of text"});
  CHECK(
      problems_of("time,gears [\xB0"
                  "C]\n0,20\n") ==
      Lines{
          "t.csv:1:6: the head: \"gears [\\xb0C]\" is not UTF-8; save the table as CSV in UTF-8"});
  std::string wide = "c0";
  for (int i = 1; i <= 1000; ++i) {
    wide += ",c" + std::to_string(i);
  }
  CHECK(problems_of(wide + "\n1\n") ==
        Lines{"t.csv:1:1: the head names 1001 columns; the most is 1000"});
}

TEST_CASE("Quotation marks that do not pair in a row are refused", "[io]") {
  CHECK(problems_of_row("60,\"20") ==
        Lines{"t.csv:3:4: the quotation mark that opens here is not closed"});
  CHECK(
      problems_of_row("60,\"20\"1") ==
      Lines{"t.csv:3:4: text stands behind a closing quotation mark; one within a field is written "
            "twice"});
  CHECK(problems_of_row("60,2\"0") ==
        Lines{"t.csv:3:4: column gears: read \"2\"0\"; needed is a number"});
}

TEST_CASE("A file that holds no table is refused", "[io]") {
  const std::string nothing =
      GENERATE(as<std::string>{}, "", "\xEF\xBB\xBF", "\n\n", "# note", " ");
  CHECK(
      problems_of(nothing) ==
      Lines{"t.csv: holds no table; needed is a head line, such as \"time [s],gears [degC]\", and "
            "rows of numbers below it"});
  CHECK(problems_of("# note\na,b") == Lines{"t.csv:2:1: no rows of numbers stand below the head"});
  CHECK(problems_of(std::string("\xFF\xFE") + "a") ==
        Lines{"t.csv: is text in UTF-16; save the table as CSV in UTF-8"});
  CHECK(problems_of(std::string("\xFE\xFF") + "a") ==
        Lines{"t.csv: is text in UTF-16; save the table as CSV in UTF-8"});
}

TEST_CASE("Only plain files are read", "[io]") {
  const Folder folder;
  CHECK(problems_of_file(folder.path() / "none.csv") == Lines{"t.csv: there is no such file"});
  CHECK(problems_of_file(folder.path()) == Lines{"t.csv: this is a folder; allowed is a file"});
  const fs::path pipe = folder.path() / "pipe";
  REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
  CHECK(problems_of_file(pipe) == Lines{"t.csv: this is a pipe or a device; allowed is a file"});
  CHECK(problems_of_file("/dev/null") ==
        Lines{"t.csv: this is a pipe or a device; allowed is a file"});
  CHECK(problems_of_file(folder.path() / std::string(300, 'x')) ==
        Lines{"t.csv: cannot be opened: File name too long"});
  const fs::path closed = folder.file("t.csv", "a,b\n1,2\n");
  fs::permissions(closed, fs::perms::none);
  if (::geteuid() != 0) {  // root may read everything
    CHECK(problems_of_file(closed) == Lines{"t.csv: cannot be opened: Permission denied"});
  }
}

TEST_CASE("A table beyond the bounds is refused", "[io]") {
  const Folder folder;
  const fs::path file = folder.file("t.csv", "a,b\n1,2\n");
  fs::resize_file(file, io::largest_table_in_bytes + 1);  // the rest takes no place on the disk
  CHECK(problems_of_file(file) ==
        Lines{"t.csv: is larger than 512 MiB, which is the most that is read of a table"});

  std::string rows = "a\n";
  for (std::size_t i = 0; i <= io::most_table_rows; ++i) {
    rows += "1\n";
  }
  CHECK(problems_of(rows) == Lines{"t.csv:5000002:1: has more than 5000000 rows, which is the most "
                                   "that is read of a table"});
  rows.resize(rows.size() - 2);
  CHECK(table_of(rows).rows() == io::most_table_rows);

  const std::string long_line(io::longest_table_line_in_bytes, ' ');
  const Lines too_long{
      "t.csv:3:1: the line that begins here is longer than 256 KiB, which is the "
      "most that is read; perhaps a quotation mark is not closed"};
  CHECK(problems_of("a,b\n1,2\n3," + long_line + "4\n") == too_long);
  CHECK(problems_of("a,b\n1,2\n\"3,\n" + long_line + "4\n") == too_long);
  CHECK(problems_of("# a\n# b\n#" + long_line + "\n") == too_long);
}

TEST_CASE("A table of too many numbers is refused", "[io][slow]") {
  std::string head = "c0";
  std::string row = "1";
  for (std::size_t i = 1; i < io::most_table_columns; ++i) {
    head += ",c" + std::to_string(i);
    row += ",1";
  }
  const Folder folder;
  const fs::path file = folder.file("t.csv", head + '\n');
  std::ofstream stream(file, std::ios::binary | std::ios::app);
  for (std::size_t i = 0; i <= io::most_table_numbers / io::most_table_columns; ++i) {
    stream << row << '\n';
  }
  stream.close();
  CHECK(problems_of_file(file) ==
        Lines{"t.csv:40002:1: has more than 40000000 numbers, which is the "
              "most that is read of a table"});
}

TEST_CASE("The first twenty problems are listed and the rest counted", "[io]") {
  std::string text = "a,b\n";
  for (int i = 0; i < 20; ++i) {
    text += "1,x\n";
  }
  CHECK(problems_of(text).size() == 20);
  Lines lines = problems_of(text + "1,x\n");
  REQUIRE(lines.size() == 21);
  CHECK(lines[19] == "t.csv:21:3: column b: read \"x\"; needed is a number");
  CHECK(lines[20] == "t.csv: and 1 more problem");
  lines = problems_of(text + "1,x\n\n1,2\ny,z\n");
  REQUIRE(lines.size() == 21);
  CHECK(lines[20] == "t.csv: and 4 more problems");
}

TEST_CASE("A long line of fields costs time in proportion to its length", "[io]") {
  // 100 000 empty fields and heads; were places counted from the line's begin each time, 5e9 steps.
  const std::string commas(100'000, ',');
  CHECK(problems_of("a" + commas + "\n1\n") ==
        Lines{"t.csv:1:1: the head names 100001 columns; the most is 1000"});
  CHECK(problems_of("a\n1\n2" + commas + "\n").at(0).starts_with("t.csv:3:3: 100001 fields"));
}

TEST_CASE("A million rows are read part by part without a gap", "[io]") {
  constexpr long rows = 1'000'000;
  const Folder folder;
  const std::string end = GENERATE(as<std::string>{}, "\n", "\r\n", "\r");
  const fs::path file = folder.path() / "long.csv";
  {
    std::ofstream stream(file, std::ios::binary);
    stream << "time [s];gears [degC];housing [degC];oil [degC]" << end;
    for (long i = 0; i < rows; ++i) {
      // Values in eighths: sums of them are exact.
      const long eighths = i % 8;
      constexpr const char* decimals[] = {"", ",125", ",25", ",375", ",5", ",625", ",75", ",875"};
      stream << i << ';' << i % 97 << decimals[eighths] << ";-" << i % 13 << ';'
             << (i % 1000 == 7 ? "\"20,5\"" : "20,5") << end;
    }
  }
  std::string bytes;
  io::Sha256 digest;
  std::size_t largest_part = 0;
  const MeasuredTable table = io::read_measured_table(file, "long.csv", [&](std::string_view part) {
    digest.add(part);
    bytes += part;
    largest_part = std::max(largest_part, part.size());
  });
  REQUIRE(table.rows() == rows);
  CHECK(largest_part <= io::longest_table_line_in_bytes);
  CHECK(bytes.size() == fs::file_size(file));
  CHECK(digest.in_hexadecimal() == io::sha256_in_hexadecimal(bytes));

  double expected_gears = 0.0;
  double expected_housing = 0.0;
  double gears = 0.0;
  double housing = 0.0;
  bool others_right = true;
  for (long i = 0; i < rows; ++i) {
    const auto row = static_cast<std::size_t>(i);
    expected_gears += static_cast<double>(i % 97) + 0.125 * static_cast<double>(i % 8);
    expected_housing -= static_cast<double>(i % 13);
    gears += table.columns[1][row];
    housing += table.columns[2][row];
    others_right = others_right && table.columns[0][row] == static_cast<double>(i) &&
                   table.columns[3][row] == 20.5;
  }
  CHECK(gears == expected_gears);
  CHECK(housing == expected_housing);
  CHECK(others_right);
  CHECK_NOTHROW(io::check_rising(table, 0));
}

TEST_CASE("A row may lie across any place where a part ends", "[io]") {
  // The head is made longer byte by byte, so that the end of the first part falls on each byte of a
  // row, of its CRLF and of its quotation marks.
  const std::string row = "12.5,\"3\"\"4\"\r\n";
  const std::string good = "12.5,\"34\"\r\n";
  const Folder folder;
  for (std::size_t shift = 0; shift < good.size(); ++shift) {
    std::string text = "#" + std::string(shift, '-') + "\r\na,b\r\n";
    std::size_t rows = 0;
    for (; text.size() < io::longest_table_line_in_bytes + 1000; ++rows) {
      text += good;
    }
    const MeasuredTable table = io::read_measured_table(folder.file("t.csv", text), "t.csv");
    REQUIRE(table.rows() == rows);
    CHECK(table.columns[0] == Numbers(rows, 12.5));
    CHECK(table.columns[1] == Numbers(rows, 34.0));
    const Lines lines = problems_of_file(folder.file("t.csv", text + row));
    CHECK(lines == Lines{"t.csv:" + std::to_string(rows + 3) +
                         ":6: column b: read \"3\"4\"; needed is a number"});
  }
}

TEST_CASE("A column is converted to SI by its unit", "[io]") {
  const MeasuredTable table = table_of(
      "t [min],t2,T [degC],F [degF],K [K],p [bar],s [um],n [rpm],share [%],plain,dash [-]\n"
      "1.5,1,-40,-40,293.15,2.5,12.5,60,5,0.25,0.5\n");
  const auto one = [](const Numbers& values) {
    REQUIRE(values.size() == 1);
    return values[0];
  };
  CHECK(one(io::column_in_si<units::Time>(table, 0)) == 90.0);
  CHECK(one(io::column_in_si<units::Temperature>(table, 2)) == -40.0);
  CHECK(one(io::column_in_si<units::Temperature>(table, 3)) == -40.0);
  // 293.15 has no exact double; its last place is worth 2^-44.
  CHECK_THAT(one(io::column_in_si<units::Temperature>(table, 4)), WithinAbs(20.0, 0x1p-44));
  CHECK(one(io::column_in_si<units::TemperatureDifference>(table, 4)) == 293.15);
  CHECK(one(io::column_in_si<units::Pressure>(table, 5)) == 2.5e5);
  CHECK(one(io::column_in_si<units::Length>(table, 6)) == 12.5e-6);
  CHECK_THAT(one(io::column_in_si<units::AngularVelocity>(table, 7)),
             WithinRel(units::parse<units::AngularVelocity>("60 rpm").value(),
                       std::numeric_limits<double>::epsilon()));
  CHECK(one(io::column_in_si<units::Ratio>(table, 8)) == 0.05);
  CHECK(one(io::column_in_si<units::Ratio>(table, 9)) == 0.25);
  CHECK(one(io::column_in_si<units::Ratio>(table, 10)) == 0.5);
}

TEST_CASE("A column and the reader of quantities agree to the last place but one", "[io]") {
  const std::string unit =
      GENERATE(as<std::string>{}, "N m/rad", "kN m/rad", "N m/deg", "N mm/arcmin", "lbf in/rad");
  const std::vector<std::string> numbers{"0.1", "-12.34567", "6.02e23", "1e-300", "3"};
  std::string text = "k [" + unit + "]\n";
  for (const std::string& number : numbers) {
    text += number + "\n";
  }
  const Numbers values = io::column_in_si<units::TorsionalStiffness>(table_of(text), 0);
  REQUIRE(values.size() == numbers.size());
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const double direct = units::parse<units::TorsionalStiffness>(numbers[i] + " " + unit).value();
    // Each is within one unit in the last place of the true value.
    CHECK_THAT(values[i], WithinRel(direct, 2.0 * std::numeric_limits<double>::epsilon()));
  }
}

TEST_CASE("A column of another unit than needed is refused", "[io]") {
  const auto problems = [](const std::string& head, const auto& read) {
    return problems_by([&] { read(table_of("time [s]," + head + "\n0,1\n")); });
  };
  const auto level = [](const MeasuredTable& table) {
    static_cast<void>(io::column_in_si<units::Temperature>(table, 1));
  };
  const auto length = [](const MeasuredTable& table) {
    static_cast<void>(io::column_in_si<units::Length>(table, 1));
  };
  const auto step = [](const MeasuredTable& table) {
    static_cast<void>(io::column_in_si<units::TemperatureDifference>(table, 1));
  };
  CHECK(problems("gears [bar]", level) ==
        Lines{"t.csv:1:10: the column gears is in bar; needed is a temperature level, for instance "
              "degC"});
  CHECK(
      problems("gears", level) ==
      Lines{"t.csv:1:10: the column gears has no unit; needed is a temperature level, for instance "
            "gears [degC]"});
  CHECK(problems("gears [°C]", level) ==
        Lines{"t.csv:1:10: the column gears has the unit \"°C\": unknown unit \"°C\", perhaps "
              "\"degC\" or \"K\"; a temperature level is wanted, for instance gears [degC]"});
  CHECK(problems("gears [K/s]", level) ==
        Lines{"t.csv:1:10: the column gears is in K/s; needed is a temperature level, for instance "
              "degC"});
  CHECK(
      problems("gap [mM]", length) ==
      Lines{
          "t.csv:1:10: the column gap has the unit \"mM\": unknown unit \"mM\", perhaps \"mm\" or "
          "\"Mm\"; a length is wanted, for instance gap [mm]"});
  CHECK(problems("gap [-]", length) ==
        Lines{"t.csv:1:10: the column gap has no unit; needed is a length, for instance gap [mm]"});
  CHECK(problems("gap [s]", length) ==
        Lines{"t.csv:1:10: the column gap is in s; needed is a length, for instance mm"});
  CHECK(problems("rise [degC]", step) ==
        Lines{"t.csv:1:10: the column rise is in degC; needed is a temperature difference, for "
              "instance K"});
}

TEST_CASE("Values that have no place in SI units are refused with their line", "[io]") {
  const MeasuredTable table = table_of(
      "T [degC],s [km],d [um],F [degF]\n20,1,1,0\n-273.15,1e305,2,0\n-300,1e306,4e-320,-460\n");
  CHECK(problems_by([&] { static_cast<void>(io::column_in_si<units::Temperature>(table, 0)); }) ==
        Lines{"t.csv:4:1: column T: -300 degC is below absolute zero, -273.15 degC"});
  CHECK(
      problems_by([&] { static_cast<void>(io::column_in_si<units::Length>(table, 1)); }) ==
      Lines{"t.csv:4:1: column s: 1e+306 km is beyond the range of numbers, 1.8e308 in SI units"});
  CHECK(problems_by([&] { static_cast<void>(io::column_in_si<units::Length>(table, 2)); }) ==
        Lines{"t.csv:4:1: column d: 4e-320 um is too small to be told from zero in SI units"});
  CHECK(problems_by([&] { static_cast<void>(io::column_in_si<units::Temperature>(table, 3)); }) ==
        Lines{"t.csv:4:1: column F: -460 degF is below absolute zero, -273.15 degC"});
}

TEST_CASE("Rows out of rising order are refused with their line", "[io]") {
  CHECK_NOTHROW(io::check_rising(table_of("time [s],x\n-1,1\n0,1\n0.5,1\n"), 0));
  const MeasuredTable table = table_of("# a\ntime [s],x\n12,1\n13,1\n12.5,1\n12.5,2\n13,1\n");
  CHECK(problems_by([&] { io::check_rising(table, 0); }) ==
        Lines{"t.csv:5:1: time 12.5 s follows 13 s; rows must be in rising order of time",
              "t.csv:6:1: time 12.5 s follows 12.5 s; rows must be in rising order of time"});
  std::string text = "t\n";
  for (int i = 0; i < 25; ++i) {
    text += "1\n";
  }
  const MeasuredTable still = table_of(text);
  const Lines lines = problems_by([&] { io::check_rising(still, 0); });
  REQUIRE(lines.size() == 21);
  CHECK(lines[0] == "t.csv:3:1: t 1 follows 1; rows must be in rising order of t");
  CHECK(lines[20] == "t.csv: and 4 more problems");
}
