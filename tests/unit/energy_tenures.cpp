// Who held a point from when to when: its tenures add up to its row, and each is what a period of its own would say.
#include <catch2/catch.hpp>
#include <random>

#include "energy/energy.hpp"
#include "energy/stream.hpp"
#include "site/instant.hpp"
#include "site/reader.hpp"

using namespace bln;

namespace {

constexpr std::int64_t quarter = 900'000'000;
constexpr Instant march = 1772323200000000;  // 2026-03-01T00:00:00Z

using Counts = std::vector<std::vector<std::int64_t>>;

std::vector<std::string> names(std::size_t n) {
    std::vector<std::string> out;
    for (std::size_t c = 0; c < n; ++c) out.push_back("c" + std::to_string(c));
    return out;
}

/// P and Q of every channel; Q is P with another sign and a little more.
std::shared_ptr<const Intervals> intervals_of(const Counts& p) {
    const std::vector<std::string> ids = names(p.size());
    const std::vector<std::string_view> views(ids.begin(), ids.end());
    std::vector<std::int32_t> channel;
    std::vector<std::int64_t> at, vp, vq;
    for (std::size_t c = 0; c < p.size(); ++c)
        for (std::size_t t = 0; t < p[c].size(); ++t) {
            channel.push_back(static_cast<std::int32_t>(c));
            at.push_back(march + static_cast<Instant>(t) * quarter);
            vp.push_back(p[c][t]);
            vq.push_back(3 - p[c][t]);
        }
    IntervalColumns k;
    k.channel = Column({channel.data(), 4, nullptr, BLN_TYPE_I32, 0}, "channel");
    k.at = Column({at.data(), 8, nullptr, BLN_TYPE_I64, 0}, "at");
    k.quantity[0] = Column({vp.data(), 8, nullptr, BLN_TYPE_I64, 0}, "net_p");
    k.quantity[1] = Column({vq.data(), 8, nullptr, BLN_TYPE_I64, 0}, "net_q");
    return std::make_shared<const Intervals>(intervals_from_columns({quarter, 1, false}, views, channel.size(), k));
}

Statement rolled(const std::string& json, const Counts& p, const Period& period = {}) {
    return roll_up(read_site(json), period, intervals_of(p), Policy(energy_policy()));
}

std::string at(std::int64_t seconds) { return '"' + instant_text(march + seconds * 1'000'000) + '"'; }

}  // namespace

TEST_CASE("tenures: a tenant moves within an interval") {
    // 00:20 lies in the second quarter of an hour: five minutes of it are the first tenant's.
    const std::string json = R"({"blondel":"1","channels":{"c0":{}},"premises":{"a":{"occupancy":"tenant","occupant":
        {"dated":[{"to":)" + at(1200) +
                             R"(,"value":"account 1"},{"from":)" + at(2700) + R"(,"value":"account 2"}]}},
        "b":{}},"points":{"P":{"elements":{"c0":1},"premises":"a"},"Q":{"premises":"b"}}})";
    const Statement s = rolled(json, {{100, 90, 10, 7}});
    REQUIRE(s.tenures.size() == 4);
    const Tenure &first = s.tenures[0], &empty = s.tenures[1], &second = s.tenures[2];
    CHECK(first.occupant == "account 1");
    CHECK(first.occupancy == Occupancy::tenant);
    CHECK(first.from == march);
    CHECK(first.to == march + 1'200'000'000);
    CHECK(first.net == 130);
    CHECK(first.divided == 1);
    CHECK(first.measured == 1);
    CHECK(first.flagged_net == 30);
    CHECK(empty.occupant.empty());
    CHECK(empty.net == 60 + 10);
    CHECK(empty.measured == 1);
    CHECK(second.occupant == "account 2");
    CHECK(second.net == 7);
    CHECK(second.divided == 0);
    CHECK(s.rows[0].net == 207);
    CHECK(s.rows[0].measured == 4);  // the interval itself was measured; only its parts are derived
    CHECK(s.tenures[3].premises == "b");
    std::size_t told = 0;
    for (const Finding& f : s.report.findings) told += f.code == "tenure-ended" ? 1 : 0;
    CHECK(told == 2);
    CHECK(tenures_csv(s).find("point,P,a,tenant,account 2,2026-03-01T00:45:00Z,2026-03-01T01:00:00Z,1,7,7,0") !=
          std::string::npos);
    CHECK(statement_json(s).find(R"("occupant":"account 1")") != std::string::npos);
}

