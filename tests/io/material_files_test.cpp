// Material files: the shipped ones, single ones, and folders.
#include "lashband/io/material_files.hpp"

#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "folder.hpp"
#include "io/json_document.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/materials/registry.hpp"
#include "lashband/units/parse.hpp"

namespace {

namespace io = lashband::io;
using lashband::test::Folder;
using lashband::test::text_of;
namespace json = lashband::io::json;
namespace materials = lashband::materials;
namespace units = lashband::units;

const std::filesystem::path source = LASHBAND_SOURCE_DIR;

/// What `read` throws, or "accepted".
template <class Read>
std::string errors_of(const Read& read) {
  try {
    static_cast<void>(read());
  } catch (const io::InputErrors& errors) {
    return errors.what();
  }
  return "accepted";
}

std::string record(const std::string& id, const std::string& more = "") {
  return "{ \"id\": \"" + id +
         "\", \"family\": \"steel\", \"range\": [\"-50 degC\", \"130 degC\"]" + more + " }";
}

const std::string elongation = ", \"elongation\": { \"mean_coefficient\": \"12e-6 1/K\" }";

std::string text_member(const json::Object& row, const std::string& key) {
  const json::Member* member = json::find(row, key);
  return member == nullptr ? "" : std::get<std::string>(member->value.data);
}

}  // namespace

TEST_CASE("Every file of materials/ is shipped, good, and named after its id", "[io]") {
  std::set<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(source / "materials")) {
    if (entry.path().extension() == ".json") {
      names.insert(entry.path().filename().string());
    }
  }
  const auto shipped = io::shipped_materials();
  CHECK(shipped.size() == names.size());
  REQUIRE(shipped.size() > 20);
  std::string last;
  for (const auto& material : shipped) {
    INFO(material->id());
    CHECK(names.count(materials::material_file_name(material->id())) == 1);
    CHECK(last < material->id());
    last = material->id();
    const auto loaded = io::load_shipped(material->id());
    REQUIRE(loaded);
    CHECK(loaded->id() == material->id());
    // Every property names its source and how well it is known.
    for (const std::string_view key : materials::property_keys) {
      if (materials::gives(material->record(), key)) {
        CHECK_FALSE(material->source(key).empty());
        CHECK(material->confidence(key).has_value());
      }
    }
  }
}

TEST_CASE("Shipped materials are found by their exact id alone", "[io]") {
  CHECK(io::load_shipped("C45")->id() == "C45");
  CHECK(io::load_shipped("EN AC-43500")->id() == "EN AC-43500");
  CHECK_FALSE(io::load_shipped("c45"));
  CHECK_FALSE(io::load_shipped("C45 "));
  CHECK_FALSE(io::load_shipped("EN AC 43500"));
  CHECK_FALSE(io::load_shipped(""));
  CHECK_FALSE(io::load_shipped("../C45"));
  CHECK_FALSE(io::load_shipped("no such material"));
}

TEST_CASE("Shipped materials elongate as their sources say", "[io]") {
  const std::string text = text_of(source / "tests" / "reference" / "elongation.json");
  const json::Parsed parsed = json::parse(text);
  REQUIRE(parsed.root);
  const auto& rows = std::get<json::List>(
      json::find(std::get<json::Object>(parsed.root->data), "rows")->value.data);
  REQUIRE(rows.size() > 50);
  for (const json::Value& entry : rows) {
    const auto& row = std::get<json::Object>(entry.data);
    INFO(text_member(row, "material") << " at " << text_member(row, "temperature"));
    REQUIRE_FALSE(text_member(row, "source").empty());
    const auto material = io::load_shipped(text_member(row, "material"));
    REQUIRE(material);
    const auto to = units::parse<units::Temperature>(text_member(row, "temperature"));
    const std::string from_text = text_member(row, "from");
    const auto from =
        from_text.empty() ? units::celsius(20.0) : units::parse<units::Temperature>(from_text);
    const double strain = material->elongation().between(from, to).value();
    const std::string mean = text_member(row, "mean_coefficient");
    if (!mean.empty()) {
      const double tolerance =
          units::parse<units::PerKelvin>(text_member(row, "tolerance")).value();
      const double found = strain / (to.value() - from.value());
      CHECK_THAT(found, WithinAbs(units::parse<units::PerKelvin>(mean).value(), tolerance));
    } else {
      const auto number = [&row](const std::string& key) {
        const json::Member* member = json::find(row, key);
        REQUIRE(member != nullptr);
        return std::get<double>(member->value.data);
      };
      CHECK_THAT(strain, WithinAbs(number("elongation"), number("tolerance")));
    }
  }
}

