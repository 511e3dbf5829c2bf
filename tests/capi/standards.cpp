// Limits of standards against the figures that were published or are remembered; conductors against wire tables.
#include <catch2/catch.hpp>
#include <cmath>
#include <set>
#include <string>

#include "blondel/blondel.h"

namespace {

bln_limit limit(const std::string& key) {
    bln_limit out{};
    out.size = sizeof out;
    INFO(key);
    REQUIRE(bln_limit_find(key.c_str(), &out, nullptr) == BLN_OK);
    return out;
}

}  // namespace

TEST_CASE("standards: every limit has a key of its own, an order and a source") {
    std::set<std::string> keys;
    REQUIRE(bln_limit_count() >= 60);
    for (std::size_t i = 0; i < bln_limit_count(); ++i) {
        bln_limit row{};
        row.size = sizeof row;
        REQUIRE(bln_limit_at(i, &row, nullptr) == BLN_OK);
        INFO(row.key);
        CHECK(keys.insert(row.key).second);
        CHECK(row.low <= row.high);
        CHECK(std::string(row.source).size() > 10);
        // What is remembered says so in words, too, and what was seen does not.
        CHECK((std::string(row.source).find("from memory") != std::string::npos) == (row.from_memory == 1));
    }
    bln_limit row{};
    row.size = sizeof row;
    CHECK(bln_limit_at(bln_limit_count(), &row, nullptr) == BLN_E_RANGE);
    CHECK(bln_limit_find("ansi-c84.1/115", &row, nullptr) == BLN_E_NAME);
}

TEST_CASE("standards: service voltages") {
    // ANSI C84.1 table 1, from memory; 114 to 126 V as constants of public programs.
    struct Row {
        const char* key;
        double low, high;
    };
    for (const Row& r : {Row{"120/A-service", 114, 126}, Row{"120/B-service", 110, 127},
                         Row{"120/A-utilization", 108, 126}, Row{"120/B-utilization", 104, 127},
                         Row{"208Y120/ll/A-service", 197, 218}, Row{"208Y120/ll/B-service", 191, 220},
                         Row{"240-120/ll/A-service", 228, 252}, Row{"240-120/ll/B-service", 220, 254},
                         Row{"480Y277/ll/A-service", 456, 504}, Row{"480Y277/ln/A-service", 263, 291},
                         Row{"480Y277/ll/B-service", 440, 508}, Row{"480Y277/ln/B-service", 254, 293},
                         Row{"600Y347/ll/A-service", 570, 630}, Row{"600Y347/ln/A-service", 329, 364},
                         Row{"600Y347/ll/B-service", 550, 635}, Row{"600Y347/ln/B-service", 318, 367}}) {
        const bln_limit l = limit(std::string("ansi-c84.1/") + r.key);
        CHECK(l.low == r.low);
        CHECK(l.high == r.high);
    }
    // Range A of a wye follows from the 120 V base, within its rounding to whole volts.
    for (const auto& [key, nominal] :
         {std::pair{"208Y120/ll", 208.0}, std::pair{"480Y277/ll", 480.0}, std::pair{"600Y347/ll", 600.0}}) {
        const bln_limit l = limit(std::string("ansi-c84.1/") + key + "/A-service");
        CHECK(std::abs(l.low - nominal * 114 / 120) <= 0.7);
        CHECK(std::abs(l.high - nominal * 126 / 120) <= 0.7);
    }
    // IEC 60038 and EN 50160: 230/400 V, 10 %.
    CHECK(limit("iec-60038/230-400/ln").low == Approx(230 * 0.9));
    CHECK(limit("iec-60038/230-400/ln").high == Approx(230 * 1.1));
    CHECK(limit("iec-60038/230-400/ll").low == Approx(400 * 0.9));
    CHECK(limit("iec-60038/230-400/ll").high == Approx(400 * 1.1));
    CHECK(limit("en-50160/voltage").high == 10);
}

