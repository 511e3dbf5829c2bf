// Texts of findings in any language.
#include <vector>

#include "capi/handles.hpp"
#include "capi/messages.hpp"
#include "site/json_text.hpp"
#include "site/json_tree.hpp"

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

/// Reads a catalogue and lists every objection, up to the cap of all error objects.
class Reader {
public:
    explicit Reader(std::string_view json) : document_(parse_json(json)) {}

    std::unique_ptr<bln_catalogue> read() {
        const Json& root = document_.root;
        if (!root.is_object()) document_.fail(root, BLN_E_TYPE, "a catalogue is an object");
        const Json* version = root.find("blondel_catalogue");
        if (version == nullptr || !version->is_string() || version->text != catalogue_version)
            document_.fail(version == nullptr ? root : *version, BLN_E_FORMAT,
                           "\"blondel_catalogue\" is not \"1\", the version that this library reads");
        auto made = std::make_unique<bln_catalogue>();
        for (std::size_t i = 0; i < root.keys.size(); ++i) {
            const Json& value = root.items[i];
            if (root.keys[i] == "messages")
                messages(value, *made);
            else if (root.keys[i] == "language")
                (void)text(value);
            else if (root.keys[i] != "blondel_catalogue")
                object_to(value, BLN_E_FIELD, "a catalogue has no \"" + root.keys[i] + "\"");
        }
        if (!errors_.empty()) throw Failure(std::move(errors_));
        return made;
    }

private:
    static constexpr std::size_t most_errors = 100;

    void object_to(const Json& at, bln_status status, std::string message) {
        if (errors_.size() < most_errors) errors_.push_back(document_.item(at, status, std::move(message)));
    }
    std::string text(const Json& value) {
        if (!value.is_string()) object_to(value, BLN_E_TYPE, "this is no text");
        return value.text;
    }
    void messages(const Json& all, bln_catalogue& to) {
        if (!all.is_object()) {
            object_to(all, BLN_E_TYPE, "\"messages\" is an object keyed by code");
            return;
        }
        for (std::size_t i = 0; i < all.keys.size(); ++i) {
            const Message* original = english(all.keys[i]);
            if (original == nullptr)
                object_to(all.items[i], BLN_E_NAME, "no finding has the code \"" + all.keys[i] + "\"");
            else if (!all.items[i].is_object())
                object_to(all.items[i], BLN_E_TYPE, "a message is an object with title, body, action");
            else
                message(*original, all.items[i], to);
        }
    }
    void message(const Message& original, const Json& from, bln_catalogue& to) {
        bln_catalogue::Row row;
        row.code = original.code;
        for (std::size_t i = 0; i < from.keys.size(); ++i) {
            const std::string& key = from.keys[i];
            std::string* part = key == "title"    ? &row.title
                                : key == "body"   ? &row.body
                                : key == "action" ? &row.action
                                                  : nullptr;
            if (part == nullptr) {
                object_to(from.items[i], BLN_E_FIELD, "a message has no \"" + key + "\", only title, body, action");
                continue;
            }
            *part = text(from.items[i]);
            places(original, from.items[i], *part);
        }
        to.rows.push_back(std::move(row));
    }
    /// A place that the English text does not have would stay unfilled.
    void places(const Message& original, const Json& at, std::string_view pattern) {
        for (std::size_t open = pattern.find('{'); open != std::string_view::npos; open = pattern.find('{', open + 1)) {
            const std::size_t close = pattern.find('}', open);
            const std::string_view place =
                pattern.substr(open, close == std::string_view::npos ? close : close - open + 1);
            const auto in = [&](std::string_view whole) { return whole.find(place) != std::string_view::npos; };
            if (close == std::string_view::npos || !(in(original.title) || in(original.body) || in(original.action)))
                object_to(
                    at, BLN_E_VALUE,
                    "the English texts of " + std::string(original.code) + " have no place " + std::string(place));
        }
    }

    JsonDocument document_;
    std::vector<ErrorItem> errors_;
};

}  // namespace

extern "C" {

bln_status bln_catalogue_english(bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(english_json()); });
}

bln_status bln_catalogue_read(const char* json, size_t n, bln_catalogue** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return Reader(required_bytes(json, n, "json")).read(); });
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
