#include "report/html/plan_view.hpp"

#include <algorithm>
#include <cmath>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "report/html/escape.hpp"

using namespace lashband;
using design::Layout;
using report::PlanView;
using report::UnitSystem;

namespace {

units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}

void add_shaft(Layout& layout, const std::string& id, double x, double y, int sense) {
  layout.shafts.push_back({id, {mm(x), mm(y)}, true, 0, sense});
}

void add_gear(Layout& layout, const std::string& id, std::size_t shaft, double radius) {
  layout.gears.push_back({id, shaft, mm(radius), mm(radius + 2.0), mm(radius - 2.5), false});
}

void add_ring(Layout& layout, const std::string& id, std::size_t shaft, double radius) {
  layout.gears.push_back({id, shaft, mm(radius), mm(radius - 2.0), mm(radius + 2.5), true});
}

// Equal gears in a row; the names begin as told.
Layout row(std::size_t count, const std::string& prefix = {}) {
  Layout layout;
  layout.groups.push_back({0, false});
  for (std::size_t i = 0; i < count; ++i) {
    const std::string n = std::to_string(i);
    add_shaft(layout, prefix + "shaft " + n, 40.0 * static_cast<double>(i), 0.0,
              i % 2 == 0 ? 1 : -1);
    add_gear(layout, prefix + "wheel " + n, i, 20.0);
    if (i > 0) {
      layout.meshes.push_back({prefix + "mesh " + n, i - 1, i, true});
    }
  }
  return layout;
}

Layout star(std::size_t count) {
  Layout layout;
  layout.groups.push_back({0, false});
  add_shaft(layout, "sun", 0.0, 0.0, 1);
  add_gear(layout, "sun wheel", 0, 90.0);
  for (std::size_t i = 1; i <= count; ++i) {
    const std::string n = std::to_string(i);
    const double angle = 6.283185307179586 * static_cast<double>(i) / static_cast<double>(count);
    add_shaft(layout, "planet " + n, 105.0 * std::cos(angle), 105.0 * std::sin(angle), -1);
    add_gear(layout, "p" + n, i, 15.0);
    layout.meshes.push_back({"sun-p" + n, 0, i, true});
  }
  return layout;
}

// Two wheels on each shaft but the ends, the shafts in a row.
Layout compound() {
  Layout layout;
  layout.groups.push_back({0, false});
  for (std::size_t i = 0; i < 5; ++i) {
    const std::string n = std::to_string(i);
    add_shaft(layout, "shaft " + n, 65.0 * static_cast<double>(i), 0.0, i % 2 == 0 ? 1 : -1);
    add_gear(layout, "wheel " + n, i, 50.0);
    add_gear(layout, "pinion " + n, i, 15.0);
    if (i > 0) {
      layout.meshes.push_back({"stage " + n, 2 * i - 1, 2 * i, true});
    }
  }
  return layout;
}

// Three planets between a sun and a ring gear, all to scale.
Layout planetary() {
  Layout layout = star(3);
  layout.gears[0].reference_radius = mm(40.0);
  layout.gears[0].tip_radius = mm(42.0);
  add_shaft(layout, "ring", 0.0, 0.0, -1);
  add_ring(layout, "ring gear", 4, 170.0);
  for (std::size_t i = 1; i <= 3; ++i) {
    layout.gears[i].reference_radius = mm(65.0);
    layout.gears[i].tip_radius = mm(67.0);
    layout.meshes.push_back({"p" + std::to_string(i) + "-ring", i, 4, true});
  }
  return layout;
}

std::vector<Layout> trains() {
  return {row(2),      row(3),   row(12),    row(61),
          star(5),     star(20), compound(), row(4, "a name that is much too long "),
          planetary(), Layout{}};
}

struct TextBox {
  std::string text;
  double left, right, top, bottom;
};

// Each match with its groups, of which the first is the whole.
using Match = std::vector<std::string>;

std::vector<Match> matches(const std::string& text, const std::string& pattern) {
  const std::regex expression(pattern);
  std::vector<Match> found;
  for (std::sregex_iterator at(text.begin(), text.end(), expression), end; at != end; ++at) {
    found.emplace_back(at->begin(), at->end());
  }
  return found;
}