TEST_CASE("A record may leave out all but id, family and range", "[io]") {
  const auto material = io::read_material_text(record("Steel X"), "x.json");
  CHECK(material->id() == "Steel X");
  CHECK(material->record().standard.empty());
  CHECK_FALSE(material->record().elongation);
  CHECK(errors_of([] { return io::read_material_text("{}", "x.json"); }) ==
        "x.json:1:1: the key \"id\" is missing; needed is the material's designation, such as "
        "\"EN AC-43500\"\n"
        "x.json:1:1: the key \"family\" is missing; needed is a word of lower-case letters, digits "
        "and _, such as \"carbon_steel\"\n"
        "x.json:1:1: the key \"range\" is missing; needed is a range of temperatures, lower end "
        "first, such as [\"-60 degC\", \"250 degC\"]");
}

TEST_CASE("A record without sources says so in their place", "[io]") {
  const auto bare = io::read_material_text(record("X", elongation), "x.json");
  CHECK(bare->source("elongation") == "given in x.json without a source");
  const auto partly = io::read_material_text(
      record("X",
             elongation + ", \"density\": \"7850 kg/m3\", \"sources\": { \"density\": \"book\" }"),
      "x.json");
  CHECK(partly->source("density") == "book");
  CHECK(partly->source("elongation") == "given in x.json without a source");
  const auto wholly = io::read_material_text(
      record("X", elongation + ", \"sources\": { \"all\": \"book\" }"), "x.json");
  CHECK(wholly->source("elongation") == "book");
}

TEST_CASE("Every form of a record is read", "[io]") {
  const std::string rubber =
      ", \"hardness\": { \"irhd\": 55 }, \"shear_modulus\": { \"value\": \"1 MPa\", \"low\": \"0.8 "
      "MPa\", \"high\": \"1.2 MPa\" }, \"loss_factor\": 0.1, \"temperature_factor\": [[\"20 "
      "degC\", "
      "1], [\"100 degC\", 0.7]], \"wlf\": { \"reference_temperature\": \"-25 degC\", \"c1\": 8.86, "
      "\"c2\": \"101.6 K\" }, \"prony\": [{ \"relative_modulus\": 0.2, \"relaxation_time\": \"10 "
      "ms\" }, { \"relative_modulus\": 0.1, \"relaxation_time\": \"1 s\" }], \"service_range\": "
      "[\"-40 degC\", \"100 degC\"], \"shear_strain_limit\": 0.5";
  const auto material = io::read_material_text(record("R", rubber), "r.json");
  CHECK(std::get<materials::Irhd>(material->hardness()).degrees == 55.0);
  CHECK(material->shear_modulus(units::celsius(20.0)).value() == 1e6);
  CHECK(material->loss_factor(units::celsius(20.0)).value() == 0.1);
  constexpr double interpolation = 1e-15;
  CHECK_THAT(material->temperature_factor(units::celsius(60.0)).value(),
             WithinRel(0.85, interpolation));
  CHECK(material->wlf().reference_temperature.value() == -25.0);
  CHECK(material->wlf().c1 == 8.86);
  CHECK(material->wlf().c2.value() == 101.6);
  REQUIRE(material->prony().size() == 2);
  CHECK(material->prony()[0].relaxation_time.value() == 0.01);
  CHECK(material->service_range().high.value() == 100.0);
  CHECK(material->shear_strain_limit().value() == 0.5);
}

