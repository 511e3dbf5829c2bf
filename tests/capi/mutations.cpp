// Spoils a correct generated site, one fact at a time: each mistake must raise its finding.
#include <catch2/catch.hpp>
#include <functional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "generated_site.hpp"

namespace {

/// A draft of a correct site, and the same as it was before it is spoiled.
class Spoiled {
public:
    explicit Spoiled(std::uint32_t seed) : draft_(support::generated_draft(35, seed)) {
        REQUIRE(bln_draft_freeze(draft_, &site_, nullptr) == BLN_OK);
        REQUIRE(bln_view_new(site_, BLN_END_OF_TIME, BLN_END_OF_TIME, &view_, nullptr) == BLN_OK);
    }
    Spoiled(const Spoiled&) = delete;
    Spoiled& operator=(const Spoiled&) = delete;
    ~Spoiled() {
        bln_draft_free(draft_);
        bln_view_free(view_);
        bln_site_free(site_);
    }
    [[nodiscard]] std::vector<std::string> ids(bln_kind kind) const {
        std::vector<std::string> out;
        for (size_t i = 0; i < bln_site_count(site_, kind); ++i) out.emplace_back(bln_site_id(site_, kind, i));
        return out;
    }
    [[nodiscard]] std::string text(bln_kind kind, const std::string& id, const char* field) const {
        const char* out = "";
        return bln_view_text(view_, kind, id.c_str(), field, &out, nullptr) == BLN_OK ? out : "";
    }
    [[nodiscard]] std::int64_t integer(bln_kind kind, const std::string& id, const char* field) const {
        std::int64_t out = 0;
        REQUIRE(bln_view_integer(view_, kind, id.c_str(), field, &out, nullptr) == BLN_OK);
        return out;
    }
    [[nodiscard]] std::vector<std::string> terms(bln_kind kind, const std::string& id, const char* field) const {
        std::vector<std::string> out;
        size_t n = 0;
        if (bln_view_size(view_, kind, id.c_str(), field, &n, nullptr) != BLN_OK) return out;
        for (size_t i = 0; i < n; ++i) {
            const char* key = nullptr;
            std::int64_t num = 0, den = 1;
            REQUIRE(bln_view_item_term(view_, kind, id.c_str(), field, i, &key, &num, &den, nullptr) == BLN_OK);
            out.emplace_back(key);
        }
        return out;
    }
    void set(bln_kind kind, const std::string& id, const char* field, const std::string& value) {
        REQUIRE(bln_draft_set_text(draft_, kind, id.c_str(), field, value.c_str(), nullptr, nullptr) == BLN_OK);
    }
    void set(bln_kind kind, const std::string& id, const char* field, std::int64_t value) {
        REQUIRE(bln_draft_set_integer(draft_, kind, id.c_str(), field, value, nullptr, nullptr) == BLN_OK);
    }
    void set(bln_kind kind, const std::string& id, const char* field, const std::vector<std::string>& keys) {
        std::vector<const char*> names;
        for (const std::string& k : keys) names.push_back(k.c_str());
        const std::vector<std::int64_t> ones(keys.size(), 1);
        REQUIRE(bln_draft_set_terms(draft_, kind, id.c_str(), field, names.data(), ones.data(), nullptr, keys.size(),
                                    nullptr, nullptr) == BLN_OK);
    }
    void clear(bln_kind kind, const std::string& id, const char* field) {
        REQUIRE(bln_draft_clear(draft_, kind, id.c_str(), field, nullptr) == BLN_OK);
    }
    void remove(bln_kind kind, const std::string& id) {
        REQUIRE(bln_draft_remove(draft_, kind, id.c_str(), nullptr) == BLN_OK);
    }
    /// Codes of all errors that the draft raises now.
    [[nodiscard]] std::set<std::string> errors() const {
        bln_site* site = nullptr;
        bln_view* view = nullptr;
        bln_report* report = nullptr;
        REQUIRE(bln_draft_freeze(draft_, &site, nullptr) == BLN_OK);
        REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
        REQUIRE(bln_check(view, nullptr, nullptr, nullptr, &report, nullptr) == BLN_OK);
        std::set<std::string> out;
        for (size_t i = 0; i < bln_report_count(report); ++i) {
            bln_finding f{};
            f.size = sizeof f;
            REQUIRE(bln_report_at(report, i, &f, nullptr) == BLN_OK);
            if (f.severity == BLN_ERROR) out.insert(f.code);
        }
        bln_report_free(report);
        bln_view_free(view);
        bln_site_free(site);
        return out;
    }

private:
    bln_draft* draft_;
    bln_site* site_ = nullptr;
    bln_view* view_ = nullptr;
};

using Codes = std::set<std::string>;
using Spoil = std::function<Codes(Spoiled&, const std::string& point)>;

std::string join(const Codes& codes) {
    std::string out;
    for (const std::string& c : codes) out += " " + c;
    return out;
}

/// Spoils each billing point of several sites in turn. @p spoil returns the codes that it must raise, all
/// of them and no others, or nothing when the point does not lend itself to the mistake.
void each(const Spoil& spoil) {
    std::size_t spoiled = 0;
    for (const std::uint32_t seed : {11U, 12U, 13U}) {
        const Spoiled plan(seed);
        for (const std::string& point : plan.ids(BLN_KIND_POINT)) {
            if (plan.text(BLN_KIND_POINT, point, "use") == "main") continue;
            Spoiled s(seed);
            const Codes wanted = spoil(s, point);
            if (wanted.empty()) continue;
            ++spoiled;
            INFO("seed " << seed << ", point " << point);
            const Codes found = s.errors();
            INFO("found" << join(found) << "; wanted" << join(wanted));
            CHECK(found == wanted);
        }
    }
    CHECK(spoiled >= 10);
}

std::string first_channel(const Spoiled& s, const std::string& point) {
    return s.terms(BLN_KIND_POINT, point, "elements").front();
}

}  // namespace

