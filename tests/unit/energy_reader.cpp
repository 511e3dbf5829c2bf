#include <catch2/catch.hpp>

#include "energy/interval_collector.hpp"

using namespace bln;

namespace {

constexpr std::int64_t quarter = 900'000'000;

IntervalRule rule(int stamp = BLN_STAMP_START) {
    return IntervalRule::of({sizeof(bln_interval_rule), stamp, quarter, 1, 1, 0, 0});
}

struct Result {
    std::vector<ErrorItem> errors;
    std::vector<std::vector<std::int64_t>> counts;  // of net_p, channel after channel
    std::vector<std::string> channels;
};

Result read(std::string_view csv, std::string_view map, std::size_t block) {
    Result out;
    try {
        IntervalCollector collector(rule(), map, 1U << 24);
        for (std::size_t at = 0; at < csv.size(); at += block) collector.push(csv.substr(at, block));
        const Intervals x = collector.finish();
        out.channels.assign(x.channels().begin(), x.channels().end());
        const auto& m = x.of(Quantity::net_p).counts;
        for (std::size_t c = 0; c < x.channels().size() && !m.empty(); ++c)
            out.counts.emplace_back(m.begin() + static_cast<std::ptrdiff_t>(c * x.count()),
                                    m.begin() + static_cast<std::ptrdiff_t>((c + 1) * x.count()));
    } catch (const Failure& f) {
        out.errors = f.items();
    }
    return out;
}

const std::string long_csv =
    "\xEF\xBB\xBF"
    "channel,start,net_p,quality\r\n"
    "\"c1\",2026-03-01T00:00:00Z,10,valid\r\n"
    "c2,2026-03-01T01:00:00+01:00,-20,8\r\n"
    "c1,2026-03-01 00:15:00Z,\"11\",\r\n"
    "c2,2026-03-01T00:15:00Z,9223372036854775807,0\r\n";

}  // namespace

TEST_CASE("reader: a stream cut at any byte reads as the whole") {
    const Result whole = read(long_csv, "", long_csv.size());
    REQUIRE(whole.errors.empty());
    CHECK(whole.counts == std::vector<std::vector<std::int64_t>>{{10, 11}, {-20, INT64_MAX}});
    for (std::size_t block = 1; block < long_csv.size(); ++block) {
        const Result cut = read(long_csv, "", block);
        CHECK(cut.errors.empty());
        CHECK(cut.counts == whole.counts);
    }
}

TEST_CASE("reader: a text that ends at any byte gives rows or a named error, never a wrong row but the last") {
    const Result whole = read(long_csv, "", long_csv.size());
    for (std::size_t n = 0; n < long_csv.size(); ++n) {
        const Result cut = read(std::string_view(long_csv).substr(0, n), "", 7);
        INFO(n);
        if (!cut.errors.empty()) {
            CHECK(cut.errors[0].line >= 1);
            CHECK(cut.errors[0].byte <= n);
            continue;
        }
        // Everything before the last line is as it was; what is cut there is told.
        IntervalCollector collector(rule(), "", 1U << 24);
        collector.push(std::string_view(long_csv).substr(0, n));
        const Intervals x = collector.finish();
        CHECK(x.cut_off() == (n > 0 && long_csv[n - 1] != '\n'));
        if (n > 70 && !cut.counts.empty()) CHECK(cut.counts[0][0] == 10);
    }
}

TEST_CASE("reader: a byte flipped anywhere never goes unnoticed where it breaks something") {
    std::size_t refused = 0, read_well = 0;
    for (std::size_t i = 0; i < long_csv.size(); ++i)
        for (const unsigned flip : {0x80U, 0x01U, 0x20U, 0x04U, 0xFFU}) {
            std::string spoilt = long_csv;
            spoilt[i] = static_cast<char>(static_cast<unsigned char>(spoilt[i]) ^ flip);
            const Result a = read(spoilt, "", 5), b = read(spoilt, "", spoilt.size());
            INFO(i << " flipped by " << flip);
            // The place of an error does not depend on how the stream was cut.
            REQUIRE(a.errors.size() == b.errors.size());
            for (std::size_t k = 0; k < a.errors.size(); ++k) {
                CHECK(a.errors[k].byte == b.errors[k].byte);
                CHECK(a.errors[k].line == b.errors[k].line);
                CHECK(a.errors[k].column == b.errors[k].column);
                CHECK(a.errors[k].status == b.errors[k].status);
            }
            CHECK(a.counts == b.counts);
            ++(a.errors.empty() ? read_well : refused);
            if ((flip & 0x80U) != 0) CHECK_FALSE(a.errors.empty());
        }
    CHECK(refused > 3 * read_well);
}

TEST_CASE("reader: a wide file with its own delimiter, decimal comma, encoding and names") {
    const std::string map =
        R"({"delimiter":";","decimal":",","encoding":"iso-8859-1","time":"epoch_seconds","wh_per_unit":1000,)"
        R"("columns":{"Zeit":"start","Z\u00e4hler 1":{"is":"net_p","channel":"c1"},)"
        R"("G\u00fcte":{"is":"quality","channel":"c1"},"Ort":"ignored","B":{"is":"net_p","channel":"c2"}},)"
        R"("quality":{"geschätzt":"estimated_interpolated","ok":0}})";
    const std::string csv = "Zeit;Z\xE4hler 1;G\xFCte;Ort;B\r\n0;1,5;ok;hier;-0,001\n900;0,020;gesch\xE4tzt;;\r\n\r\n";
    IntervalCollector collector(rule(), map, 1U << 20);
    collector.push(csv);
    const Intervals x = collector.finish();
    CHECK(x.of(Quantity::net_p).counts == std::vector<std::int64_t>{1500, 20, -1, 0});
    CHECK(x.of(Quantity::net_p).present == std::vector<std::uint8_t>{1, 1, 1, 0});
    CHECK(std::vector<std::uint8_t>(x.quality().begin(), x.quality().end()) == std::vector<std::uint8_t>{0, 9, 0, 0});
    // What is no whole number of counts is refused, not rounded.
    const Result bad = read("Zeit;B\n0;0,0005\n900;12.5\n1800;1e3\n2700;99999999999999999999\n", map, 3);
    REQUIRE(bad.errors.size() == 4);
    CHECK(bad.errors[0].line == 2);
    CHECK(bad.errors[0].column == 3);
    CHECK(bad.errors[0].subject == "c2");
    CHECK(bad.errors[3].status == BLN_E_OVERFLOW);
}

