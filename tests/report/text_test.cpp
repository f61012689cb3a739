#include "lashband/report/text.hpp"

#include <algorithm>
#include <vector>

#include "catch.hpp"
#include "made_results.hpp"
#include "report/terminal_table.hpp"

using namespace lashband;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    if (c == '\n') {
      lines.emplace_back();
    } else {
      lines.back() += c;
    }
  }
  lines.pop_back();
  return lines;
}

// The line that begins so after its mark of two columns, and holds `part`.
std::string line_of(const std::string& text, const std::string& begin, const std::string& part) {
  for (const std::string& line : lines_of(text)) {
    const std::size_t at = line.find(begin);
    if (at != std::string::npos && at <= 4 && line.find(part) != std::string::npos) {
      return line;
    }
  }
  return "no line with " + begin + " and " + part + " in\n" + text;
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

template <class Result>
void check_layout(const Result& result) {
  for (const auto units : {report::UnitSystem::metric, report::UnitSystem::inch}) {
    report::View view;
    view.units = units;
    for (const char* condition : {"", "cold start", "soak"}) {
      view.condition.reset();
      if (*condition != '\0') {
        view.condition = condition;
      }
      const std::string text = report::text(result, view);
      CHECK(text.back() == '\n');
      for (const std::string& line : lines_of(text)) {
        INFO(line);
        CHECK(report::columns_of(line) <= report::terminal_width);
        CHECK((line.empty() || line.back() != ' '));
      }
    }
  }
}

}  // namespace

TEST_CASE("tables are 80 columns wide at most, with everything and with nothing") {
  check_layout(test::full_result());
  check_layout(test::bare_result());
  check_layout(test::full_comparison());
  check_layout(test::bare_comparison());
  check_layout(test::full_budget());
  check_layout(test::bare_budget());
}

TEST_CASE("tables with moments of a history of a long name are 80 columns wide at most") {
  for (const char* history : {"cold start up", "a cold start with a name longer than any column"}) {
    design::BacklashResult result = test::with_history(test::full_result(), history, 34);
    result.requirements[0].state = result.states.back().id;
    check_layout(result);
    design::CarriersResult carriers = test::full_comparison();
    carriers.rows[0].result = result;
    check_layout(carriers);
    design::BudgetResult budget = test::full_budget();
    budget.backlash = result;
    budget.budgets[0].least_at = result.states.back().id;
    check_layout(budget);
  }
}

TEST_CASE("of a history's moments a table shows those that matter, and says so") {
  design::BacklashResult result = test::with_history(test::full_result(), "cold start up", 34);
  result.requirements[0].state = "cold start up at 150.25 s";
  report::View view;
  view.mesh = "A-B";
  const std::string text = report::text(result, view);
  CHECK_THAT(text, ContainsText("\n  history cold start up: 8 of 34 moments shown; lashband warmup "
                                "shows it over\n    time\n"));
  // Both ends, the least, and where the requirement is tightest.
  CHECK(contains(text, "cold start up 0 s"));
  CHECK(contains(text, "↓ cold start up 255 s"));
  CHECK(contains(text, "cold start up 495 s"));
  CHECK_THAT(text, ContainsText("cold s… 150 s met"));

  view.condition = "cold start up";
  const std::string all = report::text(result, view);
  CHECK_FALSE(contains(all, "moments shown"));
  CHECK(contains(all, "cold start up 165 s"));
  CHECK_FALSE(contains(all, "running hot, gears…   "));
}

TEST_CASE("a history of few moments is shown whole") {
  const design::BacklashResult result = test::with_history(test::full_result(), "cold start up", 8);
  CHECK_FALSE(contains(report::text(result, {}), "moments shown"));
}

TEST_CASE("the backlash of a state: nominal, worst case, root sum square, percentiles, binding") {
  const std::string text = report::text(test::full_result(), {});
  CHECK_THAT(line_of(text, "cold start", "2.3e-08"),
             ContainsText(" 82.9   42.7  123.7   52.4  113.4   54.8  111.4  2.3e-08"));
  CHECK_THAT(line_of(text, "soak 20 degC", "1e-12"), EndsWith("  <1e-12"));
  CHECK_THAT(line_of(text, "running hot", "1194.3"), EndsWith("        0"));
  // The arrows mark least and greatest.
  CHECK(contains(text, "↓ cold start             82.9"));
  CHECK(contains(text, "↑ running hot"));
  CHECK(contains(text, "99.73 %"));
}