TEST_CASE("tenures: what one takes is not set off against what the other gives back") {
    // The channel that the point reads changes with the tenant, in the middle of the interval.
    const std::string json = R"({"blondel":"1","channels":{"c0":{},"c1":{}},"premises":{"a":{},"b":{}},"points":{"P":{
        "elements":{"dated":[{"to":)" +
                             at(450) + R"(,"value":{"c0":1}},{"from":)" + at(450) +
                             R"(,"value":{"c1":1}}]},"premises":{"dated":[{"to":)" + at(450) +
                             R"(,"value":"a"},{"from":)" + at(450) + R"(,"value":"b"}]}}}})";
    const Statement s = rolled(json, {{100}, {-60}});
    REQUIRE(s.tenures.size() == 2);
    CHECK(s.tenures[0].import_p == 50);
    CHECK(s.tenures[1].export_p == 30);
    CHECK(s.rows[0].net == 20);
    CHECK(s.rows[0].import_p == 50);
    CHECK(s.rows[0].export_p == 30);
}

TEST_CASE("tenures: they add up to the row, and each is what its own period says") {
    std::mt19937 random(20260307);
    const auto pick = [&](std::int64_t low, std::int64_t high) {
        return std::uniform_int_distribution<std::int64_t>(low, high)(random);
    };
    for (int round = 0; round < 60; ++round) {
        const std::size_t channels = static_cast<std::size_t>(pick(1, 4)),
                          points = static_cast<std::size_t>(pick(1, 4)), n = static_cast<std::size_t>(pick(2, 40));
        std::string json = R"({"blondel":"1","channels":{)";
        for (std::size_t c = 0; c < channels; ++c) json += (c > 0 ? ",\"c" : "\"c") + std::to_string(c) + "\":{}";
        json += R"(},"premises":{"a":{},"b":{},"c":{}},"points":{)";
        for (std::size_t p = 0; p < points; ++p) {
            json += (p > 0 ? ",\"P" : "\"P") + std::to_string(p) + R"(":{"elements":{"c)" +
                    std::to_string(pick(0, static_cast<std::int64_t>(channels) - 1)) + R"(":")" +
                    std::to_string(pick(1, 3)) + "/" + std::to_string(pick(1, 4)) + R"("},"premises":{"dated":[)";
            std::int64_t from = -100;
            for (std::int64_t k = pick(0, 3); k > 0; --k) {
                const std::int64_t to = from + pick(1, static_cast<std::int64_t>(n) * 600);
                json += R"({"from":)" + at(from) + R"(,"to":)" + at(to) + R"(,"value":")" +
                        std::string(1, "abc"[pick(0, 2)]) + R"("},)";
                from = to;
            }
            json += R"({"from":)" + at(from) + R"(,"value":"a"}]}})";
        }
        json += R"(},"rollups":{"all":{"points":{"P0":1}}}})";
        Counts p(channels, std::vector<std::int64_t>(n));
        for (auto& one : p)
            for (std::int64_t& v : one) v = pick(-50, 200);
        Period period;
        if (pick(0, 1) == 1) period.quantum = Rational(pick(1, 9), pick(1, 4));
        const Statement s = rolled(json, p, period);
        CAPTURE(json);
        std::vector<StatementRow> sum(s.rows.size());
        Instant end = 0;
        std::size_t before = s.rows.size();
        for (const Tenure& t : s.tenures) {
            StatementRow& row = sum[t.row];
            row.net += t.net;
            row.net_q += t.net_q;
            row.import_p += t.import_p;
            row.export_p += t.export_p;
            row.import_q += t.import_q;
            row.export_q += t.export_q;
            CHECK(t.net == t.import_p - t.export_p);
            CHECK(t.net_q == t.import_q - t.export_q);
            CHECK(t.import_p >= 0);
            CHECK(t.export_p >= 0);
            CHECK(t.from == (t.row == before ? end : s.period.from));
            end = t.to;
            before = t.row;
            // The period from the begin of all to the end of this tenure, handed out alike.
            Period own = period;
            own.to = t.to;
            own.quantum = s.quantum;
            const Statement up_to = rolled(json, p, own);
            std::int64_t told = 0;
            for (const Tenure& u : s.tenures)
                if (u.row == t.row && u.to <= t.to) told += u.net;
            CHECK(up_to.rows[t.row].net == told);
        }
        for (std::size_t r = 0; r < s.rows.size(); ++r) {
            if (s.rows[r].kind != RowKind::point) continue;
            CHECK(sum[r].net == s.rows[r].net);
            CHECK(sum[r].net_q == s.rows[r].net_q);
            CHECK(sum[r].import_p == s.rows[r].import_p);
            CHECK(sum[r].export_p == s.rows[r].export_p);
            CHECK(sum[r].import_q == s.rows[r].import_q);
            CHECK(sum[r].export_q == s.rows[r].export_q);
            std::int64_t series = 0;
            for (const std::int64_t v : s.net_of(r)) series += v;
            CHECK(series == s.rows[r].net);
        }
        // The same through a stream.
        const std::vector<std::string> ids = names(channels);
        const std::vector<std::string_view> views(ids.begin(), ids.end());
        Period whole = s.period;
        whole.quantum = period.quantum;
        RollupStream stream(read_site(json), whole, {quarter, 1, false}, march, views, true, false,
                            Policy(energy_policy()));
        Counts q = p;
        for (auto& one : q)
            for (std::int64_t& v : one) v = 3 - v;
        while (stream.done() < stream.count()) {
            const std::size_t a = stream.done(),
                              step = std::min<std::size_t>(stream.count() - a, static_cast<std::size_t>(pick(1, 9)));
            std::vector<Column> ps, qs;
            for (std::size_t c = 0; c < channels; ++c) {
                ps.emplace_back(bln_column{p[c].data() + a, 8, nullptr, BLN_TYPE_I64, 0}, "net_p");
                qs.emplace_back(bln_column{q[c].data() + a, 8, nullptr, BLN_TYPE_I64, 0}, "net_q");
            }
            stream.push({step, ps, qs, {}}, {});
        }
        const Statement t = stream.finish();
        REQUIRE(t.tenures.size() == s.tenures.size());
        for (std::size_t i = 0; i < s.tenures.size(); ++i) {
            CHECK(t.tenures[i].net == s.tenures[i].net);
            CHECK(t.tenures[i].import_q == s.tenures[i].import_q);
            CHECK(t.tenures[i].apparent == s.tenures[i].apparent);
            CHECK(t.tenures[i].measured == s.tenures[i].measured);
            CHECK(t.tenures[i].divided == s.tenures[i].divided);
        }
    }
}