TEST_CASE("standards: errors of active energy that 2014/32/EU allows") {
    // Annex V (MI-003), table 2, as on legislation.gov.uk: classes A, B, C by four bands of temperature.
    const char* const bands[] = {"+5..+30", "-10..+5 and +30..+40", "-25..-10 and +40..+55", "-40..-25 and +55..+70"};
    const double low[3][4] = {{3.5, 5, 7, 9}, {2, 2.5, 3.5, 4}, {1, 1.3, 1.7, 2}};
    const double high[3][4] = {{3.5, 4.5, 7, 9}, {2, 2.5, 3.5, 4}, {0.7, 1, 1.3, 1.5}};
    for (int c = 0; c < 3; ++c)
        for (int b = 0; b < 4; ++b) {
            const std::string start = std::string("2014-32-eu/") + "ABC"[c];
            CHECK(limit(start + "/Imin-Itr/" + bands[b]).high == low[c][b]);
            CHECK(limit(start + "/Itr-Imax/" + bands[b]).high == high[c][b]);
            CHECK(limit(start + "/Itr-Imax/" + bands[b]).low == -high[c][b]);
        }
    // Meters (Certification) Regulations 1998, schedule 1, paragraph 9.
    CHECK(limit("gb-1998-1566/transformers").high == 0.5);
}

TEST_CASE("standards: resistance and area of conductors") {
    // IEC 60228 tables 1 and 2, ohm/km.
    struct Size {
        double mm2, ohms;
    };
    for (const Size& s : {Size{1.5, 12.1}, Size{2.5, 7.41}, Size{4, 4.61}, Size{6, 3.08}, Size{10, 1.83},
                          Size{16, 1.15}, Size{25, 0.727}, Size{35, 0.524}, Size{50, 0.387}}) {
        double ohms = 0;
        REQUIRE(bln_copper_resistance(s.mm2, 20, &ohms, nullptr) == BLN_OK);
        CHECK(ohms * 1000 == Approx(s.ohms));
        CHECK(ohms * 1000 >= 17.241 / s.mm2);  // never less than ideal copper
        CHECK(ohms * 1000 <= 17.241 / s.mm2 * 1.123);
    }
    double cold = 0, warm = 0;
    REQUIRE(bln_copper_resistance(2.5, 20, &cold, nullptr) == BLN_OK);
    REQUIRE(bln_copper_resistance(2.5, 75, &warm, nullptr) == BLN_OK);
    CHECK(warm / cold == Approx(1 + 0.00393 * 55));
    double between = 0;
    REQUIRE(bln_copper_resistance(2, 20, &between, nullptr) == BLN_OK);
    CHECK(between == Approx(12.1e-3 * 1.5 / 2));
    // T. R. Kuphaldt, Lessons in Electric Circuits, vol. I, wire table: diameters in inches.
    struct Gauge {
        const char* name;
        double inches;
    };
    for (const Gauge& g :
         {Gauge{"4/0", 0.46}, Gauge{"1/0", 0.3249}, Gauge{"10", 0.1019}, Gauge{"12", 0.08081}, Gauge{"14", 0.06408},
          Gauge{"16", 0.05082}, Gauge{"18", 0.0403}, Gauge{"20", 0.03196}, Gauge{"24", 0.0201}, Gauge{"36", 0.005}}) {
        double mm2 = 0;
        REQUIRE(bln_gauge_area(g.name, &mm2, nullptr) == BLN_OK);
        CHECK(std::sqrt(mm2 * 4 / 3.14159265358979) / 25.4 == Approx(g.inches).epsilon(0.002));
    }
    double out = -1;
    for (const char* bad : {"", "0", "41", "5/0", "0/0", "12 AWG", "-1"})
        CHECK(bln_gauge_area(bad, &out, nullptr) == BLN_E_NAME);
    CHECK(bln_copper_resistance(0, 20, &out, nullptr) == BLN_E_RANGE);
    CHECK(bln_copper_resistance(1, 1000, &out, nullptr) == BLN_E_RANGE);
    CHECK(bln_copper_resistance(std::nan(""), 20, &out, nullptr) == BLN_E_NOT_FINITE);
    CHECK(out == -1);
}
