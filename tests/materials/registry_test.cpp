#include "lashband/materials/registry.hpp"

#include <memory>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

namespace {

using namespace lashband;
using namespace lashband::materials;

std::shared_ptr<const Material> invented(const std::string& id) {
  MaterialRecord record;
  record.id = id;
  record.family = "invented_solid";
  record.range = {units::celsius(-60), units::celsius(200)};
  return std::make_shared<const Material>(record);
}

MaterialRegistry some_materials() {
  MaterialRegistry registry;
  for (const char* id : {"EN AC-43500", "C45", "42CrMo4"}) {
    registry.add(invented(id));
  }
  return registry;
}

TEST_CASE("a registry finds what was added, by its exact id") {
  const MaterialRegistry registry = some_materials();
  CHECK(registry.size() == 3);
  CHECK(registry.ids() == std::vector<std::string>{"42CrMo4", "C45", "EN AC-43500"});
  REQUIRE(registry.find("C45"));
  CHECK(registry.find("C45")->id() == "C45");
  CHECK(registry.at("42CrMo4")->id() == "42CrMo4");
  CHECK(registry.find("C45") == registry.at("C45"));
  CHECK_FALSE(registry.find("c45"));
  CHECK_FALSE(MaterialRegistry().find("C45"));
}

TEST_CASE("an unknown material is an error that suggests the nearest one") {
  const MaterialRegistry registry = some_materials();
  CHECK(registry.nearest_id("ENAC-43500") == "EN AC-43500");
  CHECK_THROWS_MATCHES(registry.at("c45"), MaterialError,
                       Message("material 'c45' is not known; did you mean 'C45'?"));
  CHECK_THROWS_MATCHES(registry.at("brass"), MaterialError,
                       Message("material 'brass' is not known"));
}

TEST_CASE("an id is taken once") {
  MaterialRegistry registry = some_materials();
  CHECK_THROWS_MATCHES(registry.add(invented("C45")), DomainError,
                       Message("material 'C45' is known already; an id may be given only once"));
  CHECK(registry.size() == 3);
  CHECK_THROWS_MATCHES(registry.add(nullptr), DomainError,
                       Message("no material was given to the registry"));
}

TEST_CASE("the file of a material is named after its id") {
  CHECK(material_file_name("EN AC-43500") == "en_ac_43500.json");
  CHECK(material_file_name("18CrNiMo7-6") == "18crnimo7_6.json");
  CHECK(material_file_name("C45") == "c45.json");
  CHECK(material_file_name("A356.0") == "a356_0.json");
  // A run of other characters is one _, and none stands at an end; letters beyond a-z are others.
  CHECK(material_file_name("EN -- AW_6061 (T6)") == "en_aw_6061_t6.json");
  CHECK(material_file_name("-X-") == "x.json");
  CHECK(material_file_name("st\xc3\xa4hl 1") == "st_hl_1.json");
  CHECK_THROWS_MATCHES(material_file_name("--"), DomainError,
                       Message("material id '--' has no letter a-z and no digit to make a file "
                               "name of"));
  CHECK_THROWS_AS(material_file_name(""), DomainError);
}

}  // namespace