TEST_CASE("reader: columns named after channels; files without a header; unlisted channels") {
    const Result named = read("start,a,b\n2026-03-01T00:00:00Z,1,2\n2026-03-01T00:15:00Z,,3\n",
                              R"({"columns":{"start":"start"},"others":"net_p"})", 4);
    CHECK(named.channels == std::vector<std::string>{"a", "b"});
    CHECK(named.counts == std::vector<std::vector<std::int64_t>>{{1, 0}, {2, 3}});
    const Result bare =
        read("c,2026-03-01T00:00:00Z,7\n", R"({"header":false,"columns":{"1":"channel","2":"start","3":"net_p"}})", 4);
    CHECK(bare.counts == std::vector<std::vector<std::int64_t>>{{7}});
    const Result known = read("channel,start,net_p\nM-1,2026-03-01T00:00:00Z,7\nM-2,2026-03-01T00:00:00Z,8\n",
                              R"({"channels":{"M-1":"c1"},"unlisted_channels":"refuse"})", 4);
    REQUIRE(known.errors.size() == 1);
    CHECK(known.errors[0].status == BLN_E_NO_ENTITY);
    CHECK(known.errors[0].line == 3);
}

TEST_CASE("reader: times without a zone, records of another length, overlaps are named") {
    const auto first = [](std::string_view csv) { return read(csv, "", 9).errors.at(0); };
    CHECK(first("channel,start,net_p\nc,2026-03-01T00:00:00,1\n").message.find("names no zone") != std::string::npos);
    ErrorItem e = first("channel,start,end,net_p\nc,2026-03-01T00:00:00Z,2026-03-01T01:00:00Z,1\n");
    CHECK(e.message.find("covers 3600 s") != std::string::npos);
    CHECK(e.column == 24);
    e = first("channel,start,net_p\nc,2026-03-01T00:00:00Z,1\nc,2026-03-01T00:10:00Z,1\n");
    CHECK(e.message.find("overlaps") != std::string::npos);
    CHECK(e.line == 3);
}

TEST_CASE("reader: rows are handed out in bounded blocks, with their lines, and bad ones are counted") {
    IntervalReader reader(rule(), ColumnMap::plain(), UINT64_MAX);
    RowBlock rows;
    std::uint64_t total = 0, sum = 0, last_line = 0;
    std::size_t most = 0;
    std::string block = "channel,start,net_p\n";
    for (int i = 0; i < 200; ++i) {
        for (int k = 0; k < 500; ++k)
            block += "c" + std::to_string(k % 40) + ",2026-03-01T00:00:00Z," + (k == 499 ? "x" : "3") + "\n";
        reader.push(block);
        block.clear();
        while (reader.next(rows, 256)) {
            most = std::max(most, rows.size());
            total += rows.size();
            for (const std::int64_t v : rows.value[0]) sum += static_cast<std::uint64_t>(v);
            last_line = rows.line.back();
        }
    }
    reader.finish();
    CHECK_FALSE(reader.next(rows));
    CHECK(total == 200 * 499);
    CHECK(sum == 3 * total);
    CHECK(reader.refused() == 200);
    CHECK(last_line == 200 * 500);
    CHECK(most <= 256);
    CHECK(reader.channels().size() == 40);
}

TEST_CASE("reader: late rows before the first, and rows in falling order") {
    std::string csv = "channel,start,net_p\n";
    for (int i = 99; i >= 0; --i)
        csv += "c,2026-03-0" + std::to_string(1 + i / 96) + "T" + (i % 96 / 4 < 10 ? "0" : "") +
               std::to_string(i % 96 / 4) + ":" + std::to_string(i % 4 * 15 + 100).substr(1) + ":00Z," +
               std::to_string(i) + "\n";
    const Result x = read(csv, "", 50);
    REQUIRE(x.errors.empty());
    REQUIRE(x.counts[0].size() == 100);
    for (std::size_t i = 0; i < 100; ++i) CHECK(x.counts[0][i] == static_cast<std::int64_t>(i));
}

TEST_CASE("reader: what a map says wrongly is named with its place") {
    const auto place = [](std::string_view json) {
        try {
            (void)ColumnMap::read(json);
        } catch (const Failure& f) {
            return f.items().front().pointer;
        }
        return std::string("read");
    };
    CHECK(place(R"({"delimiter":"\""})") == "/delimiter");
    CHECK(place(R"({"encoding":"utf-16"})") == "/encoding");
    CHECK(place(R"({"columns":{"a":"kwh"}})") == "/columns/a");
    CHECK(place(R"({"columns":{"a":{"is":"net_p","channel":"c 1"}}})") == "/columns/a/channel");
    CHECK(place(R"({"quality":{"A":12}})") == "/quality/A");
    CHECK(place(R"({"wh_per_unit":0.5})") == "/wh_per_unit");
    CHECK(place(R"({"zone":"UTC"})") == "/zone");
    CHECK(place(R"({"wh_per_unit":"1/2"})") == "read");
}