TEST_CASE("mutation: a wrong ratio") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        const std::string k = first_channel(s, p);
        s.set(BLN_KIND_CHANNEL, k, "primary_amps", 3 * s.integer(BLN_KIND_CHANNEL, k, "primary_amps"));
        return {"ratio-differs"};
    });
}

TEST_CASE("mutation: a CT that hangs the other way round") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        const std::string k = first_channel(s, p);
        s.set(BLN_KIND_CT, k, "mark_faces",
              s.text(BLN_KIND_CT, k, "mark_faces") == "source" ? std::string("load") : std::string("source"));
        return {"direction-differs"};
    });
}

TEST_CASE("mutation: a channel that is left out of its point") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        std::vector<std::string> elements = s.terms(BLN_KIND_POINT, p, "elements");
        elements.pop_back();
        s.set(BLN_KIND_POINT, p, "elements", elements);
        return {"pole-unmetered"};
    });
}

TEST_CASE("mutation: a channel of another point as well") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        for (const std::string& other : s.ids(BLN_KIND_POINT)) {
            // Of the same service, whose id begins that of the point.
            if (other == p || other.substr(0, 3) != p.substr(0, 3) || s.text(BLN_KIND_POINT, other, "use") == "main")
                continue;
            std::vector<std::string> elements = s.terms(BLN_KIND_POINT, p, "elements");
            elements.push_back(first_channel(s, other));
            s.set(BLN_KIND_POINT, p, "elements", elements);
            return {"channel-used-twice"};
        }
        return {};
    });
}

TEST_CASE("mutation: channels of two points exchanged") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        for (const std::string& other : s.ids(BLN_KIND_POINT)) {
            if (other == p || other.substr(0, 3) != p.substr(0, 3) || s.text(BLN_KIND_POINT, other, "use") == "main")
                continue;
            const auto mine = s.terms(BLN_KIND_POINT, p, "elements");
            const auto theirs = s.terms(BLN_KIND_POINT, other, "elements");
            s.set(BLN_KIND_POINT, p, "elements", theirs);
            s.set(BLN_KIND_POINT, other, "elements", mine);
            return {"measures-another-circuit"};
        }
        return {};
    });
}

TEST_CASE("mutation: a voltage of another phase") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        const std::string k = first_channel(s, p);
        const std::string reference = s.text(BLN_KIND_CHANNEL, k, "reference");
        const std::string service = p.substr(0, 2);
        if (service == "S1" || reference.substr(1) != "-N") return {};
        s.set(BLN_KIND_CHANNEL, k, "reference", std::string(reference == "A-N" ? "B-N" : "A-N"));
        return {"reference-of-another-phase"};
    });
}

TEST_CASE("mutation: voltage terminals on another service") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        if (p.substr(0, 2) != "S4") return {};
        const std::string device = s.text(BLN_KIND_CHANNEL, first_channel(s, p), "device");
        s.set(BLN_KIND_DEVICE, device, "service", std::string("S6"));
        return {"reference-from-another-service"};
    });
}

TEST_CASE("mutation: nobody to bill, the meter's supply billed, a point outside the sums") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        s.clear(BLN_KIND_POINT, p, "premises");
        return {"point-without-premises"};
    });
    each([](Spoiled& s, const std::string& p) -> Codes {
        s.set(BLN_KIND_CIRCUIT, p, "role", std::string("meter_supply"));
        return {"meter-supply-billed"};
    });
    each([](Spoiled& s, const std::string& p) -> Codes {
        std::vector<std::string> rest;
        for (const std::string& q : s.terms(BLN_KIND_ROLLUP, p.substr(0, 2), "points"))
            if (q != p) rest.push_back(q);
        s.set(BLN_KIND_ROLLUP, p.substr(0, 2), "points", rest);
        return {"circuit-never-rolled-up"};
    });
}

TEST_CASE("mutation: entities that vanish") {
    each([](Spoiled& s, const std::string& p) -> Codes {
        s.remove(BLN_KIND_PREMISES, p);
        return {"dangling-reference"};
    });
    each([](Spoiled& s, const std::string& p) -> Codes {
        s.remove(BLN_KIND_CIRCUIT, p);
        return {"dangling-reference"};
    });
}