TEST_CASE("columns stand below their heads") {
  const auto lines = lines_of(report::text(test::full_result(), {}));
  const auto head = std::find_if(lines.begin(), lines.end(), [](const std::string& line) {
    return contains(line, "P(bind)") && contains(line, "nominal  ");
  });
  REQUIRE(head != lines.end());
  for (auto line = head; line != head + 4; ++line) {
    CHECK(report::columns_of(*line) == report::columns_of(*head));
  }
}

TEST_CASE("what was not worked out has no column") {
  const std::string text = report::text(test::bare_result(), {});
  for (const char* absent : {"worst case", "RSS", "99.73", "P(bind)", "float", "loaded", "tilt",
                             "anywhere", "sampled", "requirements", "warnings", "--samples"}) {
    INFO(absent);
    CHECK_FALSE(contains(text, absent));
  }
  // The nominal backlash then stands beside the geometry.
  CHECK_THAT(line_of(text, "cold start", "106.6080"), EndsWith("1.603    82.9"));

  design::BacklashResult worst_case_only = test::bare_result();
  worst_case_only.meshes[0].states[0].gap.j_wt = test::plain_band(82.9, 42.5, 123.5);
  const std::string some = report::text(worst_case_only, {});
  CHECK_THAT(line_of(some, "cold start", "42.5"), EndsWith(" 82.9   42.5  123.5"));
  CHECK_FALSE(contains(some, "RSS"));
}

TEST_CASE("a mesh where some states lack what others have shows a dash there") {
  design::BacklashResult result = test::full_result();
  design::MeshState& at = result.meshes[0].states[0];
  at.gap.j_wt = test::plain_band(82.9, 42.5, 123.5);
  at.gap.j_bind = at.gap.j_wt;
  at.float_1.reset();
  at.j_wt_loaded.reset();
  at.tilt_over_face.reset();
  const std::string text = report::text(result, {});
  CHECK_THAT(line_of(text, "cold start", "42.5"),
             EndsWith(" 82.9   42.5  123.5      -      -      -      -        -"));
  CHECK_THAT(line_of(text, "cold start", "21.0"),
             EndsWith("      -      -    6.0   21.0       -      -      -        -"));
}

TEST_CASE("bearings and walls: float, loaded backlash, tilt and loose rings") {
  const std::string text = report::text(test::full_result(), {});
  CHECK_THAT(line_of(text, "soak 20 degC", "127.7"),
             EndsWith("   5.0   19.0    6.0   21.0   127.7   89.7  169.7      4.5"));
  CHECK_THAT(text, ContainsText("inner ring of crank B bearing 2 loose by 0.8 µm at cold start"));
  CHECK_THAT(text, ContainsText("outer ring of crank A bearing 1 loose by "));
}

TEST_CASE("mean forces: unloaded and loaded backlash side by side, and what opens it") {
  report::View view;
  view.mesh = "A-B";
  const std::string text = report::text(test::full_result(), view);
  CHECK_THAT(line_of(text, "mean forces", "j_wt, nominal"),
             EndsWith("   j_wt, nominal                       opened by     force"));
  CHECK_THAT(line_of(text, "in µm", "unloaded"),
             EndsWith(" unloaded  loaded shafts separation   ring  teeth         N"));
  CHECK_THAT(line_of(text, "cold start", "512"),
             EndsWith("     82.9    90.9    2.3        0.5   -1.8    6.1       512"));
  CHECK_THAT(line_of(text, "running hot", "-1230"),
             EndsWith("    2.3        0.5   -1.8    6.1     -1230"));
  CHECK(contains(text, "mean forces: those of the"));
  // No force at a state, no row of it.
  const std::string table = text.substr(text.find("\n  mean forces"));
  CHECK_FALSE(contains(table.substr(0, table.find("a built unit")), "soak"));

  view.units = report::UnitSystem::inch;
  const std::string inch = report::text(test::full_result(), view);
  CHECK_THAT(line_of(inch, "in thou", "unloaded"), EndsWith("lbf"));
  CHECK_THAT(line_of(inch, "cold start", "115.2"),
             EndsWith("     3.26    3.58   0.09       0.02  -0.07   0.24     115.2"));
}

