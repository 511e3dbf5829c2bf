// Texts of findings in any language.
#include <vector>

#include "capi/handles.hpp"
#include "capi/messages.hpp"
#include "site/json_text.hpp"

using namespace bln;
using namespace bln::capi;

struct bln_catalogue {
    struct Row {
        std::string code, title, body, action;
    };
    std::vector<Row> rows;

    [[nodiscard]] const Row* find(std::string_view code) const noexcept {
        for (const Row& r : rows)
            if (r.code == code) return &r;
        return nullptr;
    }
};

namespace {

constexpr std::string_view catalogue_version = "1";

void member(std::string& out, std::string_view key, std::string_view text, bool last = false) {
    append_json_string(out, key);
    out += ": ";
    append_json_string(out, text);
    if (!last) out += ", ";
}

std::string english_json() {
    std::string out = "{\n";
    member(out, "blondel_catalogue", catalogue_version);
    member(out, "language", "en");
    out += "\n\"messages\": {";
    bool first = true;
    for (const std::span<const Message> room : english())
        for (const Message& m : room) {
            out += first ? "\n" : ",\n";
            first = false;
            append_json_string(out, m.code);
            out += ": {";
            member(out, "title", m.title);
            member(out, "body", m.body);
            member(out, "action", m.action, true);
            out += '}';
        }
    out += "\n}}\n";
    return out;
}

template <class Row>
std::string_view part(const Row& row, int32_t what) {
    switch (what) {
        case BLN_TEXT_TITLE:
            return row.title;
        case BLN_TEXT_BODY:
            return row.body;
        case BLN_TEXT_ACTION:
            return row.action;
        default:
            throw Failure(BLN_E_RANGE, "what is none of BLN_TEXT_TITLE, BLN_TEXT_BODY, BLN_TEXT_ACTION");
    }
}

}  // namespace

extern "C" {

bln_status bln_catalogue_english(bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(english_json()); });
}

void bln_catalogue_free(bln_catalogue* catalogue) BLN_NOEXCEPT { delete catalogue; }

bln_status bln_report_text(const bln_report* report, size_t i, int32_t what, const bln_catalogue* catalogue,
                           bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const auto& findings = required(report, "report").report.findings;
        if (i >= findings.size())
            throw Failure(BLN_E_RANGE, "there is no finding " + std::to_string(i) + "; the count is " +
                                           std::to_string(findings.size()));
        const Finding& f = findings[i];
        const bln_catalogue::Row* own = catalogue == nullptr ? nullptr : catalogue->find(f.code);
        if (own != nullptr) {
            const std::string_view pattern = part(*own, what);
            if (!pattern.empty()) return text_of(fill(pattern, f));
        }
        const Message* m = english(f.code);
        if (m == nullptr) throw Failure(BLN_E_INTERNAL, "the catalogue lacks " + std::string(f.code));
        return text_of(fill(part(*m, what), f));
    });
}

}  // extern "C"
