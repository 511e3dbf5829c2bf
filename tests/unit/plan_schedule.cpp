#include <catch2/catch.hpp>
#include <memory>
#include <string>

#include "plan/schedule.hpp"
#include "power/failure.hpp"
#include "site/merge.hpp"
#include "site/utf16.hpp"
#include "site/view.hpp"
#include "site/writer.hpp"

using namespace bln;

namespace {

std::string json_of(std::string_view map, std::string_view csv) {
    const auto model = plan::read_schedule(plan::ScheduleMap::read(map), csv, 1U << 20U);
    return write_site(*model, JsonStyle::canonical);
}
std::vector<ErrorItem> errors_of(std::string_view map, std::string_view csv) {
    try {
        (void)plan::read_schedule(plan::ScheduleMap::read(map), csv, 1U << 20U);
    } catch (const Failure& f) {
        return f.items();
    }
    return {};
}
std::string utf16(std::string_view ascii, bool big_endian, bool mark) {
    std::string out;
    const auto unit = [&](unsigned c) {
        const char high = static_cast<char>(static_cast<unsigned char>(c >> 8U));
        const char low = static_cast<char>(static_cast<unsigned char>(c & 0xFFU));
        out += big_endian ? high : low;
        out += big_endian ? low : high;
    };
    if (mark) unit(0xFEFF);
    for (const char c : ascii) unit(static_cast<unsigned char>(c));
    return out;
}

constexpr std::string_view panel_map = R"({"delimiter": ";", "decimal": ",", "ids": {"circuit": "{Panel}-{Space}"},
    "columns": {"Panel": "panel.id", "Space": "circuit.spaces", "Amps": "circuit.breaker_amps", "Load": "circuit.name",
                "For": "circuit.role", "Remarks": "ignored"},
    "words": {"circuit.role": {"Tenant": "premises", "House": "common"}}})";

}  // namespace

TEST_CASE("a panel schedule becomes circuits: quotes, decimal comma, columns in any order, BOM, CRLF") {
    const std::string csv =
        "\xEF\xBB\xBF"
        "Amps;Load;Panel;Remarks;Space;For\r\n"
        "20,5;\"Shop; the \"\"left\"\" one\";P1;;1,3;Tenant\r\n"
        ";;;;;\r\n"
        "16;Stairs;P1;old;07;House\r\n";
    CHECK(
        json_of(panel_map, csv) ==
        R"({"blondel":"1","circuits":{)"
        R"("P1-07":{"breaker_amps":16,"name":"Stairs","panel":"P1","role":"common","spaces":[7]},)"
        R"("P1-1-3":{"breaker_amps":20.5,"name":"Shop; the \"left\" one","panel":"P1","role":"premises","spaces":[1,3]}},)"
        R"("panels":{"P1":{}}})");
}

TEST_CASE("one space a line: the lists of a circuit grow") {
    const std::string csv = "circuit.id,circuit.panel,circuit.spaces\nheater,P,2\nheater,P,4\nheater,P,6\nlamp,P,1\n";
    CHECK(json_of("{}", csv) ==
          R"({"blondel":"1","circuits":{"heater":{"panel":"P","spaces":[2,4,6]},"lamp":{"panel":"P","spaces":[1]}}})");
}

TEST_CASE("a channel schedule becomes channels, CTs and elements of points") {
    constexpr std::string_view map = R"({"columns": {"Meter": "channel.device", "Input": "channel.input", "CT": "ct.id",
        "Type": "ct.type", "Circuit": "ignored", "Pole": "ignored", "Point": "point.id", "Volts": "channel.reference"},
        "ids": {"channel": "{Meter}.{Input}"}, "constants": {"ct.passes": "{Circuit}:{Pole}", "ct.mark_faces": "source"}})";
    const std::string csv =
        "Meter,Input,CT,Type,Circuit,Pole,Point,Volts\n"
        "M1,1,k1,T60,F,1,flat,A-N\nM1,2,k2,T60,F,2,flat,B-N\n";
    CHECK(json_of(map, csv) ==
          R"({"blondel":"1","channels":{"M1.1":{"cts":{"k1":1},"device":"M1","input":1,"reference":"A-N"},)"
          R"("M1.2":{"cts":{"k2":1},"device":"M1","input":2,"reference":"B-N"}},)"
          R"("cts":{"k1":{"mark_faces":"source","passes":{"F:1":1},"type":"T60"},)"
          R"("k2":{"mark_faces":"source","passes":{"F:2":1},"type":"T60"}},)"
          R"("points":{"flat":{"elements":{"M1.1":1,"M1.2":1}}}})");
}

