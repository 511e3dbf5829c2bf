#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>

#include "site/csv.hpp"

using namespace bln;

namespace {

std::vector<std::vector<std::string>> all(std::string_view text) {
    CsvScanner csv(text, 1U << 30);
    std::vector<std::vector<std::string>> out;
    while (csv.next()) {
        out.emplace_back();
        for (std::size_t i = 0; i < csv.size(); ++i) out.back().emplace_back(csv.cell(i));
    }
    return out;
}

ErrorItem failure(std::string_view text) {
    try {
        all(text);
    } catch (const Failure& f) {
        return f.items().front();
    }
    return {BLN_OK, {}, {}, {}, 0, 0, 0};
}

}  // namespace

TEST_CASE("csv: records, quotes, line ends as in RFC 4180") {
    using Table = std::vector<std::vector<std::string>>;
    CHECK(all("") == Table{});
    CHECK(all("a,b\r\nc,d") == Table{{"a", "b"}, {"c", "d"}});
    CHECK(all("a,b\n") == Table{{"a", "b"}});
    CHECK(all("\xEF\xBB\xBF"
              "a,\n") == Table{{"a", ""}});
    CHECK(all("\"a\"\"b\",\"c\r\nd\",\"\",e\r\n\"x,y\"") == Table{{"a\"b", "c\r\nd", "", "e"}, {"x,y"}});
    CHECK(all("\n") == Table{{""}});
}

TEST_CASE("csv: what breaks the grammar is refused with its place") {
    ErrorItem e = failure("a,b\r\nc,\"d\"x");
    CHECK(e.status == BLN_E_SYNTAX);
    CHECK(e.line == 2);
    CHECK(e.column == 6);
    CHECK(e.byte == 10);
    CHECK(failure("a\"b").status == BLN_E_SYNTAX);
    CHECK(failure("\"a\nb").line == 2);
    CHECK(failure("a\rb").status == BLN_E_SYNTAX);
    e = failure("a\nb\xC3(");
    CHECK(e.status == BLN_E_ENCODING);
    CHECK(e.line == 2);
    CHECK(e.column == 2);
    CHECK(failure(std::string_view("a\0b", 3)).status == BLN_E_ENCODING);
    CHECK_THROWS_AS(CsvScanner("abc", 2), Failure);
}

TEST_CASE("csv: numbers are whole cells") {
    std::int64_t i = 0;
    double d = 0;
    CHECK(read_integer("-9223372036854775808", i) == BLN_OK);
    CHECK(i == INT64_MIN);
    CHECK(read_integer("9223372036854775808", i) == BLN_E_OVERFLOW);
    for (const char* bad : {"", " 1", "1 ", "+1", "1.0", "1e3", "0x1", "-"}) CHECK(read_integer(bad, i) == BLN_E_VALUE);
    CHECK(read_real("-1.5e3", d) == BLN_OK);
    CHECK(d == -1500);
    CHECK(read_real("nan", d) == BLN_E_NOT_FINITE);
    CHECK(read_real("inf", d) == BLN_E_NOT_FINITE);
    CHECK(read_real("1e999", d) == BLN_E_VALUE);
    CHECK(read_real("1,5", d) == BLN_E_VALUE);
}

TEST_CASE("csv: the csv-spectrum suite of open data") {
    const char* data = std::getenv("BLONDEL_DATA");
    if (data == nullptr) {
        WARN("skipped: BLONDEL_DATA not set");
        return;
    }
    const auto rows = [&](const char* name) {
        // The suite lies there as one compressed archive.
        const std::string command = "tar -xzOf '" + std::string(data) + "/suites/csv-spectrum.tar.gz' csvs/" + name;
        std::FILE* pipe = popen(command.c_str(), "r");
        REQUIRE(pipe != nullptr);
        std::string text;
        for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) text += static_cast<char>(c);
        REQUIRE(pclose(pipe) == 0);
        return all(text);
    };
    // Expected values as in the JSON beside each file (maxogden/csv-spectrum, BSD-2).
    CHECK(rows("comma_in_quotes.csv").at(1).at(2) == "120 any st.");
    CHECK(rows("comma_in_quotes.csv").at(1).at(3) == "Anytown, WW");
    CHECK(rows("escaped_quotes.csv").at(1).at(1) == "ha \"ha\" ha");
    CHECK(rows("json.csv").at(1).at(1) == "{\"type\": \"Point\", \"coordinates\": [102.0, 0.5]}");
    CHECK(rows("newlines_crlf.csv").at(2).at(0) == "Once upon \r\na time");
    CHECK(rows("utf8.csv").at(2).at(2) == "\xCA\xA4");
    CHECK(rows("empty_crlf.csv").at(1).at(1).empty());
}