TEST_CASE("without mean forces there is no table of them") {
  design::BacklashResult result = test::full_result();
  for (design::MeshResult& mesh : result.meshes) {
    for (design::MeshState& at : mesh.states) {
      at.load.reset();
    }
  }
  const std::string text = report::text(result, {});
  CHECK_FALSE(contains(text, "mean forces"));
  CHECK_FALSE(contains(text, "unloaded"));
  CHECK(contains(text, "j_wt loaded"));  // the shafts alone press it apart
  report::View soak;
  soak.condition = "soak";
  CHECK_FALSE(contains(report::text(test::full_result(), soak), "unloaded"));
}

TEST_CASE("mean forces of any size stay within the table") {
  design::BacklashResult result = test::full_result();
  for (design::MeshState& at : result.meshes[0].states) {
    const auto far = test::micrometres(-123456.0);
    at.load = design::MeshLoad{units::from_si<units::Force>(-9999999.0), far, far, far, far};
    at.j_wt_loaded->nominal = far;
  }
  check_layout(result);
}

TEST_CASE("how likely a unit fails: the worst state, and anywhere with its standard error") {
  const std::string text = report::text(test::full_result(), {});
  CHECK_THAT(line_of(text, "binds", ""),
             EndsWith(" 2.3e-08  cold start          3.1e-08 ± 1.2e-08"));
  CHECK_THAT(line_of(text, "below the least", ""),
             EndsWith(" 0.0013  cold start          0.0025 ± 1.0e-05"));
  CHECK_THAT(line_of(text, "above the greatest", ""), EndsWith("none"));
  CHECK_THAT(text, ContainsText("sampled: 1000000 units, seed 7, AVX2"));
  CHECK_FALSE(contains(text, "--samples"));

  design::BacklashResult result = test::full_result();
  for (design::MeshResult& mesh : result.meshes) {
    mesh.anywhere.reset();
  }
  result.sampling.reset();
  const std::string unsampled = report::text(result, {});
  CHECK_THAT(unsampled, ContainsText("--samples 1000000 samples it"));
  CHECK_THAT(line_of(unsampled, "binds", ""), EndsWith(" 2.3e-08  cold start"));
  CHECK_FALSE(contains(unsampled, "sampled: "));
}

TEST_CASE("sampled percentiles say so, and a sampled 0 is none") {
  design::BacklashResult result = test::full_result();
  CHECK(contains(report::text(result, {}), "percentiles and probabilities are sampled"));
  report::View view;
  view.mesh = "A-B";
  CHECK_FALSE(contains(report::text(result, view), "percentiles and probabilities are sampled"));
  view.mesh = "a mesh of a long name";
  CHECK_THAT(line_of(report::text(result, view), "running hot", "1194.3"), EndsWith("    none"));
}

TEST_CASE("every requirement stands below the basis that it is judged on") {
  const auto lines = lines_of(report::text(test::full_result(), {}));
  const auto after = [&lines](const std::string& head, const std::string& row) {
    const auto at = std::find(lines.begin(), lines.end(), "requirements, judged on: " + head);
    REQUIRE(lines.end() - at > 2);
    INFO(at[2]);
    CHECK(contains(at[2], row));
  };
  after("worst case", "least backlash");
  after("percentiles (0.135 and 99.865)", "greatest normal backlash");
  after("root sum square", "least contact ratio");
  after("nominal", "no binding");
  CHECK(std::count(lines.begin(), lines.end(), "  1 of 4 requirements not met") == 1);

  design::BacklashResult one_basis = test::full_result();
  for (design::RequirementRow& row : one_basis.requirements) {
    row.basis = design::Basis::rss;
  }
  const auto few = lines_of(report::text(one_basis, {}));
  CHECK(std::count_if(few.begin(), few.end(),
                      [](const std::string& line) { return contains(line, "judged on"); }) == 1);
}

TEST_CASE("verdicts are the only thing in colour") {
  report::View plain;
  report::View coloured;
  coloured.color = true;
  const auto result = test::full_result();
  std::string text = report::text(result, coloured);
  CHECK(contains(text, "\x1b[32mmet\x1b[0m"));
  CHECK(contains(text, "\x1b[1;31mNOT MET\x1b[0m"));
  for (const std::string code : {"\x1b[32m", "\x1b[1;31m", "\x1b[0m"}) {
    for (std::size_t at = text.find(code); at != std::string::npos; at = text.find(code)) {
      text.erase(at, code.size());
    }
  }
  CHECK(text == report::text(result, plain));
}

