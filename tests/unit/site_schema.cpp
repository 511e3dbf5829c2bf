#include "site/schema.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "site/fields.hpp"

namespace {
constexpr const char* schema_path = BLN_TESTS_DIR "/../docs/schema/site.schema.json";
}

// The file is what people and editors read; it must not lag behind the table.
// To renew it: unit "[renew-schema]"
TEST_CASE("the schema in the documentation is the one the library generates") {
    std::ifstream file(schema_path, std::ios::binary);
    REQUIRE(file.is_open());
    std::ostringstream text;
    text << file.rdbuf();
    CHECK(text.str() == bln::site_schema());
}

TEST_CASE("write the schema into the documentation", "[.][renew-schema]") {
    std::ofstream file(schema_path, std::ios::binary);
    file << bln::site_schema();
    file.close();
    REQUIRE(file.good());
}

TEST_CASE("the schema names every kind and every field with its meaning") {
    const std::string schema = bln::site_schema();
    for (std::size_t k = 0; k < bln::kind_count; ++k) {
        const bln::KindInfo& kind = bln::info(static_cast<bln::Kind>(k));
        if (!kind.collection.empty())
            CHECK(schema.find('"' + std::string(kind.collection) + "\": {") != std::string::npos);
        for (std::size_t f = 0; f < kind.field_count; ++f) {
            const bln::FieldInfo& field = kind.fields[f];
            INFO(kind.name << "." << field.name);
            CHECK(schema.find('"' + std::string(field.name) + "\": {\"description\": \"" + std::string(field.doc)) !=
                  std::string::npos);
        }
    }
}