// The texts with a size of their own, which are the names and numbers; 0.62 em a character, 12 or
// 13 units high. ASCII names only.
std::vector<TextBox> label_boxes(const std::string& svg) {
  std::vector<TextBox> boxes;
  for (const Match& m :
       matches(svg, "<text x=\"([-0-9.]+)\" y=\"([-0-9.]+)\" font-size=\"([0-9.]+)\">([^<]*)<")) {
    const double size = std::stod(m[3]);
    const double half = 0.31 * size * static_cast<double>(m[4].size());
    const double x = std::stod(m[1]);
    const double baseline = std::stod(m[2]);
    boxes.push_back({m[4], x - half, x + half, baseline - 0.78 * size, baseline + 0.22 * size});
  }
  return boxes;
}

struct Frame {
  double left, top, width, height;
};

Frame frame_of(const std::string& svg) {
  const auto found = matches(svg, "viewBox=\"([-0-9.]+) ([-0-9.]+) ([-0-9.]+) ([-0-9.]+)\"");
  REQUIRE(found.size() == 1);
  const Match& m = found.front();
  return {std::stod(m[1]), std::stod(m[2]), std::stod(m[3]), std::stod(m[4])};
}

// The content of the first group of a class.
std::string group_of(const std::string& svg, const std::string& css_class) {
  const std::string start = "<g class=\"" + css_class + "\"";
  const std::size_t from = svg.find(start);
  REQUIRE(from != std::string::npos);
  return svg.substr(from, svg.find("</g>", from) - from);
}

std::set<std::string> words(const std::vector<TextBox>& boxes) {
  std::set<std::string> result;
  for (const TextBox& box : boxes) {
    result.insert(box.text);
  }
  return result;
}

}  // namespace

TEST_CASE("texts are escaped for markup") {
  CHECK(report::escaped("a<b>&\"c'") == "a&lt;b&gt;&amp;&quot;c&#39;");
  CHECK(report::escaped("\x1b[2J\x7f") == "\uFFFD[2J\uFFFD");
  CHECK(report::escaped("tab\tline\nreturn\r") == "tab\tline\nreturn&#13;");
  CHECK(report::escaped("µm 歯車 😀") == "µm 歯車 😀");
  CHECK(report::escaped("\u202Eabc\u2066") == "\uFFFDabc\uFFFD");
  CHECK(report::escaped("\u2028\uFFFE") == "\uFFFD\uFFFD");
}