TEST_CASE("Own records are checked against the shipped ones", "[io]") {
  const Folder folder;
  folder.file("mine.json", record("C45", elongation));
  const auto file = folder.path() / "mine.json";
  CHECK(io::read_material_file(file)->id() == "C45");
  CHECK(
      errors_of([&file] { return io::check_material_file(file); }) ==
      file.string() +
          ":1:9: /id: read the id \"C45\", which a shipped material has; allowed is an id of your "
          "own");
  folder.file("mine.json", record("My steel", elongation));
  CHECK(io::check_material_file(file)->id() == "My steel");
  CHECK(errors_of([&folder] { return io::check_material_file(folder.path() / "none.json"); }) ==
        (folder.path() / "none.json").string() + ": there is no such file");
}

TEST_CASE("A folder of materials is read whole", "[io]") {
  const Folder folder;
  folder.file("b.json", record("Steel A", elongation));
  folder.file("a.json", "// mine\n" + record("Steel B", elongation));
  folder.file("notes.txt", "no material");
  const auto list = io::materials_in_folder(folder.path());
  REQUIRE(list.size() == 2);
  CHECK(list[0]->id() == "Steel A");
  CHECK(list[1]->id() == "Steel B");
}

TEST_CASE("Everything wrong in a folder of materials is reported at once", "[io]") {
  const Folder folder;
  folder.file("a.json", record("Steel A", elongation));
  folder.file("b.json", record("Steel A"));
  folder.file("c.json", record("C45"));
  folder.file("d.json", "{");
  folder.file("e.json", record("E", ", \"densty\": \"7850 kg/m3\""));
  std::filesystem::create_directory(folder.path() / "f.json");
  const std::string errors =
      errors_of([&folder] { return io::materials_in_folder(folder.path()); });
  CHECK_THAT(errors, ContainsText("b.json:1:9: /id: read the id \"Steel A\", which " +
                                  (folder.path() / "a.json").string() + " has already"));
  CHECK_THAT(errors, ContainsText("c.json:1:9: /id: read the id \"C45\", which a shipped"));
  CHECK_THAT(errors, ContainsText("d.json:1:2: the file ends within the object"));
  CHECK_THAT(errors, ContainsText("e.json:1:68: /densty: read the key \"densty\"; the nearest is "
                                  "\"density\""));
  CHECK_THAT(errors, ContainsText("f.json: this is a folder; allowed is a file"));
}

TEST_CASE("A folder that is none, or has no materials, is refused", "[io]") {
  const Folder folder;
  CHECK_THAT(errors_of([&folder] { return io::materials_in_folder(folder.path()); }),
             ContainsText("the folder of materials has no *.json file"));
  CHECK_THAT(errors_of([&folder] { return io::materials_in_folder(folder.path() / "none"); }),
             ContainsText("the folder of materials cannot be read"));
}

TEST_CASE("An input can name materials of the folder", "[io]") {
  const Folder folder;
  folder.file("mine.json", record("Steel X", elongation));
  std::string text = text_of(source / "tests" / "data" / "valid" / "minimal.json");
  text.replace(text.find("\"16MnCr5\""), 9, "\"Steel X\"");
  const io::ReadOptions options{folder.path(), materials::Extrapolation::refuse};
  const auto read = [&text](const io::ReadOptions& with) {
    return io::read_design_text(text, "train.json", ".", with);
  };
  CHECK(read(options).gears[0].solid.material->id() == "Steel X");
  CHECK_THAT(errors_of([&read] { return read({}); }),
             ContainsText("read \"Steel X\", which is no known material"));

  SECTION("An id of the input that the folder has too is refused") {
    text.replace(text.find("  \"carriers\""), 0,
                 "  \"materials\": [" + record("Steel X", elongation) + "],\n");
    CHECK_THAT(errors_of([&] { return read(options); }),
               ContainsText("/materials/0/id: read the id \"Steel X\", which a material of the "
                            "materials folder has"));
  }
  SECTION("A bad file of the folder is reported beside what is wrong in the input") {
    folder.file("bad.json", "[]");
    text.replace(text.find("\"teeth\": 20"), 11, "\"teeth\": 1");
    const std::string errors = errors_of([&] { return read(options); });
    CHECK_THAT(errors, ContainsText("train.json:7:46: /gears/0/teeth"));
    CHECK_THAT(errors, ContainsText("bad.json:1:1: read an empty list"));
    // Steel X may be in the file that could not be read.
    CHECK(errors.find("no known material") == std::string::npos);
  }
}