TEST_CASE("carriers: ends over all states in every measure, and where a unit binds most") {
  const std::string text = report::text(test::full_comparison(), {});
  CHECK_THAT(line_of(text, "floating steel plate", "42.7"),
             ContainsText(" 42.7  cold start       1275.3  running hot, …  1151.6"));
  CHECK_THAT(line_of(text, "floating steel plate", "2.3e-08"),
             EndsWith(" 52.4  1265.0     54.8  1263.0  2.3e-08  cold start"));
  const std::string bare = report::text(test::bare_comparison(), {});
  CHECK_FALSE(contains(bare, "RSS"));
  CHECK_FALSE(contains(bare, "P(bind)"));
}

TEST_CASE("carriers: the greatest rattle index and the least margin, each with where it is") {
  const std::string text = report::text(test::full_comparison(), {});
  CHECK_THAT(line_of(text, "rattle index", "greatest"),
             EndsWith("  greatest Λ  mesh                     at"));
  CHECK_THAT(line_of(text, "floating steel plate", "1.029"),
             EndsWith("     1.029  A-B                      cold start"));
  CHECK_THAT(line_of(text, "bores in the case", "∞"),
             EndsWith("         ∞  a mesh of a long name    cold start"));
  CHECK_THAT(line_of(text, "floating steel plate", "0.012"),
             EndsWith("     0.012  torque load              cold start"));
  CHECK_THAT(line_of(text.substr(text.find("resonance margin")), "bores in the case", ""),
             EndsWith("         -"));
  // What is required of it stands among what is not met.
  CHECK_THAT(text, ContainsText("  B-I greatest rattle index: ∞ against 1.250, cold start\n"));
  CHECK_THAT(text,
             ContainsText("torque compressor, order 2.50 at mode 1 least resonance margin: 0.012"));

  const std::string bare = report::text(test::bare_comparison(), {});
  for (const char* absent : {"Λ", "margin", "rattle"}) {
    CHECK_FALSE(contains(bare, absent));
  }
  design::CarriersResult one = test::full_comparison();
  one.rows[0].torsion->least_margin.reset();
  one.rows[1].torsion.reset();
  const std::string some = report::text(one, {});
  CHECK_FALSE(contains(some, "resonance margin  "));
  CHECK_THAT(line_of(some.substr(some.find("rattle index")), "bores in the case", ""),
             EndsWith("         -"));
  check_layout(one);
}

TEST_CASE("carriers: a warning about one carrier names it once") {
  const std::string text = report::text(test::full_comparison(), {});
  CHECK_THAT(text, ContainsText("\n  joint, carrier floating steel plate, cold start: the joint"));
  CHECK_THAT(text, ContainsText("\n  tilt, with floating steel plate, mesh A-B: the axes"));
}

TEST_CASE("the budget sets temperature beside the tolerances and ranks the contributors") {
  const std::string text = report::text(test::full_budget(), {});
  // full_band(100): 140.75 less 59.75 is 81, of which temperature makes 21.
  CHECK_THAT(text, ContainsText("temperature moves the nominal by 21.0 µm; tolerances spread it "
                                "by 60.0 µm"));
  CHECK_THAT(line_of(text, "E_sn gA", ""),
             EndsWith(" -110 um .. -70 um     43.5   62.5    21.8    12.3"));
  CHECK_THAT(line_of(text, "clearance crank A bearing 1", ""), EndsWith(" 37.5     5.5     1.5"));
  CHECK_THAT(text, ContainsText("1 of 4 requirements not met; lashband backlash lists them"));
  // The envelope alone, until a state is asked for.
  CHECK(contains(text, "over all states"));
  CHECK_FALSE(contains(text, "at soak 20 degC"));
  report::View view;
  view.condition = "soak";
  const std::string soak = report::text(test::full_budget(), view);
  CHECK(contains(soak, "at soak 20 degC"));
  CHECK_FALSE(contains(soak, "over all states"));
  // At one state the whole band is that of the tolerances.
  CHECK_THAT(soak, ContainsText("temperature moves the nominal by -36.8 µm from the reference "
                                "temperature;\n  tolerances spread it by 81.0 µm"));
}

TEST_CASE("the budget without percentiles has no gain in them, and none without tolerances") {
  design::BudgetResult result = test::full_budget();
  for (design::Budget& budget : result.budgets) {
    for (design::BudgetRow& row : budget.rows) {
      row.gain_percentile.reset();
    }
  }
  const std::string text = report::text(result, {});
  CHECK_THAT(line_of(text, "E_sn gA", ""), EndsWith(" 43.5   62.5            21.8"));
  CHECK(contains(report::text(test::bare_budget(), {}), "no tolerance contributes"));
}