// RFC 3629: overlong forms, surrogates, numbers beyond U+10FFFF and cut sequences are not UTF-8.
TEST_CASE("broken bytes are replaced one by one") {
  CHECK(report::escaped("a\xFF"
                        "b") == "a\uFFFDb");
  CHECK(report::escaped("\xC0\xBC") == "\uFFFD\uFFFD");
  CHECK(report::escaped("\xED\xA0\x80") == "\uFFFD\uFFFD\uFFFD");
  CHECK(report::escaped("\xF4\x90\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
  CHECK(report::escaped("\xE2\x82") == "\uFFFD\uFFFD");
  CHECK(report::escaped("\xE2\x82<") == "\uFFFD\uFFFD&lt;");
}

TEST_CASE("text from right to left does not turn its neighbours") {
  CHECK(report::isolated("plain <") == "plain &lt;");
  CHECK(report::isolated("גל 1") == "\u2068גל 1\u2069");
  // What would close the isolation early is gone.
  CHECK(report::isolated("גל\u2069") == "\u2068גל\uFFFD\u2069");
}

TEST_CASE("a plan has no mark-up of the user's, no style, no script and no address") {
  Layout layout = row(2);
  layout.shafts[0].id = "<script>alert(\"1\")</script>";
  layout.gears[0].id = "' onload='x";
  layout.meshes[0].id = "</svg>&amp;";
  const PlanView view = report::plan_view(layout, UnitSystem::metric);
  for (const char* forbidden :
       {"<script", "style", "' onload", "href", "http", "url(", "</svg>&"}) {
    INFO(forbidden);
    CHECK(view.svg.find(forbidden) == std::string::npos);
  }
  CHECK_THAT(view.svg, ContainsText("&lt;/svg&gt;&amp;amp;"));
  CHECK(matches(view.svg, "<[a-z]").size() ==
        matches(view.svg, "</[a-z]").size() + matches(view.svg, "/>").size());
}

TEST_CASE("the same train gives the same plan, without nonsense numbers") {
  for (const Layout& train : trains()) {
    const PlanView view = report::plan_view(train, UnitSystem::metric);
    CHECK(view.svg == report::plan_view(train, UnitSystem::metric).svg);
    CHECK(matches(view.svg, "\"-?(nan|inf)").empty());
  }
}

TEST_CASE("every name stands in the plan or in its key") {
  for (const Layout& train : trains()) {
    CAPTURE(train.shafts.size());
    const PlanView view = report::plan_view(train, UnitSystem::metric);
    const std::set<std::string> drawn = words(label_boxes(view.svg));
    const auto check = [&](const std::string& kind, const std::string& name) {
      INFO(kind << " " << name);
      const auto entry = std::find_if(view.key.begin(), view.key.end(), [&](const auto& e) {
        return e.kind == kind && e.name == name;
      });
      if (entry == view.key.end()) {
        CHECK(drawn.count(name) == 1);
      } else {
        CHECK(drawn.count(entry->number) == 1);
      }
    };
    for (const auto& shaft : train.shafts) {
      check("shaft", shaft.id);
    }
    for (const auto& gear : train.gears) {
      check("gear", gear.id);
    }
    for (const auto& mesh : train.meshes) {
      check("mesh", mesh.id);
    }
  }
}

TEST_CASE("names and numbers neither overlap nor leave the plan") {
  for (const Layout& train : trains()) {
    CAPTURE(train.shafts.size());
    const std::string svg = report::plan_view(train, UnitSystem::metric).svg;
    const Frame frame = frame_of(svg);
    const std::vector<TextBox> boxes = label_boxes(svg);
    for (std::size_t i = 0; i < boxes.size(); ++i) {
      const TextBox& a = boxes[i];
      INFO(a.text);
      CHECK(a.left >= frame.left);
      CHECK(a.right <= frame.left + frame.width);
      CHECK(a.top >= frame.top);
      CHECK(a.bottom <= frame.top + frame.height);
      for (std::size_t k = i + 1; k < boxes.size(); ++k) {
        const TextBox& b = boxes[k];
        INFO(b.text);
        const bool apart =
            a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;
        CHECK(apart);
      }
    }
  }
}

TEST_CASE("texts are at least 12 units high in a plan 680 wide") {
  for (const Layout& train : trains()) {
    const std::string svg = report::plan_view(train, UnitSystem::metric).svg;
    CHECK(frame_of(svg).width == 680.0);
    const auto sizes = matches(svg, "font-size=\"([0-9.]+)\"");
    REQUIRE_FALSE(sizes.empty());
    for (const Match& size : sizes) {
      CHECK(std::stod(size[1]) >= 12.0);
    }
  }
}

// The plan has two decimals.
constexpr double rounding_of_plan = 0.011;

TEST_CASE("circles and scale bar have one scale, in millimetres and in inches") {
  const Layout train = compound();
  for (const UnitSystem units : {UnitSystem::metric, UnitSystem::inch}) {
    const std::string svg = report::plan_view(train, units).svg;
    const auto lines = matches(group_of(svg, "plan-scale"), "x1=\"([0-9.]+)\".*?x2=\"([0-9.]+)\"");
    REQUIRE_FALSE(lines.empty());
    const double bar = std::stod(lines[0][2]) - std::stod(lines[0][1]);
    const auto texts = matches(svg, ">([0-9.]+) (mm|in)</text>");
    REQUIRE(texts.size() == 1);
    CHECK((texts[0][2] == "in") == (units == UnitSystem::inch));
    const double length = std::stod(texts[0][1]) * (units == UnitSystem::inch ? 25.4 : 1.0);
    const double scale = bar / length;  // units per mm

    // The two ends of the bar are rounded, and what is measured with it is up to 5 times as long.
    constexpr double rounding = 10.0 * rounding_of_plan;
    const auto pitch =
        matches(group_of(svg, "plan-pitch"), "cx=\"([0-9.]+)\" cy=\"([0-9.]+)\" r=\"([0-9.]+)\"");
    const auto tip = matches(group_of(svg, "plan-tip"), " r=\"([0-9.]+)\"");
    REQUIRE(pitch.size() == train.gears.size());
    REQUIRE(tip.size() == train.gears.size());
    for (std::size_t i = 0; i < train.gears.size(); ++i) {
      CHECK_THAT(std::stod(pitch[i][3]),
                 WithinAbs(scale * 1e3 * train.gears[i].reference_radius.value(), rounding));
      CHECK_THAT(std::stod(tip[i][1]),
                 WithinAbs(scale * 1e3 * train.gears[i].tip_radius.value(), rounding));
    }
    CHECK_THAT(std::stod(pitch[2][1]) - std::stod(pitch[0][1]), WithinAbs(scale * 65.0, rounding));
    CHECK(pitch[0][2] == pitch[2][2]);
  }
}

// An arc of SVG with sweep flag 1 goes clockwise on the screen (SVG 1.1, 8.3.8).
TEST_CASE("arrows and words tell the senses of rotation") {
  const std::string svg = report::plan_view(row(3), UnitSystem::metric).svg;
  const auto arcs = matches(group_of(svg, "plan-turn"), "A[0-9.]+ [0-9.]+ 0 1 ([01]) ");
  REQUIRE(arcs.size() == 3);
  CHECK(arcs[0][1] == "0");
  CHECK(arcs[1][1] == "1");
  CHECK(arcs[2][1] == "0");
  CHECK_THAT(svg, ContainsText("Shaft shaft 0 turns anticlockwise and carries gear wheel 0."));
  CHECK_THAT(svg, ContainsText("Shaft shaft 1 turns clockwise and carries gear wheel 1."));
  CHECK_THAT(svg, ContainsText("Mesh mesh 2: gear wheel 1 with gear wheel 2."));
}

TEST_CASE("a locked train has no arrows and says why") {
  Layout layout = row(3);
  layout.groups[0].locked = true;
  for (auto& shaft : layout.shafts) {
    shaft.sense = 0;
  }
  const std::string svg = report::plan_view(layout, UnitSystem::metric).svg;
  CHECK(svg.find("plan-turn") == std::string::npos);
  CHECK_THAT(svg, ContainsText("odd number of meshes"));
  CHECK_THAT(svg, ContainsText("Shaft shaft 0 cannot turn"));
}

TEST_CASE("a plan says which places it chose and which meshes are not to scale") {
  Layout layout = row(3);
  CHECK(report::plan_view(layout, UnitSystem::metric).svg.find("not given") == std::string::npos);
  layout.shafts[2].place_given = false;
  CHECK_THAT(report::plan_view(layout, UnitSystem::metric).svg,
             ContainsText("places of 1 of 3 shafts are not given"));
  layout.meshes[1].to_scale = false;
  CHECK_THAT(report::plan_view(layout, UnitSystem::metric).svg, ContainsText("plan-mesh-open"));
}

TEST_CASE("a train with more names than the plan can hold has none there and says so") {
  const PlanView view = report::plan_view(row(200), UnitSystem::metric);
  CHECK(view.key.empty());
  CHECK(label_boxes(view.svg).empty());
  CHECK_THAT(view.svg, ContainsText("Names are left out"));
}

TEST_CASE("a ring gear is a ring around its mates, and meets them on their far side") {
  const Layout train = planetary();
  const std::string svg = report::plan_view(train, UnitSystem::metric).svg;
  const std::string circles = "cx=\"([-0-9.]+)\" cy=\"([-0-9.]+)\" r=\"([0-9.]+)\"";
  const auto roots = matches(group_of(svg, "plan-root"), circles);
  REQUIRE(roots.size() == 1);
  const double root = std::stod(roots[0][3]);
  const double scale = root / 172.5;
  const double x = std::stod(roots[0][1]);
  const double y = std::stod(roots[0][2]);
  // Tips of the planets stay within its roots; the ring's own tips are inside its reference circle.
  const auto tips = matches(group_of(svg, "plan-tip"), circles);
  REQUIRE(tips.size() == 5);
  CHECK_THAT(std::stod(tips.back()[3]), WithinAbs(168.0 * scale, rounding_of_plan));
  for (const Match& tip : tips) {
    const double away = std::hypot(std::stod(tip[1]) - x, std::stod(tip[2]) - y);
    CHECK(away + std::stod(tip[3]) <= root);
  }
  CHECK(matches(group_of(svg, "plan-pitch"), circles).size() == 5);
  // Three meshes of the sun at its circle, three of the ring at the ring's.
  std::multiset<int> distances;
  for (const Match& point : matches(group_of(svg, "plan-mesh"), circles)) {
    const double away = std::hypot(std::stod(point[1]) - x, std::stod(point[2]) - y) / scale;
    distances.insert(static_cast<int>(std::lround(away)));
  }
  CHECK(distances == std::multiset<int>{40, 40, 40, 170, 170, 170});
  const Frame frame = frame_of(svg);
  CHECK(x - root >= frame.left);
  CHECK(x + root <= frame.left + frame.width);
  CHECK_THAT(svg, ContainsText("gear p1 in ring gear ring gear"));
  CHECK_THAT(svg, ContainsText("root circle"));
  CHECK(report::plan_view(row(2), UnitSystem::metric).svg.find("root circle") == std::string::npos);
}
