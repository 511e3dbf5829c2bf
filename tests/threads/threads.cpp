// One frozen record and one view of it, used by many threads and freed by whichever comes last.
#include <blondel/blondel.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <string>
#include <thread>
#include <vector>

namespace {

constexpr int thread_count = 8;
constexpr int rounds = 20;

std::string record() {
    return R"({"blondel":"1","name":"Small house",
"services":{"S":{"kind":"four_wire_wye","volts_ln":120,"volts_ll":208,"frequency_hz":60}},
"panels":{"P":{"service":"S","spaces":12,"bus":"ABC"}},
"circuits":{"flat-1":{"panel":"P","spaces":[1],"breaker_amps":40,"role":"premises"},
            "flat-2":{"panel":"P","spaces":[2],"breaker_amps":20,"role":"premises"}},
"ct_types":{"T":{"primary_amps":100,"secondary":333,"output":"millivolts","mark_faces":"source"}},
"cts":{"c1":{"type":"T","mark_faces":"source","passes":{"flat-1:1":1}},
       "c2":{"type":"T","mark_faces":"load","passes":{"flat-2:1":1}}},
"profiles":{"M":{"inputs":9,"references":["A","B","C","N"],"input_kind":"millivolts"}},
"devices":{"D":{"profile":"M","service":"S"}},
"channels":{"D.1":{"device":"D","input":1,"cts":{"c1":1},"reference":"A-N","primary_amps":100,"secondary":333},
            "D.2":{"device":"D","input":2,"cts":{"c2":1},"reference":"A-N","primary_amps":200,"secondary":333}},
"premises":{"1":{},"2":{}},
"points":{"b1":{"premises":"1","circuits":["flat-1"],"elements":{"D.1":1}},
          "b2":{"premises":"2","circuits":["flat-2"],"elements":{"D.2":1}}}})";
}

/// What one thread does with the shared objects; "" when a call failed.
std::string work(bln_site* site, const bln_view* view) {
    bln_report* report = nullptr;
    bln_text* json = nullptr;
    bln_text* digest = nullptr;
    bln_view* own = nullptr;
    double amps = 0;
    std::string out;
    if (bln_view_real(view, BLN_KIND_CIRCUIT, "flat-2", "breaker_amps", &amps, nullptr) == BLN_OK && amps == 20 &&
        bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &own, nullptr) == BLN_OK &&
        bln_check(view, nullptr, nullptr, nullptr, &report, nullptr) == BLN_OK &&
        bln_report_json(report, &json, nullptr) == BLN_OK && bln_site_digest(site, &digest, nullptr) == BLN_OK)
        out = std::string(bln_text_data(json)) + bln_text_data(digest);
    bln_view_free(own);
    bln_text_free(json);
    bln_text_free(digest);
    bln_report_free(report);
    return out;
}

}  // namespace

TEST_CASE("one site and one view serve many threads and are freed by any of them") {
    const std::string json = record();
    for (int round = 0; round < rounds; ++round) {
        bln_site* site = nullptr;
        bln_view* view = nullptr;
        REQUIRE(bln_site_read(json.data(), json.size(), nullptr, &site, nullptr) == BLN_OK);
        REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
        const std::string expected = work(site, view);
        REQUIRE_FALSE(expected.empty());

        std::vector<std::string> results(thread_count);
        std::vector<std::thread> threads;
        std::atomic<int> at_work{thread_count};
        for (int t = 0; t < thread_count; ++t) {
            bln_site* held = bln_site_keep(site);
            threads.emplace_back([&, t, held] {
                results[static_cast<std::size_t>(t)] = work(held, view);
                bln_site_free(held);
                if (--at_work == 0) bln_view_free(view);  // the last one at work, whichever it is
            });
        }
        bln_site_free(site);  // while the others are at work
        for (std::thread& t : threads) t.join();
        for (const std::string& r : results) CHECK(r == expected);
    }
}

TEST_CASE("an object made in one thread is freed in another after what it was made from") {
    const std::string json = record();
    bln_report* report = nullptr;
    std::thread maker([&] {
        bln_site* site = nullptr;
        bln_view* view = nullptr;
        if (bln_site_read(json.data(), json.size(), nullptr, &site, nullptr) == BLN_OK &&
            bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK)
            (void)bln_check(view, nullptr, nullptr, nullptr, &report, nullptr);
        bln_view_free(view);
        bln_site_free(site);
    });
    maker.join();
    REQUIRE(report != nullptr);
    REQUIRE(bln_report_count(report) > 0);
    std::size_t told = 0;
    std::thread reader([&] {
        for (std::size_t i = 0; i < bln_report_count(report); ++i) {
            bln_text* text = nullptr;
            if (bln_report_text(report, i, BLN_TEXT_BODY, nullptr, &text, nullptr) == BLN_OK)
                told += bln_text_size(text) > 0 ? 1 : 0;
            bln_text_free(text);
        }
    });
    reader.join();
    CHECK(told == bln_report_count(report));
    std::thread([report] { bln_report_free(report); }).join();
}