TEST_CASE("all errors of a table are listed, each with line and column") {
    const std::vector<ErrorItem> errors = errors_of(panel_map,
                                                    "Panel;Space;Amps;Load;For;Remarks\n"
                                                    "P1;1;60 A;Shop;Tenant;\n"
                                                    "P1;2;1.234,5;;Lodger;\n"
                                                    "P1;two;20;;House;\n"
                                                    ";4;20;;House;\n"
                                                    "P1;5;20\n"
                                                    "P1;6;-3;;House;\n");
    REQUIRE(errors.size() == 7);
    CHECK(errors[0].status == BLN_E_UNIT);
    CHECK(errors[0].line == 2);
    CHECK(errors[0].column == 6);
    CHECK(errors[1].status == BLN_E_TYPE);
    CHECK(errors[1].line == 3);
    CHECK(errors[2].status == BLN_E_VALUE);
    CHECK(errors[2].column == 15);
    CHECK(errors[3].status == BLN_E_TYPE);
    CHECK(errors[3].line == 4);
    CHECK(errors[4].line == 5);
    CHECK(errors[5].status == BLN_E_SYNTAX);
    CHECK(errors[6].line == 7);
    CHECK(errors[6].subject == "P1-6");

    std::string many = "circuit.id,circuit.breaker_amps\n";
    for (int i = 0; i < 500; ++i) many += "c" + std::to_string(i) + ",x\n";
    CHECK(errors_of("{}", many).size() == 100);
}

TEST_CASE("columns and map have to agree") {
    CHECK(errors_of(R"({"columns": {"A": "circuit.id"}})", "A,B\nx,y\n").at(0).status == BLN_E_FIELD);
    CHECK(errors_of(R"({"columns": {"A": "circuit.id"}, "others": "ignore"})", "A,B\nx,y\n").empty());
    CHECK(errors_of(R"({"columns": {"A": "circuit.id", "C": "circuit.name"}})", "A\nx\n").at(0).subject == "C");
    CHECK(errors_of(R"({"columns": {"A": "circuit.name"}})", "A\nx\n").at(0).status == BLN_E_FIELD);
    CHECK(errors_of("{}", "circuit.id,circuit.id\nx,y\n").at(0).status == BLN_E_DUPLICATE);
    CHECK(errors_of("{}", "circuit.id,circuit.name\nx,a\nx,b\n").at(0).line == 3);
    CHECK(errors_of("{}", "").at(0).status == BLN_E_SYNTAX);
    CHECK(errors_of(R"({"columns": {"1": "circuit.id", "2": "circuit.name"}, "header": false})", "x,a\n").empty());
    CHECK_THROWS_AS(plan::ScheduleMap::read(R"({"columns": {"A": "circuit.volts"}})"), Failure);
    CHECK_THROWS_AS(plan::ScheduleMap::read(R"({"decimal": ";"})"), Failure);
    CHECK_THROWS_AS(plan::ScheduleMap::read("[]"), Failure);
}

TEST_CASE("UTF-16 of both orders, and Latin-1") {
    const std::string table = "circuit.id,circuit.name\r\nx,Shop\r\n";
    const std::string expected = R"({"blondel":"1","circuits":{"x":{"name":"Shop"}}})";
    for (const bool mark : {false, true}) {
        CHECK(json_of(R"({"encoding": "utf-16le"})", utf16(table, false, mark)) == expected);
        CHECK(json_of(R"({"encoding": "utf-16be"})", utf16(table, true, mark)) == expected);
    }
    CHECK(errors_of(R"({"encoding": "utf-16be"})", utf16(table, false, true)).at(0).status == BLN_E_ENCODING);
    CHECK(errors_of(R"({"encoding": "utf-16le"})", utf16(table, false, true) + "x").at(0).status == BLN_E_ENCODING);
    CHECK(json_of(R"({"encoding": "iso-8859-1"})",
                  "circuit.id,circuit.name\nx,B\xE4"
                  "cker\n") ==
          "{\"blondel\":\"1\",\"circuits\":{\"x\":{\"name\":\"B\xC3\xA4"
          "cker\"}}}");
    CHECK(errors_of("{}",
                    "circuit.id,circuit.name\nx,B\xE4"
                    "cker\n")
              .at(0)
              .status == BLN_E_ENCODING);
    CHECK(utf8_of_utf16(std::string("\x3D\xD8\x00\xDE", 4), false) == "\xF0\x9F\x98\x80");
    CHECK_THROWS_AS(utf8_of_utf16(std::string("\x3D\xD8x\0", 4), false), Failure);
    CHECK_THROWS_AS(utf8_of_utf16(std::string("\x00\xDE", 2), false), Failure);
}

TEST_CASE("a record takes in another: new facts join, contradictions are refused or replaced") {
    plan::ScheduleMap map;
    map.named_by_field = true;
    const auto a = plan::read_schedule(map, "circuit.id,circuit.name,circuit.breaker_amps\nx,Shop,20\n", 9999);
    const auto b =
        plan::read_schedule(map, "circuit.id,circuit.role,circuit.breaker_amps\nx,premises,25\ny,spare,\n", 9999);
    try {
        (void)merged(*a, *b, false);
        FAIL("a contradiction was taken");
    } catch (const Failure& f) {
        REQUIRE(f.items().size() == 1);
        CHECK(f.items()[0].status == BLN_E_EXISTS);
        CHECK(f.items()[0].pointer == "/circuits/x/breaker_amps");
    }
    CHECK(
        write_site(*merged(*a, *b, true), JsonStyle::canonical) ==
        R"({"blondel":"1","circuits":{"x":{"breaker_amps":25,"name":"Shop","role":"premises"},"y":{"role":"spare"}}})");
    CHECK(write_site(*merged(*a, *a, false), JsonStyle::canonical) == write_site(*a, JsonStyle::canonical));
}
